"""The commands for papers and tables as they are typed: status, output, messages; bad input shows no traceback (takes 2 s)."""

from __future__ import annotations

import csv
import io
import json
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path

import pytest

from model.room.file import read_room
from tests.test_command_line import ATTIC, KELPFIELD, run
from tests.writable_rooms import without_lines
from tui.cli.main import SUBCOMMANDS, main

Run = Callable[..., tuple[int, str, str]]
COMMANDS = ("compare-rooms", "strips", "table", "from-table", "graph", "schema", "draw")
__all__ = ["run"]


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_its_help(run: Run, name: str) -> None:
    status, out, _ = run(name, "--help")
    assert (status, out.startswith(f"usage: bayhand {name}")) == (0, True)
    assert name in SUBCOMMANDS


@pytest.mark.parametrize(
    "arguments",
    [
        ("table", "ROOM"), ("strips", "ROOM", "--as", "svg"), ("draw", "ROOM", "--json"), ("graph", "ROOM", "--json"),
        ("compare-rooms", "ROOM", "ROOM"), ("compare-rooms", ATTIC, "ROOM"), ("from-table", "ROOM"),
    ],
)  # fmt: skip
def test_a_file_that_cannot_be_used_is_told(run: Run, arguments: tuple[str, ...], tmp_path: Path) -> None:
    nothing, binary, broken = tmp_path / "nothing.yaml", tmp_path / "binary.yaml", tmp_path / "broken.yaml"
    binary.write_bytes(b"\x00\x01\x02")
    broken.write_text("bayhand: 1\nroom: [\n")
    for path in (nothing, binary, broken, tmp_path):
        status, out, err = run(*(str(path) if each == "ROOM" else each for each in arguments))
        assert (status, out) == (2, "")
        assert str(path) in err
        assert "Traceback" not in err


@pytest.mark.parametrize("name", ["strips", "draw"])
def test_one_bay_alone(run: Run, name: str) -> None:
    status, out, _ = run(name, KELPFIELD, "--bay", "mic bay", "--as", "svg")
    assert status == 0
    assert "A48" in out
    assert "C1<" not in out
    status, out, err = run(name, KELPFIELD, "--bay", "mick bay", "--as", "html")
    assert (status, out) == (2, "")
    assert "did you mean 'Mic bay'" in err


def test_strips_say_first_what_does_not_fit(run: Run) -> None:
    status, out, err = run("strips", KELPFIELD)
    assert status == 0
    assert out.startswith("<!DOCTYPE html>")
    assert "K43 'Oscillator' is shortened: 'Osc'" in err
    assert "No cut marks are printed" in err
    told = json.loads(run("strips", KELPFIELD, "--json")[1])
    assert [strip["rows"] for strip in told["strips"]][:2] == [["A"], ["B"]]


def test_a_room_goes_to_a_table_and_back(run: Run, tmp_path: Path) -> None:
    status, out, err = run("table", KELPFIELD)
    assert (status, err) == (0, "")
    assert out.startswith('\ufeff"bay","place","address"')
    assert next(csv.reader(io.StringIO(out.removeprefix("\ufeff"))))[0] == "bay"
    sheet, made = tmp_path / "jacks.csv", tmp_path / "room.yaml"
    sheet.write_text(out, "utf-8", newline="")
    assert run("from-table", str(sheet), "-o", str(made)) == (0, "", "")
    assert without_lines(read_room(made)) == without_lines(read_room(KELPFIELD))
    assert run("compare-rooms", KELPFIELD, str(made)) == (0, "The two rooms mean the same.\n", "")


def test_a_table_never_writes_over_a_file(run: Run, tmp_path: Path) -> None:
    sheet, made = tmp_path / "jacks.csv", tmp_path / "room.yaml"
    sheet.write_text("jack,port\nA1,Keys\n")
    made.write_text("precious")
    status, _, err = run("from-table", str(sheet), "-o", str(made))
    assert (status, made.read_text()) == (2, "precious")
    assert "there is such a file already" in err
    status, _, err = run("from-table", str(sheet), "-o", str(tmp_path / "none" / "room.yaml"))
    assert (status, "cannot be written" in err) == (2, True)


def test_a_table_tells_its_errors_and_its_guesses(run: Run, tmp_path: Path) -> None:
    sheet = tmp_path / "jacks.csv"
    sheet.write_text("jack,port,normal\nA1,Keys,hlaf\n")
    status, out, err = run("from-table", str(sheet))
    assert (status, out) == (2, "")
    assert err == f"{sheet}: row 2, column C (normal): unknown kind of normal 'hlaf': did you mean 'half'?\n"
    told = json.loads(run("from-table", str(sheet), "--json")[1])
    assert [(each["row"], each["column"]) for each in told["errors"]] == [(2, "C")]
    sheet.write_text("jack,port\nA1,Keys out\n")
    status, out, err = run("from-table", str(sheet))
    assert status == 0
    assert "guessed: row 2, column B (port): 'Keys out' is 'line out', from 'out'" in err
    assert "Keys out: line out  # guessed: line out, from 'out'" in out


def test_rooms_that_differ(run: Run, tmp_path: Path) -> None:
    other = tmp_path / "other.yaml"
    other.write_text(Path(ATTIC).read_text("utf-8").replace("5-11: half", "5-11: full"))
    status, out, _ = run("compare-rooms", ATTIC, str(other))
    assert status == 1
    assert "Normals (7)" in out
    assert "A5-11 to B5-11: half > full" in out
    status, out, _ = run("compare-rooms", ATTIC, str(other), "--json")
    told = json.loads(out)
    assert status == 1
    assert told["normals"][0] == {"top": "A5", "bottom": "B5", "was": "half", "becomes": "full"}
    assert {"ports", "normals", "gear", "figures", "made", "broken"} <= told.keys()


def test_graph_and_schema_and_draw(run: Run) -> None:
    assert ET.fromstring(run("graph", ATTIC, "--as", "graphml")[1]).tag.endswith("graphml")
    assert {"nodes", "edges"} <= json.loads(run("graph", ATTIC, "--json")[1]).keys()
    assert json.loads(run("schema")[1])["$schema"].startswith("http://json-schema.org/")
    assert [bay["bay"] for bay in json.loads(run("draw", ATTIC, "--json")[1])["bays"]] == ["Attic bay"]
    assert main(["draw", ATTIC, "--as", "svg"]) == 0
