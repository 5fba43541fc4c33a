"""`label X = kick`: tonight's name of a port; `label X =` takes it away, `label` shows them all."""

from __future__ import annotations

import re
from dataclasses import dataclass
from types import MappingProxyType

from model.bay.refusals import Malformed, NotNow
from model.entry.answer import Answer
from model.entry.draft import Draft
from model.entry.entry import Asks, Changes
from model.entry.labels import LABELS
from model.language.nameindex import words_of
from model.language.names import OUT, Names, shadowed
from model.language.quotes import Quotes
from model.language.readings import Readings
from model.live.told import said
from model.text.written import written

LONGEST = 40  # characters
_PARTS_AN_ENTRY = re.compile(r'["#;,>=?]')


@dataclass(frozen=True, slots=True)
class Label(Changes):
    """A port's label; an empty one takes it away."""

    port: str
    label: str

    def __str__(self) -> str:
        return f"label {written(self.port)} = {self.label}".rstrip()

    def run(self, draft: Draft) -> Answer:
        """Set it. Raises NotNow where there is none to take away, or another port bears it."""
        labels = draft.get(LABELS)
        here = [label for label, port in labels.items() if port == self.port]
        if not self.label and not here:
            raise NotNow(f"{self.port} has no label")
        if labels.get(self.label) == self.port:
            raise NotNow(f"{self.port} is labelled {self.label} already")
        kept = {label: port for label, port in labels.items() if port != self.port}
        alike = [label for label in kept if words_of(label) == words_of(self.label)]
        if alike:
            raise NotNow(f"'{alike[0]}' is the label of {kept[alike[0]]}: 'label {kept[alike[0]]} =' takes it away")
        if self.label:
            kept[self.label] = self.port
        draft.put(LABELS, MappingProxyType(kept))
        told = f"{self.port} is labelled {self.label}" if self.label else f"{self.port} has no label any more"
        return Answer(said=said(told))


@dataclass(frozen=True, slots=True)
class ShowLabels(Asks):
    """All labels."""

    def __str__(self) -> str:
        return "label"

    def run(self, draft: Draft) -> Answer:
        """List them."""
        labels = draft.get(LABELS)
        words = [f"{label}: {port}" for label, port in sorted(labels.items(), key=lambda pair: pair[1])]
        return Answer(said=said(*words or ["nothing is labelled"]), extra={"labels": dict(labels)})


def read_label(text: str, names: Names) -> Label | ShowLabels:
    """'X = LABEL', 'X =', or without '=' wherever a name may end."""
    if not text.strip():
        return ShowLabels()
    quotes = Quotes(text.strip())
    readings: Readings[Label] = Readings()
    of, sign, label = quotes.text.partition("=")
    if sign:
        return _label(of.strip(), label.strip(), quotes, names)
    words = quotes.text.split()
    for cut in range(1, len(words)):
        readings.attempt(lambda cut=cut: _label(" ".join(words[:cut]), " ".join(words[cut:]), quotes, names))  # type: ignore[misc]
    if len(words) == 1:
        raise Malformed("say which label: label X = kick", text)
    return readings.one(text.strip())


def _label(of: str, label: str, quotes: Quotes, names: Names) -> Label:
    port = names.port(quotes.bare(of), way=OUT)
    if label:
        _check(label, names)
    return Label(port.name, label)


def _check(label: str, names: Names) -> None:
    if _PARTS_AN_ENTRY.search(label):
        raise Malformed(f"a label has letters, digits and spaces, not '{_PARTS_AN_ENTRY.search(label)[0]}'", label)  # type: ignore[index]
    if len(label) > LONGEST or not words_of(label):
        raise Malformed(f"a label has 1 to {LONGEST} characters, with a letter or a digit among them", label)
    from model.commands.table import WORDS  # the table names this file

    meant = "a number" if label.isdecimal() else shadowed(label, names.indexes)
    meant = meant or (f"the command '{label}'" if label.split()[0].casefold() in WORDS else "")
    if meant:
        raise NotNow(f"'{label}' already means {meant}: take another label", label)
