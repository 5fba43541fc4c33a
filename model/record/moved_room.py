"""A room file was moved or renamed: its record is found by the room's name and text, and taken along when that is asked for."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path
from typing import NamedTuple

from model.record.beside import beside_place
from model.record.faults import CannotKeep, NotThisOne
from model.record.logbook import Logbook
from model.record.place import alone_at, logbook_place, state_directory
from model.record.recorded import RecordedRoom, time_words
from model.record.room_file import RoomFile


class Left(NamedTuple):
    """A record whose room file is no longer where it was."""

    place: Path  # of the logbook
    room: RecordedRoom
    last: int  # the number of its last entry
    at: int  # and its time

    @property
    def name(self) -> str:
        """What it is called, to be asked for."""
        return self.place.stem

    @property
    def words(self) -> str:
        """What it is, for whoever must decide."""
        when = f", the last of {time_words(self.at)}" if self.at else ""
        return f"{self.name}: {self.room.name}, {self.last} entries{when}, kept for {self.room.path}, which is gone"


def records_left_of(file: RoomFile) -> list[Left]:
    """The records that may be this room's, where it has none at its own place: those of a room of its name whose file is gone.

    Where some were typed in a file of the very same text, only those.
    """
    if logbook_place(file.path).exists():
        return []
    found = [
        left for place in sorted(state_directory().glob("*.logbook")) if (left := _left_at(place, file)) is not None
    ]
    same = [left for left in found if left.room.text == file.text]
    return same or found


def _left_at(place: Path, file: RoomFile) -> Left | None:
    try:
        with closing(Logbook.open_to_read(place)) as book:
            room = book.room()
            if room is None or room.name != file.room.name or Path(room.path).exists():
                return None
            last = list(book.readable(book.last_id() - 1))
            return Left(place, room, book.last_id(), last[-1].at if last else 0)
    except (CannotKeep, NotThisOne, OSError, ValueError):
        return None  # one that cannot be read fits nothing; it is told where it is opened


def take_along(left: Left, file: RoomFile) -> None:
    """Give a record the place of a room file. Raises CannotKeep where another program has it open, or the place is taken."""
    place = logbook_place(file.path)
    try:
        with alone_at(place):
            with closing(Logbook.open(left.place)) as book:
                book.check()
                book.fold()
            if any(Path(f"{left.place}{side}").exists() for side in ("-wal", "-shm")):
                raise CannotKeep(f"another seat has the record {left.name} open: close it there first")
            if place.exists():
                raise CannotKeep("the room has a record of its own by now")
            left.place.rename(place)
            count = Path(beside_place(left.place))
            if count.exists():
                count.rename(beside_place(place))
    except OSError as error:
        raise CannotKeep(f"the record {left.name} cannot be taken along: {error.strerror}") from error
