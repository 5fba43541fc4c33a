"""How a command ends where its surroundings fail it: a sentence, a status, and no traceback."""

from __future__ import annotations

import io
import json
import os
import shlex
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from model.commands.reading import MAX_CHARACTERS
from tests.bench.rooms import ROOT
from tui.cli.run_screen import plain_terminal
from tui.cli.scripts import AT_ONCE
from tui.cli.status import BROKEN_PIPE, FOUND, INTERRUPTED, OK, UNFORESEEN, UNUSABLE

ATTIC = str(ROOT / "rooms" / "attic.yaml")
PROGRAM = f"{sys.executable} -m tui"


def shell(command: str, typed: bytes = b"", **env: str) -> tuple[int, str, str]:
    """Run a command of bash: its status, what it printed, what it said on the side."""
    done = subprocess.run(
        ["bash", "-c", command], input=typed, capture_output=True, cwd=ROOT, env={**os.environ, **env}, check=False
    )
    return done.returncode, done.stdout.decode("utf-8", "surrogateescape"), done.stderr.decode("utf-8", "replace")


ENDINGS: dict[str, tuple[str, int, str]] = {
    "full output": (f"{PROGRAM} rehearse {ATTIC} /dev/null > /dev/full", UNUSABLE, "cannot write to standard output"),
    "closed output": (f"{PROGRAM} check {ATTIC} >&-", UNUSABLE, "cannot write to standard output"),
    "closed output of a sheet": (f"{PROGRAM} sheet {ATTIC} --as md >&-", UNUSABLE, "cannot write to standard output"),
    "closed input": (f"{PROGRAM} rehearse {ATTIC} - <&-", UNUSABLE, "standard input"),
    "closed input of the screen": (f"{PROGRAM} {ATTIC} <&-", UNUSABLE, "needs a terminal"),
    "closed error": (f"{PROGRAM} check nowhere.yaml 2>&-", UNUSABLE, ""),
    "full error": (f"{PROGRAM} check nowhere.yaml 2>/dev/full", UNUSABLE, ""),
    "everything closed": (f"{PROGRAM} check {ATTIC} <&- >&- 2>&-", UNUSABLE, ""),
    "a reader that has gone": (
        f"{{ {PROGRAM} rehearse {ATTIC} <(yes note a | head -20000); echo $? >&2; }} | head -1 >/dev/null",
        OK,
        f"{BROKEN_PIPE}\n",
    ),
    "a script whose name is not UTF-8": (f"{PROGRAM} rehearse {ATTIC} $'no\\xffwhere'", UNUSABLE, "no\ufffdwhere"),
    "a room whose name is not UTF-8": (f"{PROGRAM} check $'no\\xffwhere'", UNUSABLE, "no\ufffdwhere"),
    "a script that is a directory": (f"{PROGRAM} rehearse {ATTIC} .", UNUSABLE, "directory"),
    "a script that is not UTF-8": (
        f"printf 'note a\\nnote \\xff\\n' | {PROGRAM} rehearse {ATTIC}",
        UNUSABLE,
        "entry 2",
    ),
}


@pytest.mark.parametrize("name", ENDINGS)
def test_an_ending(name: str) -> None:
    command, status, says = ENDINGS[name]
    came, _, said = shell(command)
    assert (came, says in said) == (status, True), said
    assert "Traceback" not in said
    assert "\x1b" not in said


def test_an_encoding_without_a_character_gets_its_number_in_text_and_in_json() -> None:
    typed = "note Löwe 漢 𝄞\n".encode()
    for encoding in ("ascii", "latin-1"):
        status, out, said = shell(f"{PROGRAM} rehearse {ATTIC} -", typed, PYTHONIOENCODING=encoding)
        assert (status, said) == (OK, "")
        assert "\\u6f22 \\ud834\\udd1e" in out
        status, out, _ = shell(f"{PROGRAM} rehearse --json {ATTIC} -", typed, PYTHONIOENCODING=encoding)
        assert status == OK
        answer = out.encode("utf-8", "surrogateescape").decode(encoding).splitlines()[-1]
        assert json.loads(answer)["typed"] == "note Löwe 漢 𝄞"


def test_json_escapes_what_steers_a_terminal_and_a_reader_gets_it_back() -> None:
    typed = "note a\x1b[2J\x9b\u202e\u200b\x7fb"
    status, out, _ = shell(f"{PROGRAM} rehearse --json {ATTIC} -", f"{typed}\n".encode())
    assert status == FOUND
    answer = out.splitlines()[-1]
    assert answer.isprintable()
    assert json.loads(answer)["typed"] == typed


def test_entries_are_answered_as_they_come_and_an_interrupt_has_its_status() -> None:
    with subprocess.Popen(
        [sys.executable, "-m", "tui", "rehearse", "--json", ATTIC, "-"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        cwd=ROOT,
    ) as program:
        assert program.stdin is not None
        assert program.stdout is not None
        assert program.stderr is not None
        assert json.loads(program.stdout.readline())["line"] == 0
        for number in (1, 2, 3):
            program.stdin.write(f"note {number}\n".encode())
            program.stdin.flush()
            answer = json.loads(program.stdout.readline())  # it would wait here for ever
            assert (answer["line"], answer["typed"]) == (number, f"note {number}")
        program.send_signal(signal.SIGINT)
        assert program.wait(20) == INTERRUPTED
        assert program.stderr.read() == b""


def test_an_endless_entry_is_refused_with_its_length_and_kept_nowhere() -> None:
    length = 40_000_000
    code = (
        "import resource, sys\n"
        "from tui.cli.main import main\n"
        f"status = main(['rehearse', {ATTIC!r}, '-'])\n"
        "print(status, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024)"
    )
    feed = f"echo note a; head -c {length} /dev/zero | tr '\\0' x; echo; echo note b"
    _, out, said = shell(f"{{ {feed}; }} | {sys.executable} -c {shlex.quote(code)}")
    assert said == ""
    assert f"at most {MAX_CHARACTERS} characters, and this one {length}" in out
    assert "noted: b" in out
    status, mebibytes = out.splitlines()[-1].split()
    assert int(status) == FOUND
    assert int(mebibytes) < 64


@pytest.mark.parametrize(
    "length", [MAX_CHARACTERS - 1, MAX_CHARACTERS, MAX_CHARACTERS + 1, AT_ONCE - 1, AT_ONCE, AT_ONCE + 1, 3 * AT_ONCE]
)
@pytest.mark.parametrize("letter", ["x", "漢"])
def test_an_entry_of_any_length_is_taken_or_refused_by_its_characters(length: int, letter: str, tmp_path: Path) -> None:
    from tui.cli.scripts import TooLong, script

    path = tmp_path / "script"
    path.write_text(f"note a\n{letter * length}\nnote b", "utf-8")
    with script(str(path)) as entries:
        first, entry, last = entries
    assert (first, last) == ("note a", "note b")
    if isinstance(entry, TooLong):
        assert (entry.length, entry.longest) == (length, MAX_CHARACTERS)
        assert length > MAX_CHARACTERS
    else:
        assert entry == letter * length


def test_a_fault_of_a_command_is_told_in_one_sentence_with_the_place_of_its_report(tmp_path: Path) -> None:
    code = (
        "import sys, tui.cli.main, tui.cli.run_check\n"
        "def fails(*_): raise RuntimeError('broken on purpose')\n"
        "tui.cli.run_check.run = fails\n"
        f"sys.exit(tui.cli.main.main(['check', {ATTIC!r}]))"
    )
    status, out, said = shell(f"{sys.executable} -c {shlex.quote(code)}", TMPDIR=str(tmp_path))
    assert (status, out) == (UNFORESEEN, "")
    assert len(said.splitlines()) == 1
    (report,) = tmp_path.iterdir()
    assert str(report) in said
    assert "broken on purpose" in report.read_text("utf-8")


def test_an_empty_home_is_no_place_to_write(tmp_path: Path) -> None:
    status, _, said = shell(f"cd {tmp_path} && {PROGRAM} log {ATTIC}", HOME="", XDG_STATE_HOME="", PYTHONPATH=str(ROOT))
    assert status == UNUSABLE
    assert "no home directory" in said
    assert not list(tmp_path.iterdir())


LOCALES: dict[str, tuple[dict[str, str], bool]] = {
    "nothing said": ({}, False),
    "LC_ALL=C": ({"LC_ALL": "C", "LANG": "en_GB.UTF-8"}, True),
    "LANG=C, as Python has changed it": ({"LANG": "C", "LC_CTYPE": "C.UTF-8"}, True),
    "POSIX": ({"LC_ALL": "POSIX"}, True),
    "UTF-8": ({"LANG": "en_GB.UTF-8"}, False),
    "utf8": ({"LANG": "de_DE.utf8"}, False),
    "C.UTF-8": ({"LC_ALL": "C.UTF-8"}, False),
    "Latin-1": ({"LANG": "de_DE.ISO-8859-1"}, True),
    "LC_ALL before LANG": ({"LC_ALL": "en_GB.UTF-8", "LANG": "C"}, False),
    "a bare console": ({"LANG": "en_GB.UTF-8", "TERM": "linux"}, True),
}


@pytest.mark.parametrize("name", LOCALES)
def test_a_terminal_without_utf_8_gets_ascii_by_itself(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    env, plain = LOCALES[name]
    for variable in ("LC_ALL", "LC_CTYPE", "LANG", "TERM"):
        monkeypatch.delenv(variable, raising=False)
        if variable in env:
            monkeypatch.setenv(variable, env[variable])
    monkeypatch.setattr(sys, "stderr", io.TextIOWrapper(io.BytesIO(), "utf-8"))
    assert plain_terminal() is plain
