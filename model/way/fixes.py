"""The shortest line that would fix something: each that might is played on the engine, and taken back."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from typing import NamedTuple

from model.bay.actions import Action, Phantom, Pull, Together, Unplug
from model.bay.refusals import Refusal
from model.live.change import Change, Connection
from model.live.patch import Patch
from model.room.wiring import NO_PORT
from model.signal.flow import first_sources, is_output
from model.signal.warning import SEVERITIES
from model.way.guard import lost

MAX_TRIED = 80


class Fix(NamedTuple):
    """A line, and what it would change beside fixing."""

    action: Action
    change: Change


def shortest_fix(
    patch: Patch, kept: Collection[Connection], lines: Iterable[Action], fixed: Callable[[], bool]
) -> Fix | None:
    """The line after which something is fixed: the one that raises least, then breaks least, then is shortest to type.

    What breaks a kept connection is no fix.
    """
    best: Fix | None = None
    for action in list(dict.fromkeys(lines))[:MAX_TRIED]:
        try:
            change = patch.push(action)
        except Refusal:
            continue
        good = fixed()
        patch.pop()
        if good and not lost(kept, change):
            found = Fix(action, change)
            if best is None or _harm(found) < _harm(best):
                best = found
    return best


def _harm(fix: Fix) -> tuple[list[int], int, int]:
    severities = [warning.severity for warning in fix.change.raised]
    return [severities.count(s) for s in SEVERITIES], len(fix.change.broken), len(str(fix.action))


def cord_lines(patch: Patch, contacts: Iterable[int]) -> list[Action]:
    """Lines that take out a cord, or one plug, of those in the jacks of some contacts."""
    room, plugs = patch.room, patch.state.plugs
    held = {jack: plugs[jack] for contact in contacts if (jack := contact >> 1) in plugs}
    pulls: list[Action] = [Pull(number) for number in sorted(set(held.values()))]
    return pulls + [Unplug(room.jacks[jack].address) for jack in sorted(held)]


def phantom_lines(patch: Patch, contacts: Iterable[int]) -> list[Action]:
    """Lines that switch a supply on a net to what it is not."""
    room, state = patch.room, patch.state
    ports = {room.port_at[contact >> 1] for contact in contacts if not contact & 1} - {NO_PORT}
    supplied = [(room.ports[port].name, supply) for port in sorted(ports) if (supply := room.ports[port].supply)]
    return [Phantom(name, not state.is_on(supply.switch)) for name, supply in supplied]


def together(actions: Sequence[Action]) -> Action:
    """Several lines as one."""
    return actions[0] if len(actions) == 1 else Together(tuple(actions))


def outputs_on(patch: Patch, contacts: Iterable[int]) -> list[int]:
    """The outputs that feed some contacts."""
    return [port for port in ports_on(patch, contacts) if is_output(patch.room, port)]


def ports_on(patch: Patch, contacts: Iterable[int]) -> list[int]:
    """The ports on the nets of some contacts."""
    room = patch.room
    found: set[int] = set()
    for contact in contacts:
        found.update(room.port_at[node >> 1] for node in patch.state.nodes_joined_to(contact) if not node & 1)
    return sorted(found - {NO_PORT})


def sources_of(patch: Patch, contacts: Iterable[int]) -> list[int]:
    """The outputs at which what stands on some contacts starts, however much gear it has passed."""
    return first_sources(patch.state, outputs_on(patch, contacts))
