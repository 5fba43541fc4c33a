"""The typed line: one table of commands, from which reading, completion and help are made."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from model import actions
from model.actions import Action
from model.names import IN, OUT, Names
from model.refusals import Malformed, NotNow, Refusal
from model.requests import Note, Redo, Request, Undo
from model.suggest import nearest

LONGEST_LINE = 2000  # characters
LONGEST_NOTE = 1000
_TAG = re.compile(r"\s+as\s+#\s*(\d+)$", re.IGNORECASE)
_LENGTH = re.compile(r"\s+with\s+(\d+(?:\.\d+)?)\s*(cm|m)?$", re.IGNORECASE)

Line = Action | Request


@dataclass(frozen=True, slots=True)
class Form:
    """One way to write a command, and what it does: a line of the help."""

    usage: str
    does: str


@dataclass(frozen=True, slots=True)
class Command:
    """A command of the typed line.

    ``read`` turns what stands after its word into an action or a request. ``offers`` names what completion offers there
    (see :mod:`model.completion`). ``mind`` is what must be minded before it, where it can hurt hearing or gear.
    """

    word: str
    forms: tuple[Form, ...]
    read: Callable[[str, Names], Line]
    offers: str = ""
    mind: str = ""


def _ends(text: str) -> list[str]:
    ends = [part.strip() for part in text.split(">")]
    if "" in ends and len(ends) > 1:
        raise Malformed("a name is missing beside '>'", text)
    return ends


def _length_cm(digits: str, unit: str | None) -> float:
    length = float(digits) * (100 if unit and unit.lower() == "m" else 1)
    if not 0 < length <= 100_000:
        raise Malformed("a cord's length is more than 0 and at most 1000 m", digits)
    return length


def read_plug(text: str, names: Names) -> Action:
    """'X > Y', 'X' for a loose end, '#7 > Y' for the loose end of a cord; 'X > Y > Z' for a cord of three plugs."""
    length = number = None
    if found := _LENGTH.search(text):
        length, text = _length_cm(found[1], found[2]), text[: found.start()]
    if found := _TAG.search(text):
        number, text = int(found[1][:7]), text[: found.start()]
    ends = _ends(text)
    cord = names.cord(ends[0])
    if cord is not None:
        if len(ends) != 2:
            raise Malformed(f"say where the loose end of cord {cord} goes: #{cord} > C3", text)
        if length is not None or number is not None:
            raise Malformed(f"cord {cord} has its number and its length already", text)
        return actions.PlugLooseEnd(cord, names.address(names.jack(ends[1], IN, held=False)))
    if len(ends) > 1 and names.cord(ends[-1]) is not None:
        raise Malformed(f"the cord comes first: {ends[-1]} > {ends[0]}", text)
    jacks = [names.jack(ends[0], OUT, held=False)]
    # either way round: what follows an input that was named in full is the output that feeds it
    port = names.room.port_at[jacks[0]]
    way = OUT if len(ends) == 2 and port >= 0 and not names.room.ports[port].kind.is_output else IN
    jacks += [names.jack(end, way, held=False) for end in ends[1:]]
    return actions.Plug(tuple(names.address(jack) for jack in jacks), number, length)


def read_lift(text: str, names: Names) -> Action:
    """'C3': the plug in that jack."""
    if names.cord(text) is not None:
        raise Malformed(f"lift takes one plug out of a jack; 'pull {text.strip()}' takes the whole cord", text)
    return actions.Lift(names.address(names.jack(text, held=True)))


def read_pull(text: str, names: Names) -> Action:
    """'#7', the cord in a jack, or 'all'."""
    if text.strip().casefold() == "all":
        return actions.PullAll()
    number = names.cord(text)
    if number is None:
        jack = names.jack(text, held=True)
        number = names.state.plugs.get(jack)
        if number is None:
            raise NotNow(f"{names.address(jack)} is empty", text)
    return actions.Pull(number)


def read_move(text: str, names: Names) -> Action:
    """'C3 > C9': one plug from one jack to another."""
    ends = _ends(text)
    if len(ends) != 2:
        raise Malformed("say from which jack to which: move C3 > C9", text)
    source = names.jack(ends[0], held=True)
    port = names.room.port_at[source]
    way = names.room.ports[port].kind.way if port >= 0 else IN
    return actions.Move(names.address(source), names.address(names.jack(ends[1], way, held=False)))


def read_phantom(text: str, names: Names) -> Action:
    """'X on' or 'X off'."""
    words = text.rsplit(None, 1)
    if len(words) != 2 or words[1].casefold() not in ("on", "off"):
        raise Malformed("say whose phantom, and on or off: phantom pre 4 on", text)
    return actions.Phantom(names.supply(words[0]).name, words[1].casefold() == "on")


def read_put(text: str, names: Names) -> Action:
    """'MICROPHONE on LINE'."""
    parts = re.split(r"\s+on\s+", text.strip(), flags=re.IGNORECASE)
    if len(parts) < 2:
        raise Malformed("say which microphone on which line: put ribbon on live 3", text)
    refusal: Refusal | None = None
    for cut in range(1, len(parts)):  # a name may hold the word 'on' itself
        try:
            mic = names.mic(" on ".join(parts[:cut]))
            return actions.Put(mic.name, names.mic_line(" on ".join(parts[cut:])).name)
        except Refusal as why:
            refusal = refusal or why
    assert refusal is not None
    raise refusal


def read_clear(text: str, names: Names) -> Action:
    """'LINE': its microphone goes back to the locker."""
    return actions.Clear(names.mic_line(text).name)


def read_note(text: str, names: Names) -> Line:
    """Any words."""
    if not text.strip():
        raise Malformed("a note needs words: note kick mic hums")
    if len(text) > LONGEST_NOTE:
        raise Malformed(f"a note has at most {LONGEST_NOTE} characters, and this one {len(text)}")
    return Note(text.strip())


def nothing_after(word: str, line: Line) -> Callable[[str, Names], Line]:
    """The reader of a command that stands alone."""

    def read(text: str, names: Names) -> Line:
        if text.strip():
            raise Malformed(f"'{word}' stands alone, without '{text.strip()}'", text)
        return line

    return read


PLUGS_MIND = "Monitors down and phantom off before a plug goes into or comes out of a microphone line."

BAY_COMMANDS: tuple[Command, ...] = (
    Command(
        "plug",
        (
            Form("X > Y", "plug a cord from X to Y; a jack (A28) or a name (pre 4 out), either way round"),
            Form("X > Y with 60 cm as #12", "the same, with the cord's length and the number on its tag"),
            Form("X > Y > Z", "a cord with three plugs"),
            Form("plug X", "plug one end: a loose end"),
            Form("#7 > X", "plug the loose end of cord 7"),
        ),
        read_plug,
        "ends",
        PLUGS_MIND,
    ),
    Command(
        "lift", (Form("lift X", "take that one plug out; the cord's other plugs stay"),), read_lift, "held", PLUGS_MIND
    ),
    Command(
        "pull",
        (Form("pull X, pull #7, pull all", "take the whole cord out"),),
        read_pull,
        "held",
        PLUGS_MIND,
    ),
    Command("move", (Form("move X > Y", "one plug from one jack to another"),), read_move, "move", PLUGS_MIND),
    Command(
        "phantom",
        (Form("phantom X on, phantom X off", "switch a supply, or a group that shares a switch"),),
        read_phantom,
        "supplies",
        "Monitors down first: switching phantom thumps. Give it half a minute to bleed down.",
    ),
    Command("put", (Form("put MICROPHONE on X", "the input list: a microphone on a line"),), read_put, "put"),
    Command("clear", (Form("clear X", "the input list: no microphone on that line"),), read_clear, "with mic"),
    Command("undo", (Form("undo", "take the last line back"),), nothing_after("undo", Undo())),
    Command("redo", (Form("redo", "do it again"),), nothing_after("redo", Redo())),
    Command("note", (Form("note TEXT", "goes into the record"),), read_note),
)

COMMANDS: dict[str, Command] = {command.word: command for command in BAY_COMMANDS}


def split_question(text: str) -> tuple[str, bool]:
    """A line without the ' ?' at its end, and whether it had one: what would happen, and nothing is changed."""
    stripped = text.strip()
    if stripped.endswith("?") and (len(stripped) == 1 or stripped[-2].isspace()):
        return stripped[:-1].rstrip(), True
    return stripped, False


def command_of(text: str) -> tuple[Command, str]:
    """The command of a line and what stands after its word. A line without a command's word plugs a cord."""
    word, _, rest = text.partition(" ")
    command = COMMANDS.get(word.casefold())
    return (command, rest) if command is not None else (COMMANDS["plug"], text)


def read_line(text: str, names: Names) -> Line:
    """One typed line as an action or a request.

    Raises a :class:`~model.refusals.Refusal`: malformed, unknown, ambiguous, or not possible.
    """
    if len(text) > LONGEST_LINE:
        raise Malformed(f"a line has at most {LONGEST_LINE} characters, and this one {len(text)}")
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
