"""`bayhand help [TOPIC]`: what there is to read, without a room and without the screen."""

from __future__ import annotations

import argparse
import shutil
import sys

from model.help.plain import WIDTH, as_plain
from model.help.topic import Example, Paragraph, Points, Table, Topic, code
from model.text.caution import CAUTION
from tui.cli.main import SUBCOMMANDS
from tui.cli.pager import show
from tui.cli.status import OK, UNUSABLE, say
from tui.help.topics import TOPICS, help_for, not_found


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    parser.add_argument("topic", metavar="TOPIC", nargs="?", help=f"one of {', '.join(TOPICS)}; or a command's word")


def run(args: argparse.Namespace) -> int:
    """Show a topic, or the list of topics; 2 where there is none of that name."""
    topic = list_of_topics() if args.topic is None else help_for(args.topic)
    if topic is None:
        said = not_found(args.topic)
        if args.topic in SUBCOMMANDS:
            said = f"'bayhand {args.topic} --help' tells the options of that command"
        say(said)
        return UNUSABLE
    show("".join(f"{line}\n" for line in as_plain(topic, _width())))
    return OK


def list_of_topics() -> Topic:
    """The list of topics, and how to ask for one."""
    return Topic(
        "bayhand help",
        (
            Table(("topic", "about"), tuple((code(name), listed.about) for name, listed in TOPICS.items())),
            Paragraph("To read one:"),
            Example("bayhand help TOPIC"),
            Points(
                (
                    "`bayhand help WORD` shows the forms of a command that is typed at the bay: `bayhand help pull`.",
                    "`bayhand --help` lists the commands of the command line, `bayhand COMMAND --help` their options.",
                    "In the screen F1 shows keys, commands and marks.",
                )
            ),
            Paragraph(CAUTION),
        ),
    )


def _width() -> int:
    """How wide a line may be: the terminal's width, and never more than can be read at ease."""
    return min(WIDTH, shutil.get_terminal_size((WIDTH, 24)).columns) if sys.stdout.isatty() else WIDTH
