"""The screen of the live bay: the entry being typed, its preview, the bays, the lists; and what joins them to the session."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from textual import events
from textual.app import ComposeResult
from textual.geometry import Region
from textual.layout import Layout
from textual.screen import Screen

from model.commands.repeats import carried_out, repetition
from model.commands.table import PLUGS_CAUTION
from model.entry.labels import LABELS
from model.live.change import Change
from model.room.wiring import line_contact, normal_contact
from model.session import Outcome, Session, awaited, caution_for
from tui.screen.bay_field import BayField
from tui.screen.bay_view import BayView
from tui.screen.entry_field import EntryField
from tui.screen.ink import Ink, Piece
from tui.screen.jack_words import facts, jack_title
from tui.screen.keys import LEFT_OUT_FIRST, action_typed, bindings, keys_of
from tui.screen.notice import Notice, Prompt
from tui.screen.pages import LISTS, PAGES, Happened, house_patch
from tui.screen.panel import Panel
from tui.screen.pasting import Queue
from tui.screen.refused import wrong_part
from tui.screen.spans import Span, SpanLine
from tui.screen.tiling import Tiling, tiles
from tui.screen.told_words import Item, did, not_yet, refused, sayings, would_do
from tui.screen.top_line import TopLine
from tui.screen.typed_jacks import ends_named, wanted
from tui.screen.work_page import WorkPage, work_page

if TYPE_CHECKING:
    from model.commands.completion import Completion
    from model.record.recorded_session import RecordedSession

READS = "F6"  # the key that shows the newest answer whole, said where not all of it can be seen
LISTENS_EVERY = 0.25  # seconds: what another seat types is here within half a second
HINTS = (
    "Type an entry: pre 4 out > squash l in. What it would do stands here before Enter does it.",
    "A click on a jack, or F2 and the arrow keys, puts it into the entry. F1 tells the rest.",
)


class BayScreen(Screen[None]):
    """One room, live."""

    BINDINGS = bindings("screen")
    AUTO_FOCUS = "#entry"

    def __init__(
        self, session: Session, ink: Ink, *, house: bool = True, record: RecordedSession | None = None
    ) -> None:
        """``record``: the session with its record, through which entries go; without one they are kept nowhere."""
        super().__init__()
        self.session = session
        self.record = record
        self.enter = session.enter if record is None else record.enter
        self.ink = ink
        self.tiling = Tiling()
        self.happened = Happened()
        if record is not None:
            self.happened.add([Item([ink.mark("said"), Piece(f" {words}")]) for words in record.opened])
        if house and (record is None or record.is_new):
            together = session.enter_together if record is None else record.enter_together
            self.happened.add(house_patch(session, together, ink))
        self.view = BayView(session)
        self.queue = Queue()
        self.offers: tuple[str, ...] = ("reset",) if record is not None and record.bay_unknown else ()
        self._drawn: Outcome | None = None  # the preview that stands there
        self._taking: list[Completion] = []  # what Tab walks through, while it walks
        self._taken = -1
        self._refusal: str | None = None  # why the entry that stands there was refused
        self._page = "happened"  # what the talk panel shows while nothing is typed
        self._was_narrow: bool | None = None  # when the talk panel was last filled
        self._answered = False  # whether an entry was done since the screen opened
        self._leaving = False
        # whether the newest answer is read before the work list; so is what no longer holds at the opening
        self._answer_first = record is not None and len(record.opened) > 1
        self._work: WorkPage | None = None  # the work list, where one is under way
        self._meanwhile = ""  # what another seat did while an entry is being typed

    @property
    def layout(self) -> Layout:
        """The parts stand where :mod:`tui.screen.tiling` puts them."""
        return self.tiling

    # The parts

    def compose(self) -> ComposeResult:
        """All parts, in the order in which Tab goes through them."""
        ink = self.ink
        yield TopLine(self.session, ink, id="top")
        yield Notice(ink, id="notice")
        yield BayField(self.view, ink, id="bays")
        yield Panel(ink, flows_under=6, id="jack")
        yield Panel(ink, id="warnings")
        yield Panel(ink, id="happened")
        yield Panel(ink, id="talk")
        yield SpanLine(ink, id="offers")
        yield Prompt(ink, id="prompt")
        yield EntryField(id="entry")
        yield SpanLine(ink, id="keys")

    def on_mount(self) -> None:
        """Fill the parts before the first frame."""
        self.parts = {widget.id or "": widget for widget in self.children}
        self.entry = cast(EntryField, self.parts["entry"])
        self.field = cast(BayField, self.parts["bays"])
        self.talk = self._panel("talk")
        self.watch(self.entry, "value", self._typed, init=False)
        if self.record is not None:
            self.entry.history += self.record.history
            self._show_notice()
            self.set_interval(LISTENS_EVERY, self._listen)
        self._work = work_page(self.session, self.ink)
        self._show_lists()
        self._show_jack()
        self._show_talk()
        self._show_keys()

    def _panel(self, name: str) -> Panel:
        return cast(Panel, self.parts[name])

    @property
    def narrow(self) -> bool:
        """Whether the lists have no place of their own: then they share the preview's."""
        return "happened" not in self._regions()

    def _regions(self) -> dict[str, Region]:
        return tiles(*self.app.size, self.tiling.notice)

    def on_resize(self) -> None:
        """What the talk panel says depends on whether the lists have a place of their own."""
        if self._was_narrow is not None and self._was_narrow != self.narrow and not self.entry.value:
            self._show_talk()

    # Showing

    def _show_lists(self) -> None:
        for name in LISTS:
            self._show_page(self._panel(name), name)

    def _show_page(self, panel: Panel, name: str, after: str = "") -> None:
        page = PAGES[name]
        entries = page.entries(self.session, self.happened, self.ink)
        reads = READS if name == "happened" else ""
        panel.show(page.title, entries, after, at_end=page.at_end, newest=len(self.happened.newest), reads=reads)

    def _show_jack(self) -> None:
        panel = self._panel("jack")
        if not self.session.room.jacks:
            panel.show("no jack", [])
            return
        jack = self.view.cursor
        entries = []
        for mark, words in facts(self.session.patch, jack):
            entries.append(Item([self.ink.mark(mark), Piece(" "), *words] if mark else words))
        panel.show(jack_title(self.session.patch, jack, self.session.get(LABELS)), entries)

    def _show_talk(self) -> None:
        """What the talk panel says while nothing is typed."""
        self._was_narrow = self.narrow
        work = self._work_shown()
        offers = work.offers if work else self.offers
        enter = f"Enter puts in: {offers[0]}" if offers else "Enter: the work list" if self._work else ""
        if self.queue.lines:
            self.talk.show("a paste", self.queue.asks(self.ink))
        elif work:
            self.talk.show("the work list", work.entries, enter, reads=READS)
        elif self.narrow:
            self._show_page(self.talk, self._page, enter)
        elif self._answered:
            self.talk.show("what the last entry did", self.happened.newest, enter, reads=READS)
        else:
            self.talk.show("the entry", [Item([Piece(hint, "faint")]) for hint in HINTS], enter)

    def _work_shown(self) -> WorkPage | None:
        """The work list, unless something else has to be read first."""
        return self._work if self._page == "happened" and not self._answer_first else None

    def _show_keys(self) -> None:
        place = "entry"
        if isinstance(self.focused, BayField):
            place = "bay"
        elif isinstance(self.focused, Panel):
            place = "list"
        keys = sorted([*keys_of(place), *keys_of("screen")], key=lambda key: (key.where, key.keys) in LEFT_OUT_FIRST)
        spans = [
            Span([Piece(key.shown.split(",")[0], "key"), Piece(f" {key.brief}", "text")], key.action)
            for key in keys
            if key.brief
        ]
        cast(SpanLine, self.parts["keys"]).show(spans)

    def _show_offers(self, completions: list[Completion], taken: int = -1) -> None:
        spans = [Span([Piece("Tab", "key")], "screen.take(1)")] if completions else []
        for at, completion in enumerate(completions):
            name, _, where = completion.label.partition("  ")
            words = [Piece(name, "cursor" if at == taken else "text"), Piece(f" {where}" if where else "", "faint")]
            spans.append(Span(words, f"screen.take_offer({at})"))
        cast(SpanLine, self.parts["offers"]).show(spans)

    # While an entry is typed

    def _typed(self, value: str) -> None:
        """The entry changed: show at once what it would do. This runs before the key's own frame is drawn."""
        from model.commands.completion import complete  # not before the first frame

        self._refusal = self._drawn = None
        self._leaving = False
        if self._taken < 0 or self._taken >= len(self._taking) or self._taking[self._taken].entry != value:
            self._taking, self._taken = complete(value, self.session.draft()), -1
        self._show_offers(self._taking, self._taken)
        if not value.strip():
            self._meanwhile = ""
            self._redraw(self.view.set_wanted({}))
            self._show_talk()
            return
        change: Change | None = None
        if action_typed(value):
            what = "as its key does" if len(value.split()) == 1 else "opens what there is to read on it"
            does = [Item([Piece(self.ink.clean(f"{value.strip()}: {what}"), "faint")])]
            self.talk.show("Enter does this", does, self._meanwhile)
        elif waits := awaited(value):
            self.talk.show("Enter does this", [Item([self.ink.mark("said"), Piece(f" {waits}")])], self._meanwhile)
        else:
            repeated = repetition(value)
            outcome = self.session.preview(value if repeated is None else repeated.entry)
            change = outcome.change if outcome.ok else None
            self._show_preview(outcome)
        ends = ends_named(value, self.session.names)
        self._redraw(self.view.set_wanted(wanted(ends, change, self.session.patch.state.plugs)))
        if ends:
            self._describe(ends[-1])
        elif change is not None and change.jacks:
            self._describe(change.jacks[0])

    def _show_preview(self, outcome: Outcome) -> None:
        self._drawn = outcome
        if outcome.error is not None:
            self.talk.show("the entry", not_yet(self.ink, outcome.error), self._meanwhile)
            return
        cord = " ".join(f"cord {number}" for number in outcome.change.cords[:3])
        after = "  ".join(filter(None, (self._meanwhile, cord)))
        self.talk.show("what this entry would do", would_do(self.ink, outcome, self._caution(outcome)), after)

    def _caution(self, outcome: Outcome) -> str:
        """What must be cautioned before the entry. Whatever it is, plugs are cautioned where they meet a microphone line."""
        patch, jacks = self.session.patch, outcome.change.jacks
        nodes = [contact(jack) for jack in jacks for contact in (line_contact, normal_contact)]
        if any(port.kind.family == "mic" for node in nodes for port in patch.circuit_at(node).ports):
            return PLUGS_CAUTION
        caution = caution_for(outcome.typed)
        return "" if caution == PLUGS_CAUTION else caution

    def _describe(self, jack: int) -> None:
        changed = self.view.set_cursor(jack)
        if changed:
            self.field.show_jack(jack)
            self._redraw(changed)
            self._show_jack()

    def _redraw(self, jacks: set[int]) -> None:
        if jacks:
            self.field.redraw_jacks(jacks)

    # Doing an entry

    async def action_do_entry(self) -> None:
        """Enter."""
        text = self.entry.value
        if not text.strip():
            self._enter_nothing()
        elif action := action_typed(text):
            self.entry.remember(text)
            self.entry.put("")
            await self.run_action(action)
        else:
            self._do(text)

    def _enter_nothing(self) -> None:
        if self.queue.lines:
            self._play_queue()
        elif work := self._work_shown():
            self.entry.stand(work.offers[0])
        elif self.offers:
            offer, self.offers = self.offers[0], self.offers[1:]
            self.entry.stand(offer)
        elif self._work:
            self._show_work()

    def _show_work(self) -> None:
        """What had to be read before the work list has been."""
        self._page = "happened"
        self._answer_first = False
        self._show_talk()

    def _do(self, text: str) -> bool:
        """Do an entry, a repetition one by one; whether all was taken."""
        return all(outcome.ok for outcome in carried_out(text, self._do_one, self.session.preview))

    def _do_one(self, text: str) -> Outcome:
        """Do one entry. A refused one stays, with the reason, to be edited; so does one that would do something else by now."""
        outcome = self.enter(text, self._drawn)
        self.entry.remember(text)
        self._listen()
        if outcome.instead is not None:
            self.entry.stand(text)
            self._meanwhile = outcome.error or ""
            self._show_preview(outcome.instead)
            return outcome
        if outcome.error is not None:
            self._stand_refused(text, outcome.error, outcome.wrong)
            self.talk.show(
                "not done: type anew, or edit it (Tab, arrows, Backspace)",
                refused(self.ink, outcome.error),
                "Esc drops it",
            )
            return outcome
        if outcome.asked:
            self.view.after_line(self.view.changed, outcome.answer.lit)
            self._show_preview(outcome)
            self.field.redraw_all()
            return outcome
        self.happened.add(did(self.ink, outcome))
        self._answered = True
        self.offers = outcome.answer.offers
        self._page = "happened"
        self._work = work_page(self.session, self.ink)
        self._answer_first = not self._leads_on(outcome)
        self._after(outcome)
        return outcome

    def _stand_refused(self, text: str, error: str, part: str) -> None:
        """The refused entry stands, its wrong part selected; Tab walks through the names that could be meant there."""
        from model.commands.completion import complete

        wrong = wrong_part(text, part)
        self.entry.stand(text, wrong)
        self._refusal = error
        if wrong is not None:
            rest = text[wrong[1] :]
            offered = complete(text[: wrong[1]], self.session.draft())
            self._taking, self._taken = [one._replace(entry=one.entry + rest) for one in offered], -1
            self._show_offers(self._taking)

    def _leads_on(self, outcome: Outcome) -> bool:
        """Whether the work list may follow at once: a step or another entry at the bay, that raised no warning."""
        if outcome.step:
            return not outcome.change.raised
        return self._work is not None and outcome.answer.offers == self._work.offers

    def _after(self, outcome: Outcome) -> None:
        """Everything that an entry may have changed is shown anew, and its place is empty for the next."""
        self._mark_changed(outcome)
        self.view.set_wanted({})
        self.entry.put("")
        self._show_all()
        self._show_talk()

    def _show_all(self) -> None:
        self._show_lists()
        self._show_jack()
        self.field.redraw_all()
        self.parts["top"].refresh()

    def _mark_changed(self, outcome: Outcome) -> None:
        change, room = outcome.change, self.session.room
        changed = set(change.jacks)
        if not changed:
            names = {name for pair in (*change.made, *change.broken) for name in pair}
            names |= {name for warning in (*change.raised, *change.cleared) for name in warning.ports}
            ports = (room.port_named.get(name) for name in names)
            changed = {jack for port in ports if port is not None for jack in room.jacks_of_port[port.index]}
        self.view.after_line(changed, outcome.answer.lit)

    # The record, and other seats

    def _listen(self) -> None:
        """What other seats did, and whether the record is kept: shown where there is anything new."""
        if self.record is None:
            return
        heard = self.record.catch_up()
        self._show_notice()
        if not heard:
            return
        self._work = work_page(self.session, self.ink)
        for one in heard:
            said = [Item([self.ink.mark("said"), Piece(f" {one.words}", "strong")])]
            if one.outcome is not None:
                said += sayings(self.ink, one.outcome)
                self._mark_changed(one.outcome)
                self._answer_first = not self._leads_on(one.outcome)
            self.happened.add(said)
        self._answered = True
        self._show_all()
        if self.entry.value.strip():
            self._meanwhile = heard[-1].words
            self._typed(self.entry.value)  # what the entry would do may be something else now
        else:
            self._show_talk()

    def _show_notice(self) -> None:
        reason = "" if self.record is None else self.record.keeping or ""
        notice = cast(Notice, self.parts["notice"])
        if reason != notice.reason:
            notice.reason = reason
            self.tiling.notice = bool(reason)
            notice.refresh(layout=True)

    def action_read(self, what: str) -> None:
        """Read the newest answer, the work list where it stands, or the record, whole."""
        from tui.screen.reading import ReadingScreen

        if not self.is_active:
            return
        if what == "record":
            from tui.screen.record_page import record_entries

            entries = record_entries(self.record, self.ink)
            self.app.push_screen(ReadingScreen(self.ink, "the record", entries, at_end=True))
        elif (work := self._work_shown()) and not self.entry.value.strip():
            self.app.push_screen(ReadingScreen(self.ink, "the work list", work.entries))
        else:
            newest = self.happened.newest or [Item([Piece("nothing yet", "faint")])]
            self.app.push_screen(ReadingScreen(self.ink, "the newest answer", newest))

    def action_typed(self, text: str) -> None:
        """A key that stands for a whole entry; what is being typed stays there."""
        kept = self.entry.value
        self.entry.remember(kept)  # where the key is refused, Up brings it back
        if self._do(text):
            self.entry.put(kept)

    def action_back(self, what: str) -> None:
        """Take typed text back, or type it again; where nothing is typed, undo or redo the last entry."""
        if not (self.entry.text_back() if what == "undo" else self.entry.text_forth()):
            self.action_typed(what)

    # A paste of many entries

    def on_entry_field_pasted(self, event: EntryField.Pasted) -> None:
        """Several lines wait until they are asked for; one that is too long is refused."""
        event.stop()
        refusal = self.queue.add(event.lines)
        if refusal:
            self.talk.show("not done", refused(self.ink, refusal))
        elif self.entry.value:
            self.talk.show("a paste", self.queue.asks(self.ink, after_line=True))
        else:
            self._show_talk()

    def _play_queue(self) -> None:
        while self.queue.lines:
            if not self._do(self.queue.take()):
                return

    # Keys

    def action_take(self, step: int) -> None:
        """Tab: the next of the names offered. Where nothing is typed: the next part of the screen."""
        if not self.entry.value.strip():
            self.action_go_on(step)
        elif self._taking:
            self.action_take_offer((self._taken + step) % len(self._taking) if self._taken >= 0 or step > 0 else -1)

    def action_take_offer(self, at: int) -> None:
        """Take one of the names offered."""
        if self._taking:
            self._taken = at % len(self._taking)
            self.entry.put(self._taking[self._taken].entry)
            self.set_focus(self.entry)

    def action_earlier(self, steps: int) -> None:
        """Walk the history."""
        self.entry.earlier(steps)

    def action_drop_entry(self) -> None:
        """Esc: drop what is being typed; a paste that waits goes too, but only where nothing is typed."""
        if self.entry.value:
            self.entry.remember(self.entry.value)
            self.entry.put("")
        elif self.queue.lines:
            self.queue.drop()
        else:
            self._show_work()
        self._page = "happened"
        self._show_talk()

    def action_to_line(self) -> None:
        """Back to the entry."""
        self._page = "happened"
        if not self.entry.value:
            self._show_talk()
        self.set_focus(self.entry)

    def action_part(self, name: str) -> None:
        """Go to a part of the screen; a list without a place of its own is shown where the preview stands."""
        if name in PAGES and name not in self._regions():
            self._page = name
            self._show_page(self.talk, name, "Esc goes back")
            name = "talk"
        self.set_focus(self.parts["bays" if name == "bay" else name])

    def action_go_on(self, step: int) -> None:
        """The next part of the screen that can be focused and has room."""
        regions = self._regions()
        chain = [name for name, widget in self.parts.items() if widget.can_focus and name in regions]
        here = chain.index(self.focused.id or "") if self.focused and self.focused.id in chain else 0
        self.set_focus(self.parts[chain[(here + step) % len(chain)]])

    def action_names(self) -> None:
        """Show the strips with the names of the jacks, or hide them."""
        self.field.toggle_names()

    def action_help(self, word: str = "") -> None:
        """The help: all of it, or what is to be read on a word, which is a command's or a topic's."""
        from tui.screen.help_screen import HelpScreen

        if self.is_active:
            if word:
                self._help_on(word)
            else:
                self.app.push_screen(HelpScreen(self.ink))

    def _help_on(self, word: str) -> None:
        from tui.help.topics import help_for, not_found
        from tui.screen.topic_screen import TopicScreen

        topic = help_for(word)
        if topic is not None:
            self.app.push_screen(TopicScreen(self.ink, topic))
        else:
            self.talk.show("help", [Item([Piece(self.ink.clean(line))]) for line in not_found(word).splitlines()])

    def action_leave(self) -> None:
        """Leave; what is kept nowhere is said first."""
        typed = len(self.session.now.taken) > len(self.session.room.house_patch)
        unkept = typed if self.record is None else self.record.keeping is not None
        if unkept and not self._leaving:
            self._leaving = True
            what = "This session is kept nowhere" if self.record is None else "The record cannot be kept"
            text = f"{what}: leave, and what it does not hold is gone. The same key again leaves."
            self.talk.show("leave?", [Item([self.ink.mark("warning"), Piece(f" {text}")])])
            return
        self.app.exit()

    def type_key(self, event: events.Key) -> bool:
        """A character typed anywhere belongs to the entry; whether it was one."""
        if self.focused is None or (event.is_printable and self.focused is not self.entry):
            self.set_focus(self.entry)
        if event.is_printable and event.character:
            self.entry.type_in(event.character)
            return True
        self.entry.hear(event.key)
        return False

    def on_paste(self, event: events.Paste) -> None:
        """So does a paste."""
        if self.focused is not self.entry:
            self.set_focus(self.entry)
            self.entry.take_paste(event.text)

    def on_descendant_focus(self) -> None:
        """Other keys work where the focus is now."""
        self._show_keys()

    # Mouse

    def on_bay_field_moved(self, event: BayField.Moved) -> None:
        """Describe the jack."""
        event.stop()
        self._describe(event.jack)

    def on_bay_field_picked(self, event: BayField.Picked) -> None:
        """Put the jack into the entry."""
        from tui.screen.picking import picked

        event.stop()
        self._describe(event.jack)
        line = picked(self.entry.value, event.jack, self.session.patch.state)
        self.entry.put(line)
        if event.by_mouse or ">" in line:
            self.set_focus(self.entry)

    async def on_panel_clicked(self, event: Panel.Clicked) -> None:
        """A click on the preview does the entry."""
        event.stop()
        if event.panel is self.talk and (self.entry.value.strip() or self.queue.lines or self.offers):
            await self.action_do_entry()
            self.set_focus(self.entry)

    async def on_span_line_chosen(self, event: SpanLine.Chosen) -> None:
        """A key or a name was clicked."""
        event.stop()
        here = self if event.does.startswith("screen.") or self.focused is None else self.focused
        await here.run_action(event.does)
