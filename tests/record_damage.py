"""Damage done to a logbook's files, and the judgement on what becomes of it: whole, or told; never silently otherwise."""

from __future__ import annotations

import os
import shutil
from functools import cache
from pathlib import Path
from random import Random
from typing import NamedTuple

from model.record.faults import CannotKeep, NotThisOne
from model.record.logbook import Logbook
from model.record.recorded_session import RecordedSession
from model.record.room_file import RoomFile, read_room_file
from tests.recorded import ATTIC, all_of, do, in_another_program

NAME = "attic.logbook"
SIDES = ("", "-wal", "-count")


@cache
def attic() -> RoomFile:
    """The room, read once."""
    return read_room_file(ATTIC)


class Evening(NamedTuple):
    """A record as a killed program left it, and what it holds."""

    files: dict[str, bytes]  # by what follows the logbook's name
    session: object
    typed: list[str]


def evening(directory: Path, lines: list[str], fold_after: int | None = None, close: bool = False) -> Evening:
    """Type lines in a program of its own, which folds the write-ahead log in once, and is killed, or closes the record."""
    directory.mkdir()

    def write() -> None:
        kept = RecordedSession.open(attic(), directory / NAME, "anna")
        for number, line in enumerate(lines):
            do(kept, line)
            if number == fold_after:
                kept.tidy()
        if close:
            kept.close()
        os._exit(0)

    os.waitpid(in_another_program(write), 0)
    files = {
        side: Path(f"{directory / NAME}{side}").read_bytes()
        for side in SIDES
        if Path(f"{directory / NAME}{side}").exists()
    }
    whole = RecordedSession.open(attic(), directory / NAME, "anna")
    assert not [words for words in whole.opened if "going on" not in words], whole.opened
    assert [entry.typed for entry in whole.recorded(len(lines) + 9)] == lines
    was = all_of(whole.session)
    whole.close()
    shutil.rmtree(directory)
    return Evening(files, was, lines)


def laid_out(evening: Evening, directory: Path, **changed: bytes | None) -> Path:
    """The files of an evening in a new directory, some of them otherwise; None leaves one out."""
    shutil.rmtree(directory, ignore_errors=True)
    directory.mkdir()
    for side, data in {
        **evening.files,
        **{("-" + name if name != "main" else ""): data for name, data in changed.items()},
    }.items():
        if data is not None:
            Path(f"{directory / NAME}{side}").write_bytes(data)
    return directory / NAME


def damage(rng: Random, files: dict[str, bytes]) -> tuple[str, dict[str, bytes | None]]:
    """Some damage to one of the record's two files, and what it is."""
    side = rng.choice([side for side in ("", "-wal") if files.get(side)])
    data = bytearray(files[side])
    kind = rng.choice(("bit", "byte", "bytes", "page", "cut", "gone", "zeros"))
    name = "main" if not side else side[1:]
    if kind == "gone":
        return f"{name} gone", {name: None}
    if kind == "cut":
        length = rng.randrange(len(data))
        return f"{name} cut to {length}", {name: bytes(data[:length])}
    at = rng.randrange(len(data))
    if kind == "bit":
        data[at] ^= 1 << rng.randrange(8)
    elif kind == "byte":
        data[at] = rng.randrange(256)
    elif kind == "bytes":
        for _ in range(rng.randrange(2, 400)):
            data[rng.randrange(len(data))] = rng.randrange(256)
    else:
        start = at // 4096 * 4096
        length = min(4096, len(data) - start)
        data[start : start + length] = rng.randbytes(length) if kind == "page" else bytes(length)
    return f"{name} {kind} at {at}", {name: bytes(data)}


def judged(evening: Evening, place: Path) -> tuple[str, list[str]]:
    """'whole', 'told' or 'SILENT', and what was told; the files are opened, looked through, and typed into."""
    try:
        kept = RecordedSession.open(attic(), place, "ben")
    except (NotThisOne, CannotKeep) as why:
        return "told", [str(why)]
    told = [words for words in kept.opened if "going on" not in words]
    if kept.keeping:
        told.append(kept.keeping)
    same = all_of(kept.session) == evening.session and not kept.is_new
    for _ in range(5):  # more than the looking through takes
        kept.tidy()
        told += [heard.words for heard in kept.catch_up()]
    with_all = [entry.typed for entry in kept.recorded(10_000) if entry.typed] == evening.typed
    outcome = kept.enter("note goes on")
    told += [] if outcome.ok else [str(outcome.error)]
    kept.close()
    again = RecordedSession.open(attic(), place, "cleo")
    assert not outcome.ok or [entry.typed for entry in again.recorded(1)] == ["note goes on"] or told, (
        "what was typed is gone"
    )
    again.close()
    if told:
        return "told", told
    return ("whole" if same and with_all else "SILENT"), []


def printed(place: Path) -> list[str]:
    """What of a record can be read without opening it to write."""
    book = Logbook.open_to_read(place, in_own_place=False)
    try:
        return [entry.typed or entry.entry for entry in book.readable()]
    finally:
        book.close()
