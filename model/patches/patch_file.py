"""A saved patch as a file: a small strict YAML text, written by the program, fit to be read and mended by hand.

    bayhand patch: 1
    room: Saltmarsh, Studio B
    cords:
      - {cord: 1, ends: [{port: Mix L, jack: A45}, {port: Squash L in, jack: D1}], length: 60}
    phantom:
      - Pre 4 in
    input list:
      - {line: Live 4, microphone: condenser}

A length is in cm; ``plugs`` says how many plugs a cord has where that is not two. Ports are told by their full names; the
jack's address says where the plug was, and serves where nothing is wired behind the jack.
"""

from __future__ import annotations

import os

from model.bay.edits import HIGHEST_CORD_NUMBER
from model.patches.saved_patch import End, OnLine, SavedCord, SavedPatch
from model.room import cord_length
from model.room.file.errors import RoomFileErrors
from model.room.file.reader import file_text
from model.room.file.reading import Reading
from model.text.addresses import split_address
from model.text.clean import quoted
from model.text.normalized import normalized
from model.text.strictyaml import Node, Place, Table, Text, build
from model.text.yaml_words import decimal, scalar

VERSION = "1"
HEAD = "bayhand patch"
MAX_PLUGS = 1000
TOP_KEYS = frozenset((HEAD, "room", "cords", "phantom", "input list"))
CORD_KEYS = frozenset(("cord", "ends", "plugs", "length"))
END_KEYS = frozenset(("port", "jack"))
LINE_KEYS = frozenset(("line", "microphone"))
SUCH_A_CORD = "{cord: 1, ends: [{port: Mix L, jack: A45}, {port: Squash L in, jack: D1}]}"
SUCH_A_LINE = "{line: Live 4, microphone: condenser}"


class PatchFileErrors(RoomFileErrors):
    """A patch file with errors in it: ``errors`` are all that were found, in the order of their places."""


def write_patch(patch: SavedPatch) -> str:
    """The text of a patch; :func:`parse_patch` reads it back to the same patch.

    >>> print(write_patch(SavedPatch("Attic", (SavedCord(1, (End("Keys L", "A9"), End(None, "B24"))),))), end="")
    bayhand patch: 1
    room: Attic
    cords:
      - {cord: 1, ends: [{port: Keys L, jack: A9}, {jack: B24}]}
    """
    lines: list[str] = []
    for key, value in _entries(patch):
        lines += [f"{key}: {value}"] if isinstance(value, str) else [f"{key}:", *(f"  - {item}" for item in value)]
    return "\n".join(lines) + "\n"


def write_on_a_line(patch: SavedPatch) -> str:
    """The same on one line, for the record; :func:`parse_patch` reads it back too.

    >>> write_on_a_line(SavedPatch("Attic", phantom=("Pre 1 in",)))
    '{bayhand patch: 1, room: Attic, phantom: [Pre 1 in]}'
    """
    entries = (
        f"{key}: {value}" if isinstance(value, str) else f"{key}: [{', '.join(value)}]"
        for key, value in _entries(patch)
    )
    return f"{{{', '.join(entries)}}}"


def _entries(patch: SavedPatch) -> list[tuple[str, str | list[str]]]:
    lines = [f"{{line: {scalar(on.line)}, microphone: {scalar(on.mic)}}}" for on in patch.input_list]
    entries: list[tuple[str, str | list[str]]] = [
        (HEAD, VERSION),
        ("room", scalar(patch.room) if patch.room else ""),
        ("cords", [_cord(cord) for cord in patch.cords]),
        ("phantom", [scalar(port) for port in patch.phantom]),
        ("input list", lines),
    ]
    return [(key, value) for key, value in entries if value]


def _cord(cord: SavedCord) -> str:
    ends = ", ".join(
        f"{{jack: {scalar(end.jack)}}}"
        if end.port is None
        else f"{{port: {scalar(end.port)}, jack: {scalar(end.jack)}}}"
        for end in cord.ends
    )
    plugs = "" if cord.plugs == 2 else f", plugs: {cord.plugs}"
    length = "" if cord.length_cm is None else f", length: {decimal(cord.length_cm)}"
    return f"{{cord: {cord.number}, ends: [{ends}]{plugs}{length}}}"


def read_patch(path: str | os.PathLike[str]) -> SavedPatch:
    """The patch that a file holds.

    Raises :class:`~model.room.file.errors.UnreadableFile` where there is no text to read, :class:`PatchFileErrors` with all
    that is wrong in it.
    """
    name = os.fspath(path)
    return parse_patch(file_text(name), name)


def parse_patch(text: str, path: str = "<text>") -> SavedPatch:
    """The patch that a text describes; ``path`` names it in the errors. Raises :class:`PatchFileErrors`."""
    tree = build(text.removeprefix("\ufeff"))
    reading = Reading(tree)
    patch = _read(reading, tree.root)
    if reading.errors or patch is None:
        raise PatchFileErrors(path, reading.all_errors())
    return patch


def _read(reading: Reading, root: Node) -> SavedPatch | None:
    begins = f"a patch file starts with '{HEAD}: {VERSION}'"
    if root is None or (isinstance(root, Text) and not root.text):
        reading.missing(Place(0, 0), f"the file says nothing: {begins}")
        return None
    if not isinstance(root, Table):
        reading.error(root.mark, f"a patch file is a table: {begins}")
        return None
    if HEAD not in root.marks:
        room = " (this looks like a room file)" if "bayhand" in root.marks else ""
        reading.missing(root.mark, f"key '{HEAD}' is missing: {begins}{room}")
        return None
    version = reading.text(root.values[HEAD], "version", "the file")
    if version is None or version.text != VERSION:
        if version is not None:
            text = f"version {quoted(version.text)} of the format is unknown: this program reads {VERSION}"
            reading.error(version.mark, text)
        return None
    reading.keys(root, TOP_KEYS, "at the top of the file")
    room_name = reading.label(root.values["room"], "room", "the patch") if "room" in root.marks else ""
    return SavedPatch(
        room_name or "",
        _read_cords(reading, root.values.get("cords")),
        _read_phantom(reading, root.values.get("phantom")),
        _read_input_list(reading, root.values.get("input list")),
    )


def _read_cords(reading: Reading, node: Node) -> tuple[SavedCord, ...]:
    cords: list[SavedCord] = []
    lines: dict[int, int] = {}  # cord number: the line that has it
    holder: dict[str, int] = {}  # jack: the line of the cord with a plug in it
    for table in reading.tables(node, "cords", SUCH_A_CORD, CORD_KEYS):
        where = "a cord"
        number = reading.whole_number(reading.required(table, "cord", where), "number", where, HIGHEST_CORD_NUMBER)
        if number in lines:
            reading.error(table.marks["cord"], f"cord {number} is on line {lines[number]} already")
        elif number is not None:
            lines[number] = table.marks["cord"].line + 1
        ends = _read_ends(reading, reading.required(table, "ends", where), holder)
        plugs: int | None = max(2, len(ends))
        if "plugs" in table.marks:
            plugs = reading.whole_number(table.values["plugs"], "plugs", where, MAX_PLUGS)
            if plugs is not None and plugs < max(2, len(ends)):
                text = f"a cord has two plugs or more, and as many as are in ({len(ends)}), not {plugs}"
                reading.error(table.marks["plugs"], text)
        length = _read_length(reading, table.values["length"]) if "length" in table.marks else None
        if number is not None and plugs is not None:
            cords.append(SavedCord(number, ends, plugs, length))
    return tuple(sorted(cords))


def _read_length(reading: Reading, node: Node) -> float | None:
    length = reading.number(node, "length in cm", "a cord")
    if length is None or not isinstance(node, Text):
        return None
    if not cord_length.fits(length):
        reading.error(node.mark, f"{cord_length.BOUNDS}, not {quoted(node.text)} cm")
    return length


def _read_ends(reading: Reading, node: Node, holder: dict[str, int]) -> tuple[End, ...]:
    ends: list[End] = []
    if node is None:
        return ()
    wrong = len(reading.errors)
    for table in reading.tables(node, "ends", "{port: Mix L, jack: A45}", END_KEYS):
        port = (
            reading.label(table.values["port"], "port", "a cord's end", typed=True) if "port" in table.marks else None
        )
        at = reading.required(table, "jack", "a cord's end")
        jack = reading.label(at, "jack", "a cord's end", typed=True)
        if jack is None or at is None:
            continue
        mark = at.mark
        if split_address(jack) is None:
            reading.error(mark, f"a jack's address is its row's name and its point, such as A5, not {quoted(jack)}")
            continue
        if normalized(jack) in holder:
            reading.error(
                mark, f"jack {quoted(jack)} holds a plug of a cord of line {holder[normalized(jack)]} already"
            )
            continue
        holder[normalized(jack)] = mark.line + 1
        ends.append(End(port, jack))
    if not ends and len(reading.errors) == wrong:
        reading.error(node.mark, f"a cord has at least one plug in: {SUCH_A_CORD}")
    return tuple(ends)


def _read_phantom(reading: Reading, node: Node) -> tuple[str, ...]:
    ports: list[str] = []
    for member in reading.items(node, "'phantom'", "Pre 4 in"):
        port = reading.label(member, "a line", "'phantom'", typed=True)
        if port is None or member is None:
            continue
        if port in ports:
            reading.error(member.mark, f"{quoted(port)} is in 'phantom' already")
        ports.append(port)
    return tuple(ports)


def _read_input_list(reading: Reading, node: Node) -> tuple[OnLine, ...]:
    of: dict[str, OnLine] = {}
    for table in reading.tables(node, "input list", SUCH_A_LINE, LINE_KEYS):
        where = "'input list'"
        line = reading.label(reading.required(table, "line", where), "line", where, typed=True)
        mic = reading.label(reading.required(table, "microphone", where), "microphone", where, typed=True)
        if line is None or mic is None:
            continue
        if line in of:
            reading.error(table.marks["line"], f"{of[line].mic} is on {quoted(line)} already")
        of[line] = OnLine(line, mic)
    return tuple(of.values())
