"""What must hold of every session, as functions: each plays a script and gives the first difference that it finds, or none.

inert: what is only previewed or asked changes nothing. true: what is said of an entry beforehand is what it then does.
alike elsewhere: a record read again, at the next opening or at another seat, makes the same session. A script that shows a
difference is cut down to the shortest that still shows one.
"""

from __future__ import annotations

import json
import resource
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from random import Random
from typing import Any, NamedTuple

from model.room.wiring import Room
from tests import sessions
from tests.random_entries import Entries, Tried
from tests.sessions import Answer, Seat

ENTER, PREVIEW, ASK = "enter", "preview", "ask"
FULL, FREE = "the disk is full", "the disk is free again"
COMPARE = "all seats are asked"
MAX_TRIES = 500  # shorter scripts that are tried


class Step(NamedTuple):
    """One thing that somebody does. ``seat``: which of the seats, where there are several."""

    how: str
    text: str = ""
    seat: int = 0

    def __str__(self) -> str:
        return f"seat {self.seat} {self.how:8} {self.text}".rstrip()


class Difference(NamedTuple):
    """Two answers to one thing that had to be alike."""

    where: str
    one: Any
    other: Any

    def __str__(self) -> str:
        return f"{self.where}\n{different(self.one, self.other)}"


Script = Sequence[Step]
Property = Callable[[Room, Script], Difference | None]


def different(one: Any, other: Any) -> str:
    """Two answers, where they differ."""
    if isinstance(one, dict) and isinstance(other, dict):
        keys = [key for key in {**one, **other} if one.get(key) != other.get(key)]
        one, other = {key: one.get(key) for key in keys}, {key: other.get(key) for key in keys}
    return "\n".join(f"  {json.dumps(value, ensure_ascii=False)[:1500]}" for value in (one, other))


# Scripts


def random_evening(
    room: Room, rng: Random, length: int, tried: Tried, previews: bool = False, recorded: bool = False
) -> list[Step]:
    """``length`` random entries, each written from what can be seen at the bay then; ``tried`` counts them.

    ``previews``: with previews and questions strewn between them. ``recorded``: at two seats of one record, for a while on
    a full disk, and with a moment at which all seats are asked.
    """
    script: list[Step] = []
    with tempfile.TemporaryDirectory() as directory, _Seats(room, Path(directory) if recorded else None) as seats:
        entries = Entries(room, rng, sessions.at_rest(seats[0]), tried)
        full = range(length // 2, length // 2 + 5) if recorded and rng.random() < 0.3 else range(0)
        for number in range(length):
            if number in (full.start, full.stop) and full:
                script.append(Step(FULL if number == full.start else FREE))
            if recorded and number == length // 2 - 1:
                script.append(Step(COMPARE))
            seat = int(recorded and number not in full and rng.random() < 0.3)
            sight = sessions.sight(seats[seat])
            for _ in range(rng.choice((0, 0, 1, 2)) if previews else 0):
                # undo and redo above all: what they would do lies behind what was done
                text = rng.choice(("undo", "redo", entries.write(sight)[0], entries.write(sight)[0]))
                script.append(Step(rng.choice((PREVIEW, ASK)), text))
            text, word = ("unrecorded",) * 2 if number in full[1:3] else entries.write(sight)
            script.append(Step(ENTER, text, seat))
            with full_disk() if number in full else nothing_else():
                answer = _answered(seats[seat], text)
            if "failed" in answer:
                break  # the property plays it again, and says so
            entries.hear(text, word, answer)
    return script


def questions(room: Room, seat: Seat, each: int = 1) -> list[str]:
    """What is asked of a session at its end: something of every command, the same of two sessions in which all is alike."""
    sight = sessions.sight(seat)
    entries = Entries(room, Random(len(sight.cords)), {"made": []})
    held = {address for addresses in sight.cords.values() for address in addresses}
    entries.stage += [jack.index for jack in room.jacks if jack.address in held]
    asks = entries.questions(sight, each)
    return [
        *asks,
        "undo",
        "redo",
        "undo anyway",
        "redo anyway",
        "done",
        "worklist",
        "guard",
        "patches",
        "fault",
        "report",
    ]


# Properties


def not_inert(room: Room, script: Script) -> Difference | None:
    """Whether a session in which things were previewed and asked answers as one in which they were not."""
    plain, asked = sessions.open_session(room), sessions.open_session(room)
    for number, step in enumerate(script, start=1):
        answer = HOW[step.how](asked, step.text)
        if (failed := _failed(step, answer)) is not None:
            return failed
        if step.how == ENTER and (other := _answered(plain, step.text)) != answer:
            return Difference(f"step {number}, {step.text}: without previews, and with them", other, answer)
    asks = questions(room, plain)
    return _first_difference(
        "without previews, and with them", sessions.ask_everything(plain, asks), sessions.ask_everything(asked, asks)
    )


def not_true(room: Room, script: Script) -> Difference | None:
    """Whether what is said of an entry beforehand, in either way, is what it then does."""
    seat = sessions.open_session(room)
    for number, text in enumerate((step.text for step in script if step.how == ENTER), start=1):
        said = {how: HOW[how](seat, text) for how in (ASK, PREVIEW)}
        done = _answered(seat, text)
        for how, answer in said.items():
            if (failed := _failed(Step(how, text), answer)) is not None:
                return failed
            if answer != done:
                return Difference(f"entry {number}, {text}: in the {how}, and when it is entered", answer, done)
    return None


def not_alike_elsewhere(room: Room, script: Script) -> Difference | None:
    """Whether the other seat, one that comes late, and the next opening answer as the seat at which most was entered."""
    with tempfile.TemporaryDirectory() as directory:
        where = Path(directory)
        with _Seats(room, where) as seats:
            full = False
            for number, step in enumerate(script, start=1):
                full = step.how == FULL if step.how in (FULL, FREE) else full
                if step.how == COMPARE and not full and (found := _between_seats(room, seats)) is not None:
                    return Difference(f"at step {number}: {found.where}", found.one, found.other)
                if step.how != ENTER:
                    continue
                with full_disk() if full else nothing_else():
                    answer = _answered(seats[step.seat], step.text)
                if (failed := _failed(step, answer)) is not None:
                    return failed
            if (found := _between_seats(room, seats)) is not None:
                return found
            asks = _asks_elsewhere(room, seats[0])
            first = sessions.ask_everything(seats[0], asks)
            late = sessions.open_recorded(room, where / "evening.logbook")
            found = _first_difference(
                "at the first seat, and at one opened now", first, sessions.ask_everything(late, asks)
            )
            sessions.close(late)
            if found is not None:
                return found
        again = sessions.open_recorded(room, where / "evening.logbook")
        found = _first_difference("before closing, and reopened", first, sessions.ask_everything(again, asks))
        sessions.close(again)
        return found


def _between_seats(room: Room, seats: Sequence[Seat]) -> Difference | None:
    for seat in seats:  # what was done without the record goes into it now
        _answered(seat, "note all is recorded")
    asks = _asks_elsewhere(room, seats[0])
    return _first_difference(
        "at the first seat, and at the second", *(sessions.ask_everything(seat, asks) for seat in seats)
    )


def _asks_elsewhere(room: Room, seat: Seat) -> list[str]:
    """Questions; none about proposals, which hold at the seat where they were made, nor about whether all is recorded."""
    sessions.catch_up(seat)
    return [text for text in questions(room, seat) if text.split(" ")[0] not in ("use", "unrecorded")]


def _answered(seat: Seat, text: str) -> Answer:
    return HOW[ENTER](seat, text)


def _guarded(how: Callable[[Seat, str], Answer]) -> Callable[[Seat, str], Answer]:
    """The same, with a failure as an answer: it is a difference like others, to be reported with its script."""

    def answered(seat: Seat, text: str) -> Answer:
        try:
            return how(seat, text)
        except Exception as failure:
            return {"failed": f"{type(failure).__name__}: {failure}"}

    return answered


HOW: dict[str, Callable[[Seat, str], Answer]] = {
    ENTER: _guarded(lambda seat, text: sessions.enter(seat, text)),
    PREVIEW: _guarded(lambda seat, text: sessions.preview(seat, text)),
    ASK: _guarded(lambda seat, text: sessions.ask(seat, text)),
}


def _failed(step: Step, answer: Answer) -> Difference | None:
    return Difference(f"{step}: an answer, or a failure", "an answer", answer["failed"]) if "failed" in answer else None


def _first_difference(where: str, one: list[tuple[str, Any]], other: list[tuple[str, Any]]) -> Difference | None:
    assert [text for text, _ in one] == [text for text, _ in other]
    for (text, said), (_, said_there) in zip(one, other, strict=True):
        if said != said_there:
            return Difference(f"{text}: {where}", said, said_there)
    return None


class _Seats:
    """Two seats at a record in a directory; without one, a single seat without a record."""

    def __init__(self, room: Room, directory: Path | None) -> None:
        self.seats = (
            [sessions.open_session(room)]
            if directory is None
            else [sessions.open_recorded(room, directory / "evening.logbook", name) for name in sessions.SEATS]
        )

    def __enter__(self) -> list[Seat]:
        return self.seats

    def __exit__(self, *_: object) -> None:
        for seat in self.seats:
            sessions.close(seat)


@contextmanager
def full_disk() -> Iterator[None]:
    """No file of this process may grow (setrlimit(2), RLIMIT_FSIZE; Python ignores SIGXFSZ)."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@contextmanager
def nothing_else() -> Iterator[None]:
    """Nothing but what is done."""
    yield


# The shortest script


def shortest(room: Room, script: Script, judge: Property) -> tuple[list[Step], Difference]:
    """The script without all that can be left out while the property still finds a difference; and that difference."""
    left, found = list(script), judge(room, script)
    assert found is not None
    size, tries = max(1, len(left) // 2), 0
    while size and tries < MAX_TRIES:
        at = len(left) - size  # from the end: what stands there has the least bearing on the rest
        again = False
        while at > -size and tries < MAX_TRIES:
            shorter = left[: max(0, at)] + left[at + size :]
            tries += 1
            if (still := judge(room, shorter)) is not None:
                left, found, again = shorter, still, size == 1
            at -= size
        size = size // 2 if size > 1 else int(again)
    return left, found


def report(name: str, room: Room, script: Script, judge: Property) -> str:
    """What a test says where a property does not hold."""
    short, found = shortest(room, script, judge)
    lines = [f"{judge.__name__} in {name}, shortest script ({len(short)} of {len(script)} steps):"]
    return "\n".join([*lines, *(f"  {step}" for step in short), str(found)])
