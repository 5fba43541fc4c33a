"""Words with their roles, made into lines of cells: cut with a mark, wrapped, and drawn literally."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from typing import NamedTuple

from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip

from model.text.clean import shown
from tui.screen.marks import MARKS, characters
from tui.screen.theme import styles


class Piece(NamedTuple):
    """Some text and its role."""

    text: str
    role: str = "text"


Words = list[Piece]  # one line

# How a unit is written where nothing but ASCII may be.
_PLAIN_UNITS = (("kΩ", "k"), ("MΩ", "M"), ("Ω", "ohm"))


def cells(text: str) -> int:
    """How many cells of the terminal a text takes."""
    return len(text) if text.isascii() else cell_len(text)


def width_of(words: Iterable[Piece]) -> int:
    """How many cells a line takes."""
    return sum(cells(piece.text) for piece in words)


def _fitting(text: str, width: int) -> int:
    """How many characters from a text's start fit into so many cells."""
    if text.isascii():
        return min(len(text), width)
    used = 0
    for at, character in enumerate(text):
        used += cell_len(character)
        if used > width:
            return at
    return len(text)


def _wrapped(words: Words, width: int, hang: int) -> list[Words]:
    if width <= 0:
        return []
    if width_of(words) <= width:
        return [words]
    hang = max(0, min(hang, width // 2, width - 2))  # a wide letter takes two cells
    lines: list[Words] = [[]]
    used = 0
    for piece in words:
        for word in _with_spaces(piece.text):
            size = cells(word.rstrip(" "))
            if used + size > width and used > (hang if len(lines) > 1 else 0):
                lines.append([Piece(" " * hang)] if hang else [])
                used = hang
                word = word.lstrip(" ")
            while cells(word.rstrip(" ")) > width - used:
                fits = max(1, _fitting(word, width - used))
                lines[-1].append(Piece(word[:fits], piece.role))
                word = word[fits:]
                lines.append([Piece(" " * hang)] if hang else [])
                used = hang
            word = word[: _fitting(word, width - used)]  # of the spaces after it no more than fit
            if word:
                lines[-1].append(Piece(word, piece.role))
                used += cells(word)
    return lines


def _with_spaces(text: str) -> list[str]:
    """The words of a text, each with the spaces that follow it."""
    found: list[str] = []
    start = 0
    for at in range(1, len(text)):
        if text[at - 1] == " " and text[at] != " ":
            found.append(text[start:at])
            start = at
    return [*found, text[start:]] if text else []


class Ink:
    """The characters and styles of one screen, and the way from words to strips.

    With ``ascii_only`` nothing else leaves here: a letter keeps its base form where it has one, the rest becomes '?'.
    """

    def __init__(self, ascii_only: bool = False, light: bool = False) -> None:
        self.ascii_only = ascii_only
        self.light = light
        self.characters = characters(ascii_only)
        self.styles: dict[str, dict[str, Style]] = styles(light)  # by ground, then by role

    def clean(self, text: str) -> str:
        """A text from a file, a line or a paste, as it may be drawn."""
        text = shown(text)
        if self.ascii_only and not text.isascii():
            text = unicodedata.normalize("NFKD", text)
            for sign, plain in _PLAIN_UNITS:
                text = text.replace(sign, plain)
            letters = (c for c in text if not unicodedata.combining(c))
            return "".join(c if c.isascii() else "?" for c in letters)
        return text

    def cleaned(self, words: Words) -> Words:
        """A line with all its texts made safe to draw."""
        return [Piece(self.clean(text), role) for text, role in words]

    def wrapped(self, words: Words, width: int, hang: int = 0) -> list[Words]:
        """A line broken between its words into lines of at most ``width`` cells, all but the first ``hang`` cells in."""
        return _wrapped(self.cleaned(words), width, hang)

    def mark(self, name: str) -> Piece:
        """A mark with its own role."""
        return Piece(self.characters[name], MARKS[name].role)

    def cut(self, words: Words, width: int) -> Words:
        """A line of at most so many cells; where something had to go a mark stands at its end."""
        if width_of(words) <= width:
            return words
        if width <= 0:
            return []
        kept: Words = []
        left = width - 1
        for piece in words:
            fits = _fitting(piece.text, left)
            kept.append(Piece(piece.text[:fits], piece.role))
            left -= cells(piece.text[:fits])
            if fits < len(piece.text):
                break
        return [*kept, Piece(self.characters["cut"], "faint")]

    def rule(self, title: str, width: int, after: str = "") -> Words:
        """A title on a line that runs on to the right, with a few words at its end, cut where there is no room."""
        line = self.characters["rule"]
        words = [Piece(f"{line} ", "faint"), Piece(f"{title} ", "title")]
        end: Words = []
        if after:
            room = width - width_of(words) - 4
            end = [Piece(" "), *self.cut([Piece(after, "faint")], max(1, room)), Piece(f" {line}", "faint")]
        left = max(0, width - width_of(words) - width_of(end))
        return self.cut([*words, Piece(line * left, "faint"), *end], width)

    def segments(self, words: Words, width: int, ground: str = "ground") -> list[Segment]:
        """A line of exactly so many cells on a ground."""
        styles = self.styles[ground]
        clean = self.clean
        found = []
        used = 0
        for text, role in words:
            if text:
                text = clean(text)
                used += cells(text)
                found.append(Segment(text, styles[role]))
        if used > width:
            return self.segments(self.cut(self.cleaned(words), width), width, ground) if width > 0 else []
        if used < width:
            found.append(Segment(" " * (width - used), styles["text"]))
        return found

    def strip(self, words: Words, width: int, ground: str = "ground") -> Strip:
        """The same, as it is drawn."""
        return Strip(self.segments(words, width, ground), width)
