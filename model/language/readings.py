"""All readings of one text: one of them is done, several are refused, none is refused for the best reason that was met."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

from model.bay.refusals import Ambiguous, Malformed, NotNow, Refusal, UnknownName

T = TypeVar("T")
MAX_SHOWN = 4


def _weight(refusal: Refusal) -> int:
    """How much a refusal says: what was understood and is not possible says more than what was not understood."""
    if isinstance(refusal, UnknownName):
        return 0
    if isinstance(refusal, Malformed):
        return 1
    return 3 if isinstance(refusal, NotNow) else 2


class Readings(Generic[T]):
    """What a text can be read as, by its canonical form, and why it cannot be read otherwise."""

    def __init__(self) -> None:
        self.found: dict[str, T] = {}
        self.refusals: list[Refusal] = []

    def attempt(self, read: Callable[[], T]) -> None:
        """Read it in one way."""
        try:
            value = read()
        except Refusal as refusal:
            self.refusals.append(refusal)
        else:
            self.found[str(value)] = value

    def one(self, text: str) -> T:
        """The one reading. Raises Ambiguous where there are several, and the refusal that says most where there is none."""
        if len(self.found) == 1:
            return next(iter(self.found.values()))
        if self.found:
            forms = list(self.found)
            more = f" and {len(forms) - MAX_SHOWN} more" if len(forms) > MAX_SHOWN else ""
            shown = " or ".join(f"'{form}'" for form in forms[:MAX_SHOWN])
            raise Ambiguous(f"'{text}' can be read as {shown}{more}: type the one that is meant", text, forms)
        if not self.refusals:
            raise Malformed(f"'{text}' cannot be read", text)
        raise max(self.refusals, key=_weight)  # of equal ones the first
