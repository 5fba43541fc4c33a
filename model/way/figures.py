"""`figures X`: the circuit of the net at a jack, on demand."""

from __future__ import annotations

from dataclasses import dataclass

from model.bay.refusals import Malformed, NotNow
from model.entry.answer import Answer
from model.entry.draft import Draft
from model.entry.entry import Asks
from model.language.names import Names
from model.language.targets import read_target
from model.live.told import said
from model.signal.figures import circuit_json, words


@dataclass(frozen=True, slots=True)
class Figures(Asks):
    """The circuit of the net at a jack."""

    jack: str

    def __str__(self) -> str:
        return f"figures {self.jack}"

    def run(self, draft: Draft) -> Answer:
        """Show it."""
        jack = draft.names.jack(self.jack)
        circuit = draft.patch.circuit_at(2 * jack)
        found = {"asked": self.jack, **circuit_json(circuit)}
        lit = tuple(sorted({node >> 1 for node in circuit.nodes if not node & 1}))
        return Answer(said=said(*words(found)), extra={"figures_of": found}, lit=lit)


def read_figures(text: str, names: Names) -> Figures:
    """'X': a jack, or what comes up at one. All jacks of a port, a tie line or a mult are on one net: any of them serves."""
    if not text.strip():
        raise Malformed("say of what: a name, a jack, a cord")
    target = read_target(text, names)
    if not target.jacks:
        raise NotNow(f"{target.name} comes up at no jack of the bay", text)
    return Figures(names.address(target.jacks[0]))
