"""The names that were probably meant: by their words first, by their letters second."""

from __future__ import annotations

from collections.abc import Collection
from itertools import islice

from model.text.clean import quoted
from model.text.normalized import normalized

MAX_SHOWN = 3
_FEW = 2_000  # so many names are compared letter by letter; of more, only those that start alike
_MOST_LETTERS = 80  # a longer text is no slip of the finger


def nearest(wanted: str, names: Collection[str], budget: int = 50_000) -> list[str]:
    """Up to three of the names that the wanted one was probably meant to be, the likeliest first.

    ``budget`` bounds how many names are looked at; with none left the answer is empty.

    >>> nearest("mic inn", ["line in", "mic in", "mic line"])[0]
    'mic in'
    >>> nearest("in pre 4", ["Pre 4 in", "Pre 5 in"])
    ['Pre 4 in']
    """
    low = normalized(wanted)
    if not low.strip() or len(low) > _MOST_LETTERS or len(names) > budget:
        return []
    of_low = {normalized(name): name for name in names}
    if low in of_low:
        return [of_low[low]]
    words = sorted(low.split())
    same_words = [name for key, name in of_low.items() if len(key) == len(low) and sorted(key.split()) == words]
    if same_words:
        return same_words[:MAX_SHOWN]
    if len(of_low) > _FEW:
        for letters in (1, 2, 4, 8):
            alike = {key: name for key, name in of_low.items() if key[:letters] == low[:letters]}
            if len(alike) <= _FEW:
                break
        of_low = dict(list(alike.items())[:_FEW])
    import difflib  # only a file with an error in it pays for this

    return [of_low[key] for key in difflib.get_close_matches(low, of_low, n=MAX_SHOWN, cutoff=0.6)]


def did_you_mean(names: Collection[str]) -> str:
    """The end of a message that offers names; empty where there are none.

    >>> did_you_mean(["mic in", "line in"])
    ": did you mean 'mic in' or 'line in'?"
    """
    return f": did you mean {listed(names, 'or')}?" if names else ""


def listed(names: Collection[str], last: str = "and", most: int = 12) -> str:
    """Names in quotes, with commas and a word before the last; beyond ``most``, how many more there are.

    >>> listed(["A1", "A2", "A3"])
    "'A1', 'A2' and 'A3'"
    """
    shown = [quoted(name) for name in islice(names, most + 1)]
    if len(names) > most:
        return ", ".join(shown[:most]) + f" and {len(names) - most} more"
    return f" {last} ".join(filter(None, (", ".join(shown[:-1]), *shown[-1:])))
