"""Reading a typed entry."""

from __future__ import annotations

import difflib
import re
from typing import NamedTuple

from model.bay.actions import Action, singles, together
from model.bay.edits import state_after
from model.bay.refusals import Malformed
from model.commands.command import Command
from model.commands.table import COMMANDS, WORDS
from model.entry.entry import AtBay, Entry
from model.entry.guarded import ANYWAY
from model.language.names import Names
from model.language.quotes import Quotes
from model.language.readings import Readings
from model.language.signs import has_sign

MAX_CHARACTERS = 6000  # the widest step writes itself in less
MAX_ACTIONS = 200  # of one step
ALIKE = 0.75  # of a word and a command's: so alike that one was probably meant for the other
# What is asked of the program and is done elsewhere.
ELSEWHERE = {
    **dict.fromkeys(("quit", "exit", "q", ":q", ":quit"), "F10 leaves the program, and so does 'quit' on the screen"),
    "sheet": "'bayhand sheet ROOM' writes the sheet",
    "print": "'bayhand sheet ROOM' writes the sheet, to be printed",
    "export": "'bayhand sheet ROOM --as yaml' writes the patch",
    "help": "F1 shows the help, and 'bayhand help' lists its topics",
    "theme": "'bayhand help screen' says how the screen is set",
    "copy": "'bayhand sheet ROOM' writes what can be copied",
    "screenshot": "'bayhand sheet ROOM' writes the patch as a page",
}


def split_question(text: str) -> tuple[str, bool]:
    """An entry without the ' ?' at its end, and whether it had one: what would happen, and nothing is changed.

    >>> split_question("pull #3 ?"), split_question("note what now ?")
    (('pull #3', True), ('note what now ?', False))
    """
    stripped = text.strip()
    command, rest = command_of(stripped)
    if command.free_text is not None and re.search(command.free_text, rest, re.IGNORECASE):
        return stripped, False  # the mark belongs to the words, which run to the end
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
    command = WORDS.get(word.casefold())
    if command is not None and len(word) == 1 and rest.strip():
        command = None  # one letter is a command only when it stands alone
    return (command, rest) if command is not None else (COMMANDS["plug"], text)


class Read(NamedTuple):
    """An entry that was read, and whether 'anyway' stood at its end."""

    entry: Entry
    anyway: bool = False


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
    """All that a text can be: entries at the bay parted by ';', an entry with its command's word, a cord without one."""
    readings: Readings[Entry] = Readings()
    if ";" in text:
        readings.attempt(lambda: _parts(text, names))
    _read_part(text, names, readings)
    return readings.one(text)


def _read_part(text: str, names: Names, readings: Readings[Entry]) -> None:
    command, rest = command_of(text)
    implied = command.word == "plug" and rest is text
    if not implied:
        readings.attempt(lambda: command.read(rest, names))
    elif not has_sign(text) and not text.startswith("#"):
        readings.refusals.append(_no_command(text, names))
        return
    if implied or has_sign(text):  # a name may begin with a command's word
        readings.attempt(lambda: COMMANDS["plug"].read(text, names))


def _parts(text: str, names: Names) -> AtBay:
    """Several entries at the bay as one step: each is read in the state after the one before it."""
    quotes = Quotes(text)
    parts = [quotes.plain(part).strip() for part in quotes.text.split(";")]
    if "" in parts:
        raise Malformed("an entry is missing beside ';'", text)
    actions: list[Action] = []
    told: list[str] = []
    for part in parts:
        readings: Readings[Entry] = Readings()
        _read_part(part, names, readings)
        entry = readings.one(part)
        if not isinstance(entry, AtBay):
            raise Malformed(f"';' parts entries at the bay, and '{part}' is none: type it by itself", part)
        actions += singles(entry.action)
        told += entry.told
        if len(actions) > MAX_ACTIONS:
            raise Malformed(f"a step has at most {MAX_ACTIONS} actions", text)
        names = names.at(state_after(names.state, entry.action))
    return AtBay(together(actions), tuple(told))


def _no_command(text: str, names: Names) -> Malformed:
    word = text.split(None, 1)[0].casefold()
    elsewhere = ELSEWHERE.get(word)
    if elsewhere is not None:
        return Malformed(f"'{text}' is no entry at the bay: {elsewhere}", text)
    slips = difflib.get_close_matches(word, [known for known in WORDS if known[0] == word[0]], 1, ALIKE)
    if slips:
        return Malformed(f"'{word}' is no command: did you mean '{slips[0]}'?", text)
    if names.means_something(text):
        return Malformed(f"say what to do with '{text}': put '>' after it, and where its cord goes", text)
    return Malformed(f"'{text}' is no entry that is known here", text)
