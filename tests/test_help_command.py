"""`bayhand help`: what it prints, its statuses, when it pages; and a topic read in the screen."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest

from model.help.plain import as_plain, block_lines
from tests.screen_room import Player, play
from tests.test_house import loaded_after
from tui.cli.main import SUBCOMMANDS, main
from tui.cli.pager import pager_command
from tui.help.topics import TOPICS, help_for
from tui.screen.topic_screen import WIDTH, TopicScreen

ROOT = Path(__file__).parent.parent
EVERYWHERE = {"PATH": os.environ["PATH"], "TERM": "xterm"}


@pytest.mark.parametrize("word", [*TOPICS, "pull"])
def test_a_topic_is_printed(word: str, capsys: pytest.CaptureFixture[str]) -> None:
    topic = help_for(word)
    assert topic is not None
    assert main(["help", word]) == 0
    printed = capsys.readouterr()
    assert printed.out.splitlines() == as_plain(topic)
    assert printed.err == ""


def test_without_a_topic_all_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["help"]) == 0
    out = capsys.readouterr().out
    assert all(f"\n{name} " in out for name in TOPICS)


@pytest.mark.parametrize("word", ["rumes", "", "\x1b[2J"])
def test_an_unknown_topic_has_status_2(word: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["help", word]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert "there is no help on" in printed.err
    assert "\x1b" not in printed.err


@pytest.mark.parametrize("command", SUBCOMMANDS)
def test_a_command_of_the_command_line_says_where_its_options_are(
    command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["help", command]) == 2
    assert f"'bayhand {command} --help'" in capsys.readouterr().err


def test_it_starts_without_the_screen() -> None:
    """Only the topic on keys brings Textual."""
    code = "import contextlib, io\nfrom tui.cli.main import SUBCOMMANDS, main\nwith contextlib.redirect_stdout(io.StringIO()):"
    loaded = loaded_after(f"{code}\n    assert main(['help', 'rooms']) == 0 and main(['help']) == 0")
    assert "model.help.rooms" in loaded
    assert not [name for name in loaded if name.partition(".")[0] in ("textual", "rich", "networkx")]


# The pager


def test_which_pager() -> None:
    assert pager_command({**EVERYWHERE, "PAGER": "cat -s"}) == ["cat", "-s"]
    assert pager_command({**EVERYWHERE, "PAGER": ""}) == []
    assert pager_command({**EVERYWHERE, "PAGER": "cat", "TERM": "dumb"}) == []
    assert pager_command({**EVERYWHERE, "PAGER": "cat", "PATH": "/nowhere"}) == []
    without = pager_command(EVERYWHERE)  # `less`, where the machine has one
    assert without in ([], ["less"])
    assert pager_command({**EVERYWHERE, "PAGER": "no-such-pager"}) == without
    assert pager_command({**EVERYWHERE, "PAGER": "cat 'unclosed"}) == without


def on_a_terminal(environment: dict[str, str], *arguments: str) -> tuple[int, str]:
    """Run the program with standard output on a terminal of 80 columns; its status and what it printed there."""
    leader, follower = pty.openpty()
    environment = {**os.environ, "TERM": "xterm", "COLUMNS": "80", "PYTHONUTF8": "1", **environment}
    program = subprocess.Popen(
        [sys.executable, "-m", "tui", "help", *arguments], cwd=ROOT, stdout=follower, stderr=follower, env=environment
    )
    os.close(follower)
    printed = b""
    try:
        while piece := os.read(leader, 65536):
            printed += piece
    except OSError:  # what Linux answers once nothing writes to the terminal any more
        pass
    os.close(leader)
    return program.wait(), printed.decode().replace("\r\n", "\n")


def test_on_a_terminal_it_goes_through_the_pager() -> None:
    status, printed = on_a_terminal({"PAGER": "sed s/^/paged:/"}, "kinds")
    kinds = help_for("kinds")
    assert kinds is not None
    assert printed.splitlines() == [f"paged:{line}" for line in as_plain(kinds)]
    assert status == 0


@pytest.mark.parametrize("pager", ["true", "head -1", "false"])
def test_a_pager_that_is_left_early_is_no_fault(pager: str) -> None:
    status, printed = on_a_terminal({"PAGER": pager}, "entries")
    assert status == 0
    assert len(printed.splitlines()) < 2


def test_a_pager_that_cannot_be_started_shows_nothing_and_the_text_is_printed(tmp_path: Path) -> None:
    broken = tmp_path / "pager"
    broken.write_bytes(b"\x7fELF no program")
    broken.chmod(0o755)
    status, printed = on_a_terminal({"PAGER": str(broken)}, "kinds")
    assert status == 0
    assert "1 500 ohm" in printed
    assert "Traceback" not in printed


def test_an_interrupt_is_left_to_the_pager() -> None:
    """The pager interrupts the program as Ctrl+C would, and goes on."""
    status, printed = on_a_terminal({"PAGER": "sh -c 'kill -INT $PPID; cat'"}, "kinds")
    assert status == 0
    assert "it joins nothing" in printed
    assert "Traceback" not in printed


def test_an_unknown_topic_is_not_paged() -> None:
    status, printed = on_a_terminal({"PAGER": "sed s/^/paged:/"}, "rumes")
    assert status == 2
    assert printed.startswith("there is no help on 'rumes'")


def test_an_output_that_cannot_encode_a_character_gets_another_in_its_place() -> None:
    code = "import sys\nfrom tui.cli.pager import show\nshow('1 k\\u03a9\\n')"
    environment = {**os.environ, "PYTHONIOENCODING": "ascii"}
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, env=environment, capture_output=True, check=False)
    assert (done.returncode, done.stdout) == (0, b"1 k?\n")


# In the screen


@pytest.mark.parametrize("word", ["json", "done"])
def test_a_topic_is_read_whole_in_the_screen(word: str) -> None:
    """On the smallest screen its lines stand as in a terminal, none of them wrapped a second time."""
    topic = help_for(word)
    assert topic is not None
    wanted = [line for block in topic.blocks for line in block_lines(block, WIDTH) if not set(line) <= set("- ")]

    async def act(player: Player) -> None:
        player.app.push_screen(TopicScreen(player.screen.ink, topic))
        await player.until("Esc closes it")
        seen: list[str] = []
        while player.lines != seen[-len(player.lines) :]:
            seen += player.lines
            await player.press("pagedown")
        await player.press("escape")
        assert player.app.screen is player.screen
        rows = {line.strip(" │|█▲▼") for line in seen}
        assert [line for line in wanted if line.strip() not in rows] == []

    play(act)
