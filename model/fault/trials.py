"""What can be tried at the bay to find a fault, each trial with what it would prove sound.

A trial is answered with `good` or `dead` at its place, like any other observation. To listen at a jack is to plug there:
where the signal comes to the jack over its own normal contact, the plug itself takes it away, and nothing can be heard.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import NamedTuple

from model.bay.actions import Action, Plug, Put, Unplug
from model.bay.edits import HIGHEST_CORD_NUMBER, state_after
from model.bay.refusals import Refusal
from model.bay.state import State
from model.fault import reasoning as fault
from model.fault.chain import Ways, cord_element, flow_to, node_of
from model.fault.reasoning import LEAST_GAIN, Element, Finding, Observation
from model.language.names import Names
from model.language.targets import Target, read_target
from model.room.wiring import NO_PORT, Normal, line_contact

LISTEN, LISTEN_BREAKING, SWAP, MIC, GO_ROUND, CORD_END, LOOK = (
    "listen",
    "listen, which breaks something",
    "swap the cord",
    "swap the microphone",
    "go round a normal",
    "listen at the cord's end",
    "look",
)

# What each trial asks of the hands: those that leave everything as it stands first, and last what not all gear can show.
EFFORT: Mapping[str, int] = {
    LISTEN: 0,
    SWAP: 1,
    LISTEN_BREAKING: 2,
    GO_ROUND: 2,
    CORD_END: 2,
    MIC: 3,
    LOOK: 3,
}
NEARLY = 0.02  # bits: of trials that tell the same but for so little, the one that asks least is proposed

Breaks = Callable[[Action], tuple[str, ...]]  # the loads that an action would cut off


class Trial(NamedTuple):
    """Something to try. ``at`` is where its answer is typed; ``line`` what must be done first, as an entry."""

    kind: str
    at: str
    source: str
    passed: frozenset[Element]  # what is sound if the signal is there
    jack: int | None = None  # where a plug goes in
    element: Element | None = None  # what is put out of the way
    line: str = ""
    breaks: tuple[str, ...] = ()  # what is cut off meanwhile


class Scored(NamedTuple):
    """A trial and what it would tell, in bits."""

    gain: float
    trial: Trial


def trials(finding: Finding, names: Names, breaks: Breaks) -> list[Scored]:
    """All trials that tell something, the best first. Empty also where no dead place is fed any more."""
    suspects = {element for element, _ in finding.suspects}
    found: dict[frozenset[Element], Scored] = {}
    for heard in _dead_ways(finding.observations):
        for trial in _at(heard, names, finding):
            gain = finding.gain(trial.passed)
            if gain > LEAST_GAIN:
                # of those that tell the same of the suspects, the one that asks least
                trial = _with_breaks(trial, names.state, breaks)
                before = found.get(trial.passed & suspects)
                if before is None or EFFORT[trial.kind] < EFFORT[before.trial.kind]:
                    found[trial.passed & suspects] = Scored(gain, trial)
    least = max((each.gain for each in found.values()), default=0.0) - NEARLY
    return sorted(
        found.values(), key=lambda s: (s.gain < least, EFFORT[s.trial.kind] if s.gain >= least else 0, -s.gain)
    )


def still_fed(heard: Observation, names: Names) -> bool:
    """Whether the source of an observation leads to its place as the bay is now."""
    return _way(heard, names) is not None


def _dead_ways(observations: tuple[Observation, ...]) -> list[Observation]:
    """The dead places, each with its source, the latest first."""
    found: dict[tuple[str, str], Observation] = {}
    for heard in reversed(observations):
        if not heard.works:
            found.setdefault((heard.source, heard.place), heard)
    return list(found.values())


def _with_breaks(trial: Trial, state: State, breaks: Breaks) -> Trial:
    """A trial that listens at a jack, with what that cuts off: a plug goes in there, or one comes out to make room."""
    if trial.kind != LISTEN or trial.jack is None:
        return trial
    held = trial.jack in state.plugs
    cut = breaks(Unplug(trial.at) if held else Plug((trial.at,)))
    return trial._replace(kind=LISTEN_BREAKING, breaks=cut) if cut or held else trial


def _way(heard: Observation, names: Names) -> tuple[Target, Ways] | None:
    """The present way of an observation; None where its place or its source is not there, or does not lead there now."""
    try:
        target = read_target(heard.place, names)
    except Refusal:
        return None  # a cord that is out of the bay
    source = names.room.port_named[heard.source].index
    through = flow_to(names.state, target)
    if source not in through:
        return None
    ways = Ways(names.state, source, through)
    return (target, ways) if ways.passed(node_of(names.state, target)) else None


def _at(heard: Observation, names: Names, finding: Finding) -> Iterator[Trial]:
    found = _way(heard, names)
    if found is None:
        return
    target, ways = found
    whole = ways.passed(node_of(names.state, target))
    for make in (_listens, _looks, _cord_ends):
        for trial in make(ways, target):
            yield trial._replace(source=heard.source)
    number = fresh_cord(names.state, finding.observations)
    suspects = {element for element, _ in finding.suspects}
    normals: dict[Normal, Element] = {}
    for element in whole:
        if element not in suspects:
            continue
        left = frozenset(whole) - {element}
        if element.kind == fault.CORD:
            at = f"#{number}" if heard.place == element.of else heard.place  # a cord's own end is then the new cord's
            yield Trial(SWAP, at, heard.source, left, element=element, line=f"swap {element.of}")
        elif element.kind == fault.MICROPHONE and (put := _other_mic(names.state, element)) is not None:
            yield Trial(MIC, heard.place, heard.source, left, element=element, line=str(put))
        elif element.kind == fault.CONTACT:
            jack = names.jack_by_address(element.of)
            normals.update(dict.fromkeys(names.room.normals_at.get(-1 if jack is None else jack, ()), element))
    for normal, element in normals.items():
        gone_round = _round(normal, number, heard, names, ways)
        if gone_round is not None:
            yield gone_round._replace(element=element)


def _listens(ways: Ways, target: Target) -> Iterator[Trial]:
    """Jacks to which the signal comes otherwise than over their own normal contact or the cord that they hold."""
    room, state = ways.room, ways.state
    for node in ways.graph:
        if not isinstance(node, int) or node < 0 or node & 1:
            continue
        address, held = room.jacks[node >> 1].address, state.plugs.get(node >> 1)
        passed = ways.passed(node)
        if held is not None:
            if cord_element(state, held) in passed:
                continue
        elif node ^ 1 in ways.before and node not in ways.to(node ^ 1):
            # the signal comes to the normal contact from elsewhere as well: a plug shuts that way
            passed = ways.in_state(state_after(state, Plug((address,)))).passed(node)
        if passed:
            yield Trial(LISTEN, address, "", frozenset(passed), jack=node >> 1)


def _looks(ways: Ways, target: Target) -> Iterator[Trial]:
    """Inputs of gear on the way that carries the signal on: many show what comes in."""
    for node in ways.to(node_of(ways.state, target)):
        if isinstance(node, int) and node < 0 and ways.room.carried(-1 - node):
            yield Trial(LOOK, ways.room.ports[-1 - node].name, "", frozenset(ways.passed(node)))


def _cord_ends(ways: Ways, target: Target) -> Iterator[Trial]:
    """Far ends of cords on the way, out of their jacks and into something that can be heard."""
    nodes = ways.to(node_of(ways.state, target))
    for at, node in enumerate(nodes[:-1]):
        after = nodes[at + 1]
        if isinstance(node, Element) and node.kind == fault.CORD and isinstance(after, int):
            yield Trial(CORD_END, node.of, "", frozenset(ways.passed(node)), after >> 1, node)


def _round(normal: Normal, number: int, heard: Observation, names: Names, ways: Ways) -> Trial | None:
    """A cord in place of a normal; None where a jack is taken, or the signal does not come that way."""
    state, jacks = names.state, names.room.jacks
    if not all(line_contact(jack) in ways.before for jack in (normal.top, normal.bottom)):
        return None
    action: Action = Plug((jacks[normal.top].address, jacks[normal.bottom].address), number)
    try:
        after = state_after(state, action)
    except Refusal:
        return None
    found = _way(heard, names.at(after))
    passed = () if found is None else found[1].passed(node_of(after, found[0]))
    if not passed:
        return None
    return Trial(GO_ROUND, heard.place, heard.source, frozenset(passed), normal.top, line=str(action))


def _other_mic(state: State, element: Element) -> Put | None:
    """Another microphone on the line: one that needs no phantom and is not harmed by it."""
    standing = state.mics.get(state.room.port_named[element.of].index)
    for mic in state.room.mics:
        if mic != standing and mic.phantom_v is None and not mic.harmed:
            return Put(mic.name, element.of)
    return None


def fresh_cord(state: State, observations: tuple[Observation, ...]) -> int:
    """A number for a cord that is neither in the bay nor in what was heard so far: a cord is known by its number."""
    known = {e.of for heard in observations for e in heard.passed if e.kind == fault.CORD}
    numbers = (n for n in range(1, HIGHEST_CORD_NUMBER + 1) if n not in state.cords and f"#{n}" not in known)
    return next(numbers)


def is_mic_level(state: State, jack: int) -> bool:
    """Whether a jack is on a microphone's line, where phantom may be."""
    room = state.room
    ports = {room.port_at[node >> 1] for node in state.nodes_joined_to(line_contact(jack)) if not node & 1} - {NO_PORT}
    return any(room.ports[port].kind.family == "mic" for port in ports)
