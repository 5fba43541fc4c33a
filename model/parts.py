"""What a session holds beside the bay itself, so that its record can set it down and take it up again.

A part joins with one entry in :attr:`~model.session.Session.parts`. From then on a line that could not be kept leaves it as
it was, and a session that is opened again finds it as it was left.
"""

from __future__ import annotations

from typing import Protocol

Plain = None | bool | int | float | str | list["Plain"] | dict[str, "Plain"]  # what JSON can write


class Part(Protocol):
    """Something that kept lines change, such as the notes.

    It says what it holds by the room's own names (addresses, ports' full names, numbers of cords), never by numbers of
    jacks or ports, so that it outlives a change of the room file.
    """

    def as_plain(self) -> Plain:
        """All that it holds, as a value of its own: what is done to the part later does not change it."""

    def from_plain(self, plain: Plain) -> list[str]:
        """Hold that, in place of what it holds now; None: nothing, as at the beginning.

        The answer is one sentence for each thing that no longer holds in this room, and why. It is empty where all does.
        """


class Notes(list[str]):
    """The notes of a session, oldest first."""

    def as_plain(self) -> Plain:
        """The notes."""
        return list(self)

    def from_plain(self, plain: Plain) -> list[str]:
        """Take them up again: a note holds in any room."""
        self[:] = [str(note) for note in plain] if isinstance(plain, list) else []
        return []
