"""The small table in which every script here reports, and whether its bars were held."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple


class Figure(NamedTuple):
    """One figure: as measured, beside its yardstick where it has one, and the bar that it must not pass."""

    name: str
    measured: float
    unit: str
    yardstick: float | None = None
    bar: float | None = None  # for the ratio where there is a yardstick, else for the figure itself

    @property
    def ratio(self) -> float | None:
        """Measured over yardstick."""
        return None if self.yardstick is None else self.measured / self.yardstick

    @property
    def held(self) -> bool | None:
        """Whether the bar was held; None where there is none."""
        if self.bar is None:
            return None
        return (self.measured if self.ratio is None else self.ratio) <= self.bar


HEADS = ("figure", "measured", "yardstick", "ratio", "bar", "")
VERDICT = {True: "held", False: "MISSED", None: ""}


def report(title: str, figures: Sequence[Figure]) -> int:
    """Print the table; answers the number of bars missed, for the exit status."""
    rows = [HEADS]
    for figure in figures:
        rows.append(
            (
                figure.name,
                f"{figure.measured:.4g} {figure.unit}".strip(),
                "" if figure.yardstick is None else f"{figure.yardstick:.4g} {figure.unit}".strip(),
                "" if figure.ratio is None else f"{figure.ratio:.2f}",
                "" if figure.bar is None else f"{figure.bar:g}",
                VERDICT[figure.held],
            )
        )
    widths = [max(len(row[column]) for row in rows) for column in range(len(HEADS))]
    print(f"\n{title}")
    for row in rows:
        print("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip())
    return sum(figure.held is False for figure in figures)
