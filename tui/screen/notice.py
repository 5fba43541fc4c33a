"""Two lines of words: the mark before the entry, and what must not be overlooked."""

from __future__ import annotations

from tui.screen.ink import Piece
from tui.screen.spans import WordsLine


class Prompt(WordsLine):
    """The mark before the entry."""

    def words(self, width: int) -> list[Piece]:
        """A '>'."""
        return [Piece(">", "key")]


class Notice(WordsLine):
    """Why the record cannot be kept, for as long as that lasts."""

    reason = ""

    def words(self, width: int) -> list[Piece]:
        """The reason, and what can be done."""
        said = f" NOT KEPT ('unrecorded': go on without): {self.reason}"
        return self.ink.cut([self.ink.mark("danger"), Piece(self.ink.clean(said), "alarm")], width)
