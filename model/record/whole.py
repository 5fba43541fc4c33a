"""Whether the end of a record is there: by the count and the last sum that it holds, and by the count beside it."""

from __future__ import annotations

from typing import NamedTuple

from model.record.beside import Beside
from model.record.logbook import Logbook
from model.record.recorded import Chain, time_words
from model.text.listing import counted


class End(NamedTuple):
    """What is to be said of the end of a record; ``past``: the numbers up to it were given already."""

    words: tuple[str, ...] = ()
    past: int = 0


def end_of(book: Logbook, chain: Chain, before: int, beside: Beside | None) -> End:
    """What is missing at the end. ``chain`` was led to the last entry; ``before``: how many entries lie before its first.

    ``beside``: the count beside the record, read before the entries were.
    """
    head, count = book.head(), before + chain.count
    if head != (count, chain.sum) or (beside is not None and beside.entries > count):
        count = book.count()  # what told how many lie before may itself be damaged
    words: list[str] = []
    past = missing = 0
    if head is None:
        words.append("the record does not say how many entries it has: some may be missing at its end")
    elif head[1] != chain.sum and head[0] > count:
        missing = head[0] - count
        past = chain.last + missing
    elif head != (count, chain.sum):
        words.append("the record's count and last checksum do not fit its entries: one may be missing or changed")
    if beside is not None and beside.entries > count + missing:
        missing, past = beside.entries - count, beside.last
    if missing:
        since = f"after {time_words(chain.at)}" if chain.at else f"after entry {chain.last}"
        verb = "is" if missing == 1 else "are"
        words.append(f"{counted(missing, 'entry')} {since if count else 'of the record'} {verb} missing")
    return End(tuple(words), max(past, chain.last) if words else 0)
