"""The room at rest and with its house patch: every rule that stands, every split, every cord that cannot be."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from model.bay.state import State
from model.check.finding import Finding, addresses
from model.live.change import Change
from model.room.wiring import HouseCord, Room
from model.session import Session
from model.signal.warning import NOTE, WARNING
from model.text.listing import list_words


class Played(NamedTuple):
    """A room's house patch, played at the bay."""

    state: State
    at_rest: Change  # what stands before any cord
    with_cords: Change  # what stands with the house patch and did not before
    refused: tuple[tuple[HouseCord, str], ...]  # cords that cannot be plugged, and why


def play(room: Room) -> Played:
    """Plays the house patch. All that `check` knows of a session is here."""
    session = Session(room)
    before = session.patch.at_rest
    refused = []
    for cord, typed in zip(room.house_patch, session.house_entries(), strict=True):
        outcome = session.enter(typed)
        if outcome.error is not None:
            refused.append((cord, f"{typed}: {outcome.error}."))
    patch = session.patch
    if not room.house_patch:
        return Played(patch.state, before, Change(), ())
    known = {warning.identity for warning in before.raised}
    new = Change(
        raised=tuple(warning for warning in patch.standing_warnings() if warning.identity not in known),
        split=tuple(split for split in patch.all_that_stands().split if split not in before.split),
    )
    return Played(patch.state, before, new, tuple(refused))


def at_rest(room: Room) -> Iterator[Finding]:
    """Every rule, and every split, on the room at rest and then on the room with its house patch."""
    played = play(room)
    yield from _standing(room, played.state, played.at_rest, "before any cord is plugged")
    for cord, why in played.refused:
        yield Finding(cord.line, "house-patch-refused", WARNING, addresses(room, *cord.jacks), why)
    yield from _standing(room, played.state, played.with_cords, "with the house patch")


def _standing(room: Room, state: State, change: Change, when: str) -> Iterator[Finding]:
    """The warnings and the splits of a room in which no hand has touched a cord."""

    def jacks_of(ports: Sequence[str]) -> list[int]:
        return sorted({jack for name in ports for jack in room.jacks_of_port[room.port_named[name].index]})

    for warning in change.raised:
        jacks = jacks_of(warning.ports)
        where = warning.jacks or addresses(room, *jacks)
        line = _line_to_blame(room, state, jacks)
        about = "" if where else "cords"
        yield Finding(line, warning.rule, warning.severity, where, f"{warning.text} {warning.fix}", about)
    for split in change.split:
        jacks = jacks_of((split.source, *split.loads))
        line = _line_to_blame(room, state, jacks)
        said = f"{split.source} feeds {list_words(split.loads)} {when}."
        yield Finding(line, "split-at-rest", NOTE, addresses(room, *jacks), said)


def _line_to_blame(room: Room, state: State, jacks: Sequence[int]) -> int:
    """The line of the room file that joins some jacks: that of a house cord on their net, else of the first normal.

    What is about no jack is about the number of cords: the last of the house patch is the one too many.
    """
    if not jacks:
        return max((cord.line for cord in room.house_patch), default=1)
    net = {node >> 1 for node in state.nodes_joined_to(2 * jacks[0])}
    cords = [cord.line for cord in room.house_patch if net.issuperset(cord.jacks) and cord.jacks[0] in state.plugs]
    normals = [n.line for jack in jacks for n in room.normals_at.get(jack, ()) if net.issuperset((n.top, n.bottom))]
    return min(cords or normals, default=room.jacks[jacks[0]].line)


def length_not_owned(room: Room) -> Iterator[Finding]:
    """A cord of the house patch in a length of which the room owns none."""
    for cord in room.house_patch:
        if room.cords is None or cord.length_cm is None:
            continue
        if any(length == cord.length_cm and count for length, count in room.cords.items()):
            continue
        where = addresses(room, *cord.jacks)
        owned = list_words([f"{length}" for length, count in sorted(room.cords.items()) if count])
        said = f"A cord of {cord.length_cm:g} cm from {where[0]} to {where[-1]}: the room owns lengths of {owned} cm."
        yield Finding(cord.line, "length-not-owned", WARNING, where, said)
