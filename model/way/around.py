"""`around X`: a piece of gear, or a port, is dead. Free gear of the same kind takes its place, with all before and after it
as it was.

The stand-in is free where no cord is on its nets, nothing through it is guarded, and no microphone stands before it. Plugs in
the dead gear's jacks move over to it; what a normal brought gets a cord. Phantom is switched off at the dead gear first and
on at the stand-in last.
"""

from __future__ import annotations

import heapq
import math
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from model.bay.actions import Action, Clear, Move, Phantom, Pull, Put
from model.bay.refusals import Malformed, NotNow, Refusal
from model.entry.answer import Answer
from model.entry.draft import Draft
from model.entry.entry import Asks
from model.entry.guarded import GUARDED
from model.language.names import Names
from model.language.targets import JACK, Target, contacts_of, read_gear
from model.live.patch import Patch
from model.room.inside import ASSIGNED
from model.room.wiring import NO_PORT, Mult, Room, line_contact
from model.signal.flow import backward, follow, is_output, ports_joined_to
from model.text.listing import list_words
from model.way.joints import walk
from model.way.proposals import MOST, Proposal, answer
from model.way.wayfinder import Stretch, Wayfinder

Rank = tuple[tuple[int, int, int], bool, bool, float, int, int, int]  # of a proposal: the best is the least

MAX_LOOKED_AT = 200  # like gear of which it is asked whether it is free
MAX_TRIED = 12  # stand-ins that are tried on the engine
MAX_PLAYED = 50  # chains of cords that are tried for each connection of a stand-in
_NUMBER = re.compile(r"\d+", re.ASCII)
SAME_OHMS = 0.05  # impedances within 5 % count as the same


class StandIn(NamedTuple):
    """Gear that could take the dead gear's place: port for port."""

    gear: int
    ports: dict[int, int]  # the dead gear's port: its own
    alike: bool  # its ports are of the dead gear's kinds, all of them
    idle: bool  # nothing at all is joined to it, not even by a normal
    apart: float  # how far its impedances are from the dead gear's: the sum of |log2| of their ratios
    reach: int


class Around:
    """Looks for what can stand in for dead gear, or for one dead port and what belongs to it inside the gear."""

    def __init__(self, draft: Draft, dead: Sequence[int]) -> None:
        self.patch: Patch = draft.patch
        self.room: Room = draft.room
        self.state = draft.patch.state
        self.guarded = draft.get(GUARDED)
        self.places = draft.places
        self.dead = tuple(dead)
        self.gear = self.room.ports[dead[0]].gear
        self.supplied = {port for port in dead if (s := self.room.ports[port].supply) and self.state.is_on(s.switch)}
        # what is guarded of the dead gear itself cannot stand whatever is done
        names = {self.room.ports[port].name for port in dead}
        guarded = {pair for pair in self.guarded if not names.intersection(pair)}
        self.finder = Wayfinder(draft.patch, draft.places, guarded, MAX_PLAYED)

    # What has to be as it was

    def wanted(self) -> list[tuple[int, int]]:
        """The dead ports' connections now: output and input."""
        found = []
        for port in self.dead:
            for other in sorted(ports_joined_to(self.state, port)):
                if is_output(self.room, port) != is_output(self.room, other) and other not in self.dead:
                    found.append((port, other) if is_output(self.room, port) else (other, port))
        return found

    # Who could stand in

    def stand_ins(self) -> list[StandIn]:
        """Free gear that has a port of its kind for each dead port: gear of all the same kinds first, then idle gear, then by
        impedances, then the nearest."""
        room = self.room
        dead = Counter(room.ports[port].kind.name for port in self.dead)
        own = self._kinds(self.gear)
        like: list[tuple[bool, float, int, int, dict[int, int]]] = []
        for kinds, pieces in self.places.gear_of_kinds.items():
            for gear in () if dead - Counter(kinds) else pieces:
                ports = self._matched(gear) if gear != self.gear else None
                if ports is not None:
                    reach = sum(self._reach(a, b) for a, b in ports.items())
                    like.append((kinds != own, self._apart(ports), reach, gear, ports))
        for ports in self._other_channels():
            reach = sum(self._reach(a, b) for a, b in ports.items())
            like.append((False, self._apart(ports), reach, self.gear, ports))
        found = [
            StandIn(gear, ports, not unlike, self._is_idle(ports.values()), apart, reach)
            for unlike, apart, reach, gear, ports in heapq.nsmallest(MAX_LOOKED_AT, like, key=lambda each: each[:4])
            if self._is_free(ports.values())
        ]
        return sorted(found, key=lambda s: (not s.alike, not s.idle, s.apart, s.reach, s.gear))

    def _other_channels(self) -> Iterator[dict[int, int]]:
        """The ports of the same gear that are called as the dead ones but for a number: another channel of a desk."""
        room = self.room
        named = {room.ports[port].own: port for port in room.gear[self.gear].ports if room.jacks_of_port[port]}
        first = room.ports[self.dead[0]].own
        for spot in _NUMBER.finditer(first):
            before, after = first[: spot.start()], first[spot.end() :]
            for own in named:
                number = (
                    own[len(before) : len(own) - len(after)] if own.startswith(before) and own.endswith(after) else ""
                )
                if not number.isdecimal() or number == spot[0]:
                    continue
                whole = re.compile(rf"(?<!\d){spot[0]}(?!\d)")
                others = [named.get(whole.sub(number, room.ports[port].own, count=1)) for port in self.dead]
                ports = {port: other for port, other in zip(self.dead, others, strict=True) if other is not None}
                if len(ports) == len(self.dead) and not set(ports) & set(ports.values()) and self._fits(ports):
                    yield ports

    def _fits(self, ports: Mapping[int, int]) -> bool:
        """Whether ports of the same gear are alike, and joined inside on the same conditions."""
        room = self.room
        return all(self._alike(a, b) and self._volts(a) == self._volts(b) for a, b in ports.items()) and all(
            room.condition(a, b) == room.condition(ports[a], ports[b]) for a in ports for b in ports
        )

    def _matched(self, gear: int) -> dict[int, int] | None:
        """A port of the gear for each dead port: of its kind, by its own name first; carried inside as the dead gear does."""
        room = self.room
        left = [port for port in room.gear[gear].ports if room.jacks_of_port[port]]
        matched: dict[int, int] = {}
        for port in self.dead:
            like = [other for other in left if self._alike(port, other)]
            if not like:
                return None
            own = room.ports[port].own
            chosen = next((other for other in like if room.ports[other].own == own), like[0])
            matched[port] = chosen
            left.remove(chosen)
        volts = [(self._volts(port), self._volts(other)) for port, other in matched.items()]
        carries = all(
            (b in room.carried(a)) == (matched[b] in room.carried(matched[a]))
            for a in self.dead
            for b in self.dead
            if not is_output(room, a) and is_output(room, b)
        )
        return matched if carries and all(need is None or need == has for need, has in volts) else None

    def _alike(self, port: int, other: int) -> bool:
        """Whether two ports are of one kind, and a signal starts or ends at both or goes on through both."""
        room = self.room
        goes_on = room.carried_from if is_output(room, port) else room.carried
        return room.ports[port].kind is room.ports[other].kind and bool(goes_on(port)) == bool(goes_on(other))

    def _kinds(self, gear: int) -> tuple[str, ...]:
        return tuple(sorted(self.room.ports[port].kind.name for port in self.room.gear[gear].ports))

    def _volts(self, port: int) -> float | None:
        supply = self.room.ports[port].supply
        return None if supply is None else supply.volts

    def _is_free(self, ports: Iterable[int]) -> bool:
        """Whether no cord is on the nets of some ports, nothing on them is guarded, and no microphone stands before them."""
        room, state = self.room, self.state
        for port in ports:
            contacts = contacts_of(state, port)
            if any(contact >> 1 in state.plugs for contact in walk(state, contacts)):
                return False
            name = room.ports[port].name
            if any(name in pair for pair in self.guarded):
                return False
            if state.mics and any(node in state.mics for node in follow(state, [port], backward)):
                return False
        return True

    def _is_idle(self, ports: Iterable[int]) -> bool:
        """Whether nothing is joined to some ports, not even by a normal."""
        return all(len(ports_joined_to(self.state, port)) == 1 for port in ports)

    def _apart(self, ports: Mapping[int, int]) -> float:
        """How far impedances are from the dead ports': the sum of |log2| of their ratios."""
        ratios = [math.log2(self.room.ports[new].ohms / self.room.ports[old].ohms) for old, new in ports.items()]
        return round(sum(abs(ratio) for ratio in ratios if abs(ratio) > math.log2(1 + SAME_OHMS)), 3)

    def _reach(self, old: int, new: int) -> int:
        """Points between the jacks of two ports; those of another place are farther than any of this one."""
        room, places = self.room, self.places
        pairs = [(a, b) for a in room.jacks_of_port[old] for b in room.jacks_of_port[new]]
        near = [places.reach(a, b) for a, b in pairs if places.place_of(a) == places.place_of(b)]
        return min(near) if near else 10_000

    # Putting it there

    def proposals(self) -> list[Proposal]:
        """Up to three stand-ins with the lines that put them there, best first."""
        wanted = self.wanted()
        found: list[tuple[Rank, Proposal]] = []
        onto = self._onto_mults(wanted)
        quiet = 0
        for stand_in in self.stand_ins()[:MAX_TRIED]:
            for mults in ({}, onto) if onto else ({},):
                proposal = self._put_in_place(stand_in, wanted, mults)
                if proposal is not None:
                    rank: Rank = (
                        proposal.raised,
                        not stand_in.alike,
                        not stand_in.idle,
                        stand_in.apart,
                        proposal.cords,
                        proposal.reach,
                        len(found),
                    )
                    found.append((rank, proposal))
                    quiet += proposal.quiet
                    break
            if quiet == MOST:
                break  # what comes after is less alike
        return [proposal for _, proposal in sorted(found, key=lambda pair: pair[0])[:MOST]]

    def _onto_mults(self, wanted: Sequence[tuple[int, int]]) -> dict[int, Mult]:
        """For each dead output that feeds several inputs, some over a cord and some over its normal, a mult of its own.

        The stand-in's one jack cannot take a cord for each: the mult can.
        """
        sources = [source for source, _ in wanted]
        plugs, jacks_of = self.state.plugs, self.room.jacks_of_port
        several = [p for p in self.dead if sources.count(p) > 1 and any(jack in plugs for jack in jacks_of[p])]
        return dict(zip(several, self._spare_mults(), strict=False))

    def _spare_mults(self) -> list[Mult]:
        """Mults that nothing is joined to, in the dead gear's place, the nearest first."""
        at = self.room.jacks_of_port[self.dead[0]][0]
        place_of, reach = self.places.place_of, self.places.reach
        found = []
        for mult in self.room.mults:
            contacts = [line_contact(jack) for jack in mult.jacks]
            if place_of(mult.jacks[0]) == place_of(at):
                net = walk(self.state, contacts)
                idle = all(c & 1 or self.room.port_at[c >> 1] == NO_PORT for c in net)
                if idle and not any(c >> 1 in self.state.plugs for c in net):
                    found.append((reach(mult.jacks[0], at), mult))
        return [mult for _, mult in sorted(found)]

    def _put_in_place(
        self, stand_in: StandIn, wanted: Sequence[tuple[int, int]], mults: Mapping[int, Mult]
    ) -> Proposal | None:
        """The lines that put a stand-in in the dead gear's place; None where that cannot be done with all else as it was."""
        stretches = [
            Stretch(
                tuple(contacts_of(self.state, stand_in.ports[port])), tuple(line_contact(jack) for jack in mult.jacks)
            )
            for port, mult in mults.items()
        ] + [self._stretch(stand_in, pair) for pair in wanted]
        reach = 0
        first = (*self._phantom_off(), *self._moves(stand_in, mults))
        last = [*self._mics(stand_in), *self._phantom_on(stand_in)]
        try:
            finder = self.finder.after(first)
        except Refusal:  # a cord with more plugs than one need not reach
            return None
        actions = [*first]
        for stretch in stretches:
            if not finder.joined(stretch):
                ways = finder.find(stretch)
                if not ways:
                    return None
                finder = finder.after(ways[0].actions)
                actions += ways[0].actions
                reach += ways[0].reach
        about = f"{self._name(stand_in)} in place of {self._dead_name(stand_in)}"
        proposal = self.finder.play((*actions, *last), stretches, reach, about)
        return proposal if proposal is not None and self._rest_as_it_was(proposal, stand_in) else None

    def _name(self, stand_in: StandIn) -> str:
        """What stands in: gear, or of the same gear its first port."""
        room = self.room
        return (
            room.gear[stand_in.gear].name
            if stand_in.gear != self.gear
            else room.ports[stand_in.ports[self.dead[0]]].name
        )

    def _dead_name(self, stand_in: StandIn) -> str:
        room = self.room
        return room.gear[self.gear].name if stand_in.gear != self.gear else room.ports[self.dead[0]].name

    def _stretch(self, stand_in: StandIn, pair: tuple[int, int]) -> Stretch:
        source, load = (stand_in.ports.get(port, port) for port in pair)
        return Stretch(tuple(contacts_of(self.state, source)), tuple(contacts_of(self.state, load)))

    def _moves(self, stand_in: StandIn, mults: Mapping[int, Mult]) -> list[Action]:
        """Plugs in the dead gear's jacks go over to the stand-in's, or those of an output to its mult.

        Where they do not reach that far, their cord goes out.
        """
        room, state, place_of = self.room, self.state, self.places.place_of
        moves: list[Action] = []
        pulled: set[int] = set()
        for old, new in stand_in.ports.items():
            onto = mults[old].jacks if old in mults else room.jacks_of_port[new]
            free = [jack for jack in onto if jack not in state.plugs]
            for jack in room.jacks_of_port[old]:
                number = state.plugs.get(jack)
                if number is None or number in pulled:
                    continue
                near = next((other for other in free if place_of(other) == place_of(jack)), None)
                if near is not None:
                    free.remove(near)
                    moves.append(Move(room.jacks[jack].address, room.jacks[near].address))
                else:
                    pulled.add(number)
                    moves.append(Pull(number))
        # a cord that goes out is not moved before
        return [m for m in moves if not isinstance(m, Move) or state.plugs.get(room.jack_of(m.jack) or 0) not in pulled]

    def _mics(self, stand_in: StandIn) -> Iterator[Action]:
        """The microphone on a dead line goes on the line that stands in."""
        for old, new in stand_in.ports.items():
            mic = self.state.mics.get(old)
            if mic is not None:
                yield Clear(self.room.ports[old].name)
                yield Put(mic.name, self.room.ports[new].name)

    def _phantom_off(self) -> Iterator[Action]:
        """Phantom of the dead gear goes off before a plug is moved, where its switch is its own."""
        done: set[str] = set()
        for port in sorted(self.supplied):
            supply = self.room.ports[port].supply
            if supply is not None and supply.switch not in done:
                done.add(supply.switch)
                if set(self.room.ports_of_switch[supply.switch]) <= set(self.dead):
                    yield Phantom(self.room.ports[port].name, False)

    def _phantom_on(self, stand_in: StandIn) -> Iterator[Action]:
        """Phantom of the stand-in goes on where the dead gear's was."""
        done: set[str] = set()
        for old, new in stand_in.ports.items():
            supply = self.room.ports[new].supply
            if old in self.supplied and supply is not None and supply.switch not in done:
                done.add(supply.switch)
                if not self.state.is_on(supply.switch):
                    yield Phantom(self.room.ports[new].name, True)

    def _rest_as_it_was(self, proposal: Proposal, stand_in: StandIn) -> bool:
        """Whether nothing was broken or made but at the dead gear and the stand-in."""
        names = {self.room.ports[port].name for pair in stand_in.ports.items() for port in pair}
        return all(names.intersection(pair) for pair in (*proposal.change.broken, *proposal.change.made))


@dataclass(frozen=True, slots=True)
class GoAround(Asks):
    """What can stand in for dead gear."""

    of: str

    def __str__(self) -> str:
        return f"around {self.of}"

    def run(self, draft: Draft) -> Answer:
        """Find up to three stand-ins; `use` puts one there."""
        target = read_gear(self.of, draft.names)
        dead = dead_ports(target, draft.room)
        around = Around(draft, dead)
        wanted = around.wanted()
        name = draft.room.gear[around.gear].name
        if not wanted:
            return answer(
                draft, (), [f"nothing goes into {name} and nothing comes from it: there is nothing to go around"]
            )
        proposals = around.proposals()
        return answer(draft, proposals, () if proposals else [self._why_none(around, name)])

    def _why_none(self, around: Around, name: str) -> str:
        room = around.room
        counts = Counter(room.ports[port].kind.name for port in around.dead)
        kinds = list_words([kind if count == 1 else f"{count} of {kind}" for kind, count in counts.items()])
        standing = around.stand_ins()
        if not standing:
            return f"no free gear is of the kind of {name} ({kinds})"
        found = [room.gear[each.gear].name for each in standing[:MOST]]
        return f"{list_words(found)} would be free, but no cords put it in the place of {name} with all else as it was"


def dead_ports(target: Target, room: Room) -> list[int]:
    """The ports that have to be replaced: all of the gear's that come up on the bay; of a port, those it works with inside.

    What is assigned is not among them: a channel works with its direct output, and with any bus.
    """
    if target.gear is not None:
        ports = list(room.gear[target.gear].ports)
    else:
        port = target.port.index if target.port is not None else NO_PORT
        if target.kind == JACK:
            port = room.port_at[target.jacks[0]]
        if port == NO_PORT:
            raise NotNow(f"{target.name} is no gear and no port", target.name)
        if is_output(room, port):
            beside = [entry for entry in room.carried_from(port) if room.condition(entry, port) != ASSIGNED]
        else:
            beside = [out for out in room.carried(port) if room.condition(port, out) != ASSIGNED]
        ports = sorted({port, *beside})
    found = [port for port in ports if room.jacks_of_port[port]]
    if not found:
        raise NotNow(f"{target.name} comes up at no jack of the bay", target.name)
    return found


def read_around(text: str, names: Names) -> GoAround:
    """'X': gear, or a port."""
    if not text.strip():
        raise Malformed("say what is dead: around pre 4, around squash l in")
    target = read_gear(text, names)
    dead_ports(target, names.room)
    return GoAround(target.name)
