"""`bayhand sheet ROOM [--patch NAME] [--logbook PATH] [--script FILE] --as html|md|csv|yaml`."""

from __future__ import annotations

import argparse
import sys
from contextlib import closing
from datetime import datetime
from pathlib import Path

from model.paper.sheet import Sheet
from model.paper.sheet_writers import WRITERS
from model.patches.patch_file import write_patch
from model.patches.placed import Placing, house, place
from model.patches.saved_patch import SavedPatch, save
from model.patches.sheet import patched, sheet_of_patch, sheet_of_session
from model.patches.shelf import HOUSE, SHELF
from model.record.faults import CannotKeep, NotThisOne
from model.record.logbook import Logbook
from model.record.place import logbook_place
from model.record.restore import restore
from model.record.room_file import RoomFile, read_room_file
from model.rehearse import play, play_house
from model.room.file import RoomFileErrors, UnreadableFile
from model.session import Session
from model.text.clean import shown
from model.text.normalized import normalized
from model.text.suggest import listed
from tui.cli.status import FOUND, OK, UNUSABLE, say

YAML = "yaml"


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    parser.add_argument("room", metavar="ROOM", help="a room file")
    parser.add_argument("--patch", metavar="NAME", help="a saved patch, or 'house'; the present state without it")
    parser.add_argument(
        "--logbook", metavar="PATH", type=Path, help="in place of the one in the user's state directory"
    )
    parser.add_argument("--script", metavar="FILE", help="entries to play first; nothing of them is recorded")
    parser.add_argument(
        "--as",
        dest="form",
        choices=(*WRITERS, YAML),
        required=True,
        help="html: a page to print; md: text; csv: a spreadsheet; yaml: the patch alone, which 'recall FILE.yaml' reads",
    )


def run(args: argparse.Namespace) -> int:
    """Print the sheet; 1 where a line of the script was refused, 2 where there is nothing to print from."""
    try:
        file = read_room_file(args.room)
        lines = Path(args.script).read_text("utf-8").split("\n") if args.script else []
        session = session_as_recorded(file, args.logbook)
    except (UnreadableFile, RoomFileErrors) as problem:
        say(str(problem))
        return UNUSABLE
    except (CannotKeep, NotThisOne, OSError, ValueError) as problem:
        say(shown(str(problem)))
        return UNUSABLE
    refused = False
    for played in play(session, lines):
        if not played.outcome.ok:
            refused = True
            say(shown(f"{args.script}:{played.number}: {played.outcome.typed}: {played.outcome.error}"))
    when = datetime.now().strftime("%Y-%m-%d %H:%M")
    if args.patch is None:
        sheet, saved = sheet_of_session(session.now, when), save(session.patch.state)
    else:
        found = _named(session, args.patch, when)
        if found is None:
            known = listed([*session.get(SHELF).patches, HOUSE])
            say(f"no patch is saved as '{shown(args.patch)}': there is {known}")
            return UNUSABLE
        sheet, saved = found
    text = write_patch(saved) if args.form == YAML else WRITERS[args.form](sheet)
    sys.stdout.buffer.write(text.encode("utf-8"))  # a page says itself that it is UTF-8, whatever the terminal is
    sys.stdout.flush()
    return FOUND if refused else OK


def _named(session: Session, name: str, when: str) -> tuple[Sheet, SavedPatch] | None:
    """The sheet of a saved patch, and the patch."""
    room = session.room
    if normalized(name) == HOUSE:
        placing = Placing(house(room))
        return sheet_of_patch(room, HOUSE, placing, when), save(patched(room, placing.placed).state)
    shelf = session.get(SHELF)
    known = shelf.named(name)
    if known is None:
        return None
    saved = shelf.patches[known].patch
    return sheet_of_patch(room, known, place(saved, room), when), saved


def session_as_recorded(file: RoomFile, logbook: Path | None) -> Session:
    """The session as its record left it; where none is kept, the room at rest with its house patch.

    The record is only read. Raises what :mod:`model.record.faults` has where that cannot be done.
    """
    session = Session(file.room)
    where = logbook_place(file.path) if logbook is None else logbook
    if not where.exists():
        if logbook is not None:
            raise CannotKeep(f"{where}: there is no such logbook")
        for played in play_house(session):
            if not played.outcome.ok:
                say(shown(f"house patch: {played.outcome.typed}: {played.outcome.error}"))
        return session
    with closing(Logbook.open_to_read(where, in_own_place=logbook is None)) as book:
        recorded = book.room()
        if recorded is not None and recorded.name != file.room.name and recorded.path != str(file.path.resolve()):
            raise NotThisOne(f"{where} is the logbook of {recorded.name} ({recorded.path}), not of {file.room.name}")
        found = restore(book, recorded, file.room, file.text, None)
        session.now = found.session
        for words in (*found.read.damage, *found.read.end.words, *found.words):
            say(shown(words))
    return session
