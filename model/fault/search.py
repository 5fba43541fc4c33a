"""What a session holds while a fault is looked for: the observations, by the room's own names."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from model.entry.part import Part, Tables
from model.fault import reasoning as fault
from model.fault.reasoning import Element, Observation
from model.room.wiring import Room

Observations = tuple[Observation, ...]


def _to_tables(observations: Observations) -> dict[tuple[str, Any], Any]:
    """Each observation with all that its signal passed."""
    return {
        ("heard", number): {
            "place": heard.place,
            "works": heard.works,
            "source": heard.source,
            "passed": [[e.kind, e.name, list(e.jacks), e.of] for e in heard.passed],
        }
        for number, heard in enumerate(observations, start=1)
    }


def _from_tables(tables: Tables, room: Room) -> tuple[Observations, list[str]]:
    """The observations, as far as the room still has what their signals passed."""
    found = []
    words = []
    for _, plain in sorted(tables.items()):
        heard = _observation(plain)
        gone = [] if heard.source in room.port_named else [heard.source]
        gone += [element.name for element in heard.passed if not _is_there(room, element)]
        if gone:
            verdict = "heard" if heard.works else "dead"
            words.append(f"'{verdict} {heard.place}' does not count any more: the room has no {gone[0]} now")
        else:
            found.append(heard)
    return tuple(found), words


# The observations of a fault, oldest first; none where none is looked for.
FAULT: Part[Observations] = Part("fault", (), ("heard",), _to_tables, _from_tables)


def _observation(plain: Any) -> Observation:
    passed = tuple(Element(kind, name, tuple(jacks), of) for kind, name, jacks, of in plain["passed"])
    return Observation(plain["place"], plain["works"], plain["source"], passed)


def _has_jack(room: Room, address: str) -> bool:
    return room.jack_of(address) is not None


# Whether a room still has an element, by its kind. A cord is no part of the room; a lead that is a wire between two jacks
# is called by the first of them.
_HAS: dict[str, Callable[[Room, str], bool]] = {
    fault.CORD: lambda room, of: True,
    fault.CONTACT: _has_jack,
    fault.LEAD: lambda room, of: of in room.port_named or _has_jack(room, of),
    fault.GEAR: lambda room, of: any(gear.name == of for gear in room.gear),
    fault.TIE: lambda room, of: any(tie.name == of for tie in room.ties),
    fault.MULT: lambda room, of: any(mult.name == of for mult in room.mults),
    fault.MICROPHONE: lambda room, of: of in room.port_named,
    fault.MIC_LINE: lambda room, of: of in room.port_named,
}


def _is_there(room: Room, element: Element) -> bool:
    return _HAS[element.kind](room, element.of)
