"""Tables of jacks: there and back the same room; spreadsheets' dialects and oddities survive; every error has its place.

Takes about 2 s. Dialects after RFC 4180 (comma, CR LF, quotes doubled) and as spreadsheets in countries with a decimal comma
write it (semicolon), with tabs (as "Unicode text", UTF-16 with its mark), and in Latin-1: common practice, no source.
"""

import csv
import io
import os
from pathlib import Path
from random import Random

import pytest

from model.bench.tables.from_table import TableErrors, from_table
from model.bench.tables.table import COLUMNS, REST_HEAD, as_csv, table_rows
from model.bench.tables.table_columns import SYNONYMS, meaning
from model.bench.written.room_writer import write_room
from model.paper.spreadsheet import as_cell, from_cell
from model.room.file import parse_room, read_room
from model.room.wiring import Room
from tests.generated import generated_room
from tests.roomfile_refusals import ROOM
from tests.writable_rooms import without_lines, writable_room

SHIPPED = sorted(Path("rooms").glob("*.yaml"))
RANDOM = int(os.environ.get("BAYHAND_TABLES", "30"))


def same(one: Room, other: Room) -> bool:
    return without_lines(one) == without_lines(other)


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_a_shipped_room_survives_there_and_back(path: Path) -> None:
    room = read_room(path)
    made = from_table(as_csv(room).encode())
    assert same(made.room, room)
    assert not made.guesses
    assert same(parse_room(made.text), room)


@pytest.mark.parametrize("seed", range(RANDOM))
def test_random_rooms_survive_there_and_back(seed: int) -> None:
    room = writable_room(Random(seed), points=3 + seed % 5, bays=1 + seed % 3)
    made = from_table(as_csv(room).encode())
    assert same(made.room, room)
    assert not made.guesses
    assert same(parse_room(made.text), room)


def test_large_and_odd_rooms_survive() -> None:
    for room in (generated_room(1_500), parse_room(ROOM)):
        assert same(from_table(as_csv(room).encode()).room, room)


def test_no_cell_is_run() -> None:
    """No cell of any table starts as a formula, and each is read back as it was (the rule of `as_cell`)."""
    for seed in range(RANDOM):
        for row in csv.reader(io.StringIO(as_csv(writable_room(Random(seed), points=3)), newline="")):
            assert not [cell for cell in row if cell.lstrip()[:1] in tuple("=+-@|%\uff1d\uff0b\uff0d\uff20")]
    for text in ("=1", "'=1", "''", "'tis", "+4 dBu", "plain"):
        assert from_cell(as_cell(text)) == text


def written(room: Room, delimiter: str, quoting: int, end: str, columns: tuple[str, ...] = tuple(COLUMNS)) -> str:
    """A room's table in some dialect, with its columns in some order."""
    rows = list(table_rows(room))
    places = [rows[0].index(column) for column in columns]
    rest = rows.index(REST_HEAD)
    rows = [tuple(row[place] for place in places) if row else () for row in rows[: rest - 1]] + rows[rest - 1 :]
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter, quoting=quoting, lineterminator=end).writerows(  # type: ignore[arg-type]
        [as_cell(cell) for cell in row] for row in rows
    )
    return out.getvalue()


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "latin-1"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize(("quoting", "end"), [(csv.QUOTE_MINIMAL, "\r\n"), (csv.QUOTE_ALL, "\n")])
def test_every_dialect_is_read(encoding: str, delimiter: str, quoting: int, end: str) -> None:
    room = parse_room(ROOM.replace("Wedge:", "Flügel; laut:").replace("1: Wedge", "1: Flügel; laut"))
    columns = list(COLUMNS)
    Random(delimiter + encoding).shuffle(columns)
    text = written(room, delimiter, quoting, end, tuple(columns))
    assert same(from_table(text.encode(encoding)).room, room)


def test_a_first_line_may_say_the_delimiter() -> None:
    room = read_room("rooms/attic.yaml")
    text = written(room, ";", csv.QUOTE_MINIMAL, "\r\n")
    assert same(from_table(f"sep=;\r\n{text}".encode()).room, room)
    with pytest.raises(TableErrors) as caught:
        from_table(f"sep=;\r\n{text.replace('line in', 'line inn', 1).replace('A1;', 'A?1;', 1)}".encode())
    assert [fault.row for fault in caught.value.faults] == [3]  # as the spreadsheet counts


def test_no_heading_means_two_columns() -> None:
    named = [synonym for synonyms in SYNONYMS.values() for synonym in synonyms]
    assert len(named) == len(set(named))
    for column, synonyms in SYNONYMS.items():
        for synonym in synonyms:
            assert meaning(synonym) == meaning(f" {synonym.upper()}: ") == column
    assert set(COLUMNS) <= set(SYNONYMS)


# Tables as they are inherited, and lines of the room file that must come of them.
ODDITIES: dict[str, tuple[str, tuple[str, ...]]] = {
    "headings in capitals, in another order, with synonyms": (
        "NORMALLED;DEVICE;CONNECTION;JACK\nHalf;Rec 1;in;B1\nHALF;Pre 1;out;A1\n",
        ("1: half", "Rec 1:", "A:", "B:"),
    ),
    "merged title rows and blank lines": (
        "GULL HOUSE;;;\n;;;\nMIC BAY;;;\njack;gear;port;normal\nA1;Live 1;;full\n;;;\nB1;Pre 1;in;full\n\n"
        "LINE BAY;;;\nC1;Pre 1;out;half\nD1;Rec 1;in;half\n",
        ("room: GULL HOUSE", "- bay: MIC BAY", "- bay: LINE BAY", "1: full", "1: half"),
    ),
    "several jacks in one row": (
        "bay,jack,gear,port,normal\nX,A1-8,Live mic 1-8,,full\nX,B1-8,Pre {1-8},in,full\n",
        ("Live mic {1-8}: mic line", "1-8: Live mic {1-8}", "1-8: Pre {1-8}", "1-8: full"),
    ),
    "a number alone and a side": (
        "panel,no.,top/bottom,description\nOne,1,Top,Keys out L\nOne,2,Top,Keys out R\nOne,1-2,Bottom,Desk 1-2 line in\n",
        ("A:", "B:", "1-2: Keys out {L,R}", "1-2: Desk {1-2} line in"),
    ),
    "numbers that begin again": ("no,port\n1,Keys out\n2,Drum out\n1,Desk 1 in\n2,Desk 2 in\n", ("1: Keys out", "B:")),
    "trailing spaces and spaces of other kinds": (
        "jack ,gear  ,port, kind \nA1  ,Pre\u00a01 , out ,line out\nB1,Rec  1, in ,line in\n",
        ("Pre 1:", "out: line out", "Rec 1:", "in: line in"),
    ),
    "decimal commas and units": (
        "jack;gear;port;kind;impedance;level;cable length\nA1;Pre 1;out;line out;60,5 ohm;+4dBu;2,5 m\n"
        "B1;Pre 1;in;mic in;2,4k;;1.000,5\nC1;Deck;;line in;10k;-7,5 dBV;\n",
        ("ohms: 60.5", "level: +4 dBu", "cable: 2.5", "ohms: 2400", "cable: 1000.5", "ohms: 10000", "level: -7.5 dBV"),
    ),
    "the bay merged down": (
        "bay,jack,port\nOne,A1,Keys\n,B1,Desk in\nTwo,C1,Tape\n,D1,Deck in\n",
        ("- bay: One", "- bay: Two"),
    ),
    "the heading once more on each page": ("jack,port\nA1,Keys\njack,port\nB1,Desk in\n", ("1: Keys", "1: Desk in")),
    "addresses alone in their rows, under a heading of numbers": (
        "bay;jack no.;device;connection\nOne;A1;Keys;out\n;A2;;\nBay 2;;;\n;C1;Tape;out\n;C2;;\n",
        ("- bay: One", "- bay: Bay 2", "columns: 2"),
    ),
    "a list for several jacks": ("jack;gear;port\nA1-2;Squash L, Squash R;out\n", ("1-2: Squash {L,R}",)),
    "what is spare": ("jack,gear,port\nA1,Keys,\nA2,spare,\nA3,-,-\nB1,Desk,in\n", ("1: Keys", "columns: 3")),
    "one port under both ways": ("jack,gear,kind\nA1,Pre 1,out\nB1,Pre 1,in\n", ("out: line out", "in: mic in")),
    "names cut into gear and port": (
        "jack,name\nA1,Squash out\nB1,Squash in\nA2,Wedge in\n",
        ("Squash:", "out: line out", "in: line in", "Wedge in: line in"),
    ),
    "phantom as yes": ("jack,gear,port,kind,48V\nA1,Pre,in,mic in,yes\nA2,Pre,out,line out,no\n", ("phantom: 48",)),
    "a normal of a kind that is not said": (
        "jack,gear,port,kind,normalled to\nA1,Live,,mic line,B1\nA2,Keys,,line out,B2\nB1,Pre,,mic in,\nB2,Desk,,line in,\n",
        ("1: full  # guessed", "2: half  # guessed"),
    ),
    "a cross normal, told from one end or both": (
        "jack,port,normal,partner\nA1,Keys out,half,D1\nC1,Tape out,,\nB1,Desk in,,\nD1,Deck in,half,A1\n",
        ("{from: A1, to: D1, kind: half}",),
    ),
    "tie lines and mults in one column": (
        "jack,port,tie/mult\nA1,Keys,Tie 1\nA2,,Mult 1\nA3,,Mult 1\nA4,,Mult 1\nB1,,Tie 1\n",
        ("name: Tie 1, from: A1, to: B1", "name: Mult 1, jacks: A2-4"),
    ),
    "addresses with a dash, a space or noughts": (
        "jack,port\nA-01,Keys\nA 2,Drum\nA03,Tape\n",
        ("1: Keys", "2: Drum", "3: Tape"),
    ),
    "texts of a jack that are not lost": (
        "jack,port,cable,remark\nA1,Keys,C 17,left one hums\n",
        ("C 17", "left one hums"),
    ),
}


@pytest.mark.parametrize("name", ODDITIES)
def test_oddities_survive(name: str) -> None:
    table, lines = ODDITIES[name]
    made = from_table(table.encode(), "Inherited")
    for wanted in lines:
        assert wanted in made.text, made.text
    assert same(parse_room(made.text), made.room)
    assert same(from_table(as_csv(made.room).encode()).room, made.room)


def test_guesses_are_marked_and_listed() -> None:
    made = from_table(b"jack,gear,port\nA1,Hall mic 3,\nB1,Pre 4,in\n", "Inherited")
    told = [(guess.row, guess.column, guess.text) for guess in made.guesses]
    assert (2, "B", "'Hall mic 3' is 'mic line', from 'mic', the top row") in told
    assert "Hall mic 3: mic line  # guessed: mic line, from 'mic', the top row" in made.text
    assert "in: mic in  # guessed: mic in, from 'in', 'Pre'" in made.text
    assert "# guessed from the table: row 1: the room is named 'Inherited'" in made.text


HEAD = "bay,address,gear,port,kind of port,normal,partner,tie,mult,ohms,level\n"
# Tables that are refused: the place of an error, and its words.
REFUSED: dict[str, tuple[str, tuple[int, str, str]]] = {
    "nothing": ("", (0, "", "empty")),
    "no heading": ("hello,world\n1,2\n", (0, "", "no row is a heading")),
    "no address": ("gear,port,kind\nPre,in,mic in\n", (1, "", "no column says which jack a row is about")),
    "no port": ("address,normal\nA1,full\n", (1, "", "no column says what is wired to a jack: it needs 'gear'")),
    "no jack": ("address,gear\n", (1, "", "no row below the heading is a jack")),
    "no address in a row": (f"{HEAD}X,,Pre 1,in,mic in,,,,,,\n", (2, "", "and not of which: address is empty")),
    "not an address": (f"{HEAD}X,A?1,Pre 1,in,mic in,,,,,,\n", (2, "B", "'A?1' is no address")),
    "a date": (f"{HEAD}X,08. Jan,Pre 1,in,mic in,,,,,,\n", (2, "B", "looks like the date")),
    "column 0": (f"{HEAD}X,A0,Pre,in,mic in,,,,,,\n", (2, "B", "columns are counted from 1")),
    "a range backwards": (f"{HEAD}X,A8-1,Pre,in,mic in,,,,,,\n", (2, "B", "a range runs upwards")),
    "sides of unlike length": (f"{HEAD}X,A1-8,Pre 1-7,in,mic in,,,,,,\n", (2, "C", "'Pre 1-7' is said of 8 jacks")),
    "a jack twice": (
        f"{HEAD}X,A1,Pre 1,in,mic in,,,,,,\nX,a1,Pre 2,in,mic in,,,,,,\n",
        (3, "B", "row 2 has it already"),
    ),
    "two kinds": (f"{HEAD}X,A1,P,in,mic in,,,,,,\nX,A2,P,in,line in,,,,,,\n", (3, "E", "'mic in' in row 2")),
    "unknown normal": (f"{HEAD}X,A1,Pre 1,out,line out,hlaf,,,,,\n", (2, "F", "did you mean 'half'?")),
    "a normal to nowhere": (f"{HEAD}X,A1,Pre 1,out,line out,half,B9,,,,\n", (2, "G", "has no jack 'B9'")),
    "a normal without a jack below": (
        f"{HEAD}X,A1,Pre 1,out,line out,half,,,,,\n",
        (2, "F", "no jack below or above it"),
    ),
    "two normals": (
        f"{HEAD}X,A1,P,out,line out,half,B1,,,,\nX,B1,R,in,line in,full,A1,,,,\n",
        (3, "F", "'full' here and 'half' in row 2"),
    ),
    "half a tie line": (f"{HEAD}X,A1,,,,,,Tie 1,,,\n", (2, "H", "a tie line has two ends, and 'Tie 1' stands at 'A1'")),
    "a mult of one": (f"{HEAD}X,A1,,,,,,,Mult 1,,\n", (2, "I", "one jack alone")),
    "ohms that are none": (
        f"{HEAD}X,A1,Pre 1,out,line out,,,,,many,\n",
        (2, "J", "ohms of port 'Pre 1 out' must be a number"),
    ),
    "ohms of 0": (f"{HEAD}X,A1,Pre 1,out,line out,,,,,0,\n", (2, "J", "must be more than 0")),
    "a comma of two meanings": (f'{HEAD}X,A1,Pre 1,out,line out,,,,,"1,200",\n', (2, "J", "may be 1200 or 1.200")),
    "a point of two meanings": (f"{HEAD}X,A1,Pre 1,out,line out,,,,,1.500,\n", (2, "J", "may be 1500 or 1.5")),
    "a level without sense": (f"{HEAD}X,A1,Pre 1,out,line out,,,,,,loud\n", (2, "K", "must be a level such as +4 dBu")),
    "two figures": (
        f"{HEAD}X,A1,P,out,line out,,,,,60,\nX,A2,P,out,line out,,,,,75,\n",
        (3, "J", "'75' here and '60' in row 2"),
    ),
    "a name that cannot be typed": (f"{HEAD}X,A1,Pre > 1,out,line out,,,,,,\n", (2, "C", "'>' joins the two ends")),
    "three rows": (
        f"{HEAD}X,A1,P,,,,,,,,\nX,B1,Q,,,,,,,,\nX,C1,R,,,,,,,,\n",
        (4, "B", "a bay has a top row and a bottom row"),
    ),
    "a row in two bays": (f"{HEAD}X,A1,P,,,,,,,,\nY,A2,Q,,,,,,,,\n", (3, "B", "row 'A' is named twice")),
    "a side that is none": ("no,side,gear\n1,left,Pre\n", (2, "B", "a side is top or bottom, not 'left'")),
    "an unknown section": (
        f"{HEAD}X,A1,P,,,,,,,,\n\nsection,name,part,says\nmicz,dynamic,,{{ohms: 200}}\n",
        (5, "A", "unknown section 'micz' below the jacks: did you mean 'mics'"),
    ),
    "a microphone with a fault": (
        f'{HEAD}X,A1,P,,,,,,,,\n\nsection,name,part,says\nmics,dynamic,,"{{ohmz: 200}}"\n',
        (5, "D", "unknown key 'ohmz'"),
    ),
    "more than the cell should say": (
        f'{HEAD}X,A1,P,,,,,,,,\n\nsection,name,part,says\nmics,dynamic,,"{{ohms: 200}}\nbays: []"\n',
        (5, "D", "not YAML"),
    ),
    "a house patch of one end": (
        f"{HEAD}X,A1,P,,,,,,,,\n\nsection,name,part,says\nhouse patch,,,P\n",
        (5, "D", "a cord joins two names"),
    ),
    "quotes that do not close": ('address,gear\nA1,"Pre\n', (0, "", "it is no table from its row 2 on")),
}


@pytest.mark.parametrize("name", REFUSED)
def test_every_error_has_its_place(name: str) -> None:
    table, (row, column, words) = REFUSED[name]
    with pytest.raises(TableErrors) as caught:
        from_table(table.encode())
    told = [(fault.row, fault.column) for fault in caught.value.faults if words in fault.text]
    assert told == [(row, column)], str(caught.value)


def test_all_errors_are_told_together() -> None:
    with pytest.raises(TableErrors) as caught:
        from_table(f"{HEAD}X,A1,P,out,line outt,hlaf,,,,none?,\nX,A2,Q > 1,out,line out,,B7,,,,\n".encode())
    assert {(fault.row, fault.column) for fault in caught.value.faults} >= {(2, "F"), (3, "G")}
    assert str(caught.value).startswith("row 2, column F (normal): unknown kind of normal")


@pytest.mark.parametrize("seed", range(60))
def test_nothing_that_is_read_shows_a_traceback(seed: int) -> None:
    """Tables spoiled at random are read or refused, each refusal with a row that the table has."""
    rng = Random(seed)
    table = bytearray(as_csv(writable_room(rng, points=3)).encode(rng.choice(("utf-8", "utf-16"))))
    for _ in range(rng.randint(1, 12)):
        at = rng.randrange(len(table))
        match rng.randrange(4):
            case 0:
                table[at] = rng.randrange(256)
            case 1:
                del table[at : at + rng.randint(1, 40)]
            case 2:
                table[at:at] = bytes(rng.choice((b'"', b",", b";", b"\n", b"{", b"A1-9", b"\0", b"1-8")))
            case 3:
                cut = table[at : at + rng.randint(1, 60)]
                table[rng.randrange(len(table)) : 0] = cut
    try:
        made = from_table(bytes(table))
    except TableErrors as problem:
        assert problem.faults
        assert all(0 <= fault.row <= table.count(b"\n") + 2 for fault in problem.faults), str(problem)
        assert str(problem)
    else:
        assert write_room(made.room)
