"""Reading a typed line."""

from __future__ import annotations

import re

from model.bay.refusals import Malformed
from model.commands.command import Command, Form, Line
from model.commands.table import COMMANDS, GROUPS
from model.language.names import Names
from model.text.suggest import nearest

LONGEST_LINE = 2000  # characters
LONGEST_CARRIED = 10_000_000  # characters of a line that carries a patch; only the record writes such
_CARRIES = re.compile(r"\s*recall\s+[^={}]{1,200}=\s*\{bayhand patch: ", re.IGNORECASE)
ANYWAY = "anyway"

__all__ = ["COMMANDS", "GROUPS", "Command", "Form", "Line", "command_of", "longest_line", "read_line", "split_question"]


def split_question(text: str) -> tuple[str, bool]:
    """A line without the ' ?' at its end, and whether it had one: what would happen, and nothing is changed."""
    stripped = text.strip()
    if stripped.endswith("?") and (len(stripped) == 1 or stripped[-2].isspace()):
        return stripped[:-1].rstrip(), True
    return stripped, False


def split_anyway(text: str) -> tuple[str, bool]:
    """A line without the 'anyway' at its end, and whether it had one.

    >>> split_anyway("pull #3 anyway")
    ('pull #3', True)
    """
    before, space, last = text.rstrip().rpartition(" ")
    return (before.rstrip(), True) if space and last.casefold() == ANYWAY else (text, False)


def command_of(text: str) -> tuple[Command, str]:
    """The command of a line and what stands after its word. A line without a command's word plugs a cord."""
    word, _, rest = text.partition(" ")
    command = COMMANDS.get(word.casefold())
    return (command, rest) if command is not None else (COMMANDS["plug"], text)


def longest_line(text: str) -> int:
    """How many characters a line may have. One that carries a whole patch may have more: only the record writes such."""
    return LONGEST_CARRIED if _CARRIES.match(text) else LONGEST_LINE


def read_line(text: str, names: Names) -> Line:
    """One typed line as an action or a request.

    Raises a :class:`~model.bay.refusals.Refusal`: malformed, unknown, ambiguous, or not possible.
    """
    if len(text) > (longest := longest_line(text)):
        raise Malformed(f"a line has at most {longest} characters, and this one {len(text)}")
    text = text.replace("\t", " ")
    if not text.isprintable():
        at = next(i for i, c in enumerate(text) if not c.isprintable())
        raise Malformed(f"character {at + 1} of the line cannot be printed (U+{ord(text[at]):04X})")
    text = text.strip()
    if not text:
        raise Malformed("nothing was typed")
    command, rest = command_of(text)
    implied = command.word == "plug" and rest is text
    if implied and ">" not in text and not text.startswith("#"):
        raise _no_command(text, names)
    return command.read(rest, names)


def _no_command(text: str, names: Names) -> Malformed:
    word = text.split(None, 1)[0]
    meant = nearest(word.casefold(), COMMANDS)
    if meant:
        return Malformed(f"'{word}' is no command: did you mean '{meant[0]}'?", text)
    return Malformed(f"say what to do with '{text}': {text} > ..., or plug {text} for a loose end", text)
