"""A command of the typed entry: its word, how it is written, and how it is read."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from model.commands.lazy import loaded
from model.entry.entry import Entry
from model.language.names import Names


class Form(NamedTuple):
    """One way to write a command, and what it does: a line of the help."""

    usage: str
    does: str


class Command(NamedTuple):
    """A command of the typed entry.

    ``reader`` turns what stands after its word into an entry. ``offers`` names what completion offers there
    (see :mod:`model.commands.completion`). ``caution`` is what must be cautioned before it, where it can hurt hearing or gear.
    ``waits``: what is said while the line is typed, of a command whose answer takes too long to be found at every key.
    """

    word: str
    forms: tuple[Form, ...]
    reader: str  # 'module:function', within model
    offers: str = ""
    caution: str = ""
    waits: str = ""
    also: tuple[str, ...] = ()  # other words for it, answered by its own
    free_text: str | None = None  # a pattern: where it is met, the words after it run to the end, whatever they are

    def read(self, text: str, names: Names) -> Entry:
        """What stands after the command's word, as an entry."""
        reader: Callable[[str, Names], Entry] = loaded(self.reader)
        return reader(text, names)
