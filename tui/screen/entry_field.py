"""The entry: an input that keeps a history, takes a paste of many lines, and never blinks."""

from __future__ import annotations

from textual import events
from textual.message import Message
from textual.widgets import Input
from textual.widgets.input import Selection

from model.commands.reading import MAX_CHARACTERS
from model.text.clean import shown
from tui.screen.keys import bindings, keys_of
from tui.screen.text_undo import TextUndo

# Keys that leave a refused entry as it stands; any other key that is no character edits it.
LEAVE_IT = frozenset(["enter", "ctrl+j", *(name for key in keys_of("screen") for name in key.keys.split(","))])


class EntryField(Input):
    """The heart of the screen."""

    BINDINGS = bindings("entry")

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
        # A refused or an offered entry stands there whole: the next character begins a new one and never joins it.
        self.whole = False
        self._undo = TextUndo()
        self.undoing = False  # whether the last key took typed text back

    @property
    def content_width(self) -> int:
        """Cells for the text. It is the line's own width as long as the text fits, so that no key moves the layout."""
        return max(self.scrollable_content_region.width, super().content_width)

    def put(self, text: str) -> None:
        """Set the line, with the cursor at its end."""
        self.whole = False
        self.value = text
        self.cursor_position = len(text)

    def stand(self, text: str, selected: tuple[int, int] | None = None) -> None:
        """Set the line to an entry that was refused or is offered: a character begins a new one, other keys edit it."""
        if self.value != text:
            self.put(text)
        self._back = 0
        if self.history and self.history[-1] == text:
            self._back, self._unfinished = 1, ""  # it is the history's last itself
        if selected is not None:
            self.selection = Selection(*selected)
        self.whole = True

    def type_in(self, text: str) -> None:
        """Take a character."""
        if self.whole:
            self.put("")
            self._back = 0
        self.undoing = False
        if self.selection.is_empty:
            self.insert_text_at_cursor(text)
        else:
            self.replace(text, *sorted(self.selection))

    def hear(self, key: str) -> None:
        """A key that is no character was pressed."""
        self.undoing = self.undoing and key == "ctrl+z"
        self.whole = self.whole and key in LEAVE_IT

    def watch_value(self, old: str, new: str) -> None:
        """Remember what stood there."""
        self._undo.changed(old, new)

    def text_back(self) -> bool:
        """Take typed text back; whether there was any, or the last key was this one."""
        if not self.value:
            return self.undoing
        with self._undo:
            self.put(self._undo.back(self.value))
        self.undoing = True
        return True

    def text_forth(self) -> bool:
        """Type again what was taken back; whether there was anything."""
        if not (self.value or self._undo.can_go_forth):
            return False
        with self._undo:
            self.put(self._undo.forth(self.value))
        return True

    def on_mouse_down(self) -> None:
        """A click edits what stands there."""
        self.whole = False

    def remember(self, text: str) -> None:
        """A line was entered or dropped."""
        if text.strip() and (not self.history or self.history[-1] != text):
            self.history.append(text)
        self._back = 0
        self._undo.forget()

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
        if lines and self.whole:
            self.put("")
            self._back = 0
        start, end = sorted(self.selection)
        if len(lines) == 1 and len(self.value) - (end - start) + len(lines[0]) <= MAX_CHARACTERS:
            self.replace(lines[0], start, end)
        elif lines:
            self.post_message(self.Pasted(lines))
