"""What is said of a step: told things, each with its kind, its words, and what it is about. Everything else renders them.

The screen, the record, the JSON and the paper each have one place that makes words, marks or keys of them.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, NamedTuple

from model.bay.actions import Action, Clear, Phantom, Put, singles
from model.live.change import Change, jacks_about
from model.room.wiring import Room
from model.signal.warning import Alert, figures_json
from model.text.listing import list_words

# What kind of thing is told; the screen has a mark for each.
MADE, BROKEN, SPLIT, JOINED = "made", "broken", "split", "joined"
RAISED, CLEARED, CHANGED, CAUTION, PASSING, FIX, SAID = (
    "raised",
    "cleared",
    "changed",
    "caution",
    "passing",
    "fix",
    "said",
)
KINDS = (MADE, BROKEN, SPLIT, JOINED, RAISED, CLEARED, CHANGED, CAUTION, PASSING, FIX, SAID)

NO_FIGURES: Mapping[str, float] = MappingProxyType({})


class Told(NamedTuple):
    """One thing that is told. ``fix`` is the entry, or the advice, that would end it; ``indent`` how far in it is read."""

    kind: str
    words: str
    severity: str = ""  # of a warning or a caution
    jacks: tuple[str, ...] = ()
    ports: tuple[str, ...] = ()
    figures: Mapping[str, float] = NO_FIGURES
    fix: str = ""
    indent: int = 0

    def as_json(self) -> dict[str, Any]:
        """As `rehearse --json` prints it and the record keeps it."""
        return {
            "kind": self.kind,
            "severity": self.severity,
            "words": self.words,
            "jacks": list(self.jacks),
            "ports": list(self.ports),
            "figures": figures_json(self.figures),
            "fix": self.fix,
            "indent": self.indent,
        }


def said(*words: str) -> tuple[Told, ...]:
    """Sentences of an answer; the spaces at a sentence's beginning say how far in it stands."""
    return tuple(Told(SAID, text.lstrip(" "), indent=len(text) - len(text.lstrip(" "))) for text in words)


def told(change: Change, room: Room) -> list[Told]:
    """What a change did: cautions first, then warnings, then connections."""

    def of(kind: str, alert: Alert, words: str) -> Told:
        return Told(kind, words, alert.severity, jacks_about(alert, room), alert.ports, alert.figures, alert.fix)

    return [
        *(of(CAUTION, alert, f"{alert.text} {alert.fix}".rstrip()) for alert in change.cautions),
        *(of(PASSING, alert, f"on the way: {alert.text}") for alert in change.passing),
        *(of(RAISED, alert, alert.text) for alert in change.raised),
        *(of(CHANGED, now, now.text) for _, now in change.changed),
        *(Told(JOINED, f"{list_words(j.sources)} meet at {j.load}", ports=(*j.sources, j.load)) for j in change.joined),
        *(Told(BROKEN, f"{source} > {load}", ports=(source, load)) for source, load in change.broken),
        *(Told(MADE, f"{source} > {load}", ports=(source, load)) for source, load in change.made),
        *(Told(SPLIT, f"{s.source} feeds {list_words(s.loads)}", ports=(s.source, *s.loads)) for s in change.split),
        *(of(CLEARED, alert, ": ".join(filter(None, (alert.rule, _about(alert))))) for alert in change.cleared),
    ]


def _about(warning: Alert) -> str:
    """The ports or jacks of a warning; empty where it is about neither, but about all cords."""
    about = warning.ports or warning.jacks
    return list_words(about) if about else ""


def action_words(action: Action, room: Room) -> tuple[str, ...]:
    """What an action did beside connections: a supply switched, a microphone put."""
    return tuple(words for single in singles(action) if (words := _single_words(single, room)))


def _single_words(action: Action, room: Room) -> str:
    match action:
        case Phantom(port, on):
            supply = room.port_named[port].supply
            shared = [] if supply is None else [room.ports[p].name for p in room.ports_of_switch[supply.switch]]
            return f"phantom {'on' if on else 'off'} at {list_words(shared)}"
        case Put(mic, line):
            return f"the {mic} is on {line}"
        case Clear(line):
            return f"no microphone is on {line}"
        case _:
            return ""
