"""The work order as a page to print: one page a bay, at least 14 point, black on white, readable at arm's length."""

from __future__ import annotations

from html import escape

from model.bench.jumpers import joined_contacts
from model.bench.order import BayOrder, Order, Step
from model.bench.order_words import (
    BEFORE,
    LICENSED,
    craft,
    end_words,
    foot_words,
    mark_words,
    retest_words,
    total_words,
    where_words,
)
from model.bench.section import conductor_words, small_section, two_sections
from model.language.targets import wired_words
from model.paper.page import PAGE_STYLE, TICK, html_page
from model.room.wiring import Room
from model.text.clean import shown
from model.text.listing import counted

STYLE = f"""
@page {{ size: landscape; margin: 12mm; @bottom-right {{ content: "page " counter(page) " of " counter(pages);
  font: 14pt sans-serif; }} }}
{PAGE_STYLE}
body {{ font: 14pt/1.25 sans-serif; }}
h1 {{ font-size: 20pt; margin: 0 0 2mm; }}
h2 {{ font-size: 16pt; margin: 4mm 0 1mm; }}
p {{ margin: 1.5mm 0; }}
ul {{ list-style: none; margin: 2mm 0; padding: 0; columns: 2; }}
li {{ margin: 0 0 1mm; padding-left: 1.6em; text-indent: -1.6em; break-inside: avoid; }}
li .tick {{ margin-right: 0.4em; text-indent: 0; }}
.kinds {{ white-space: nowrap; }}
.where {{ font-weight: bold; border: 1.5pt solid #000; padding: 1.5mm 3mm; }}
.steps {{ width: 100%; }}
.steps th, .steps td {{ border: 0.8pt solid #000; padding: 0.8mm 1.5mm; text-align: left; vertical-align: middle; }}
.steps th {{ border-bottom-width: 1.8pt; }}
.steps td.number {{ font-size: 20pt; font-weight: bold; text-align: right; }}
.steps td.box, .steps th.box {{ text-align: center; }}
.steps td.box .tick {{ font-size: 18pt; }}
.steps pre, .drawing {{ font-size: 14pt; line-height: 1.2; white-space: pre; }}
.name {{ overflow-wrap: anywhere; }}
.address {{ font-weight: bold; display: inline-block; min-width: 3em; margin-right: 0.4em; }}
b {{ font-weight: bold; }}
.drawings {{ display: flex; flex-wrap: wrap; gap: 2mm 16mm; }}
.foot {{ border-top: 1.8pt solid #000; margin-top: 3mm; }}
""".strip()


def order_html(order: Order, made: str) -> str:
    """The order as a page; ``made`` is the time as it is to be read."""
    title = f"Work order, {shown(order.new.name)}"
    body = ["<main>"]
    if not order.bays:
        body += [f"<h1>{escape(title)}</h1>", "<p>Nothing is to be changed: the normals are as they shall be.</p>"]
    for number, page in enumerate(order.bays):
        body += _page(order, page, made, first=number == 0)
    body += [f"<p>{escape(shown(words))}</p>" for words in total_words(order)]
    if order.retest:
        body += ["<h2>Test again</h2>", f"<p>{escape(retest_words(order))}. See the proof.</p>"]
    body += [f"<p>{escape(LICENSED)}</p>", "<p>Date ______________ Initials ________</p>", "</main>"]
    return html_page(title, STYLE, body)


def _page(order: Order, page: BayOrder, made: str, first: bool) -> list[str]:
    room, bay = order.new, order.new.bays[page.bay]
    place = f", {bay.place}" if bay.place else ""
    lines = [
        "<section>" if first else '<section class="new-page">',
        f"<h1>{escape(shown(f'{bay.name}{place}'))}: {counted(len(page.steps), 'pair')} to change</h1>",
        f"<p>{escape(shown(room.name))}. Made {escape(made)}.</p>",
        "<ul>",
        *(f"<li>{TICK} {escape(words)}</li>" for words in BEFORE),
        "</ul>",
        f'<p class="where">{escape(where_words(bay))}</p>',
        '<div class="drawings">',
    ]
    for step in _first_of_each(page):
        drawing = "\n".join(two_sections(bay, step.pair.now, step.pair.then, *_addresses(room, step)))
        head = escape(f"{step.pair.now} > {step.pair.then}")
        lines.append(f'<div class="whole"><b>{head}</b><pre class="drawing">{escape(drawing)}</pre></div>')
    lines += ["</div>", f"<p>{escape(conductor_words(bay))}</p>"]
    marked = any(mark_words(order, step) for step in page.steps)
    heads = ["Pair", "Top jack, bottom jack", "Now &gt; new", "Contacts", *(["Mark"] if marked else [])]
    for part in dict.fromkeys((step.part, step.pair.column is None) for step in page.steps):
        own = [step for step in page.steps if (step.part, step.pair.column is None) == part]
        cross = " Cross normals." if part[1] else ""
        lines += [
            f"<h2>{escape(craft(bay).parts[part[0]])}{cross}</h2>",
            '<table class="steps"><thead><tr><th class="box">Done</th>',
            *(f"<th>{head}</th>" for head in heads),
            '<th class="box">Test</th></tr></thead><tbody>',
            *(_row(order, step, marked) for step in own),
            "</tbody></table>",
        ]
    foot = "".join(f"<p>{escape(shown(words))}</p>" for words in foot_words(order, page))
    return [*lines, f'<div class="foot whole">{foot}<p>Date ______________ Initials ________</p></div>', "</section>"]


def _first_of_each(page: BayOrder) -> list[Step]:
    """The first step of each change of kind, to be drawn."""
    return list({(step.pair.now, step.pair.then): step for step in reversed(page.steps)}.values())[::-1]


def _addresses(room: Room, step: Step) -> tuple[str, str]:
    return room.jacks[step.pair.top].address, room.jacks[step.pair.bottom].address


def _row(order: Order, step: Step, marked: bool) -> str:
    room, pair = order.new, step.pair
    sections = [small_section(pair.now), small_section(pair.then)]
    ends = end_words(step)
    moves = [joined_contacts(pair.now)[end] != joined_contacts(pair.then)[end] for end in (0, 1)]
    contacts = []
    for end in (0, 1):
        drawn = escape(f"{sections[0][end]} > {sections[1][end]}")
        contacts.append(f"{f'<b>{drawn}</b>' if moves[end] else drawn}  {escape(ends[end])}")
    jacks = [
        f'<div class="name"><span class="address">{escape(address)}</span> {escape(shown(wired_words(room, jack)))}</div>'
        for jack, address in zip((pair.top, pair.bottom), _addresses(room, step), strict=True)
    ]
    cells = [
        f'<td class="box">{TICK}</td>',
        f'<td class="number">{"cross" if pair.column is None else pair.column}</td>',
        f"<td>{''.join(jacks)}</td>",
        f'<td class="kinds">{escape(pair.now)} &gt; <b>{escape(pair.then)}</b></td>',
        "<td><pre>" + "\n".join(contacts) + "</pre></td>",
    ]
    if marked:
        cells.append(f"<td>{escape(shown(mark_words(order, step)))}</td>")
    return f'<tr>{"".join(cells)}<td class="box">{TICK}</td></tr>'
