"""What goes on inside gear: from which inputs the signal comes to which outputs, and on what condition.

Some ways always pass signal. Others pass it only as the gear is set tonight: a channel reaches the busses that it is
assigned to, an output hears that one of several inputs which is selected, a recorder's input is heard at its output only
on a track that is armed and in input.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

ALWAYS = ""
ASSIGNED, SELECTED, ARMED = "if assigned", "if selected", "if armed"

# Each condition as the room file writes it under 'through'.
CONDITIONS: dict[str, str] = {"assignable": ASSIGNED, "one of": SELECTED, "if armed": ARMED}


class Ways(NamedTuple):
    """Ways inside gear that hang on a condition: each of the inputs to each of the outputs, as port numbers."""

    inputs: tuple[int, ...]
    outputs: tuple[int, ...]
    condition: str  # one of the above

    @property
    def many(self) -> bool:
        """Whether several inputs come to several outputs: a bus between them, rather than a way from one to another."""
        return len(self.inputs) > 1 and len(self.outputs) > 1


# How gear is set tonight, as far as it is told: by input, whether its signal passes to an output. The rest is not known.
Settings = Mapping[int, Mapping[int, bool]]
NOTHING_TOLD: Settings = {}


class Inside:
    """The ways inside one piece of gear, found by port."""

    def __init__(self, pairs: Iterable[tuple[int, int]], ways: tuple[Ways, ...]) -> None:
        """``pairs`` always pass signal."""
        self.ways = ways
        self.always_on: dict[int, dict[int, None]] = {}  # by input, its outputs
        self.always_from: dict[int, dict[int, None]] = {}  # by output, its inputs
        for into, out in pairs:
            self.always_on.setdefault(into, {})[out] = None
            self.always_from.setdefault(out, {})[into] = None
        self.ways_on: dict[int, tuple[int, ...]] = {}  # by input, the places among ``ways``
        self.ways_from: dict[int, tuple[int, ...]] = {}
        for place, (inputs, outputs, _) in enumerate(ways):
            for ports, at in ((inputs, self.ways_on), (outputs, self.ways_from)):
                for port in ports:
                    at[port] = (*at.get(port, ()), place)
        self._outputs = [frozenset(each.outputs) for each in ways]
        self._carried: dict[int, tuple[int, ...]] = {}
        self._carried_from: dict[int, tuple[int, ...]] = {}

    def carried(self, into: int) -> tuple[int, ...]:
        """The outputs that an input's signal reaches, on whatever condition."""
        found = self._carried.get(into)
        if found is None:
            outputs = dict(self.always_on.get(into, {}))
            for place in self.ways_on.get(into, ()):
                outputs.update(dict.fromkeys(self.ways[place].outputs))
            found = self._carried[into] = tuple(outputs)
        return found

    def carried_from(self, out: int) -> tuple[int, ...]:
        """The inputs whose signal reaches an output, on whatever condition."""
        found = self._carried_from.get(out)
        if found is None:
            inputs = dict(self.always_from.get(out, {}))
            for place in self.ways_from.get(out, ()):
                inputs.update(dict.fromkeys(self.ways[place].inputs))
            found = self._carried_from[out] = tuple(inputs)
        return found

    def condition(self, into: int, out: int) -> str | None:
        """The condition of the way from an input to an output: '' where there is none; None where there is no way."""
        if out in self.always_on.get(into, ()):
            return ALWAYS
        for place in self.ways_on.get(into, ()):
            if out in self._outputs[place]:
                return self.ways[place].condition
        return None
