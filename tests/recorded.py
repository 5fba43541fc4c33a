"""What the tests of the logbook share: a small room's file, and programs of their own that write into its logbook."""

from __future__ import annotations

import os
import traceback
from collections.abc import Callable
from contextlib import closing
from functools import partial
from pathlib import Path

from model.record.logbook import Logbook
from model.record.recorded_session import RecordedSession
from model.record.room_file import read_room_file
from model.record.tables import plain_session
from model.session import Session

ATTIC = Path(__file__).parents[1] / "rooms" / "attic.yaml"


def open_at(directory: Path, seat: str = "anna", room: Path = ATTIC) -> RecordedSession:
    """A session of a room whose logbook is in a directory."""
    return RecordedSession.open(read_room_file(room), directory / "attic.logbook", seat)


def do(record: RecordedSession, *lines: str) -> None:
    """Type lines that must be taken."""
    for line in lines:
        outcome = record.enter(line)
        assert outcome.ok, f"{line}: {outcome.error}"


def typed_in(place: Path) -> list[str]:
    """What was typed, and what is remarked, as a logbook has it."""
    with closing(Logbook.open_to_read(place)) as book:
        return [entry.typed or entry.entry for entry in book.entries()]


def all_of(session: Session) -> tuple[object, object]:
    """All that a session holds: state, steps to undo and to redo, parts; and its standing warnings."""
    return plain_session(session.now).to_json(), session.patch.standing


def in_another_program(what: Callable[[], None]) -> int:
    """Run something in a program of its own, forked from this one; the answer is its process number."""
    child = os.fork()
    if child:
        return child
    status = 1
    try:
        what()
        status = 0
    except BaseException:
        traceback.print_exc()
    finally:
        os._exit(status)


def end_well_together(count: int, what: Callable[[int], None]) -> bool:
    """Run something in programs of their own that wait at a gate, so that they begin at one moment; whether all ended well."""
    wait, gate = os.pipe()

    def begin(number: int) -> None:
        os.close(gate)
        os.read(wait, 1)  # until the gate is closed
        what(number)

    children = [in_another_program(partial(begin, number)) for number in range(count)]
    os.close(wait)
    os.close(gate)
    ended = list(map(ended_well, children))  # each of them is waited for
    return all(ended)


def ended_well(child: int) -> bool:
    """Wait for such a program; whether it ended without an error."""
    return os.waitpid(child, 0)[1] == 0
