"""What a session holds while a fault is looked for: the observations, by the room's own names."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from model.entry.parts import Plain
from model.fault import reasoning as fault
from model.fault.reasoning import Element, Observation
from model.room.addresses import split_address
from model.room.wiring import Room


class FaultSearch(list[Observation]):
    """The observations of a fault, oldest first; empty where none is looked for."""

    def __init__(self, room: Room) -> None:
        super().__init__()
        self.room = room

    def to_dict(self) -> Plain:
        """Each observation with all that its signal passed."""
        return [
            {
                "place": heard.place,
                "works": heard.works,
                "source": heard.source,
                "passed": [[e.kind, e.name, list(e.jacks), e.of] for e in heard.passed],
            }
            for heard in self
        ]

    def from_dict(self, plain: Plain) -> list[str]:
        """Take the observations up again, as far as the room still has what their signals passed."""
        self.clear()
        words = []
        for entry in plain if isinstance(plain, list) else []:
            heard = _observation(entry)
            gone = [] if heard.source in self.room.port_named else [heard.source]
            gone += [element.name for element in heard.passed if not _is_there(self.room, element)]
            if gone:
                verdict = "heard" if heard.works else "dead"
                words.append(f"'{verdict} {heard.place}' does not count any more: the room has no {gone[0]} now")
            else:
                self.append(heard)
        return words


def _observation(plain: Any) -> Observation:
    passed = tuple(Element(kind, name, tuple(jacks), of) for kind, name, jacks, of in plain["passed"])
    return Observation(plain["place"], plain["works"], plain["source"], passed)


def _has_jack(room: Room, address: str) -> bool:
    place = split_address(address)
    return place is not None and room.jack_at(*place) is not None


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
