"""What can be done at the bay: small frozen values that write themselves as the entry they are read from.

Jacks stand here by their address and ports by their full name, so that an action outlives the room it was typed in.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from model.text.written import written


def length_words(length_cm: float | None) -> str:
    """The end of a line that states a cord's length, with all its digits."""
    if length_cm is not None and length_cm.is_integer():
        return f" with {length_cm:.0f} cm"
    from decimal import Decimal  # which most sessions never need

    return "" if length_cm is None else f" with {Decimal(repr(length_cm)):f} cm"


def cord_ends(ends: Sequence[str]) -> str:
    """The ends of a cord as they are typed.

    >>> cord_ends(["A5"]), cord_ends(["A5", "B19"]), cord_ends(["A5", "B19", "B20"])
    ('A5', 'A5 > B19', 'A5 > B19 and B20')
    """
    first, *others = ends
    return f"{first} > {' and '.join(others)}" if others else first


@dataclass(frozen=True, slots=True)
class Plug:
    """A new cord. One jack: its other end stays loose; three or more: a cord with that many plugs."""

    jacks: tuple[str, ...]
    cord: int | None = None  # the number on its tag; None takes the lowest that is free
    length_cm: float | None = None

    def __str__(self) -> str:
        tag = "" if self.cord is None else f" as #{self.cord}"
        return f"plug {cord_ends(self.jacks)}{tag}{length_words(self.length_cm)}"


@dataclass(frozen=True, slots=True)
class PlugLooseEnd:
    """The loose end of a cord that is already in."""

    cord: int
    jack: str

    def __str__(self) -> str:
        return f"plug #{self.cord} > {self.jack}"


@dataclass(frozen=True, slots=True)
class Unplug:
    """One plug out; the cord's other plugs stay."""

    jack: str

    def __str__(self) -> str:
        return f"unplug {self.jack}"


@dataclass(frozen=True, slots=True)
class Pull:
    """A whole cord out, by its number."""

    cord: int

    def __str__(self) -> str:
        return f"pull #{self.cord}"


@dataclass(frozen=True, slots=True)
class PullAll:
    """Every cord out."""

    def __str__(self) -> str:
        return "pull all"


@dataclass(frozen=True, slots=True)
class Move:
    """One plug from one jack to another."""

    jack: str
    to: str

    def __str__(self) -> str:
        return f"move {self.jack} > {self.to}"


@dataclass(frozen=True, slots=True)
class Phantom:
    """A phantom supply, or the group that shares its switch, on or off."""

    port: str
    on: bool

    def __str__(self) -> str:
        return f"phantom {written(self.port)} {'on' if self.on else 'off'}"


@dataclass(frozen=True, slots=True)
class Put:
    """A microphone on a microphone line."""

    mic: str
    line: str

    def __str__(self) -> str:
        return f"put {written(self.mic)} on {written(self.line)}"


@dataclass(frozen=True, slots=True)
class Clear:
    """A microphone line left without its microphone."""

    line: str

    def __str__(self) -> str:
        return f"clear {written(self.line)}"


@dataclass(frozen=True, slots=True)
class Together:
    """Several actions done, and undone, as one step."""

    actions: tuple[Action, ...]

    def __str__(self) -> str:
        return "; ".join(str(action) for action in self.actions)


Action = Plug | PlugLooseEnd | Unplug | Pull | PullAll | Move | Phantom | Put | Clear | Together


def singles(action: Action) -> tuple[Action, ...]:
    """The single actions of a step, in the order of the hand."""
    return (
        tuple(single for part in action.actions for single in singles(part))
        if isinstance(action, Together)
        else (action,)
    )


def together(actions: Sequence[Action]) -> Action:
    """Several actions as one step."""
    return actions[0] if len(actions) == 1 else Together(tuple(actions))
