"""Which kind of normal a pair of jacks should have, and why: one table, which `check` and `normals` read.

The kinds advised are common practice; each line of the table names the source of its reason.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

from model.room.kinds import NO_NORMAL, NORMAL_KINDS
from model.room.wiring import NO_PORT, Port, Room

PRACTICE = "common practice, no source"
OLD_LINE_OHM = 600.0  # an input that terminates its line: common practice, no source


class Meeting(NamedTuple):
    """What a normal between two jacks joins: an output, an input, and the ways to them."""

    source: Port
    load: Port
    ties: int  # tie lines between the pair's jacks and the two ports
    same_gear: bool
    own_loop: bool  # what enters at the load comes out at the source again


class Line(NamedTuple):
    """One line of the table: the first that fits a meeting gives its advice."""

    source: str  # family of the source, '' for any
    load: str  # family of the load, '' for any
    between: str  # what stands between them, or what else must be so
    fits: Callable[[Meeting], bool]
    kind: str  # as it is named where the source is on the top row
    why: str
    origin: str  # the source of the reason


class Advice(NamedTuple):
    """The kind of normal that a pair should have: ``kind`` is None where nothing can be advised."""

    source: Port | None
    load: Port | None
    kind: str | None
    why: str
    origin: str

    def departs(self, now: str) -> bool:
        """Whether a kind ('none' counts as one) is another than the one advised."""
        return self.kind is not None and now != self.kind


def _always(_: Meeting) -> bool:
    return True


_NOTICE = frozenset(("talkback", "talk", "tone", "oscillator", "generator", "slate"))


def _is_tone_or_talkback(meeting: Meeting) -> bool:
    """By its name: a room file has no other word for it."""
    return not _NOTICE.isdisjoint(meeting.source.name.lower().split())


_ONE_DIGITAL = "A digital or clock line has one transmitter and one receiver."
_AES3 = "AES3-4 (IEC 60958-4-4), scope: one transmitter to one receiver (from memory)"
_COAX = "AES-3id and IEC 60958-3: 75 ohm point to point (from memory)"

ADVICE: tuple[Line, ...] = (
    Line("speaker", "", "", _always, NO_NORMAL,
         "An amplifier's output does not belong on a signal bay: 100 W into 8 ohm is 3.5 A.",
         "I = sqrt(P / R), Ohm's law; common practice"),
    Line("", "", "the input leads to the same output", lambda m: m.own_loop, NO_NORMAL,
         "What enters here comes out there again: a loop.", PRACTICE),
    Line("mic", "mic", "", _always, "full",
         "A microphone must see one input alone: two load it, and phantom of both would reach it.",
         "loads in parallel, Ohm's law; common practice"),
    Line("aes3", "aes3", "", _always, "full", _ONE_DIGITAL, _AES3),
    Line("coax", "coax", "", _always, "full", _ONE_DIGITAL, _COAX),
    Line("clock", "clock", "", _always, "full", _ONE_DIGITAL, PRACTICE),
    Line("instrument", "instrument", "", _always, "full",
         "A pickup must see one input alone: a second one dulls it.", PRACTICE),
    Line("line", "line", f"an input of {OLD_LINE_OHM:g} ohm or less", lambda m: m.load.ohms <= OLD_LINE_OHM, "full",
         "Its input terminates the line: a second load changes the level.", "loads in parallel, Ohm's law"),
    Line("line", "line", "tone or talkback, by its name", _is_tone_or_talkback, NO_NORMAL,
         "Tone and talkback go where a cord takes them, and nowhere at rest.", PRACTICE),
    Line("line", "line", "an insert: both belong to one piece of gear", lambda m: m.same_gear, "half",
         "An insert passes at rest: its send can be listened to, its return can be taken over.", PRACTICE),
    Line("line", "line", "", _always, "half",
         "A line output can be listened to at the top, and its input taken over at the bottom.", PRACTICE),
)  # fmt: skip
_UNLIKE = Advice(None, None, NO_NORMAL, "Output and input are of kinds that do not fit.", PRACTICE)
_ALIKE = Advice(
    None, None, NO_NORMAL, "Both are outputs, or both inputs: a normal between them feeds nothing.", PRACTICE
)
_TIES = Advice(
    None, None, NO_NORMAL, "Nothing is known to stand at the far ends of these lines: they wait for cords.", PRACTICE
)
_NOTHING = Advice(None, None, None, "Nothing is known to stand behind one of the two jacks.", PRACTICE)


def advice(room: Room, pair: tuple[int, int]) -> Advice:
    """The kind of normal advised for a pair of jacks, top and bottom, whatever it has now.

    A tie line stands for the port at its far end, where normals lead to one. Where the source is at the bottom, 'half'
    becomes 'half top': the plug that takes over is the one at the load.
    """
    top, bottom = (next(behind(room, jack, {*pair}), None) for jack in pair)
    if top is None or bottom is None:
        tied = all(jack in room.ties_at for jack in pair)
        one = top or bottom
        known = _TIES if tied and one is None else _NOTHING
        return known._replace(source=one if one is not None and one.kind.is_output else None,
                              load=one if one is not None and not one.kind.is_output else None)  # fmt: skip
    if top.kind.is_output == bottom.kind.is_output:
        return _ALIKE
    source, load = (top, bottom) if top.kind.is_output else (bottom, top)
    same = source.gear == load.gear
    ties = sum(jack in room.ties_at and room.port_at[jack] == NO_PORT for jack in pair)
    meeting = Meeting(source, load, ties, same, same and source.index in room.carried(load.index))
    for line in ADVICE:
        if line.source in ("", source.kind.family) and line.load in ("", load.kind.family) and line.fits(meeting):
            kind = "half top" if line.kind == "half" and source is bottom else line.kind
            return Advice(source, load, kind, line.why, line.origin)
    return _UNLIKE._replace(source=source, load=load)


def behind(room: Room, jack: int, seen: set[int]) -> Iterator[Port]:
    """The ports that are the business of a jack: wired to it, or at the far end of its tie lines, over normals there.

    ``seen`` holds jacks that are not to be entered; it grows.
    """
    if room.port_at[jack] != NO_PORT:
        yield room.ports[room.port_at[jack]]
    for tie in room.ties_at.get(jack, ()):
        far = tie.b if tie.a == jack else tie.a
        if far in seen:
            continue
        seen.add(far)
        yield from behind(room, far, seen)
        for normal in room.normals_at.get(far, ()):
            beyond = normal.bottom if normal.top == far else normal.top
            if beyond not in seen:
                seen.add(beyond)
                yield from behind(room, beyond, seen)


def plug_words(room: Room, pair: tuple[int, int], kind: str) -> tuple[str, str]:
    """What a plug on top, and one at the bottom, does to the normal of a pair, were it of a kind: two sentences."""
    advised = advice(room, pair)
    source = advised.source.name if advised.source is not None else "what feeds it"
    load = advised.load.name if advised.load is not None else "the other jack"
    if kind == NO_NORMAL:
        nothing = "There is no normal: a plug breaks nothing."
        return nothing, nothing
    normal = NORMAL_KINDS[kind]
    addresses = [room.jacks[jack].address for jack in pair]
    return (
        _plug(addresses[0], normal.top_at_normal, source, load),
        _plug(addresses[1], normal.bottom_at_normal, source, load),
    )


def _plug(address: str, breaks: bool, source: str, load: str) -> str:
    if breaks:
        return f"A plug in {address} parts {source} from {load}."
    return f"A plug in {address} meets {source}, and {load} still hears it."
