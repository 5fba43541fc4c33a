"""The pages that are made from the code. `python -m tests.written_pages` writes them.

`rooms/README.md` is the help's topic on the room file, and that on kinds. In `README.md` each made part stands between
`<!-- NAME -->` and `<!-- / -->`.
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable
from pathlib import Path

from model.help import kinds, rooms
from model.help.entries import brief_table
from model.help.markdown import as_markdown, block_markdown
from model.help.topic import Example, Table, code
from model.rehearse import as_text, at_rest_text, play
from model.room.file import read_room
from model.session import Session
from tui.cli.main import SUBCOMMANDS, command_module
from tui.help.topics import TOPICS

ROOT = Path(__file__).parent.parent
README = ROOT / "README.md"
ROOMS_README = ROOT / "rooms" / "README.md"
_BLOCK = re.compile(r"(<!-- ([a-z ]+) -->\n).*?(<!-- / -->)", re.DOTALL)
_WIDE = 1000  # columns, so that a usage is one line

PLAYED_ROOM = "rooms/kelpfield.yaml"
PLAYED = ("put ribbon on hall 3", "hall 3 > brindle 2", "phantom brindle 1 on ?", "why tallow 3 in")


def _entries() -> str:
    return block_markdown(brief_table())


def _topics() -> str:
    rows = tuple((code(f"bayhand help {name}"), listed.about) for name, listed in TOPICS.items())
    return block_markdown(Table(("typed", "about"), rows))


def _commands() -> str:
    """Each command with all that it takes, as its own parser says it."""
    lines = []
    for name, says in {"screen": "the screen", **SUBCOMMANDS}.items():
        prog = "bayhand" if name == "screen" else f"bayhand {name}"
        parser = argparse.ArgumentParser(
            prog=prog, add_help=False, formatter_class=lambda prog: argparse.HelpFormatter(prog, width=_WIDE)
        )
        command_module(name).arguments(parser)
        usage = " ".join(parser.format_usage().removeprefix("usage: ").split())
        lines += [usage, f"    {says}"]
    return block_markdown(Example("\n".join(lines), "text"))


def _played() -> str:
    """Some entries, and what `rehearse` prints of them."""
    session = Session(read_room(ROOT / PLAYED_ROOM))
    lines = [*at_rest_text(session), *(line for played in play(session, PLAYED) for line in as_text(played))]
    command = f".venv/bin/bayhand rehearse {PLAYED_ROOM} <<'END'"
    script = Example("\n".join([command, *PLAYED, "END"]), "sh")
    return f"{block_markdown(script)}\n{block_markdown(Example(chr(10).join(lines), 'text'))}"


PARTS: dict[str, Callable[[], str]] = {
    "commands": _commands,
    "entries": _entries,
    "played": _played,
    "topics": _topics,
}


def readme() -> str:
    """README with its parts made anew."""
    return _BLOCK.sub(lambda block: f"{block[1]}{PARTS[block[2]]()}{block[3]}", README.read_text("utf-8"))


def rooms_readme() -> str:
    """The reference of the room file."""
    return f"{as_markdown(rooms.topic())}\n{as_markdown(kinds.topic(), 2)}"


PAGES: dict[Path, Callable[[], str]] = {README: readme, ROOMS_README: rooms_readme}


if __name__ == "__main__":
    for page, made in PAGES.items():
        page.write_text(made(), "utf-8")
