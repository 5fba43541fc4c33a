"""Commands that stand alone: their reader."""

from __future__ import annotations

from collections.abc import Callable

from model.bay.refusals import Malformed
from model.entry.entry import Entry
from model.language.names import Names


def nothing_after(word: str, entry: Entry) -> Callable[[str, Names], Entry]:
    """The reader of a command that stands alone."""

    def read(text: str, names: Names) -> Entry:
        if text.strip():
            raise Malformed(f"'{word}' stands alone, without '{text.strip()}'", text)
        return entry

    return read
