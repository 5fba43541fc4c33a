"""Reading a typed entry."""

from __future__ import annotations

from typing import NamedTuple

from model.bay.refusals import Malformed
from model.commands.command import Command
from model.commands.table import COMMANDS
from model.entry.entry import Entry
from model.entry.guarded import ANYWAY
from model.language.names import Names
from model.text.suggest import nearest

MAX_CHARACTERS = 2000


def split_question(text: str) -> tuple[str, bool]:
    """An entry without the ' ?' at its end, and whether it had one: what would happen, and nothing is changed."""
    stripped = text.strip()
    if stripped.endswith("?") and (len(stripped) == 1 or stripped[-2].isspace()):
        return stripped[:-1].rstrip(), True
    return stripped, False


def split_anyway(text: str) -> tuple[str, bool]:
    """An entry without the 'anyway' at its end, and whether it had one.

    >>> split_anyway("pull #3 anyway")
    ('pull #3', True)
    """
    before, space, last = text.rstrip().rpartition(" ")
    return (before.rstrip(), True) if space and last.casefold() == ANYWAY else (text, False)


def command_of(text: str) -> tuple[Command, str]:
    """The command of an entry and what stands after its word. An entry without a command's word plugs a cord."""
    word, _, rest = text.partition(" ")
    command = COMMANDS.get(word.casefold())
    return (command, rest) if command is not None else (COMMANDS["plug"], text)


class Read(NamedTuple):
    """An entry that was read, and whether 'anyway' stood at its end."""

    entry: Entry
    anyway: bool = False

    @property
    def canonical(self) -> str:
        """The entry as it writes itself."""
        return f"{self.entry} {ANYWAY}" if self.anyway else str(self.entry)


def read_entry(text: str, names: Names) -> Read:
    """One typed entry, without a question mark at its end.

    Raises a :class:`~model.bay.refusals.Refusal`: malformed, unknown, ambiguous, or not possible.
    """
    if len(text) > MAX_CHARACTERS:
        raise Malformed(f"an entry has at most {MAX_CHARACTERS} characters, and this one {len(text)}")
    text = text.replace("\t", " ")
    if not text.isprintable():
        at = next(i for i, c in enumerate(text) if not c.isprintable())
        raise Malformed(f"character {at + 1} of the entry cannot be printed (U+{ord(text[at]):04X})")
    text = text.strip()
    if not text:
        raise Malformed("nothing was typed")
    shorter, anyway = split_anyway(text)
    if anyway:
        entry = _read(shorter, names)
        if entry.acts:
            return Read(entry, True)
    return Read(_read(text, names))


def _read(text: str, names: Names) -> Entry:
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
