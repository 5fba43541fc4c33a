"""``through``: which inputs of gear reach which of its outputs, and on what condition.

Its forms, from the simplest:

- ``through: yes`` (each input reaches each output; so it is where nothing is said) or ``through: no``;
- a condition alone: ``through: if armed``, ``through: assignable``, ``through: one of``: each input reaches each output,
  on that condition;
- from inputs to outputs: ``through: {line: send, return: [direct, insert]}``. Ranges of one length are joined one by one
  (``"in {1-8}": "out {1-8}"``), one port on either side is joined to all on the other;
- under a condition, from inputs to outputs in the same way, beside what always passes::

      through:
        return: direct                                   # always
        one of: {line: send, mic: send}                  # the send hears the line or the microphone, as selected
        if armed: {"track {1-8} in": "track {1-8} out"}  # heard at the output on an armed track in input alone
        assignable: {"ch {1-8} return": ["bus {1-4}", "mix {L,R}"]}

  Under ``assignable`` each input of a key reaches each output of its list: any channel may be assigned to any bus.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

from model.room.file.reading import Reading, Said
from model.room.inside import CONDITIONS, SELECTED, Ways
from model.room.kinds import Kind
from model.text.clean import quoted
from model.text.normalized import normalized
from model.text.strictyaml import Mark, Node, Table, Text
from model.text.suggest import listed

Through = bool | tuple[tuple[int, int], ...]  # pairs of places among the gear's ports
ASSIGNABLE, ONE_OF = "assignable", "one of"
_SUCH_AS = "{line in: [insert send]}, or yes or no"


class HasWay(Protocol):
    """A port as far as it is known here."""

    @property
    def own(self) -> str:
        """Its name within the gear."""

    @property
    def kind(self) -> Kind:
        """What it is."""


def read_through(
    reading: Reading, node: Node, sketches: Sequence[HasWay], places: Mapping[str, int], gear: str
) -> tuple[Through, tuple[Ways, ...]]:
    """What always passes, and what passes on a condition; ports are their places among the gear's.

    ``places``: the place of each port by its normalized own name.
    """
    said = _Said(reading, sketches, places, gear)
    if isinstance(node, Text):
        if node.text in CONDITIONS:
            inputs = tuple(place for place, sketch in enumerate(sketches) if not sketch.kind.is_output)
            outputs = tuple(place for place, sketch in enumerate(sketches) if sketch.kind.is_output)
            if not inputs or not outputs:
                way = "output" if inputs else "input"
                reading.error(node.mark, f"{said.what} is '{node.text}', and the gear has no {way}")
                return False, ()
            if node.text == ONE_OF and len(inputs) < 2:
                said.alone(node.mark, sketches[outputs[0]].own, sketches[inputs[0]].own)
            return False, (Ways(inputs, outputs, CONDITIONS[node.text]),)
        return bool(reading.yes_no(node, "'through'", Said("gear", gear))), ()
    table = reading.table(node, said.what, _SUCH_AS)
    if table is None:
        return False, ()
    for key, value in table.values.items():
        if not isinstance(value, Table):
            said.always(key, table.marks[key], value)
        elif key in CONDITIONS:
            said.on_condition(key, value)
        else:
            known = reading.meant(key, CONDITIONS) or f": they are {listed(CONDITIONS)}"
            reading.error(table.marks[key], f"{said.what}: unknown condition {quoted(key)}{known}")
    said.check_said_once()
    return tuple(said.pairs), tuple(said.ways)


class _Said:
    """What 'through' of one piece of gear has said so far."""

    def __init__(self, reading: Reading, sketches: Sequence[HasWay], places: Mapping[str, int], gear: str) -> None:
        self.reading = reading
        self.sketches = sketches
        self.places = places
        self.what = f"'through' of gear {quoted(gear)}"
        self.pairs: dict[tuple[int, int], None] = {}
        self.ways: list[Ways] = []
        self.marks: list[Mark] = []  # of each of the ways
        self._found: dict[tuple[str, str], list[int]] = {}  # what was looked up before, by text and way

    def find(self, text: str, mark: Mark, way: str) -> list[int]:
        """The ports of one way that a name with ranges stands for; notes each that is not there or leads the other way."""
        known = self._found.get((text, way))
        if known is not None:
            return known
        found = []
        whole = True
        for own in self.reading.expanded(text, mark, self.what):
            place = self.places.get(normalized(own))
            if place is None:
                those = [sketch.own for sketch in self.sketches if sketch.kind.way == way]
                meant = self.reading.meant(own, those)
                self.reading.error(mark, f"{self.what}: unknown port {quoted(own)}{meant}")
                whole = False
            elif self.sketches[place].kind.way != way:
                turned = (
                    "an output, and signal enters by inputs"
                    if way == "in"
                    else "an input, and signal leaves by outputs"
                )
                self.reading.error(mark, f"{self.what}: port {quoted(own)} is {turned}")
                whole = False
            else:
                found.append(place)
        if whole:
            self._found[text, way] = found
        return found

    def _texts(self, value: Node) -> list[Text]:
        """The outputs of one key, as they are written: one, or a list."""
        nodes = [value] if isinstance(value, Text) else self.reading.items(value, self.what, "direct out")
        return [text for node in nodes if (text := self.reading.text(node, "an output", self.what)) is not None]

    def always(self, key: str, mark: Mark, value: Node) -> None:
        """From the inputs of a key to outputs, always."""
        inputs = self.find(key, mark, "in")
        for text in self._texts(value):
            self.pairs |= dict.fromkeys(self._joined(inputs, text))

    def _joined(self, inputs: list[int], text: Text) -> list[tuple[int, int]]:
        outputs = self.find(text.text, text.mark, "out")
        if len(inputs) == len(outputs):  # {1-4} to {1-4}: one by one
            return list(zip(inputs, outputs, strict=True))
        if len(inputs) == 1 or len(outputs) == 1:
            return [(into, out) for into in inputs for out in outputs]
        if inputs and outputs:
            self.reading.error(
                text.mark, f"{self.what}: {len(inputs)} inputs on one side, {len(outputs)} outputs on the other"
            )
        return []

    def on_condition(self, word: str, table: Table) -> None:
        """What a condition's table says: from inputs to outputs."""
        hears: dict[int, dict[int, None]] = {}  # under 'one of': the inputs of each output
        marks: dict[int, Mark] = {}
        for key, value in table.values.items():
            mark = table.marks[key]
            inputs = self.find(key, mark, "in")
            if word == ASSIGNABLE:
                found = (out for text in self._texts(value) for out in self.find(text.text, text.mark, "out"))
                outputs = tuple(dict.fromkeys(found))
                if inputs and outputs:
                    self._add(Ways(tuple(dict.fromkeys(inputs)), outputs, CONDITIONS[word]), mark)
                continue
            for text in self._texts(value):
                for into, out in self._joined(inputs, text):
                    marks.setdefault(out, text.mark)
                    hears.setdefault(out, {})[into] = None
        for out, each in hears.items():
            if CONDITIONS[word] == SELECTED and len(each) < 2:
                self.alone(marks[out], self.sketches[out].own, self.sketches[next(iter(each))].own)
            self._add(Ways(tuple(each), (out,), CONDITIONS[word]), marks[out])

    def _add(self, ways: Ways, mark: Mark) -> None:
        self.ways.append(ways)
        self.marks.append(mark)

    def alone(self, mark: Mark, out: str, into: str) -> None:
        """Notes an output that is to hear one of several inputs, and has one alone."""
        text = f"output {quoted(out)} hears {quoted(into)} alone, and 'one of' needs two inputs or more"
        self.reading.error(mark, f"{self.what}: {text}")

    def check_said_once(self) -> None:
        """Notes a way that stands twice: as one that always passes and on a condition, or on two."""
        seen: dict[int, list[tuple[frozenset[int], Mark]]] = {}  # by input, the outputs of each of its ways
        for ways, mark in zip(self.ways, self.marks, strict=True):
            outputs = frozenset(ways.outputs)
            for into in ways.inputs:
                others = seen.setdefault(into, [])
                twice = next((out for other, _ in others for out in ways.outputs if out in other), None)
                if twice is not None:
                    self._twice(mark, into, twice)
                    break
                others.append((outputs, mark))
        told: set[Mark] = set()
        for into, out in self.pairs:
            for outputs, mark in seen.get(into, ()):
                if out in outputs and mark not in told:
                    told.add(mark)  # one error for a whole range
                    self._twice(mark, into, out)

    def _twice(self, mark: Mark, into: int, out: int) -> None:
        both = f"the way from {quoted(self.sketches[into].own)} to {quoted(self.sketches[out].own)}"
        self.reading.error(mark, f"{self.what}: {both} is given twice")
