"""A paste of several lines: they wait until Enter plays them, one after another, up to the first that is refused."""

from __future__ import annotations

from model.commands.reading import MAX_CHARACTERS
from tui.screen.ink import Ink, Piece
from tui.screen.told_words import Item

MAX_LINES = 1000


class Queue:
    """The lines that wait."""

    def __init__(self) -> None:
        self.lines: list[str] = []

    def add(self, lines: list[str]) -> str:
        """Lines of a paste; the answer says why they are not taken, or is empty."""
        longest = max(map(len, lines))
        if longest > MAX_CHARACTERS:
            return f"an entry of the paste has {longest} characters, at most {MAX_CHARACTERS} are allowed: none of it was taken"
        if len(self.lines) + len(lines) > MAX_LINES:
            return f"the paste has {len(lines)} lines, and at most {MAX_LINES} can wait: none of it was taken"
        self.lines += lines
        return ""

    def take(self) -> str:
        """The next line."""
        return self.lines.pop(0)

    def drop(self) -> None:
        """Forget them."""
        self.lines.clear()

    def asks(self, ink: Ink, after_line: bool = False) -> list[Item]:
        """The question that stands while they wait, and the lines."""
        count = len(self.lines)
        first = "First do or drop the entry that stands there; then Enter" if after_line else "Enter"
        waits = "entry waits" if count == 1 else "entries wait"
        ask = f"{count} {waits}. {first} plays them one after another; Esc drops them."
        return [Item([Piece(ask, "strong")]), *(Item([Piece(f"  {line}", "faint")], 4) for line in self.lines)]
