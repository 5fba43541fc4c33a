"""All keys, in one table: the bindings, the line of keys at the foot of the screen and the help are made from it.

Terminals and multiplexers keep some keys for themselves, so each thing that matters has a second way: another key, a
word that can be typed, or a place to click. Nothing needs Control with A, B, Q or S.
"""

from __future__ import annotations

from typing import NamedTuple

from textual.binding import Binding, BindingType


class Key(NamedTuple):
    """What a key does in one place. ``keys`` as Textual names them; ``shown`` as people do."""

    where: str  # line, bay, list, help; 'screen' is everywhere but in the help
    keys: str
    shown: str
    action: str
    brief: str  # for the foot of the screen; empty: it is not shown there
    does: str


KEYS: tuple[Key, ...] = (
    Key(
        "entry",
        "enter,ctrl+j",
        "Enter",
        "screen.do_entry",
        "do",
        "do the entry; where nothing is typed take what is offered",
    ),
    Key(
        "entry",
        "tab",
        "Tab",
        "screen.take(1)",
        "names",
        "take the first name offered, then the next; where nothing is typed go to the bay",
    ),
    Key("entry", "shift+tab", "Shift+Tab", "screen.take(-1)", "", "take the name offered before"),
    Key("entry", "up", "Up", "screen.earlier(1)", "entry before", "the entry typed before"),
    Key("entry", "down", "Down", "screen.earlier(-1)", "", "the entry typed after"),
    Key("entry", "escape,ctrl+c", "Esc, Ctrl+C", "screen.drop_entry", "drop", "drop the entry (Up brings it back)"),
    Key("bay", "left", "Left", "go(-1, 0)", "", "the jack before"),
    Key("bay", "right", "Right", "go(1, 0)", "", "the next jack"),
    Key("bay", "up", "Up", "go(0, -1)", "", "the jack above"),
    Key("bay", "down", "Down", "go(0, 1)", "", "the jack below"),
    Key("bay", "ctrl+left", "Ctrl+Left", "go(-8, 0)", "", "eight jacks back"),
    Key("bay", "ctrl+right", "Ctrl+Right", "go(8, 0)", "", "eight jacks on"),
    Key("bay", "ctrl+up", "Ctrl+Up", "go(0, -8)", "", "eight rows up"),
    Key("bay", "ctrl+down", "Ctrl+Down", "go(0, 8)", "", "eight rows down"),
    Key("bay", "enter,ctrl+j", "Enter", "pick", "pick", "put the jack into the entry; two jacks make a cord"),
    Key("bay", "pageup", "PgUp", "page(-1)", "", "the bays before, with the cursor"),
    Key("bay", "pagedown", "PgDn", "page(1)", "", "the bays after, with the cursor"),
    Key("bay", "home", "Home", "go_to(0)", "", "the first jack of the first bay"),
    Key("bay", "end", "End", "go_to(-1)", "", "the last jack of the last bay"),
    Key("list", "up", "Up", "lines(0, -1)", "", "scroll up"),
    Key("list", "down", "Down", "lines(0, 1)", "scroll", "scroll down"),
    Key("list", "pageup", "PgUp", "lines(-1, 0)", "", "a page up"),
    Key("list", "pagedown", "PgDn", "lines(1, 0)", "", "a page down"),
    Key("list", "home", "Home", "first", "", "the first line"),
    Key("list", "end", "End", "last", "", "the last line"),
    Key("bay,list", "tab", "Tab", "screen.go_on(1)", "go on", "go on to the next part of the screen"),
    Key("bay,list", "shift+tab", "Shift+Tab", "screen.go_on(-1)", "", "go back to the part before"),
    Key(
        "bay,list",
        "escape,ctrl+c",
        "Esc, Ctrl+C",
        "screen.to_line",
        "entry",
        "back to the entry; so does any letter",
    ),
    Key("help", "up", "Up", "lines(0, -1)", "", "scroll up"),
    Key("help", "down", "Down", "lines(0, 1)", "", "scroll down"),
    Key("help", "pageup", "PgUp", "lines(-1, 0)", "", "a page up"),
    Key("help", "pagedown,space", "PgDn, Space", "lines(1, 0)", "", "a page down"),
    Key("help", "home", "Home", "first", "", "the first line"),
    Key("help", "end", "End", "last", "", "the last line"),
    Key("help", "escape,enter,ctrl+j,f1,f10,q,ctrl+c,ctrl+q", "Esc, Enter, Q", "screen.close", "close", "close it"),
    Key("screen", "f1", "F1", "screen.help", "help", "this help"),
    Key("screen", "f2,ctrl+l", "F2, Ctrl+L", "screen.part('bay')", "bay", "go to the bay"),
    Key("screen", "f3,ctrl+r", "F3, Ctrl+R", "screen.part('warnings')", "warnings", "go to the warnings"),
    Key("screen", "f4,ctrl+f", "F4, Ctrl+F", "screen.part('happened')", "past", "go to what happened"),
    Key("screen", "f5", "F5", "screen.names", "strips", "show or hide the strips with the names of the jacks"),
    Key("screen", "f6", "F6", "screen.read('answer')", "read", "read the newest answer, or the work list, whole"),
    Key("screen", "f7", "F7", "screen.read('record')", "record", "read the record: what was done, when, at which seat"),
    Key("screen", "f8", "F8", "screen.typed('undo')", "undo", "take the last entry back"),
    Key("screen", "f9", "F9", "screen.typed('redo')", "", "do it again"),
    Key(
        "screen",
        "ctrl+z",
        "Ctrl+Z",
        "screen.back('undo')",
        "",
        "undo what is being typed; where nothing is typed, as F8",
    ),
    Key("screen", "ctrl+y", "Ctrl+Y", "screen.back('redo')", "", "type it again; where nothing is typed, as F9"),
    Key("screen", "f10,ctrl+q", "F10, Ctrl+Q", "screen.leave", "quit", "leave the program"),
)

# Words that can be typed in place of a key.
WORDS: dict[str, str] = {
    "help": "screen.help",
    "?": "screen.help",
    "bay": "screen.part('bay')",
    "warnings": "screen.part('warnings')",
    "happened": "screen.part('happened')",
    "strips": "screen.names",
    "read": "screen.read('answer')",
    "record": "screen.read('record')",
    "quit": "screen.leave",
    "exit": "screen.leave",
    "q": "screen.leave",
}


def action_typed(text: str) -> str:
    """The action of a word typed in place of a key, or of "help" and what it is wanted on; empty where there is none."""
    words = text.split()
    if len(words) > 1 and words[0].casefold() == "help":
        return f"screen.help({' '.join(words[1:])!r})"
    return WORDS.get(" ".join(words).casefold(), "")


# Where the foot of the screen is short, these are the first to be left out.
LEFT_OUT_FIRST = (
    ("entry", "up"),
    ("entry", "escape,ctrl+c"),
    ("bay,list", "tab"),
    ("list", "down"),
    ("screen", "f5"),
    ("screen", "f6"),
    ("screen", "f7"),
)

PLACES: dict[str, str] = {
    "entry": "While an entry is typed",
    "bay": "In the bay",
    "list": "In a list",
    "screen": "Everywhere",
    "help": "In this help, and where an answer or the record is read whole",
}


def keys_of(place: str) -> list[Key]:
    """The keys of a place."""
    return [key for key in KEYS if place in key.where.split(",")]


def bindings(place: str) -> list[BindingType]:
    """A place's keys as bindings."""
    return [Binding(key.keys, key.action, key.does, show=bool(key.brief)) for key in keys_of(place)]
