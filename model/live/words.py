"""A change in words, for the screen and for `rehearse`: one item a line, the worst first."""

from __future__ import annotations

from typing import NamedTuple

from model.bay.actions import Action, Clear, Phantom, Put, Together
from model.live.change import Change
from model.room.wiring import Room
from model.signal.warning import Alert, list_words

# What kind of line it is; the screen has a mark for each.
MADE, BROKEN, SPLIT, JOINED, RAISED, CLEARED, CAUTION, SAID = (
    "made",
    "broken",
    "split",
    "joined",
    "raised",
    "cleared",
    "caution",
    "said",
)


class Told(NamedTuple):
    """One line about a change: its kind and its words; for a warning, how bad it is."""

    kind: str
    text: str
    severity: str = ""


def told(change: Change) -> list[Told]:
    """What a change did, in words: cautions first, then warnings, then connections."""
    lines = [Told(CAUTION, f"{warning.text} {warning.fix}", warning.severity) for warning in change.cautions]
    lines += [Told(RAISED, warning.text, warning.severity) for warning in change.raised]
    lines += [Told(JOINED, f"{list_words(joined.sources)} meet at {joined.load}") for joined in change.joined]
    lines += [Told(BROKEN, f"{source} > {load}") for source, load in change.broken]
    lines += [Told(MADE, f"{source} > {load}") for source, load in change.made]
    lines += [Told(SPLIT, f"{split.source} feeds {list_words(split.loads)}") for split in change.split]
    lines += [
        Told(CLEARED, ": ".join(filter(None, (warning.rule, _about(warning)))), warning.severity)
        for warning in change.cleared
    ]
    return lines


def _about(warning: Alert) -> str:
    """The ports or jacks of a warning; empty where it is about neither, but about all cords."""
    about = warning.ports or warning.jacks
    return list_words(about) if about else ""


def action_words(action: Action, room: Room) -> tuple[str, ...]:
    """What an action did beside connections: a supply switched, a microphone put."""
    match action:
        case Phantom(port, on):
            supply = room.port_named[port].supply
            shared = [] if supply is None else [room.ports[p].name for p in room.ports_of_switch[supply.switch]]
            return (f"phantom {'on' if on else 'off'} at {list_words(shared)}",)
        case Put(mic, line):
            return (f"the {mic} stands on {line}",)
        case Clear(line):
            return (f"no microphone stands on {line}",)
        case Together(actions):
            return tuple(words for part in actions for words in action_words(part, room))
        case _:
            return ()
