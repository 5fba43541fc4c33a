"""A command of the typed line: its word, how it is written, and how it is read."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from typing import NamedTuple

from model.bay.actions import Action
from model.bay.refusals import Malformed
from model.entry.requests import Request
from model.language.names import Names

Line = Action | Request


class Form(NamedTuple):
    """One way to write a command, and what it does: a line of the help."""

    usage: str
    does: str


class Command(NamedTuple):
    """A command of the typed line.

    ``reader`` turns what stands after its word into an action or a request. ``offers`` names what completion offers there
    (see :mod:`model.commands.completion`). ``caution`` is what must be cautioned before it, where it can hurt hearing or gear.
    ``waits``: what is said while the line is typed, of a command whose answer takes too long to be found at every key.
    """

    word: str
    forms: tuple[Form, ...]
    reader: str  # 'module:function', within model
    offers: str = ""
    caution: str = ""
    waits: str = ""

    def read(self, text: str, names: Names) -> Line:
        """What stands after the command's word, as an action or a request."""
        module, _, function = self.reader.partition(":")
        reader: Callable[[str, Names], Line] = getattr(import_module(f"model.{module}"), function)
        return reader(text, names)


def nothing_after(word: str, line: Line) -> Callable[[str, Names], Line]:
    """The reader of a command that stands alone."""

    def read(text: str, names: Names) -> Line:
        if text.strip():
            raise Malformed(f"'{word}' stands alone, without '{text.strip()}'", text)
        return line

    return read
