"""Reads a room file, the true record of one room's wiring, into a :class:`~model.room.wiring.Room`.

Every error of the file is found, with its line and column, what stands there and what was probably meant. Nothing is
repaired or guessed. Where PyYAML was built without libyaml, its own parser takes over: the same rooms, more slowly.
"""

from __future__ import annotations

import gc
import os
import stat
from pathlib import Path

from model.room.file.accepted import read_accepted
from model.room.file.bays import read_bays
from model.room.file.errors import FileError, RoomFileErrors, UnreadableFile
from model.room.file.gear import check_names, read_gear, read_mics
from model.room.file.house_patch import read_cords, read_house_patch, read_marks, read_priors
from model.room.file.joins import read_cross_normals, read_mults, read_ties
from model.room.file.reading import Reading
from model.room.wiring import Room
from model.text.clean import quoted
from model.text.strictyaml import Place, Table, Text, Tree, build

__all__ = ["FileError", "RoomFileErrors", "UnreadableFile", "parse_room", "read_room"]

VERSION = "1"
MAX_BYTES = 32 * 1024 * 1024
TOP_KEYS = frozenset(
    (
        "bayhand",
        "room",
        "gear",
        "mics",
        "bays",
        "cross normals",
        "ties",
        "mults",
        "cords",
        "house patch",
        "marks",
        "priors",
        "accepted",
        "units",
    )
)
METRES, FEET = UNITS = ("metres", "feet")  # in which lengths of cords are typed


def read_room(path: str | os.PathLike[str]) -> Room:
    """The room that a file describes.

    Raises :class:`UnreadableFile` where there is no text to read, :class:`RoomFileErrors` with all that is wrong in it.
    """
    name = os.fspath(path)
    return parse_room(file_text(name), name)


def parse_room(text: str, path: str = "<text>") -> Room:
    """The room that a text describes; ``path`` names it in the errors.

    Raises :class:`RoomFileErrors` with all that is wrong in it.

    >>> parse_room("{bayhand: 1, room: Attic, bays: [{bay: One, columns: 2, rows: {A: {}}}]}").jacks[1].address
    'A2'
    """
    # The tree and the room only grow meanwhile and hold no cycles: the collector would walk them over and over in vain.
    collecting = gc.isenabled()
    gc.disable()
    try:
        tree = build(text.removeprefix("\ufeff"))
        reading = Reading(tree)
        room = _read(reading, tree)
    finally:
        if collecting:
            gc.enable()
    if reading.errors or room is None:
        raise RoomFileErrors(path, reading.all_errors())
    return room


def _read(reading: Reading, tree: Tree) -> Room | None:
    root = tree.root
    if root is None or (isinstance(root, Text) and not root.text):
        reading.missing(Place(0, 0), f"the file says nothing: a room file starts with 'bayhand: {VERSION}'")
        return None
    if not isinstance(root, Table):
        reading.error(root.mark, f"a room file is a table that starts with 'bayhand: {VERSION}'")
        return None
    if not _is_our_version(reading, root):
        return None
    reading.keys(root, TOP_KEYS, "at the top of the file")
    section = root.values.get
    name = reading.label(reading.required(root, "room", "the file"), "name", "the room")
    gear = read_gear(reading, section("gear"))
    mics = read_mics(reading, section("mics"))
    bays = read_bays(reading, reading.required(root, "bays", "the file"), gear)
    read_cross_normals(reading, section("cross normals"), bays)
    ties = read_ties(reading, section("ties"), bays, gear)
    mults = read_mults(reading, section("mults"), bays, gear, ties)
    cords = read_cords(reading, section("cords"))
    house_patch = read_house_patch(reading, section("house patch"), gear, bays)
    marks = read_marks(reading, section("marks"))
    priors = read_priors(reading, section("priors"))
    accepted = read_accepted(reading, section("accepted"), gear, bays)
    units = reading.text(section("units"), "the units", "'units'") if "units" in root.marks else None
    if units is not None and units.text not in UNITS:
        reading.error(units.mark, f"'units' are {' or '.join(UNITS)}, not {quoted(units.text)}")
    check_names(reading, gear, bays.row_named)
    if name is None or reading.errors:
        return None
    return Room(
        name=name,
        gear=tuple(gear.gear),
        ports=tuple(gear.ports),
        bays=tuple(bays.bays),
        rows=tuple(bays.rows),
        jacks=tuple(bays.jacks),
        normals=tuple(bays.normals),
        ties=ties,
        mults=mults,
        mics=mics,
        cords=cords,
        house_patch=house_patch,
        marks=marks,
        priors=priors,
        accepted=accepted,
        jack_texts=bays.texts,
        feet=units is not None and units.text == FEET,
    )


def _is_our_version(reading: Reading, root: Table) -> bool:
    """Whether the file is of the version that is read here; of another, nothing more can be said."""
    if "bayhand" not in root.marks:
        reading.missing(root.mark, f"key 'bayhand' is missing: a room file starts with 'bayhand: {VERSION}'")
        return True
    version = reading.text(root.values["bayhand"], "the version", "'bayhand'")
    if version is not None and version.text != VERSION:
        reading.error(
            version.mark, f"version {quoted(version.text)} of the format is unknown: this program reads {VERSION}"
        )
        return False
    return True


def file_bytes(path: str, what: str = "a room file") -> bytes:
    """The bytes of an ordinary file of a bearable size, whole; ``what`` it should be is said where it is none.

    Raises :class:`UnreadableFile`.
    """
    try:
        found = Path(path).stat()
        if stat.S_ISDIR(found.st_mode):
            raise UnreadableFile(path, f"this is a directory, not {what}")
        if not stat.S_ISREG(found.st_mode):
            raise UnreadableFile(path, "this is not an ordinary file")
        with Path(path).open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except FileNotFoundError:
        raise UnreadableFile(path, "there is no such file") from None
    except PermissionError:
        raise UnreadableFile(path, "there is no permission to read it") from None
    except OSError as error:
        raise UnreadableFile(path, f"it cannot be read: {error.strerror or error}") from None
    except ValueError:
        raise UnreadableFile(path, "a file's name cannot hold a NUL character") from None
    if len(data) > MAX_BYTES:
        raise UnreadableFile(path, f"it is larger than {MAX_BYTES // 1024**2} MiB, too large for {what}")
    return data


def file_text(path: str) -> str:
    """The text of an ordinary file of a bearable size, whole."""
    data = file_bytes(path)
    if data[:2] in (b"\xff\xfe", b"\xfe\xff") or data[:200:2].count(0) > 20 or data[1:200:2].count(0) > 20:
        raise UnreadableFile(path, "it is text in UTF-16, not in UTF-8: save it as UTF-8")
    if b"\0" in data:
        raise UnreadableFile(path, "it is binary, not text: a room file is text in UTF-8")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        reason = f"it is not text in UTF-8: line {line} holds the byte 0x{data[error.start]:02X}; save it as UTF-8"
        raise UnreadableFile(path, reason) from None
