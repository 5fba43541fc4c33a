"""The topic on the room file: how a room's wiring is written down."""

from __future__ import annotations

from model.help.example_room import EXAMPLE_ROOM
from model.help.room_keys import (
    ACCEPTED,
    BAYS,
    CROSS_NORMALS,
    GEAR,
    MARKS,
    MICROPHONES,
    MULTS,
    PORTS,
    PRIORS_TAKEN,
    TIES,
    TOP,
    KeyTable,
)
from model.help.topic import Block, Example, Paragraph, Points, Section, Topic, code
from model.room.file.reader import MAX_BYTES
from model.room.labels import MAX_CHARACTERS
from model.text.ranges import MOST


def _keys(of: KeyTable, *words: Block) -> tuple[Block, ...]:
    return (Section(of.title), *words, of.table())


def topic() -> Topic:
    """The room file, from a whole one to each of its keys."""
    return Topic(
        "The room file",
        (
            Paragraph(
                "One file is the record of one room's wiring. It is text in YAML, written by hand. This is a small one, "
                "whole:"
            ),
            Example(EXAMPLE_ROOM, "yaml"),
            Paragraph(
                "`bayhand check ROOM` reads it. All errors are reported together, each with its line and column, what "
                "stands there, and what was probably meant. Then come findings about the wiring (`bayhand help findings`)."
            ),
            Section("Names, addresses and ranges"),
            Points(
                (
                    "A jack's address is its row's name and its column: `A5`, `MR-C12`. A row's name is unique in the "
                    "room, starts with a letter or a digit and ends with a letter.",
                    "A port's full name is the gear's name and the port's: `Pre 4 in`. Gear with one port has that one "
                    "name.",
                    "Capital and small letters count alike. Where two names would be one, the file is refused.",
                    "`{1-16}` and `{L,R}` in a name stand for several; two of them in one name for all combinations. "
                    "Ranges on two sides are of one length.",
                    "Columns and jacks are written as `5`, `1-12`, `A41-42`, `A1-4, A9`.",
                    "What is written is taken as text, and read as what is expected in its place: `1-12`, `12:30`, `no` "
                    "and `on` mean what they say.",
                )
            ),
            *_keys(TOP),
            *_keys(
                PORTS,
                Paragraph(
                    "Under `gear` each name has its ports: one kind, one port as a table, or a table of ports with their "
                    "names. The kinds and their defaults: `bayhand help kinds`."
                ),
            ),
            *_keys(GEAR),
            Paragraph("`through` is one of these:"),
            Points(
                (
                    "`yes`: each input reaches each output. This is so where nothing is stated.",
                    "`no`: none does.",
                    "A table, from an input to a list of outputs: `{line in: [insert send], insert return: [direct out]}`.",
                    "In that table, what depends on how the gear is set stands under a condition, as a table of its own. "
                    "`one of: {line: send, mic: send}`: the send hears one of them, as selected. `if armed: {in: out}`: a "
                    "recorder's input is heard at its output on an armed track in input alone. "
                    '`assignable: {"ch {1-8}": ["bus {1-4}"]}`: each channel reaches the busses that it is assigned to.',
                    "A condition alone, `if armed`: each input reaches each output on that condition.",
                )
            ),
            *_keys(
                MICROPHONES,
                Paragraph(
                    "A microphone line on which nothing was put counts as one with a microphone of its kind's impedance "
                    "that draws nothing and is not harmed."
                ),
            ),
            *_keys(BAYS),
            *_keys(CROSS_NORMALS),
            *_keys(TIES),
            *_keys(MULTS),
            *_keys(MARKS, Paragraph("The words are the room's own: what is on its panels.")),
            *_keys(
                PRIORS_TAKEN,
                Paragraph(
                    "They weigh what can be at fault (`bayhand help entries`, finding a fault). The weights that hold "
                    "without them are common practice, no source; the room's own stand on the same scale."
                ),
            ),
            *_keys(ACCEPTED),
            Section("What is refused"),
            Points(
                (
                    "Keys, kinds, ports and jacks that are unknown; what is named, wired or joined twice; ranges whose "
                    "sides differ in length; columns that the bay does not have.",
                    "Anchors, aliases, merge keys and tags of YAML: they are never needed here.",
                    f"Names of more than {MAX_CHARACTERS} characters, or with signs that an entry needs "
                    f"({code('>', ',')}, a double quote, `#` at the start, `?` at the end), or with characters that "
                    "cannot be seen.",
                    f"Ranges that make more than {MOST:,} names or jacks; a file of more than "
                    f"{MAX_BYTES // 1024**2} MiB; a file that is not UTF-8.",
                )
            ),
        ),
    )
