"""What a terminal sends, byte by byte, as keys, pastes and movements of the mouse: whatever it sends.

Bytes that are no UTF-8 become replacement marks. What stands between the marks of a paste is text and never a key,
whatever it holds. An old mouse report (three bytes after ``ESC [ M``, XTerm Control Sequences, "X10 compatibility
mode") is not text either, and becomes the report that Textual reads.
"""

from __future__ import annotations

from codecs import getincrementaldecoder
from collections.abc import Generator, Iterator

from textual import events
from textual._xterm_parser import XTermParser
from textual.message import Message

PASTE_BEGIN, PASTE_END = b"\x1b[200~", b"\x1b[201~"
OLD_MOUSE = b"\x1b[M"
OLD_MOUSE_BYTES = 3
ESC = "\x1b"
KEYS_BY_NOW = (b"\x1b", b"\x1b[")  # Esc, and Alt+[, where nothing comes behind them at once
LONGEST_MARK = max(map(len, (PASTE_BEGIN, OLD_MOUSE)))
# A paste of more is refused whatever it holds: it has too many lines, or one that is too long.
MAX_PASTE = 1 << 21
# The end of a paste can be lost on the way. After a second of silence a key that comes alone ends it:
# Enter, Esc or Ctrl+C, each as terminals send it (https://sw.kovidgoyal.net/kitty/keyboard-protocol/).
SILENCE = 10  # ticks
ENDS_A_PASTE = frozenset([b"\r", b"\x1b", b"\x03", b"\x1b[13u", b"\x1b[27u", b"\x1b[99;5u"])
SPLIT = 5  # ticks after which the rest of a character or of a mouse report does not come any more


class KeyReader:
    """Bytes in, messages out. :meth:`tick` is called ten times a second while nothing comes."""

    def __init__(self) -> None:
        self._decoder = getincrementaldecoder("utf-8")("replace")
        self._parser = XTermParser()
        self._recent: bytes = b""  # the last bytes, where a mark may have begun
        self._paste: bytearray | None = None
        self._mouse: bytearray | None = None
        self._button = 0  # the one that was pressed last: an old report of its release does not name it
        self._quiet = 0

    def feed(self, data: bytes) -> Iterator[Message]:
        """What some bytes bring."""
        quiet, self._quiet = self._quiet, 0
        if self._paste is not None and quiet >= SILENCE and data in ENDS_A_PASTE:
            yield self._pasted()
            return
        while data:
            if self._paste is not None:
                data = yield from self._in_paste(data)
            elif self._mouse is not None:
                data = yield from self._in_report(data)
            else:
                data = yield from self._in_keys(data)

    def tick(self) -> Iterator[Message]:
        """A tenth of a second without a byte: a lone Esc is a key, and half a character is none."""
        self._quiet += 1
        if self._quiet == SPLIT:
            self._mouse = None
            yield from self._typed(b"", final=True)
        if self._parser._timeout_time is not None:
            self._parser._timeout_time = 0.0  # it has waited as long as it would
            yield from self._parsed("")
        if self._recent.endswith(KEYS_BY_NOW):
            self._recent = b""

    def _in_keys(self, data: bytes) -> Generator[Message, None, bytes]:
        """Keys up to the next mark; the answer is what is left behind it."""
        known = len(self._recent)
        window = self._recent + data
        marks = [(at, mark) for mark in (PASTE_BEGIN, OLD_MOUSE) if (at := window.find(mark)) >= 0]
        if not marks:
            self._recent = window[-(LONGEST_MARK - 1) :]
            yield from self._typed(data)
            return b""
        at, mark = min(marks)
        self._recent = b""
        if at > known:
            yield from self._typed(data[: at - known])
        yield from self._typed(b"", final=True)
        if at >= known:
            yield from self._parsed(ESC)  # a lone Esc before the mark was a key
        self._renew()  # the mark's beginning may have been taken for a key's
        if mark == PASTE_BEGIN:
            self._paste = bytearray()
        else:
            self._mouse = bytearray()
        return data[at + len(mark) - known :]

    def _in_paste(self, data: bytes) -> Generator[Message, None, bytes]:
        assert self._paste is not None
        searched = max(0, len(self._paste) - len(PASTE_END))
        self._paste += data
        end = self._paste.find(PASTE_END, searched)
        if end < 0:
            # what is cut is behind what is too much anyway; an end mark's beginning stays
            if len(self._paste) > MAX_PASTE:
                del self._paste[MAX_PASTE - len(PASTE_END) : -len(PASTE_END)]
            return b""
        rest = bytes(self._paste[end + len(PASTE_END) :])
        del self._paste[end:]
        yield self._pasted()
        return rest

    def _pasted(self) -> Message:
        text = bytes(self._paste or b"").decode("utf-8", "replace")
        self._paste = None
        return events.Paste(text.replace("\0", ""))

    def _in_report(self, data: bytes) -> Generator[Message, None, bytes]:
        assert self._mouse is not None
        missing = OLD_MOUSE_BYTES - len(self._mouse)
        self._mouse += data[:missing]
        if len(self._mouse) == OLD_MOUSE_BYTES:
            code, x, y = (byte - 32 for byte in self._mouse)
            self._mouse = None
            if code >= 0 and x > 0 and y > 0:
                released = code & 0b11 == 3 and not code & 0b1100000
                if not released:
                    self._button = code & 0b11
                number = code & ~0b11 | self._button if released else code
                yield from self._parsed(f"\x1b[<{number};{x};{y}{'m' if released else 'M'}")
        return data[missing:]

    def _typed(self, data: bytes, final: bool = False) -> Iterator[Message]:
        text = self._decoder.decode(data, final)
        if final:
            self._decoder.reset()
        if text:
            yield from self._parsed(text)

    def _parsed(self, text: str) -> Iterator[Message]:
        """What Textual's parser makes of a text, one character after another; without any, of the time that passed.

        It fails on some sequences that no terminal sends (a character beyond Unicode's last): those are nothing.
        """
        for part in text or [""]:
            try:
                yield from list(self._parser.feed(part) if part else self._parser.tick())
            except (ArithmeticError, LookupError, ValueError):
                self._renew()

    def _renew(self) -> None:
        """Begin a sequence anew; what is known of the terminal stays."""
        old, self._parser = self._parser, XTermParser()
        for name in ("last_x", "last_y", "mouse_pixels", "terminal_size", "terminal_pixel_size"):
            setattr(self._parser, name, getattr(old, name))
