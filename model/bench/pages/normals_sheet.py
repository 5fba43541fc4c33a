"""The survey of normals as tables, as text, and as one table for a spreadsheet."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from model.bench.pages.fit import cut
from model.bench.survey import KINDS, Surveyed, as_json, counts, marks_in_use
from model.language.targets import wired_words
from model.paper.sheet import Sheet, Table, literal
from model.paper.spreadsheet import write_rows
from model.room.wiring import Room
from model.text.caution import CAUTION
from model.text.clean import shown
from model.text.listing import counted

_COLUMNS = ("Top", "Wired to", "Bottom", "Wired to", "Now", "Advised", "Why", "A plug on top", "A plug at the bottom")
_SHORT = ("Pair", "Wired to", "Kind now", "Advised")
_ADVICE = "Advice is for the kinds of port that stand there; whoever answers for the wiring decides."


def normals_sheet(room: Room, found: Sequence[Surveyed], made: str) -> Sheet:
    """The survey as a sheet: departures, the other pairs, counts by bay and by mark."""
    departs = tuple((*_short(room, one), _why(room, one)) for one in found if one.departs)
    others = tuple(_short(room, one) for one in found if not one.departs)
    bays = counts(room)
    marks = tuple((mark, str(number)) for mark, number in marks_in_use(room).items())
    by_bay = tuple((b.bay, *(str(b.kinds[kind]) for kind in KINDS), str(b.jumpers)) for b in bays)
    total = ("all", *(str(sum(b.kinds[kind] for b in bays)) for kind in KINDS), str(sum(b.jumpers for b in bays)))
    tables = (
        Table(
            "Departs from the advice",
            (*_SHORT, "Why, and what a plug would do"),
            departs,
            "Every pair has the kind advised.",
            _ADVICE,
        ),
        Table("As advised, or nothing to advise", _SHORT, others, "No pair is as advised."),
        Table("Counts", ("Bay", *KINDS, "jumpers in use"), (*by_bay, total), ""),
        Table("Marks", ("Mark", "Pairs"), marks, "The room file states no marks of its own."),
    )
    return literal(Sheet("Normals", (("Room", room.name), ("Sheet of", "normals"), ("Made", made)), tables))


def _short(room: Room, one: Surveyed) -> tuple[str, ...]:
    jacks = (one.pair.top, one.pair.bottom)
    addresses = " and ".join(room.jacks[jack].address for jack in jacks)
    wired = ", ".join(wired_words(room, jack) or "nothing" for jack in jacks)
    return addresses, wired if wired != "nothing, nothing" else "", one.pair.kind, one.advice.kind or ""


def _why(room: Room, one: Surveyed) -> str:
    told = as_json(room, one)
    return " ".join(dict.fromkeys((told["why"], told["plug"]["top"], told["plug"]["bottom"])))


def _row(room: Room, one: Surveyed) -> tuple[str, ...]:
    told = as_json(room, one)
    top, bottom = (wired_words(room, jack) for jack in (one.pair.top, one.pair.bottom))
    advised = one.advice.kind or ""
    plugs = (told["plug"]["top"], told["plug"]["bottom"])
    return (told["top"], top, told["bottom"], bottom, one.pair.kind, advised, one.advice.why, *plugs)


def normals_csv(room: Room, found: Sequence[Surveyed]) -> str:
    """The survey as one table."""
    return write_rows([_COLUMNS, *(tuple(map(shown, _row(room, one))) for one in found)])


def normals_text(room: Room, found: Sequence[Surveyed]) -> str:
    """The survey for a terminal of 80 columns."""
    departs = [one for one in found if one.departs]
    lines = [f"{room.name}: {counted(len(found), 'pair')}, {len(departs)} of another kind than advised"]
    lines += ["", _HEAD, "-" * 80] if found else []
    for one in found:
        lines.append(_line(room, one))
        if one.departs:
            lines += textwrap.wrap(_why(room, one), 80, initial_indent="      ", subsequent_indent="      ")
    lines += ["", f"{'bay':<26}" + "".join(f"{kind:>9}" for kind in KINDS) + f"{'jumpers':>9}"]
    for bay in counts(room):
        numbers = "".join(f"{bay.kinds[kind]:>9}" for kind in KINDS)
        lines.append(f"{cut(bay.bay, 25):<26}{numbers}{bay.jumpers:>9}")
    lines += [f"mark {mark}: {counted(number, 'pair')}" for mark, number in marks_in_use(room).items()]
    lines += ["", *textwrap.wrap(_ADVICE, 80), *textwrap.wrap(CAUTION, 80)]
    return "\n".join(map(shown, lines)) + "\n"


_HEAD = f"  {'top':<8}{'wired to':<20}{'bottom':<8}{'wired to':<20}{'now':<10}advised"


def _line(room: Room, one: Surveyed) -> str:
    pair = one.pair
    top, bottom = (cut(wired_words(room, jack), 19) for jack in (pair.top, pair.bottom))
    addresses = (cut(room.jacks[jack].address, 7) for jack in (pair.top, pair.bottom))
    above, below = addresses
    mark = "*" if one.departs else " "
    return f"{mark} {above:<8}{top:<20}{below:<8}{bottom:<20}{pair.kind:<10}{one.advice.kind or ''}".rstrip()
