"""Places whose names differ by a slip of the finger."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from model.check.finding import Finding
from model.room.wiring import Room
from model.signal.warning import WARNING
from model.text.normalized import normalized

SHORTEST_WORD = 4  # shorter words differ by one letter and mean two things


def place_like_another(room: Room) -> Iterator[Finding]:
    """A place whose name differs from another by one slip of the finger: no cord joins its jacks to the other's."""
    bays = defaultdict(list)
    for bay in room.bays:
        if bay.place:
            bays[bay.place].append(bay)
    places = list(bays)
    for at, place in enumerate(places):
        for other in places[:at]:
            if not one_slip(place, other):
                continue
            rarer, usual = sorted((place, other), key=lambda name: len(bays[name]))
            if len(bays[place]) == len(bays[other]):
                rarer, usual = place, other
            for bay in bays[rarer]:
                said = f"Bay {bay.name} stands in '{rarer}', and there is a place '{usual}': are they one?"
                yield Finding(bay.line, "place-like-another", WARNING, (), said, bay.name)


def one_slip(a: str, b: str) -> bool:
    """Whether two names differ by case, spaces or signs alone, or in one word by one letter; numbers tell places apart.

    >>> one_slip("Machine room", "Machine  Room"), one_slip("North", "Nroth"), one_slip("Studio 1", "Studio 2")
    (True, True, False)
    """
    a, b = normalized(a), normalized(b)
    if _plain(a) == _plain(b):
        return True
    words, others = a.split(), b.split()
    if len(words) != len(others):
        return False
    unlike = [(word, other) for word, other in zip(words, others, strict=True) if word != other]
    return len(unlike) == 1 and _one_letter(*unlike[0])


def _plain(name: str) -> str:
    return "".join(letter for letter in name if letter.isalnum())


def _one_letter(a: str, b: str) -> bool:
    """Whether a letter was left out, doubled, replaced, or exchanged with the next."""
    if any(letter.isdigit() for letter in a + b) or min(len(a), len(b)) < SHORTEST_WORD - 1 or len(a + b) < 7:
        return False
    same = 0
    while same < min(len(a), len(b)) and a[same] == b[same]:
        same += 1
    rest, other = a[same:], b[same:]
    if len(a) == len(b):
        replaced = rest[1:] == other[1:] and len(a) > SHORTEST_WORD
        return replaced or (rest[:2] == other[:2][::-1] and rest[2:] == other[2:])
    longer, shorter = sorted((rest, other), key=len, reverse=True)
    return longer[1:] == shorter
