"""The typed line: an input that keeps a history, takes a paste of many lines, and never blinks."""

from __future__ import annotations

from textual import events
from textual.message import Message
from textual.widgets import Input

from model.commands.reading import MAX_CHARACTERS
from model.text.clean import shown
from tui.screen.keys import bindings


class TypedLine(Input):
    """The heart of the screen."""

    BINDINGS = bindings("line")

    class Pasted(Message):
        """A paste that is more than a few words for the line: several lines, or one that is too long."""

        def __init__(self, lines: list[str]) -> None:
            super().__init__()
            self.lines = lines

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id, select_on_focus=False, compact=True, max_length=MAX_CHARACTERS)
        self.cursor_blink = False
        self.history: list[str] = []
        self._back = 0  # how far back in the history; 0 is the line itself
        self._unfinished = ""

    @property
    def content_width(self) -> int:
        """Cells for the text. It is the line's own width as long as the text fits, so that no key moves the layout."""
        return max(self.scrollable_content_region.width, super().content_width)

    def put(self, text: str) -> None:
        """Set the line, with the cursor at its end."""
        self.value = text
        self.cursor_position = len(text)

    def remember(self, text: str) -> None:
        """A line was entered or dropped."""
        if text.strip() and (not self.history or self.history[-1] != text):
            self.history.append(text)
        self._back = 0

    def earlier(self, steps: int) -> None:
        """Walk the history: back with 1, forward with -1, where the unfinished line is the last."""
        if self._back == 0:
            self._unfinished = self.value
        back = max(0, min(len(self.history), self._back + steps))
        if back != self._back:
            self._back = back
            self.put(self.history[-back] if back else self._unfinished)

    def _on_paste(self, event: events.Paste) -> None:
        event.stop()
        event.prevent_default()
        self.take_paste(event.text)

    def take_paste(self, text: str) -> None:
        """Put a pasted text in; several lines, or more than the line can hold, are left to the screen."""
        lines = [shown(line.replace("\t", " ").strip()) for line in text.splitlines()]
        lines = [line for line in lines if line]
        start, end = sorted(self.selection)
        if len(lines) == 1 and len(self.value) - (end - start) + len(lines[0]) <= MAX_CHARACTERS:
            self.replace(lines[0], start, end)
        elif lines:
            self.post_message(self.Pasted(lines))
