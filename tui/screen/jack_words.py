"""One jack in words: what is wired to it, what it is joined to now and by what, and what it is not joined to, and why."""

from __future__ import annotations

from typing import NamedTuple

from model.entry.labels import NO_LABELS, Labels
from model.live.patch import Patch
from model.room.kinds import NORMAL_KINDS
from model.room.wiring import NO_PORT, Port, line_contact
from model.signal.warning import figure_words
from model.text.listing import list_words
from tui.screen.bay_view import jacks_of, opened_by
from tui.screen.ink import Piece, Words


class Fact(NamedTuple):
    """One thing to know about a jack: the mark before it (or none), and its words."""

    mark: str | None
    words: Words


def jack_title(patch: Patch, jack: int, labels: Labels = NO_LABELS) -> str:
    """A jack's address, tonight's name of what is wired to it, and its own."""
    name = behind(patch, jack)
    label = next((f"{label}:" for label, port in labels.items() if port == name), "")
    return "  ".join(filter(None, (patch.room.jacks[jack].address, label, name)))


def behind(patch: Patch, jack: int) -> str:
    """The name of what is wired to a jack: a port, a tie line or a mult; empty where nothing is."""
    room = patch.room
    if room.port_at[jack] != NO_PORT:
        return room.ports[room.port_at[jack]].name
    if jack in room.ties_at:
        return room.ties_at[jack][0].name
    return room.mult_at[jack].name if jack in room.mult_at else ""


def named(patch: Patch, jack: int) -> str:
    """A jack for a sentence: 'B5 Pre 5 in'."""
    return f"{patch.room.jacks[jack].address} {behind(patch, jack)}".rstrip()


def facts(patch: Patch, jack: int) -> list[Fact]:
    """All there is to say about a jack, the most telling first."""
    return [
        Fact(None, [Piece("; ".join(_what_it_is(patch, jack)))]),
        *_cord(patch, jack),
        *_normals(patch, jack),
        *_fixed(patch, jack),
        *_signal(patch, jack),
        *_warnings(patch, jack),
    ]


def _what_it_is(patch: Patch, jack: int) -> list[str]:
    room = patch.room
    if room.port_at[jack] == NO_PORT:
        return ["tie line" if jack in room.ties_at else "mult" if jack in room.mult_at else "nothing is wired to it"]
    port = room.ports[room.port_at[jack]]
    words = [f"{port.kind.name}, {_ohms(patch, port)}"]
    if port.level_dbu is not None:
        words.append(figure_words("level_dbu", port.level_dbu))
    mic = patch.state.mics.get(port.index)
    if mic is not None:
        words.append(f"{mic.name} is on it")
    if port.supply is not None:
        words.append(f"its phantom is {'on' if patch.state.is_on(port.supply.switch) else 'off'}")
    return words


def _ohms(patch: Patch, port: Port) -> str:
    mic = patch.state.mics.get(port.index)
    if mic is not None:
        return figure_words("ohm", mic.ohms)
    return f"{figure_words('ohm', port.ohms)}{' (assumed)' if port.ohms_assumed else ''}"


def _cord(patch: Patch, jack: int) -> list[Fact]:
    number = patch.state.plugs.get(jack)
    if number is None:
        return []
    others = [other for other in patch.state.cords[number].plugs if other != jack]
    if not others:
        return [Fact("loose", [Piece(f"cord {number}", "plugged"), Piece(", its other end is loose")])]
    to = list_words([named(patch, other) for other in others])
    return [Fact("made", [Piece(f"cord {number}", "plugged"), Piece(f" to {to}")])]


def _normals(patch: Patch, jack: int) -> list[Fact]:
    found = []
    for normal in patch.room.normals_at.get(jack, ()):
        other = normal.bottom if normal.top == jack else normal.top
        kind = f"{'cross normal, ' if normal.cross else ''}{NORMAL_KINDS[normal.kind].words}"
        opened = opened_by(patch.state, normal)
        words = [Piece(f"{kind} to {named(patch, other)}: ")]
        if opened:
            plugs = list_words([f"cord {patch.state.plugs[j]} in {patch.room.jacks[j].address}" for j in opened])
            found.append(Fact("open", [*words, Piece("open", "open"), Piece(f", by {plugs}")]))
        else:
            found.append(Fact(normal.kind, [*words, Piece("closed", "strong")]))
    return found


def _fixed(patch: Patch, jack: int) -> list[Fact]:
    room = patch.room
    found = []
    for tie in room.ties_at.get(jack, ()):
        other = tie.b if tie.a == jack else tie.a
        place = room.place_of(other)
        where = f" in {place}" if place and place != room.place_of(jack) else ""
        found.append(Fact("tie", [Piece(f"tie line {tie.name} to {room.jacks[other].address}{where}")]))
    if jack in room.mult_at:
        mult = room.mult_at[jack]
        others = [room.jacks[other].address for other in mult.jacks if other != jack]
        found.append(Fact("mult", [Piece(f"{mult.name} joins it to {list_words(others)}")]))
    port = room.port_at[jack]
    if port != NO_PORT and len(room.jacks_of_port[port]) > 1:
        others = [room.jacks[other].address for other in room.jacks_of_port[port] if other != jack]
        found.append(Fact("wired", [Piece(f"wired to {list_words(others)} as well")]))
    return found


def _signal(patch: Patch, jack: int) -> list[Fact]:
    """What the net at the jack's line contact carries: that is what its port, and a cord in it, are on."""
    circuit = patch.circuit_at(line_contact(jack))
    found = []
    if circuit.outputs and circuit.inputs:
        sources = list_words([port.name for port in circuit.outputs])
        verb = "feeds" if len(circuit.outputs) == 1 else "feed"
        loads = list_words([port.name for port in circuit.inputs])
        found.append(Fact("said", [Piece(f"{sources} {verb} {loads}")]))
    elif circuit.outputs:
        verb = "feeds" if len(circuit.outputs) == 1 else "feed"
        found.append(Fact("said", [Piece(f"{list_words([p.name for p in circuit.outputs])} {verb} nothing now")]))
    elif circuit.inputs:
        found.append(Fact("said", [Piece(f"nothing feeds {list_words([p.name for p in circuit.inputs])} now")]))
    if circuit.supplies:
        volts = figure_words("line_v", circuit.line_v)
        supplies = list_words([port.name for port in circuit.supplies])
        found.append(Fact("note", [Piece(f"phantom on this line: {volts}, from {supplies}")]))
    return found


def _warnings(patch: Patch, jack: int) -> list[Fact]:
    return [
        Fact(warning.severity, [Piece(warning.text)])
        for warning in patch.standing_warnings()
        if jack in jacks_of(patch, warning)
    ]
