"""The room file: what each section becomes, every refusal with its place, and reading at the edges of a disk."""

import gc
import math
import os
import subprocess
import sys
from pathlib import Path

import pytest
import yaml

from model.room.file import FileError, RoomFileErrors, UnreadableFile, parse_room, read_room
from model.room.file import reader as roomfile
from model.room.kinds import KINDS
from model.room.wiring import HouseCord, Mic, Normal, Supply
from model.text import strictyaml
from tests.roomfile_refusals import REFUSED, ROOM, assert_refused, errors_of


def line_of(text: str) -> int:
    """The line of the room above on which a text stands; it stands there once."""
    assert ROOM.count(text) == 1
    return ROOM[: ROOM.index(text)].count("\n") + 1


def test_names_and_ports() -> None:
    room = parse_room(ROOM)
    assert room.name == "Saltmarsh, Studio B"
    pre = room.port_named["Pre 4 in"]
    assert (pre.own, pre.kind, pre.ohms, pre.ohms_assumed, pre.line) == (
        "in",
        KINDS["mic in"],
        2400.0,
        False,
        line_of("ohms: 2400"),
    )
    assert pre.supply == Supply(48.0, 6800.0, "Pre 4 in", True)
    out = room.port_named["Pre 4 out"]
    assert (out.level_dbu, out.max_dbu, out.cable_m, out.supply) == (4.0, 24.0, 12.0, None)
    assert room.port_named["Group 2 in"].supply == Supply(24.0, 1000.0, "Bank A", False)
    assert room.port_named["Live 3"].ohms == KINDS["mic line"].ohms
    assert room.port_named["Live 3"].ohms_assumed
    # Gear with one port: the port bears the gear's name, whatever it is called within.
    assert room.port_named["Converter A"].own == "out"
    assert room.port_named["Wedge"].ohms == 20_000.0
    assert [port.index for port in room.ports] == list(range(len(room.ports)))


def test_dbv_is_told_in_dbu() -> None:
    # 0 dBu is sqrt(0.6) V (1 mW in 600 ohm), 0 dBV is 1 V: -10 dBV is 0.316228 V, -7.7815 dBu. Arithmetic.
    level = parse_room(ROOM).port_named["Tape 1 out"].level_dbu
    assert level is not None
    assert math.isclose(level, 20 * math.log10(0.316227766 / math.sqrt(0.6)), abs_tol=1e-6)


def test_what_passes_through_gear() -> None:
    room = parse_room(ROOM)

    def reached(name: str) -> list[str]:
        return [room.ports[port].name for port in room.carried(room.port_named[name].index)]

    assert reached("Pre 4 in") == ["Pre 4 out"]
    assert reached("Tape 4 in") == []
    assert reached("Channel 2 line in") == ["Channel 2 insert send"]
    assert reached("Channel 2 insert return") == ["Channel 2 direct out"]


def test_mics_and_the_rest() -> None:
    room = parse_room(ROOM)
    assert room.mics[1] == Mic("condenser", 150.0, 48.0, 4.0, False, line_of("condenser"))
    assert room.mic_named["ribbon"].harmed
    assert room.cords == {30: 40, 60: 0}
    assert (room.marks, room.priors) == ({"full": "white"}, {"cord": 10.0})


def test_bays_rows_and_jacks() -> None:
    room = parse_room(ROOM)
    assert [bay.name for bay in room.bays] == ["Mic bay", "Desk bay", "Wall"]
    assert [bay.place for bay in room.bays] == ["control room", "", ""]
    assert [row.name for row in room.rows] == ["A", "B", "MR-C", "D", "E"]
    assert len(room.jacks) == 24 * 2 + 8 * 2 + 4
    jack = room.jack_at("mr-c", 3)
    assert jack is not None
    assert (jack.address, room.ports[jack.port].name, jack.line) == ("MR-C3", "Mix L", line_of("3: Mix L"))
    assert [jack.index for jack in room.jacks] == list(range(len(room.jacks)))
    assert room.jack_at("E", 5) is None


def test_normals_ties_and_mults() -> None:
    room = parse_room(ROOM)
    kinds = [normal.kind for normal in room.normals]
    assert kinds == ["full"] * 12 + ["half"] * 10 + ["half top", "half"]
    assert room.normals[0] == Normal(0, 24, "full", False, line_of("1-12: full"))
    assert room.normals[-1] == Normal(50, 56, "half", True, line_of("from: MR-C3"))
    assert [(tie.name, tie.a, tie.b, tie.metres) for tie in room.ties] == [("Tie 1", 58, 64, 30), ("Tie 2", 59, 65, 30)]
    assert room.mults[0].jacks == (60, 61, 62)


def test_the_house_patch() -> None:
    first, second = parse_room(ROOM).house_patch
    assert first == HouseCord((50, 36), None, line_of("- Mix L"))
    assert second == HouseCord((12, 60, 63), 60.0, line_of("- A13"))


def test_a_normal_between_the_jacks_of_a_pair_is_no_cross_normal() -> None:
    room = parse_room(ROOM.replace("from: MR-C3, to: D1", "from: MR-C3, to: D3"))
    assert not room.normals[-1].cross


def test_the_house_patch_may_use_ranges() -> None:
    room = parse_room(ROOM.replace("- Mix L > tape 1 in", "- Pre {2-4} out > Tape {2-4} in\n  - E1-2 > E3-4 with 30"))
    assert room.house_patch[:3] == tuple(HouseCord((12 + n, 36 + n), None, line_of("- Mix L")) for n in (1, 2, 3))
    assert room.house_patch[3] == HouseCord((64, 66), 30.0, line_of("- Mix L") + 1)


def test_gear_with_one_port_answers_to_its_ports_name() -> None:
    room = parse_room(ROOM.replace("2: Converter A out", "2: Converter A"))
    assert room == parse_room(ROOM)


def test_no_cords_stated_is_not_no_cords_owned() -> None:
    assert parse_room(ROOM.replace("cords:\n  30: 40\n  60: 0\n", "")).cords is None
    assert parse_room(ROOM.replace("cords:\n  30: 40\n  60: 0\n", "cords: {}\n")).cords == {}


def test_windows_line_ends_and_a_byte_order_mark() -> None:
    assert parse_room("\ufeff" + ROOM.replace("\n", "\r\n")) == parse_room(ROOM)


def test_the_parser_that_stands_in_for_libyaml_reads_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    room = parse_room(ROOM)
    monkeypatch.setattr(strictyaml, "_Loader", yaml.SafeLoader)
    assert parse_room(ROOM) == room


def test_labels_are_kept_as_written() -> None:
    text = ROOM.replace("Mix {L,R}: line out", '"[red] {L,R}": line out').replace("Mix L", "'[red] L'", 1)
    room = parse_room(
        text.replace("- Mix L", "- '[red] L'").replace("- '[red] L' > tape 1 in", "- '[red] L > tape 1 in'")
    )
    assert "[red] L" in room.port_named


@pytest.mark.parametrize(("old", "new", "at", "words"), REFUSED.values(), ids=REFUSED)
def test_refused(old: str, new: str, at: str, words: str) -> None:
    assert_refused(ROOM, old, new, at, words)


@pytest.mark.parametrize("text", ["", "# nothing\n", "\n", "hello", "- a\n", "{}", "[]", "bayhand", "bayhand: 1\n"])
def test_a_text_that_is_no_room(text: str) -> None:
    assert errors_of(text)


def test_a_room_needs_a_bay() -> None:
    (error,) = errors_of("bayhand: 1\nroom: Attic\nbays: []\n")
    assert error == FileError(3, 7, error.text)
    assert "the room has no bay" in error.text


def test_all_errors_are_reported_together_in_order() -> None:
    text = ROOM.replace("mic in, ohms: 2400", "mic inn, ohms: -1").replace("3: Mix L", "3: Mix LL")
    text = text.replace("jacks: D5-7", "jacks: D5-9").replace("cord: 10", "cord: ten")
    errors = errors_of(text)
    assert [error.line for error in errors] == [
        line_of("ohms: 2400"),
        line_of("ohms: 2400"),
        line_of("3: Mix L"),
        line_of("jacks: D5"),
        line_of("- Mix L"),
        line_of("cord: 10"),
    ]
    assert errors == tuple(sorted(errors))


def test_errors_before_one_of_syntax_are_reported_and_nothing_is_called_missing() -> None:
    text = ROOM[: ROOM.index("bays:")].replace("ohms: 2400", "ohms: 0") + "bays:\n  - bay: 'x\n"
    errors = errors_of(text)
    assert [error.line for error in errors] == [6, 32]
    assert "more than 0" in errors[0].text
    assert "closing quote" in errors[1].text


def test_the_message_has_a_line_for_each_error() -> None:
    with pytest.raises(RoomFileErrors) as caught:
        parse_room(ROOM.replace("is: mic in, ohms: 2400", "is: mic inn, ohms: 0"), "rooms/x\x1b.yaml")
    first, second = str(caught.value).splitlines()
    assert first.startswith(
        "rooms/x\u241b.yaml:6:15: unknown kind 'mic inn' for port 'Pre {1-12} in': did you mean 'mic in'"
    )
    assert second.startswith("rooms/x\u241b.yaml:6:30: ohms of port 'Pre {1-12} in' must be more than 0, not '0'")


def test_no_message_holds_what_steers_a_terminal() -> None:
    bad = '"\\e[31m\\u202e\\a"'
    text = (
        f"{bad}: {bad}\nbayhand: 1\nroom: {bad}\ngear: {{{bad}: {bad}, X: {{is: {bad}, ohms: {bad}, level: {bad}}}}}\n"
    )
    text += f"bays: [{{bay: {bad}, columns: {bad}, rows: {{{bad}: {{{bad}: {bad}}}, A: {{1: {bad}, {bad}: X}}}}}}]\n"
    text += f"mults: [{{name: {bad}, jacks: {bad}}}]\nhouse patch: [{bad}]\ncords: {{{bad}: {bad}}}\n"
    for error in errors_of(text):
        assert error.text.isprintable(), error


def test_a_flood_of_errors_is_bounded() -> None:
    text = "bayhand: 1\nroom: x\nbays: []\ngear:\n" + "".join(f"  G {n}: lime out\n" for n in range(20_000))
    errors = errors_of(text)
    assert len(errors) == 10_001
    assert "more errors are not listed" in errors[-1].text


@pytest.mark.parametrize("collecting", [True, False])
@pytest.mark.parametrize("text", [ROOM, "a: b: c"])
def test_the_garbage_collector_is_left_as_it_was(collecting: bool, text: str) -> None:
    was = gc.isenabled()
    try:
        (gc.enable if collecting else gc.disable)()
        try:
            parse_room(text)
        except RoomFileErrors:
            assert text != ROOM
        assert gc.isenabled() is collecting
    finally:
        (gc.enable if was else gc.disable)()


def test_reading_a_room_loads_no_graphs_and_no_screen() -> None:
    code = "import sys, model.room.file; print(sorted({name.partition('.')[0] for name in sys.modules}))"
    root = Path(roomfile.__file__).parent.parent.parent
    loaded = subprocess.run([sys.executable, "-c", code], cwd=root, capture_output=True, text=True, check=True).stdout
    assert "'yaml'" in loaded
    assert not any(f"'{name}'" in loaded for name in ("networkx", "textual", "rich", "tui"))


# Files


def test_read_room(tmp_path: Path) -> None:
    path = tmp_path / "room.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + ROOM.replace("\n", "\r\n").encode())
    assert read_room(path) == parse_room(ROOM)
    path.write_text(ROOM.replace("ohms: 2400", "ohms: 0"))
    with pytest.raises(RoomFileErrors) as caught:
        read_room(str(path))
    assert str(caught.value).startswith(f"{path}:6:29: ")


def unreadable(path: Path | str) -> str:
    with pytest.raises(UnreadableFile) as caught:
        read_room(path)
    assert str(caught.value).isprintable()
    return str(caught.value)


def test_what_is_no_file(tmp_path: Path) -> None:
    assert "no such file" in unreadable(tmp_path / "none.yaml")
    assert "no such file" in unreadable(tmp_path / "n\x1b[31m.yaml")
    assert "a directory" in unreadable(tmp_path)
    assert "NUL" in unreadable("a\0b")
    assert "cannot be read" in unreadable(tmp_path / ("x" * 5000))
    (tmp_path / "file").write_text(ROOM)
    assert "cannot be read" in unreadable(tmp_path / "file" / "below")
    assert "not an ordinary file" in unreadable(os.devnull)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_named_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    assert "not an ordinary file" in unreadable(tmp_path / "pipe")


def test_no_permission(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "room.yaml"
    path.write_text(ROOM)
    path.chmod(0)
    if os.access(path, os.R_OK):  # whoever may read everything is refused by hand

        def refuse(*_: object, **__: object) -> None:
            raise PermissionError(13, "Permission denied")

        monkeypatch.setattr(Path, "open", refuse)
    assert "no permission" in unreadable(path)


def test_what_is_no_text(tmp_path: Path) -> None:
    path = tmp_path / "room.yaml"
    path.write_bytes(b"\x7fELF\x00\x01")
    assert "binary" in unreadable(path)
    path.write_bytes(ROOM.encode("utf-16"))
    assert "UTF-16" in unreadable(path)
    path.write_bytes(ROOM.replace("Saltmarsh", "Caf\xe9").encode("latin-1"))
    assert "line 2 holds the byte 0xE9; save it as UTF-8" in unreadable(path)
    path.write_bytes(b"")
    with pytest.raises(RoomFileErrors) as caught:
        read_room(path)
    assert caught.value.errors[0][:2] == (1, 1)
    assert "starts with 'bayhand: 1'" in caught.value.errors[0].text


def test_an_enormous_file_is_not_read_whole(tmp_path: Path) -> None:
    path = tmp_path / "room.yaml"
    with path.open("wb") as file:
        file.truncate(1 << 34)  # sparse: it takes no room on the disk
    assert "larger than 32 MiB" in unreadable(path)
