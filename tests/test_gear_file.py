"""The room file's forms for gear and lines: `through` on conditions, own names, tie lines, free text per jack.

Takes less than 1 s.
"""

from __future__ import annotations

import pytest

from model.room.file import parse_room
from model.room.inside import ARMED, ASSIGNED, SELECTED, Ways
from model.room.wiring import JackText
from model.session import Session
from tests.roomfile_refusals import assert_refused, errors_of

ROOM = """\
bayhand: 1
room: Fernhill
gear:
  Pre {1-2}: {in: {is: mic in, phantom: 48}, out: line out}
  Rec {1-2}: {through: if armed, in: line in, out: line out}
  Desk:
    own names: yes
    "Ch {1-2} line": line in
    Ch 1 mic: mic in
    "Ch {1-2} send": {is: line out, switched: yes}
    "Ch {1-2} return": line in
    "Bus {1-2}": line out
    through:
      Ch 2 line: Ch 2 send
      one of: {Ch 1 line: Ch 1 send, Ch 1 mic: Ch 1 send}
      assignable: {"Ch {1-2} return": ["Bus {1-2}"]}
mics:
  ribbon: {ohms: 300, harmed: yes}
bays:
  - bay: Top bay
    columns: 8
    rows:
      A: {1-2: "Pre {1-2} out", 3-4: "Rec {1-2} out", 5-6: "Bus {1-2}", 7-8: "Ch {1-2} send"}
      B: {1-2: "Pre {1-2} in", 3-4: "Ch {1-2} line", 5: Ch 1 mic, 7-8: "Ch {1-2} return"}
    strip: {A1-2: "PRE {1-2}", "B1, B3": IN}
    cable: {A1-2: "{101-102}", B5: X-7}
    remark: {B5: "crackles, see the book"}
  - bay: Low bay
    place: Cellar
    columns: 4
    rows: {C: {1-2: "Rec {1-2} in"}}
ties:
  - {name: "Tie {1-2}", from: C3-4, to: wall box, is: mic line, metres: 30}
  - {name: Tie 3, from: B6, to: C1, is: line}
"""


def test_the_room_is_as_it_is_written() -> None:
    room = parse_room(ROOM)
    name = {port.index: port.name for port in room.ports}
    desk = next(gear for gear in room.gear if gear.name == "Desk")
    assert isinstance(desk.through, tuple)
    assert [(name[a], name[b]) for a, b in desk.through] == [("Ch 2 line", "Ch 2 send")]
    ways = [(tuple(map(name.get, w.inputs)), tuple(map(name.get, w.outputs)), w.condition) for w in desk.ways]
    assert ways == [
        (("Ch 1 line", "Ch 1 mic"), ("Ch 1 send",), SELECTED),
        (("Ch 1 return", "Ch 2 return"), ("Bus 1", "Bus 2"), ASSIGNED),
    ]
    rec = room.port_named["Rec 2 in"].index
    assert room.gear[room.ports[rec].gear].ways == (Ways((rec,), (rec + 1,), ARMED),)
    assert [port.name for port in room.ports if port.switched] == ["Ch 1 send", "Ch 2 send"]


def test_free_text_is_kept_for_the_jacks_that_have_it() -> None:
    room = parse_room(ROOM)
    texts = {room.jacks[jack].address: text for jack, text in room.jack_texts.items()}
    assert texts == {
        "A1": JackText("PRE 1", "101"),
        "A2": JackText("PRE 2", "102"),
        "B1": JackText("IN"),
        "B3": JackText("IN"),
        "B5": JackText("", "X-7", "crackles, see the book"),
    }


def test_a_tie_line_to_a_wall_box_takes_a_microphone() -> None:
    """It is a microphone line of its name; one between jacks stays a tie line, with its kind."""
    room = parse_room(ROOM)
    assert [(tie.name, tie.kind, tie.metres) for tie in room.ties] == [("Tie 3", "line", 0)]
    port = room.port_named["Tie 2"]
    assert (port.kind.name, port.cable_m, [room.jacks[j].address for j in room.jacks_of_port[port.index]]) == (
        "mic line",
        30,
        ["C4"],
    )
    session = Session(room)
    assert session.enter("put ribbon on tie 2").ok
    assert session.patch.state.mics[port.index].name == "ribbon"


# What is replaced, by what, the place of the error that follows (at the |), and its words.
REFUSED: dict[str, tuple[str, str, str, str]] = {
    "unknown condition": (
        "one of: {Ch",
        "oneof: {Ch",
        " |oneof: {Ch",
        "'through' of gear 'Desk': unknown condition 'oneof': did you mean 'one of'?",
    ),
    "one of one": (
        "Ch 1 send, Ch 1 mic: Ch 1 send}",
        "Ch 1 send}",
        "{Ch 1 line: |Ch 1 send}",
        "output 'Ch 1 send' hears 'Ch 1 line' alone, and 'one of' needs two inputs or more",
    ),
    "one of one, in short": ("through: if armed", "through: one of", "through: |one of", "hears 'in' alone"),
    "given twice, always and not": (
        "Ch 2 line: Ch 2 send",
        '"Ch {1-2} line": "Ch {1-2} send"',
        "one of: {Ch 1 line: |Ch 1 send",
        "the way from 'Ch 1 line' to 'Ch 1 send' is given twice",
    ),
    "given twice, on two conditions": (
        "assignable: {",
        "if armed: {Ch 1 return: Bus 1}\n      assignable: {",
        'assignable: {|"Ch {1-2} return"',
        "the way from 'Ch 1 return' to 'Bus 1' is given twice",
    ),
    "no such output": ('["Bus {1-2}"]', '["Bus {1-3}"]', '[|"Bus {1-3}"]', "unknown port 'Bus 3'"),
    "an output that enters": (
        'assignable: {"Ch {1-2} return"',
        'assignable: {"Ch {1-2} send"',
        'assignable: {|"Ch {1-2} send"',
        "port 'Ch 1 send' is an output, and signal enters by inputs",
    ),
    "armed, without an output": (
        "in: line in, out: line out}\n  Desk",
        "in: line in}\n  Desk",
        "through: |if armed",
        "is 'if armed', and the gear has no output",
    ),
    "own names": ("own names: yes", "own names: maybe", "own names: |maybe", "must be yes or no, not 'maybe'"),
    "own names twice": ("Desk:\n", "Desk {1-2}:\n", "|Desk {1-2}:", "port 'Ch 1 line' is named twice"),
    "switched": ("switched: yes", "switched: si", "switched: |si", "must be yes or no, not 'si'"),
    "unknown kind of tie": (
        "is: line}",
        "is: lime}",
        "is: |lime}",
        "unknown kind of tie line 'lime': did you mean 'line'?",
    ),
    "wall box of line level": (
        "is: mic line, metres",
        "is: line, metres",
        "|is: line, metres",
        "to a wall box is a 'mic line'",
    ),
    "wall box at a wired jack": ("from: C3-4", "from: C2-3", "|from: C2-3", "'Rec 2 in' is wired to jack C2 already"),
    "wall box named as gear": ('"Tie {1-2}"', '"Rec {1-2}"', 'name: |"Rec {1-2}"', "has the name of gear, on line 5"),
    "wall box named as a port": (
        '"Tie {1-2}"',
        '"Bus {1-2}"',
        'name: |"Bus {1-2}"',
        "has the name of a port, on line 12",
    ),
    "tie named as a wall box": (
        "name: Tie 3",
        "name: Tie 2",
        "name: |Tie 2",
        "tie line 'Tie 2' has the name of a port",
    ),
    "wall box, too few": (
        '"Tie {1-2}"',
        '"Tie {1-5}"',
        'name: |"Tie {1-5}"',
        "the ends of a tie line differ in length",
    ),
    "strip of no jack": (
        "strip: {A1-2",
        "strip: {A1-9",
        "strip: {|A1-9",
        "strip of bay 'Top bay': 'A1-9' goes past row 'A'",
    ),
    "strip of another bay": ("remark: {B5", "remark: {C5", "remark: {|C5", "there is no row 'C'"),
    "strip, too few": ('"PRE {1-2}"', '"PRE {1-3}"', 'A1-2: |"PRE {1-3}"', "A1-2 is 2, 'PRE {1-3}' is 3"),
    "cable of two jacks": ('"{101-102}"', "101", "A1-2: |101", "cable of bay 'Top bay': A1-2 is 2, '101' is 1"),
    "strip twice": ('"B1, B3": IN', '"B3, A2": IN', '|"B3, A2": IN', "jack A2 is given twice: line 25 has it already"),
    "strip without text": ("B5: X-7", "B5: []", "B5: |[]", "must be text, not a list"),
    "strip that cannot be shown": ("B5: X-7", 'B5: "a\\tb"', 'B5: |"a', "character 2 is"),
    "remark as a list": ('"crackles, see the book"', "[crackles]", "B5: |[crackles]", "must be text, not a list"),
}


@pytest.mark.parametrize(("old", "new", "at", "words"), REFUSED.values(), ids=REFUSED.keys())
def test_refused(old: str, new: str, at: str, words: str) -> None:
    assert_refused(ROOM, old, new, at, words)


def test_a_bay_of_another_bay_is_refused() -> None:
    """A jack that is in the room, and not in this bay."""
    text = ROOM.replace("    rows: {C: {1-2", "    strip: {A1: OUT}\n    rows: {C: {1-2")
    (error,) = errors_of(text)
    assert error.text == "strip of bay 'Low bay': jack A1 is not of this bay"
