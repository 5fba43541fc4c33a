"""Typed entries played one after another, without a screen: as text to read, or as JSON, one object a line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

from model.commands.repeats import carried_out
from model.live.told import MADE, SAID, Told, told
from model.session import Outcome, Session
from model.text.listing import counted


class Played(NamedTuple):
    """One entry that was played. ``number`` is its place in the script, from 1, comments counted; 0 for the house patch.

    ``house`` is the place of a cord in the house patch, from 1; 0 for a script's line.
    """

    number: int
    outcome: Outcome
    house: int = 0


def is_comment(line: str) -> bool:
    """Whether a script's line is a comment ('#' and a space, or '#' alone) or empty; '#7 > C3' is neither."""
    stripped = line.strip()
    return not stripped or stripped == "#" or stripped.startswith("# ")


def play(session: Session, lines: Iterable[str]) -> Iterator[Played]:
    """Play a script's lines. A refused line changes nothing, and the lines after it are played all the same.

    A repetition, such as 'undo 3', is several entries of one line.
    """
    for number, line in enumerate(lines, start=1):
        if number == 1:
            line = line.removeprefix("\ufeff")  # the mark with which some editors begin a file
        if not is_comment(line):
            for outcome in carried_out(line.rstrip("\r\n"), session.enter, session.preview):
                yield Played(number, outcome)


def play_house(session: Session) -> Iterator[Played]:
    """Plug the house patch, each cord as a line of its own."""
    for number, line in enumerate(session.house_entries(), start=1):
        yield Played(0, session.enter(line), number)


def as_json(played: Played) -> dict[str, Any]:
    """The object that `--json` prints for a line."""
    outcome = played.outcome
    return {
        "line": played.number,
        "typed": outcome.typed,
        "ok": outcome.ok,
        "error": outcome.error,
        **outcome.change.as_json(outcome.before.patch.room),
        **({"house": played.house} if played.house else {}),
        **({"asked": True} if outcome.asked else {}),
        **({"told": [each.as_json() for each in outcome.answer.said]} if outcome.answer.said else {}),
        **outcome.answer.extra,
    }


def at_rest_json(session: Session) -> dict[str, Any]:
    """The first object: the room at rest, before its house patch."""
    return {"line": 0, "typed": "", "ok": True, "error": None, **session.patch.at_rest.as_json(session.room)}


def as_line(told: Told) -> str:
    """One told thing to read."""
    kind = "" if told.kind == SAID else f"{told.kind} "
    severity = f"[{told.severity}] " if told.severity else ""
    return f"      {' ' * told.indent}{kind}{severity}{told.words}"


def as_text(played: Played) -> list[str]:
    """A line and what it did, to read."""
    outcome = played.outcome
    head = f"{played.number:>4}  {outcome.typed}" if played.number else f"house {outcome.typed}"
    if outcome.error is not None:
        return [head, f"      refused: {outcome.error}"]
    lines = [head]
    if outcome.change.cord is not None and not outcome.asked:
        lines.append(f"      cord {outcome.change.cord}")
    lines += [as_line(each) for each in told(outcome.change, outcome.before.patch.room)]
    lines += [as_line(each) for each in outcome.answer.said]
    return lines if len(lines) > 1 else [head, "      changes no connection"]


def at_rest_text(session: Session) -> list[str]:
    """The room at rest, to read."""
    rest = session.patch.at_rest
    counts = counted(len(rest.made), "connection")
    lines = [f"{session.room.name}: at rest, before any cord, {counts}"]
    return lines + [as_line(each) for each in told(rest, session.room) if each.kind != MADE]
