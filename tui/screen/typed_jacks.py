"""The jacks that a line is about while it is being typed, so that the bay can show them before Enter."""

from __future__ import annotations

from collections.abc import Mapping

from model.bay.refusals import Refusal
from model.commands.reading import command_of, split_question
from model.commands.table import COMMANDS
from model.language.names import IN, OUT, Names
from model.live.change import Change

# What completion offers for commands that take jacks: those that hold a plug, and others.
HELD = ("held", "held jack", "on hold")
NAMES_A_JACK = (*HELD, "ends", "move", "name")


def wanted(ends: list[int], change: Change | None, plugs: Mapping[int, int]) -> dict[int, int | None]:
    """The jacks that a line is about, with the cord's number where the line would put a plug in.

    ``change`` is the line's preview where it can be read; where not, the ends that are named already count.
    """
    if change is not None and change.jacks:
        return {jack: None if jack in plugs else change.cord for jack in change.jacks}
    return dict.fromkeys(ends)


def ends_named(text: str, names: Names) -> list[int]:
    """The jacks that the text names so far, in its order; what means no jack, or several, is left out."""
    if any(word.startswith(text.strip().casefold()) for word in COMMANDS):
        return []  # 'do' is on its way to 'done': the bay stays where it is
    command, rest = command_of(split_question(text)[0])
    if command.offers not in NAMES_A_JACK:
        return []
    found: list[int] = []
    for at, end in enumerate(rest.split(">")):
        try:
            number = names.cord(end)
            if number is not None:
                cord = names.state.cords.get(number)
                found += cord.plugs if cord else ()
            elif end.strip():
                found.append(names.jack(end, IN if at else OUT, held=command.offers in HELD or None))
        except Refusal:
            continue
    return found
