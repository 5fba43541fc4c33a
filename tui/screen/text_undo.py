"""What was typed, taken back and typed again: for the text of one entry, never for what an entry did."""

from __future__ import annotations

MAX_STEPS = 200


class TextUndo:
    """The texts before and after the one that stands. A word typed letter by letter is one step."""

    def __init__(self) -> None:
        self._before: list[str] = []
        self._after: list[str] = []
        self._walking = False

    def changed(self, old: str, new: str) -> None:
        """The text became another one."""
        if self._walking or old == new:
            return
        self._after.clear()
        letter = new[len(old) :] if new.startswith(old) else ""
        in_word = bool(self._before) and bool(old) and not old[-1].isspace()
        if not (len(letter) == 1 and not letter.isspace() and in_word):
            self._before.append(old)
            del self._before[:-MAX_STEPS]

    def forget(self) -> None:
        """The entry is over."""
        self._before.clear()
        self._after.clear()

    def back(self, now: str) -> str:
        """The text before; empty where none is known."""
        self._after.append(now)
        return self._before.pop() if self._before else ""

    def forth(self, now: str) -> str:
        """The text that was taken back last, or the one that stands."""
        if not self._after:
            return now
        self._before.append(now)
        return self._after.pop()

    @property
    def can_go_forth(self) -> bool:
        """Whether anything was taken back."""
        return bool(self._after)

    def __enter__(self) -> None:
        self._walking = True

    def __exit__(self, *_: object) -> None:
        self._walking = False
