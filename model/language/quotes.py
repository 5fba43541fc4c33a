"""Names in double quotes: nothing within them parts an entry."""

from __future__ import annotations

import re

from model.bay.refusals import Malformed

_FIRST = 0xE000  # signs for private use: none of them can be typed into an entry
_MOST = 1000
_QUOTED = re.compile(r'"([^"]*)"')
_MASK = re.compile(f"[{chr(_FIRST)}-{chr(_FIRST + _MOST)}]")


class Quotes:
    """An entry's text with a sign in place of each quoted name, and the names."""

    def __init__(self, text: str) -> None:
        self.names: list[str] = []
        self.text = _QUOTED.sub(self._mask, text)
        if '"' in self.text:
            raise Malformed("a quote is opened and not closed", text)

    def _mask(self, found: re.Match[str]) -> str:
        self.names.append(found[1])
        return chr(_FIRST + len(self.names) - 1)

    def name(self, text: str) -> str | None:
        """The name, where a text is one quoted name and nothing else."""
        return self.names[ord(text) - _FIRST] if len(text) == 1 and _MASK.match(text) else None

    def bare(self, text: str) -> str:
        """A name as it is looked for: without its quotes."""
        return _MASK.sub(lambda sign: self.names[ord(sign[0]) - _FIRST], text) if self.names else text

    def plain(self, text: str) -> str:
        """A part of the text as it was typed."""
        return _MASK.sub(lambda sign: f'"{self.names[ord(sign[0]) - _FIRST]}"', text) if self.names else text
