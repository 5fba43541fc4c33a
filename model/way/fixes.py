"""The shortest entry that would fix something: each that might is tried on the patch."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from typing import NamedTuple

from model.bay.actions import Action, Phantom, Pull, Unplug
from model.bay.refusals import Refusal
from model.entry.guarded import lost
from model.live.change import Change, Connection
from model.live.patch import Patch
from model.room.wiring import NO_PORT
from model.signal.flow import first_sources, is_output
from model.signal.warning import DANGER, SEVERITIES

MAX_TRIED = 80


class Fix(NamedTuple):
    """A line, and what it would change beside fixing."""

    action: Action
    change: Change


def shortest_fix(
    patch: Patch, guarded: Collection[Connection], actions: Iterable[Action], fixed: Callable[[Patch], bool]
) -> Fix | None:
    """The action after which something is fixed: the one that raises least, then breaks least, then is shortest to type.

    What breaks a guarded connection is no fix, and neither is what raises a danger, at its end or on its way.
    """
    best: Fix | None = None
    for action in list(dict.fromkeys(actions))[:MAX_TRIED]:
        try:
            done = patch.do(action)
        except Refusal:
            continue
        if fixed(done.patch) and not lost(guarded, done.change) and not harms(done.change):
            found = Fix(action, done.change)
            if best is None or _harm(found) < _harm(best):
                best = found
    return best


def harms(change: Change) -> bool:
    """Whether a change raises a danger, at its end or on its way."""
    return bool(change.passing) or any(warning.severity == DANGER for warning in change.raised)


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
