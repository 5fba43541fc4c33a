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
from model.signal.warning import DANGER, SEVERITIES, Alert

MAX_TRIED = 80


class Fix(NamedTuple):
    """A line, and what it would change beside fixing."""

    action: Action
    change: Change


class Search(NamedTuple):
    """The best fix that was found; and where there is none, the danger for which one was turned down."""

    fix: Fix | None
    harm: tuple[Action, Alert] | None


def shortest_fix(
    patch: Patch,
    guarded: Collection[Connection],
    actions: Iterable[Action],
    fixed: Callable[[Patch], bool],
    lighter: bool = False,
) -> Search:
    """The action after which something is fixed: the one that raises least, then breaks least, then is shortest to type.

    What breaks a guarded connection is no fix, and neither is what raises a danger, at its end or on its way. A supply that
    is switched must leave the warnings lighter, and so must any fix with ``lighter``: each fix then takes a plug out or
    warnings away, so that no chain of fixes comes back to where it was.
    """
    best: Fix | None = None
    harm: tuple[Action, Alert] | None = None
    for action in list(dict.fromkeys(actions))[:MAX_TRIED]:
        try:
            done = patch.do(action)
        except Refusal:
            continue
        if not fixed(done.patch) or lost(guarded, done.change):
            continue
        dangers = new_dangers(done.change)
        if dangers:
            harm = harm or (action, dangers[0])
        elif lightens(done.change) or not (lighter or isinstance(action, Phantom)):
            found = Fix(action, done.change)
            if best is None or _harm(found) < _harm(best):
                best = found
    return Search(best, None if best else harm)


def new_dangers(change: Change) -> list[Alert]:
    """The dangers that a change raises, those that a warning grows into, and those that stand on its way."""
    return [*(warning for warning in (*change.raised, *change.grown) if warning.severity == DANGER), *change.passing]


def lightens(change: Change) -> bool:
    """Whether fewer dangers stand after a change; of as many, fewer warnings; of as many of both, fewer notes."""
    after = [warning.severity for warning in (*change.raised, *(now for _, now in change.changed))]
    before = [warning.severity for warning in (*change.cleared, *(was for was, _ in change.changed))]
    return [after.count(s) for s in SEVERITIES] < [before.count(s) for s in SEVERITIES]


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
    """The outputs at which what is on some contacts starts, however much gear it has passed."""
    return first_sources(patch.state, outputs_on(patch, contacts))
