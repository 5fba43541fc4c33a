"""What only asks: where something is, which cords are in, which microphones stand where, what was done."""

from __future__ import annotations

from dataclasses import dataclass

from model.bay.actions import length_words
from model.bay.refusals import Malformed, NotNow, UnknownName
from model.entry.alone import nothing_after
from model.entry.answer import Answer
from model.entry.draft import Draft
from model.entry.entry import Asks
from model.language.nameindex import words_of
from model.language.names import Names
from model.language.targets import jack_words
from model.live.told import said
from model.room.wiring import Bay, Room
from model.signal.flow import follow, inputs_fed_by
from model.text.written import written

_MOST_FOUND = 12
_LATEST = 20


@dataclass(frozen=True, slots=True)
class Find(Asks):
    """Where something is: the jacks at which it comes up."""

    name: str
    jacks: tuple[int, ...]

    def __str__(self) -> str:
        return f"find {self.name}"

    def run(self, draft: Draft) -> Answer:
        """Say where, and light its jacks."""
        room, state = draft.room, draft.patch.state
        words = []
        for jack in self.jacks[:_MOST_FOUND]:
            bay = room.bays[room.rows[room.jacks[jack].row].bay]
            place = f", {bay.place}" if bay.place else ""
            cord = f"; cord {state.plugs[jack]} is in it" if jack in state.plugs else ""
            words.append(f"{jack_words(room, jack)}: {bay.name}{place}{cord}")
        if len(self.jacks) > _MOST_FOUND:
            words.append(f"and {len(self.jacks) - _MOST_FOUND} more")
        found = [room.jacks[jack].address for jack in self.jacks]
        return Answer(said=said(*words), extra={"found": found}, lit=self.jacks)


def read_find(text: str, names: Names) -> Find:
    """'X': a name, of which all that fits best is found; an address, a cord, a microphone on its lines."""
    text = text.strip()
    if not text:
        raise Malformed("say what to find: find X", text)
    cord = names.cord(f"#{text}" if text.isdecimal() and text.isascii() else text)
    if cord is not None:
        if cord not in names.state.cords:
            raise NotNow(f"no cord {cord} is in the bay", text)
        return Find(f"#{cord}", tuple(names.state.cords[cord].plugs))
    bare = text.strip('"')
    jack = names.jack_by_address_or_none(bare)
    if jack is not None:
        return Find(names.address(jack), (jack,))
    room = names.room
    for group in names.index.matching(bare):
        jacks = dict.fromkeys(jack for entry in group.entries for jack in names.entries[entry].jacks)
        name = names.entries[group.entries[0]].name if len(group.entries) == 1 else bare
        if not jacks:
            raise NotNow(f"{name} comes up at no jack of the bay", text)
        return Find(written(name), tuple(jacks))
    port = names.labelled(bare)
    if port is not None:
        return Find(written(port.name), tuple(room.jacks_of_port[port.index]))
    mics = {names.mics.names[mic] for group in names.mics.matching(bare)[:1] for mic in group.entries}
    lines = [line for line, mic in names.state.mics.items() if mic.name in mics]
    if lines:
        return Find(bare, tuple(jack for line in lines for jack in room.jacks_of_port[line]))
    if mics:
        raise NotNow(f"the {' and the '.join(sorted(mics))} is on no line", text)
    bay = _bay(bare, room)
    if bay is not None:
        return Find(written(bay.name), tuple(room.rows[row].first for row in bay.rows[:1]))
    raise UnknownName(f"the room has nothing called '{text}'", text)


def _bay(text: str, room: Room) -> Bay | None:
    """The bay of which each word of a text begins a word of its own; None where it is none, or several."""
    typed = words_of(text)
    found = [
        bay
        for bay in room.bays
        if typed and all(any(known.startswith(word) for known in words_of(bay.name)) for word in typed)
    ]
    return found[0] if len(found) == 1 else None


@dataclass(frozen=True, slots=True)
class ShowCords(Asks):
    """The cords that are in."""

    def __str__(self) -> str:
        return "cords"

    def run(self, draft: Draft) -> Answer:
        """List them, by number."""
        room, state = draft.room, draft.patch.state
        found, words = [], []
        for number, cord in sorted(state.cords.items()):
            ends = " > ".join(jack_words(room, jack) for jack in cord.plugs)
            loose = "" if len(cord.plugs) >= cord.ends else ", a loose end"
            words.append(f"#{number}  {ends}{length_words(cord.length_cm)}{loose}")
            jacks = [room.jacks[jack].address for jack in cord.plugs]
            found.append({"cord": number, "jacks": jacks, "plugs": cord.ends, "length_cm": cord.length_cm})
        return Answer(said=said(*words or ["no cord is in the bay"]), extra={"cords_in": found})


@dataclass(frozen=True, slots=True)
class ShowMics(Asks):
    """The input list: which microphone is on which line, and where the line goes."""

    def __str__(self) -> str:
        return "mics"

    def run(self, draft: Draft) -> Answer:
        """List it, in the order of the room's lines."""
        room, state = draft.room, draft.patch.state
        found, words = [], []
        for line, mic in sorted(state.mics.items()):
            inputs = [room.ports[at] for at in sorted(inputs_fed_by(state, line))]
            on = any(port.supply is not None and state.is_on(port.supply.switch) for port in inputs)
            ends = _ends(room, list(follow(state, [line])))
            words.append(
                f"{room.ports[line].name}: {mic.name}"
                + (f" > {' + '.join(port.name for port in inputs)}" if inputs else ", at no input")
                + (", phantom on" if on else "")
                + (f"; reaches {_few(ends)}" if ends else "")
            )
            found.append(
                {
                    "line": room.ports[line].name,
                    "microphone": mic.name,
                    "inputs": [port.name for port in inputs],
                    "phantom": on,
                    "reaches": ends,
                }
            )
        return Answer(said=said(*words or ["no microphone is on a line"]), extra={"input_list": found})


def _ends(room: Room, flow: list[int]) -> list[str]:
    """The inputs among nodes of a flow in which the signal ends."""
    return [
        room.ports[node].name
        for node in sorted(flow)
        if node >= 0 and not room.ports[node].kind.is_output and not room.carried(node)
    ]


def _few(names: list[str]) -> str:
    return ", ".join(names[:4]) + (f" and {len(names) - 4} more" if len(names) > 4 else "")


@dataclass(frozen=True, slots=True)
class ShowHistory(Asks):
    """The latest steps that undo would take back."""

    def __str__(self) -> str:
        return "history"

    def run(self, draft: Draft) -> Answer:
        """List them, the latest last."""
        steps = draft.state.taken
        latest = steps[-_LATEST:]
        words = [f"{step.entry}{'' if step.by in ('', draft.seat) else f' (typed by {step.by})'}" for step in latest]
        if len(steps) > _LATEST:
            words.insert(0, f"the last {_LATEST} of {len(steps)} steps:")
        return Answer(said=said(*words or ["no step was taken"]), extra={"history": [step.entry for step in latest]})


read_cords = nothing_after("cords", ShowCords())
read_mics = nothing_after("mics", ShowMics())
read_history = nothing_after("history", ShowHistory())
