"""What a session holds beside the bay itself, so that its record can set it down and take it up again.

A part joins with a property of :class:`Parts`, and its name in ``NAMES``. From then on a line that could not be kept leaves it
as it was, and a session that is opened again finds it as it was left.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import TYPE_CHECKING, Protocol

from model.room.wiring import Room

if TYPE_CHECKING:
    from model.fault.search import FaultSearch
    from model.patches.shelf import PatchShelf
    from model.way.guard import KeptConnections

Plain = None | bool | int | float | str | list["Plain"] | dict[str, "Plain"]  # what JSON can write


class Part(Protocol):
    """Something that kept lines change, such as the notes.

    It says what it holds by the room's own names (addresses, ports' full names, numbers of cords), never by numbers of
    jacks or ports, so that it outlives a change of the room file.
    """

    def to_dict(self) -> Plain:
        """All that it holds, as a value of its own: what is done to the part later does not change it."""

    def from_dict(self, plain: Plain) -> list[str]:
        """Hold that, in place of what it holds now; None: nothing, as at the beginning.

        The answer is one sentence for each thing that no longer holds in this room, and why. It is empty where all does.
        """


class Notes(list[str]):
    """The notes of a session, oldest first."""

    def to_dict(self) -> Plain:
        """The notes."""
        return list(self)

    def from_dict(self, plain: Plain) -> list[str]:
        """Take them up again: a note holds in any room."""
        self[:] = [str(note) for note in plain] if isinstance(plain, list) else []
        return []


NAMES = ("notes", "patches", "kept", "fault")  # the properties of Parts, as the record names them


class Parts:
    """The parts of one session. Each is made, and what it is made of loaded, when it is first asked for."""

    def __init__(self, room: Room) -> None:
        self.room = room

    @cached_property
    def notes(self) -> Notes:
        """The notes."""
        return Notes()

    @cached_property
    def patches(self) -> PatchShelf:
        """Saved patches, cords on hold, and the work list's goal."""
        from model.patches.shelf import PatchShelf

        return PatchShelf()

    @cached_property
    def kept(self) -> KeptConnections:
        """The connections that must stand."""
        from model.way.guard import KeptConnections

        return KeptConnections(self.room)

    @cached_property
    def fault(self) -> FaultSearch:
        """What was heard where."""
        from model.fault.search import FaultSearch

        return FaultSearch(self.room)

    def named(self, name: str) -> Part:
        """The part of a name."""
        part: Part = getattr(self, name)
        return part

    def made(self) -> dict[str, Part]:
        """Those that were asked for. The others hold nothing."""
        return {name: self.named(name) for name in NAMES if name in self.__dict__}

    def to_dict(self) -> dict[str, Plain]:
        """What each holds, by name; one that was never asked for holds nothing, and is left out."""
        return {name: part.to_dict() for name, part in self.made().items()}

    def from_dict(self, plain: Mapping[str, Plain]) -> list[str]:
        """Hold that, in place of what they hold now; what is not named holds nothing.

        The answer is one sentence for each thing that no longer holds, and for each part that is not known.
        """
        lost = [words for name, part in self.made().items() if name not in plain for words in part.from_dict(None)]
        for name, held in plain.items():
            if name in NAMES:
                lost += self.named(name).from_dict(held)
            else:
                lost.append(f"the record holds '{name}', which this version of bayhand does not know")
        return lost
