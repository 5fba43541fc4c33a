"""The proof: its tests agree with contacts and jumpers, and its results name each single fault. About 5 s."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from pathlib import Path

import pytest

from model.bench.diagnosis import Fault, find_faults
from model.bench.jumpers import REST, TOP
from model.bench.pages.proof_pages import proof_csv, proof_html, proof_sheet, proof_text
from model.bench.pairs import kinds_of
from model.bench.plan import with_kinds
from model.bench.proof import CLOSED, NEIGHBOURS, NORMAL, OPEN, PHANTOM, TERMINATION, TIE, Trial, make_proof
from model.bench.results import BadResults, read_results
from model.room.file import parse_room, read_room
from model.room.kinds import NORMAL_KINDS
from model.room.wiring import Room
from tests.contacts import Contacts
from tests.test_bench_order import random_pair_of_rooms
from tui.cli.main import main

KINDS = [*NORMAL_KINDS, "none"]
ROOM = parse_room("""
bayhand: 1
room: Proving ground
gear:
  Mic {1-4}: mic line
  Pre {1-4}: {in: {is: mic in, phantom: 48}, out: line out}
  Desk {1-4}: line in
  Mix {L,R}: line out
  Tape {L,R}: line in
  Word: clock out
  Slave: clock in
  Box: {through: no, out: aes3 out, in: aes3 in}
bays:
  - bay: Bay
    columns: 12
    sleeve: carried
    rows:
      A: {1-4: "Mic {1-4}", 5-8: "Pre {1-4} out", 9-10: "Mix {L,R}", 11: Word, 12: Box out}
      B: {1-4: "Pre {1-4} in", 5-8: "Desk {1-4}", 9-10: "Tape {L,R}", 11: Slave, 12: Box in}
    normals: {1-4: full, 5-8: half, 9: half top, 10: parallel, 11-12: full}
  - bay: Spare
    columns: 6
    rows: {C: {}, D: {}}
ties: [{name: Long line, from: C1, to: D6}]
mults: [{name: Mult, jacks: C3-5}]
""")
TRIALS = make_proof(ROOM)


def measure(bench: dict[str, Contacts], *, changed: Callable[[Trial, str], str] = lambda trial, text: text) -> bytes:
    """The table of the proof as a tester fills it in, who has nothing but contacts: each conductor's own."""
    rows = list(csv.reader(io.StringIO(proof_csv(ROOM, TRIALS), newline="")))
    at = rows[0].index("measured")
    for row, trial in zip(rows[1:], TRIALS, strict=True):
        top, bottom = (ROOM.jacks[jack].address for jack in (trial.top, trial.bottom))
        plugged = [] if trial.dummy is None else [ROOM.jacks[trial.dummy].address.lower()]
        if trial.kind == PHANTOM:
            text = "24,02 V"
        elif trial.kind == TERMINATION:
            text = "75.2"
        elif trial.expected not in (CLOSED, OPEN):
            text = "ok"
        else:
            own = bench.values() if trial.conductor == "all" else [bench[trial.conductor]]
            joined = [one.joined(top, bottom, plugged) for one in own]
            # a short shows on any conductor; a lock needs all of them
            text = "0.3" if (any(joined) if trial.kind == NEIGHBOURS else all(joined)) else "OL"
        row[at] = changed(trial, text)
    out = io.StringIO()
    csv.writer(out, delimiter=";").writerows(rows)
    return out.getvalue().encode("utf-8-sig")


def bench_of(room: Room) -> dict[str, Contacts]:
    """Three conductors wired as a room says."""
    return {conductor: Contacts(room) for conductor in ("tip", "ring", "sleeve")}


def faults(data: bytes) -> list[Fault]:
    """What the results say."""
    return find_faults(ROOM, read_results(data, "results.csv", ROOM, TRIALS))


def with_kind(column: int, kind: str) -> Room:
    """The room as it really is, where one pair has another normal than the file says."""
    return with_kinds(ROOM, kinds_of(ROOM) | {(column - 1, 11 + column): kind})


def test_a_room_as_the_file_says_has_no_fault() -> None:
    """Every test passes."""
    assert faults(measure(bench_of(ROOM))) == []


@pytest.mark.parametrize("seed", range(20))
def test_what_is_expected_agrees_with_contacts(seed: int) -> None:
    """In random rooms, with mults, ties and cross normals: each test of a normal and of neighbours."""
    room = random_pair_of_rooms(seed)[1]
    bench = Contacts(room)
    for trial in make_proof(room):
        if trial.kind in (NORMAL, NEIGHBOURS, TIE) and trial.expected in (CLOSED, OPEN) and not trial.about:
            plugged = [] if trial.dummy is None else [room.jacks[trial.dummy].address.lower()]
            top, bottom = (room.jacks[jack].address for jack in (trial.top, trial.bottom))
            joined = bench.joined(top, bottom, plugged)
            assert joined == (trial.expected == CLOSED), trial


@pytest.mark.parametrize("column", [1, 5, 9, 10, 12])
@pytest.mark.parametrize("kind", KINDS)
def test_another_kind_is_named(column: int, kind: str) -> None:
    """Whatever the file says and whatever is there: the pattern of three tests names it."""
    file = kinds_of(ROOM)[column - 1, 11 + column]
    found = faults(measure(bench_of(with_kind(column, kind))))
    if kind == file:
        assert found == []
        return
    assert [(f.jacks, f.file, f.behaves) for f in found] == [((column - 1, 11 + column), file, kind)]
    assert (f"behaves as {kind}:" in found[0].text) == (kind != "none")
    if kind == "none":
        assert "three times open: no normal, or a dead contact or jumper" in found[0].text


def test_which_end_sits_where() -> None:
    """The words of the design: a half normal whose top end sits on the normal contact."""
    assert faults(measure(bench_of(with_kind(5, "full"))))[0].text == (
        "A5 and B5: file: half; behaves as full: the top end sits on the normal contact."
    )


@pytest.mark.parametrize("conductor", ["tip", "ring", "sleeve"])
@pytest.mark.parametrize("column", [2, 6])
def test_one_dead_leg(conductor: str, column: int) -> None:
    """A jumper that is missing, a contact that is dead: of that conductor alone."""
    bench = bench_of(ROOM)
    del bench[conductor].jumpers[frozenset((f"a{column}", f"b{column}"))]
    found = faults(measure(bench))
    assert [(f.fault, f.conductors, f.behaves) for f in found] == [("none or dead", (conductor,), "none")]
    bench = bench_of(ROOM)
    bench[conductor].cut.add(frozenset(((f"b{column}", "line"), (f"b{column}", "normal"))))
    assert [(f.fault, f.conductors, f.jacks) for f in faults(measure(bench))] == [
        ("none or dead", (conductor,), (column - 1, 11 + column))
    ]


def test_one_leg_of_another_kind() -> None:
    """The ring's jumper alone sits elsewhere."""
    bench = bench_of(ROOM) | {"ring": Contacts(with_kind(6, "full"))}
    found = faults(measure(bench))
    assert [(f.fault, f.conductors, f.behaves) for f in found] == [("wrong kind", ("ring",), "full")]


def displaced(pairs: dict[int, int]) -> dict[str, Contacts]:
    """Half normals of columns 5 to 8 whose bottom ends go to other columns."""
    kinds = {jacks: kind for jacks, kind in kinds_of(ROOM).items() if not 4 <= jacks[0] < 8}
    return bench_of(with_kinds(ROOM, kinds | {(top - 1, 11 + bottom): "half" for top, bottom in pairs.items()}))


def test_crossed_neighbours_are_named() -> None:
    """By the tests to the next column, and in a quick proof by the jack that the tester writes."""
    crossed = displaced({5: 5, 6: 7, 7: 6, 8: 8})
    found = faults(measure(crossed))
    assert [(f.fault, f.jacks) for f in found] == [("crossed", (5, 17, 6, 18))]
    assert "A6 comes out at B7, and A7 at B6" in found[0].text
    assert [f.fault for f in faults(quick(crossed, {5: "B7", 6: "at B6"}))] == ["crossed"]
    assert all("are they crossed" in f.text for f in faults(quick(crossed, {})))


@pytest.mark.parametrize("step", [-1, 1])
def test_a_row_shifted_by_one_is_named(step: int) -> None:
    """A run of normals that sit one column on."""
    there = displaced({n: n + step for n in range(5, 9) if 5 <= n + step <= 8})
    found = faults(measure(there))
    shifted = [f for f in found if f.fault == "shifted"]
    assert len(shifted) == 1
    assert ("up" if step > 0 else "down") in shifted[0].text
    # at the end of the run one normal has nowhere to go
    assert [f.fault for f in found if f.fault != "shifted"] == ["none or dead"]
    assert any("the row is shifted by one" in f.text for f in faults(quick(there, {})))


def quick(bench: dict[str, Contacts], found_at: dict[int, str]) -> bytes:
    """Normals alone, with the jacks that a tester found in place of 'open', by the top jack."""

    def changed(trial: Trial, text: str) -> str:
        if trial.kind != NORMAL or trial.conductor == "sleeve":
            return ""
        return found_at.get(trial.top, text) if trial.state == REST else text

    return measure(bench, changed=changed)


def test_a_short_to_a_neighbour() -> None:
    """Two rears that touch."""
    bench = bench_of(ROOM)
    bench["tip"].bridges.append((("a6", "line"), ("a7", "line")))
    assert ("short", (5, 6)) in [(f.fault, f.jacks) for f in faults(measure(bench))]


@pytest.mark.parametrize(
    ("kind", "written", "fault", "words"),
    [
        (TIE, "open", "none or dead", "Long line, tip: open from end to end"),
        ("mult", "OL", "none or dead", "not joined to C3"),
        (PHANTOM, "0.4 V", "legs", "Pre 1 in, tip reads 0.4: not 24 V"),
        (PHANTOM, "23.7", "legs", "the legs differ by 0.32 V"),
        (TERMINATION, "37.5 ohm", "failed", "no termination, or more than one"),
        ("left and right", "right", "crossed", "are L and R exchanged?"),
        (NORMAL, "4.7 ohm", "bad joint", "A1 and B1, tip: 4.7 ohm"),
    ],
)
def test_other_faults(kind: str, written: str, fault: str, words: str) -> None:
    """Each by one reading of one test."""
    target = next(trial for trial in TRIALS if trial.kind == kind)
    data = measure(bench_of(ROOM), changed=lambda trial, text: written if trial is target else text)
    found = faults(data)
    assert [f.fault for f in found] == [fault]
    assert words in found[0].text


def test_open_at_rest_and_closed_with_a_plug() -> None:
    """No wiring does that: a contact that a plug wipes clean."""
    found = faults(
        measure(bench_of(ROOM), changed=lambda t, text: {REST: "open", TOP: "closed"}.get(t.state, text)
                if t.kind == NORMAL and t.top == 4 else text)
    )  # fmt: skip
    assert [f.fault for f in found] == ["unsteady"]


@pytest.mark.parametrize(
    ("change", "row", "column", "words"),
    [
        (("measured", "banana"), 2, 16, "'banana' is not closed, open or a figure in ohm"),
        (("measured", "12 V"), 2, 16, "another unit"),
        (("pass", "perhaps"), 2, 17, "neither yes nor no"),
        (("top", "Z9"), 2, 6, "no jack 'Z9'"),
        (("conductor", "screen"), 2, 2, "no such test"),
        (("state", "upside down"), 2, 2, "no such test"),
    ],
)
def test_nonsense_is_refused_with_its_place(change: tuple[str, str], row: int, column: int, words: str) -> None:
    """Row and column as a spreadsheet counts them."""
    rows = list(csv.reader(io.StringIO(proof_csv(ROOM, TRIALS), newline="")))
    rows[1][rows[0].index(change[0])] = change[1]
    out = io.StringIO()
    csv.writer(out).writerows(rows)
    with pytest.raises(BadResults) as refused:
        read_results(out.getvalue().encode(), "results.csv", ROOM, TRIALS)
    problem = refused.value.problems[0]
    assert (problem.row, problem.column) == (row, column)
    assert words in problem.text


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "the file is empty"),
        (b"a,b\n1,2\n", "columns 'test', 'state', 'top', 'bottom', 'conductor' and 'measured' missing"),
        (b'"a', "it is no table"),
        (b"\xff\xfea", "begins as UTF-16"),
        (b"test,state,top,bottom,conductor\nnormal,both empty,A1,B1,tip\n", "column 'measured' missing"),
        (
            b"test,state,top,bottom,conductor,measured\nnormal,both empty,A1,B1,tip,0.2\nnormal,both empty,a1,b1,tip,OL\n",
            "row 2 says otherwise",
        ),
    ],
)
def test_files_that_are_no_results(data: bytes, words: str) -> None:
    """Each says what is missing."""
    with pytest.raises(BadResults, match=words):
        read_results(data, "results.csv", ROOM, TRIALS)


def test_a_spreadsheet_s_own_ways() -> None:
    """A title above the headings, capitals, blank rows, tabs, UTF-16, a tick in place of a figure."""
    text = (
        "Proof of tonight\t\t\t\t\t\n\nTEST\tState\tTop\tBOTTOM\tconductor\tMeasured \tPass\n"
        "normal\tboth empty\t a5 \tb5\ttip\t\tyes\n\t\t\t\t\t\t\nnormal\tboth empty\tA5\tB5\tring\t\tno\n"
    )
    found = find_faults(ROOM, read_results(text.encode("utf-16"), "results.csv", ROOM, TRIALS))
    assert [(f.conductors, f.behaves) for f in found] == [(("ring",), "none")]


# Which tests there are, and the papers


def test_quick_and_changed_are_parts_of_the_whole() -> None:
    """Quick is normals, tip and ring; what was changed comes with its neighbours."""
    kelpfield = read_room("rooms/kelpfield.yaml")
    whole, quick_one = make_proof(kelpfield), make_proof(kelpfield, quick=True)
    assert {trial.kind for trial in quick_one} == {NORMAL}
    assert set(quick_one) <= set(whole)
    new = with_kinds(kelpfield, kinds_of(kelpfield) | {(96 + n, 144 + n): "full" for n in range(16)})
    changed = make_proof(new, old=kelpfield)
    assert set(changed) <= set(make_proof(new))
    tops = {new.jacks[trial.top].address for trial in changed if trial.kind == NORMAL}
    assert tops == {f"C{n}" for n in range(1, 18)}
    assert make_proof(kelpfield, old=kelpfield) == []


def test_digital_lines_are_never_tested_by_ohmmeter() -> None:
    """By lock: a transformer reads as a short."""
    box = [trial for trial in TRIALS if trial.kind == NORMAL and trial.top == 11]
    assert {(trial.method, trial.conductor) for trial in box} == {("lock", "all")}
    assert [trial.expected for trial in box] == [CLOSED, OPEN, OPEN]


def test_phantom_under_load() -> None:
    """Half the supply at P48: 48 V x 6.8 / (6.8 + 6.8), a divider (Ohm's law)."""
    assert {trial.expected for trial in TRIALS if trial.kind == PHANTOM} == {"24 V"}


def test_papers_have_every_test() -> None:
    """As a page, as tables, as text of 80 columns."""
    page, text = proof_html(ROOM, TRIALS, "today"), proof_text(ROOM, TRIALS, "today")
    numbers = sum(len(table.rows) for table in proof_sheet(ROOM, TRIALS, "today").tables[1:])
    assert page.count('<td class="number">') == numbers
    assert max(map(len, text.splitlines())) <= 80
    assert "The dummy is an unwired plug" in text
    assert "licensed people" in text
    assert "licensed people" in page


def test_the_command(tmp_path: Path, capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    """The table is printed, filled in, read back; the status says whether something failed."""

    def run(*arguments: str) -> tuple[int, str, str]:
        status = main(["proof", "rooms/attic.yaml", *arguments])
        out, err = capfdbinary.readouterr()
        return status, out.decode(), err.decode()

    status, out, _ = run("--json")
    assert status == 0
    tests = [json.loads(line) for line in out.splitlines()]
    assert [test["number"] for test in tests] == list(range(1, len(tests) + 1))
    assert tests[0]["in"] == "Booth 1 at its gear, or the rear of A1"
    status, table, _ = run("--as", "csv", "--quick")
    file = tmp_path / "results.csv"
    rows = list(csv.DictReader(io.StringIO(table, newline="")))
    for passed, expected_status in ((True, 0), (False, 1)):
        for row in rows:
            row["measured"] = row["expected"] if passed or row["top"] != "A5" else "open"
        out_file = io.StringIO()
        writer = csv.DictWriter(out_file, rows[0].keys())
        writer.writeheader()
        writer.writerows(rows)
        file.write_text(out_file.getvalue(), "utf-8")
        status, out, _ = run("--results", str(file))
        assert status == expected_status
        assert ("A5 and B5: file: half; three times open" in out) == (not passed)
    status, out, _ = run("--results", str(file), "--json")
    assert json.loads(out.splitlines()[0])["file"] == "half"
    file.write_text("nonsense", "utf-8")
    status, _, err = run("--results", str(file))
    assert (status, "row 1, column 1" in err) == (2, True)
    assert run("--results", str(tmp_path / "none"))[0] == 2
