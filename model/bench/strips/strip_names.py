"""The names on label strips: jacks that belong together under one name, and long names shortened by rule."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from model.bench.written.jack_texts import jack_text
from model.patches.patch_words import behind
from model.room.wiring import Room, Row
from model.text.folding import fold_names
from model.text.ranges import expand

# Advance widths of a plain sans-serif face in thousandths of its size: the standard widths of Helvetica (Adobe's font
# metrics, from memory). A page sets each text to the width told here, so that another face comes out as wide.
_WIDTHS: dict[str, int] = {
    **dict.fromkeys("ijl'|", 222),
    **dict.fromkeys("I .,:;!/ft()[]\\", 278),
    **dict.fromkeys('r-*"', 340),
    **dict.fromkeys("ckJsvxyz", 500),
    **dict.fromkeys("abdeghnopquL0123456789", 556),
    **dict.fromkeys("+=<>~", 584),
    **dict.fromkeys("FTZ", 611),
    **dict.fromkeys("ABEKPSVXY&", 667),
    **dict.fromkeys("CDHNRUw", 722),
    **dict.fromkeys("GOQ", 778),
    **dict.fromkeys("mM", 833),
    "W": 944,
}
_OTHER_WIDTH = 700

# Words of the trade that have a short form everyone reads (common practice, no source).
SHORT_WORDS: dict[str, str] = {
    "amplifier": "amp", "auxiliary": "aux", "bottom": "btm", "channel": "ch", "clock": "clk", "coaxial": "coax",
    "compressor": "comp", "control": "ctl", "converter": "conv", "delay": "dly", "digital": "dig", "direct": "dir",
    "effects": "fx", "equaliser": "eq", "equalizer": "eq", "external": "ext", "group": "grp", "guitar": "gtr",
    "headphones": "hp", "input": "in", "insert": "ins", "instrument": "inst", "interface": "i/f", "internal": "int",
    "keyboard": "keys", "left": "L", "level": "lvl", "line": "ln", "machine": "mch", "master": "mstr",
    "microphone": "mic", "monitor": "mon", "output": "out", "oscillator": "osc", "phones": "ph", "playback": "pb",
    "preamplifier": "pre", "preamp": "pre", "program": "pgm", "recorder": "rec", "return": "rtn", "reverb": "rvb",
    "right": "R", "speaker": "spk", "stereo": "st", "studio": "std", "talkback": "tb", "window": "wdw",
}  # fmt: skip


class Label(NamedTuple):
    """What stands at one jack: its own part of the name, or the whole name where it stands alone."""

    column: int
    text: str
    name: str  # the whole name


class Group(NamedTuple):
    """Jacks side by side under one name; a jack that stands alone is a group of one without a name of its own."""

    name: str
    labels: tuple[Label, ...]


class Shortened(NamedTuple):
    """A name that was too long for its place: what is printed, and whether letters had to be cut off."""

    jack: str  # address, or the first and last of a group
    name: str
    printed: str
    cut: bool


def printed_name(room: Room, jack: int) -> str:
    """What a strip says of a jack: its short name where the room file states one, else what is wired behind it."""
    return jack_text(room, jack, "strip") or behind(room, jack)


def groups_of(room: Room, row: Row) -> Iterator[Group]:
    """A row's jacks that bear a name, those that belong together under one name."""
    names = [printed_name(room, jack) for jack in range(row.first, row.first + row.points)]
    at = 0
    while at < len(names):
        end = at
        while end < len(names) and names[end]:
            end += 1
        while at < end:
            alike = next((place for place in range(at, end) if names[place] != names[at]), end)
            if alike - at > 1:  # a mult: one name over all of it
                yield Group(names[at], tuple(Label(place + 1, "", names[at]) for place in range(at, alike)))
                at = alike
                continue
            apart = next((place for place in range(at, end - 1) if names[place] == names[place + 1]), end)
            for fold in fold_names(names[at:apart]):
                yield _group(fold.template, names[at : at + fold.count], at + 1)
                at += fold.count
        at += 1


_RANGES = re.compile(r"\{[^}]*\}")


def _group(template: str, names: Sequence[str], first: int) -> Group:
    if len(names) == 1:
        return Group("", (Label(first, names[0], names[0]),))
    own = expand(" ".join(_RANGES.findall(template)))
    labels = tuple(
        Label(column, text, name) for column, (text, name) in enumerate(zip(own, names, strict=True), start=first)
    )
    return Group(" ".join(_RANGES.sub(" ", template).split()), labels)


def width_mm(text: str, size_mm: float) -> float:
    """How wide a text is in type of a size, both in mm.

    >>> round(width_mm("Pre 4", 2.0), 2)
    4.79
    """
    return sum(_WIDTHS.get(character, _OTHER_WIDTH) for character in text) * size_mm / 1000


def wrapped(text: str, room_mm: float, size_mm: float, lines: int) -> list[str] | None:
    """A text on as few lines as it needs within a width; None where it needs more than there are.

    >>> wrapped("Squash L out", 8.0, 2.0, 3)
    ['Squash', 'L out']
    """
    found: list[str] = []
    for word in text.split():
        if found and width_mm(f"{found[-1]} {word}", size_mm) <= room_mm:
            found[-1] += f" {word}"
        elif width_mm(word, size_mm) > room_mm:
            return None
        else:
            found.append(word)
    return found if len(found) <= lines else None


class Fitted(NamedTuple):
    """A name in its place: its lines, and how it was made to fit."""

    lines: list[str]
    shortened: bool
    cut: bool


def fitted(name: str, room_mm: float, size_mm: float, lines: int) -> Fitted:
    """A name made to fit: as it is, else by the first rule that makes it short enough, else cut to what would fit."""
    for number, rule in enumerate(_RULES):
        short = " ".join(rule(word) for word in name.split())
        found = wrapped(short, room_mm, size_mm, lines)
        if found is not None:
            return Fitted(found, number > 0, number >= _CUTTING)
    words = [_cut(_RULES[-1](word), room_mm, size_mm) for word in name.split()]
    return Fitted([word for word in words if word][:lines], True, True)


def _short_word(word: str) -> str:
    short = SHORT_WORDS.get(word.lower())
    if short is None:
        return word
    return short.capitalize() if word[:1].isupper() else short


def _without_vowels(word: str) -> str:
    """A word of five letters and more without the vowels within it."""
    short = _short_word(word)
    if len(short) < 5 or not short.isalpha():
        return short
    return short[0] + re.sub("[aeiouAEIOU]", "", short[1:-1]) + short[-1]


def _letters(count: int, word: str) -> str:
    short = _without_vowels(word)
    return short if not short.isalpha() else short[:count]


def _four_letters(word: str) -> str:
    return _letters(4, word)


def _three_letters(word: str) -> str:
    return _letters(3, word)


_RULES: tuple[Callable[[str], str], ...] = (str, _short_word, _without_vowels, _four_letters, _three_letters)
_CUTTING = 3  # from this rule on letters are cut off


def _cut(word: str, room_mm: float, size_mm: float) -> str:
    while word and width_mm(word, size_mm) > room_mm:
        word = word[:-1]
    return word
