"""Finding names by a few of their words: any case, any order, short of what makes them unique."""

from __future__ import annotations

import difflib
import re
import unicodedata
from bisect import bisect_left
from collections.abc import Sequence
from typing import NamedTuple

_WORDS = re.compile(r"\d+|[^\W\d_]+")

# How well a name is met, best first: to the letter, by its words in their order, in any order, by some of them, by beginnings.
LITERAL, IN_ORDER, ALL_WORDS, WHOLE_WORDS, SHORT = range(5)
MAX_REMEMBERED = 8  # texts


def words_of(text: str) -> list[str]:
    """The words of a name: runs of letters and runs of digits, in lower case; the rest only parts them.

    >>> words_of("Pre 12 Out/L")
    ['pre', '12', 'out', 'l']
    """
    return [word.lstrip("0") or "0" if word[0].isdecimal() else word for word in _WORDS.findall(_same_case(text))]


def _same_case(text: str) -> str:
    """In small letters, accents composed with their letters (NFC): a paste may have them apart."""
    return (text if text.isascii() else unicodedata.normalize("NFC", text)).casefold()


class Found(NamedTuple):
    """Entries that a text meets equally well."""

    fit: int
    entries: list[int]


class NameIndex:
    """An index over names. Entries are their positions in the sequence given.

    A number in the text meets that number alone (4 never meets 40); letters meet any word that they begin.
    """

    def __init__(self, names: Sequence[str], aliases: Sequence[str] | None = None) -> None:
        self.names = names
        self._words = [words_of(name) for name in names]
        self._wider = [
            a + words_of(b) if b else a for a, b in zip(self._words, aliases or [""] * len(names), strict=True)
        ]
        self._entries: dict[str, list[int]] = {}
        for entry, words in enumerate(self._wider):
            for word in set(words):
                self._entries.setdefault(word, []).append(entry)
        self._alone: dict[
            str, list[int]
        ] = {}  # by word: the entries whose name, with its aliases or without, is this word
        for entry, (words, wider) in enumerate(zip(self._words, self._wider, strict=True)):
            for word in {each[0] for each in (words, wider) if len(each) == 1}:
                self._alone.setdefault(word, []).append(entry)
        self._sorted = sorted(self._entries)
        self._remembered: dict[str, list[Found]] = {}  # what the texts asked for last meet: a key asks several times

    def _words_beginning(self, start: str) -> list[str]:
        if start.isdecimal():
            return [start] if start in self._entries else []
        at = bisect_left(self._sorted, start)
        found = []
        while at < len(self._sorted) and self._sorted[at].startswith(start):
            found.append(self._sorted[at])
            at += 1
        return found

    def matching(self, text: str) -> list[Found]:
        """All entries that a text meets, best fit first; the entries of one fit in their own order."""
        found = self._remembered.get(text)
        if found is None:
            if len(self._remembered) >= MAX_REMEMBERED:
                self._remembered.clear()
            found = self._remembered[text] = self._matching(text)
        return found

    def _matching(self, text: str) -> list[Found]:
        typed = words_of(text)
        if not typed:  # a name may be signs alone: it is met to the letter
            same = [e for e, name in enumerate(self.names) if _same_case(name) == _same_case(text.strip())]
            return [Found(LITERAL, same)] if same else []
        if len(typed) == 1:
            return self._met_by_one_word(text, typed)
        longest_first = sorted(typed, key=len, reverse=True)
        hits: set[int] | None = None
        for word in dict.fromkeys(longest_first):
            with_word: set[int] = set()
            for known in self._words_beginning(word):
                with_word.update(self._entries[known])
            hits = with_word if hits is None else hits & with_word
            if not hits:
                return []
        by_fit: dict[int, list[int]] = {}
        for entry in sorted(hits or ()):
            fit = self._fit(text, typed, longest_first, entry)
            if fit is not None:
                by_fit.setdefault(fit, []).append(entry)
        return [Found(fit, by_fit[fit]) for fit in sorted(by_fit)]

    def _met_by_one_word(self, text: str, typed: list[str]) -> list[Found]:
        """What a single word meets. In a large room a letter meets most names: few of them need a closer look."""
        (word,) = typed
        whole = self._entries.get(word, [])
        by_fit: dict[int, list[int]] = {}
        for entry in self._alone.get(word, ()):
            fit = self._fit(text, typed, typed, entry)
            if fit is not None:
                by_fit.setdefault(fit, []).append(entry)
        by_fit[WHOLE_WORDS] = _without(whole, self._alone.get(word, ()))
        longer = [known for known in self._words_beginning(word) if known != word]
        lists = [self._entries[known] for known in longer]
        begun = lists[0] if len(lists) == 1 else sorted(set().union(*lists))
        by_fit[SHORT] = _without(begun, whole)
        return [Found(fit, by_fit[fit]) for fit in sorted(by_fit) if by_fit[fit]]

    def _fit(self, text: str, typed: list[str], longest_first: list[str], entry: int) -> int | None:
        words = self._wider[entry]
        if typed == self._words[entry]:
            return LITERAL if _same_case(text.strip()) == _same_case(self.names[entry]) else IN_ORDER
        # Each typed word needs a word of its own; the longest are placed first, whole words before beginnings.
        whole = True
        left = list(words)
        for word in longest_first:
            if word in left:
                left.remove(word)
                continue
            begun = [] if word.isdecimal() else [w for w in left if w.startswith(word)]
            if not begun:
                return None
            whole = False
            left.remove(min(begun, key=len))
        if not whole:
            return SHORT
        return ALL_WORDS if len(typed) in (len(words), len(self._words[entry])) else WHOLE_WORDS

    def nearest(self, text: str, count: int = 3) -> list[str]:
        """Names that a text which meets none might have meant: unknown words replaced by the known ones most like them."""
        typed = words_of(text)
        mended = [self._mend(word) for word in typed]
        found = self.matching(" ".join(word for word in mended if word))
        names = [self.names[entry] for group in found for entry in group.entries]
        return names[:count]

    def _mend(self, word: str) -> str:
        if self._words_beginning(word):
            return word
        if word.isdecimal():
            numbers = sorted((int(w) for w in self._sorted if w.isdecimal()), key=lambda n: abs(n - int(word)))
            return str(numbers[0]) if numbers else ""
        close = difflib.get_close_matches(word, [w for w in self._sorted if not w.isdecimal()], n=1, cutoff=0.5)
        return close[0] if close else ""


def _without(entries: list[int], others: Sequence[int]) -> list[int]:
    """Entries but for others, in their order."""
    if not entries or not others:
        return entries
    left_out = set(others)
    return [entry for entry in entries if entry not in left_out]
