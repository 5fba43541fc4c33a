"""Which cords take a signal there: over tie lines and mults where one cord does not reach.

A way is a chain of cords, each from a free jack that carries the signal to a free jack that takes it on. Every chain is
tried on the patch before it is proposed, so that what is shown of it is what it does. Of one cord, and of two, all
chains are looked at in the order of their reach; longer ones only along the fewest places.
"""

from __future__ import annotations

import heapq
from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import islice, pairwise
from typing import NamedTuple

from model.bay.actions import Action, Plug, PlugLooseEnd, together
from model.bay.places import Places
from model.bay.refusals import Refusal
from model.bay.state import State
from model.entry.guarded import lost
from model.live.change import Connection
from model.live.patch import Patch
from model.room.wiring import line_contact
from model.signal.warning import Alert
from model.way.fixes import new_dangers
from model.way.joints import Walk, walk
from model.way.line_ties import families, walk_for
from model.way.proposals import MOST, Proposal, best_of

MAX_PLAYED = 600  # chains played on the engine for one number of cords
MAX_WAYS = 6  # ways over places that are looked at
MAX_CORDS = 8


class End(NamedTuple):
    """A jack at which a chain of cords can begin or end: a free one, or one that holds a cord whose other end is loose."""

    jack: int
    loose: int | None = None  # the number of that cord


class Stretch(NamedTuple):
    """From where to where. ``leave`` and ``enter``: the only jacks at which cords may begin and end, where it matters."""

    start: tuple[int, ...]  # contacts
    end: tuple[int, ...]
    leave: tuple[int, ...] | None = None
    enter: tuple[int, ...] | None = None


Line = tuple[End, End]  # two jacks that are joined and have room for a cord each
Cord = tuple[End, End]


class Chain(NamedTuple):
    """Cords one after another, and how far they reach."""

    cords: tuple[Cord, ...]
    reach: int


class Wayfinder:
    """Looks for cords in one state of the bay."""

    def __init__(
        self, patch: Patch, places: Places, guarded: Collection[Connection] = (), most_played: int = MAX_PLAYED
    ) -> None:
        self.patch = patch
        self.state = patch.state
        self.room = patch.room
        self.places = places
        self.guarded = guarded
        self.most_played = most_played
        self.danger: Alert | None = None  # what speaks against a way that would lead there
        self._carries: frozenset[str] = frozenset()  # the families of what feeds the stretch that is looked for

    # Jacks at which a cord may begin or end

    def ends_at(self, contacts: Sequence[int], only: Collection[int] | None = None) -> list[End]:
        """The jacks that carry what some contacts carry, also when a plug is in them."""
        reached = walk(self.state, contacts)
        found = []
        for contact in reached:
            jack = contact >> 1
            if contact & 1 or (only is not None and jack not in only):
                continue
            number = self.state.plugs.get(jack)
            if number is not None:
                cord = self.state.cords[number]
                if len(cord.plugs) == 1 and cord.ends == 2:
                    found.append(End(jack, number))
            elif self._holds(contacts, reached, contact, (jack,)):
                found.append(End(jack))
        return found

    def _holds(self, starts: Sequence[int], reached: Walk, contact: int, plugged: tuple[int, ...]) -> bool:
        """Whether a line contact is still reached when there are plugs in some jacks, its own among them."""
        if reached[contact] is None:
            return True
        way = contact
        before = reached[way]
        while before is not None:
            if before >> 1 == way >> 1 and way >> 1 in plugged:
                return contact in walk(self.state, starts, plugged)
            way, before = before, reached[before]
        return True

    def lines_from(self, jack: int, wanted: Collection[str]) -> Iterator[Line]:
        """The free jacks in some places that a free jack is joined to, also when there is a plug in both."""
        start = line_contact(jack)
        reached = walk_for(self.state, (start,), self._carries, (jack,))
        for contact in reached:
            other = contact >> 1
            if contact & 1 or other == jack or other in self.state.plugs or self.places.place_of(other) not in wanted:
                continue
            if self._holds((start,), reached, contact, (jack, other)):
                yield End(jack), End(other)

    def _lines(self, places: Collection[str], others: Collection[str]) -> Iterator[Line]:
        for place in places:
            for jack in self._entries(place):
                yield from self.lines_from(jack, others)

    def _entries(self, place: str) -> list[int]:
        """The free jacks of a place from which the wiring, or a cord that is in, leads on to other jacks."""
        plugs = self.state.plugs
        return [jack for jack in self.places.wired_in.get(place, ()) if jack not in plugs]

    # Chains of cords, the shortest reach first

    def chains(self, starts: Sequence[End], hops: Sequence[Sequence[Line]], ends: Sequence[End]) -> Iterator[Chain]:
        """All chains that begin at one of some jacks, go over one line of each hop, and end at one of some jacks.

        A search outward from the starts, led by the exact reach that is left, brings them in their order.
        """
        reach, place_of = self.places.reach, self.places.place_of
        no_way = float("inf")

        def cord(a: End, b: End) -> float:
            fits = a.jack != b.jack and place_of(a.jack) == place_of(b.jack) and (a.loose is None or b.loose is None)
            return reach(a.jack, b.jack) if fits else no_way

        # what is left from each jack at which a hop comes out, hop by hop from the last
        left: list[dict[End, float]] = [{} for _ in range(len(hops) + 1)]

        def least(at: End, hop: int) -> float:
            known = left[hop].get(at)
            if known is None:
                if hop == len(hops):
                    known = min((cord(at, end) for end in ends), default=no_way)
                else:
                    known = min((cord(at, a) + least(b, hop + 1) for a, b in hops[hop]), default=no_way)
                left[hop][at] = known
            return known

        waiting: list[tuple[float, int, float, End, tuple[Cord, ...], bool]] = []
        count = 0
        for start in starts:
            heapq.heappush(waiting, (least(start, 0), count, 0, start, (), False))
            count += 1
        while waiting:
            total, _, so_far, at, cords, done = heapq.heappop(waiting)
            if total == no_way:
                return
            if done:
                used = [end.jack for pair in cords for end in pair]
                if len(set(used)) == len(used):
                    yield Chain(cords, int(so_far))
                continue
            hop = len(cords)
            if hop == len(hops):
                nexts = [(end, end, cord(at, end), 0.0, True) for end in ends]
            else:
                nexts = [(a, b, cord(at, a), least(b, hop + 1), False) for a, b in hops[hop]]
            for into, out, length, rest, last in nexts:
                if length + rest < no_way:
                    far = so_far + length
                    heapq.heappush(waiting, (far + rest, count, far, out, (*cords, (at, into)), last))
                    count += 1

    # One stretch

    def find(self, stretch: Stretch) -> list[Proposal]:
        """Up to three proposals for a stretch, best first."""
        self._carries = families(self.state, stretch.start)
        starts = self.ends_at(stretch.start, stretch.leave)
        ends = self.ends_at(stretch.end, stretch.enter)
        found: list[Proposal] = []
        for candidates in self._levels(starts, ends):
            quiet: set[tuple[str, ...]] = set()
            for chain in islice(candidates, self.most_played):
                proposal = self.play(self.actions_of(chain), (stretch,), chain.reach)
                if proposal is not None:
                    found.append(proposal)
                    if proposal.quiet:
                        quiet.add(proposal.way(self.room))
                if len(quiet) == MOST:
                    break
            if quiet:
                break
        return best_of(found, self.room)

    def _levels(self, starts: list[End], ends: list[End]) -> Iterator[Iterable[Chain]]:
        """Chains of one cord, then of two, then along the fewest places: more are looked at only where fewer warn."""
        if not starts or not ends:
            return
        yield self.chains(starts, (), ends)
        near = {self.places.place_of(end.jack) for end in starts}
        far = {self.places.place_of(end.jack) for end in ends}
        first, last = {end.jack for end in starts}, {end.jack for end in ends}
        yield self.chains(
            starts, ([(a, b) for a, b in self._lines(near, far) if a.jack not in last and b.jack not in first],), ends
        )
        yield from self._over_places(starts, ends, near, far)

    def _over_places(
        self, starts: list[End], ends: list[End], near: set[str], far: set[str]
    ) -> Iterator[Iterable[Chain]]:
        """Chains of three cords and more, along the ways that pass the fewest places between which a line is free."""
        leading = self.places.leading_to
        if not near & leading.keys() or not far & leading.keys():
            return
        import networkx as nx  # takes a tenth of a second: not before a way leads over several places

        graph = self.places.graph.copy()
        lines: dict[tuple[str, str], list[Line]] = {}
        for _ in range(MAX_WAYS):
            pairs = [
                (a, b)
                for a in sorted(near)
                for b in sorted(far)
                if a in graph and b in graph and nx.has_path(graph, a, b)
            ]
            ways = [way for a, b in pairs for way in islice(nx.all_shortest_paths(graph, a, b), MAX_WAYS)]
            ways = [way for way in ways if 3 <= len(way) <= MAX_CORDS]
            if not ways:
                return
            shortest = min(map(len, ways))
            ways = [way for way in ways if len(way) == shortest]
            for hop in {hop for way in ways for hop in pairwise(way)} - lines.keys():
                lines[hop] = self._lines_between(*hop)
            full = [hop for way in ways for hop in pairwise(way) if not lines[hop]]
            open_ways = [way for way in ways if all(lines[hop] for hop in pairwise(way))]
            if open_ways:
                each = [self.chains(starts, [lines[hop] for hop in pairwise(way)], ends) for way in open_ways]
                yield heapq.merge(*each, key=lambda chain: chain.reach)
                return
            graph.remove_edges_from(full)

    def _lines_between(self, place: str, other: str) -> list[Line]:
        """The free jacks of a place that are joined to free ones of another."""
        jacks = [jack for jack in self.places.leading_to[place][other] if jack not in self.state.plugs]
        return [line for jack in jacks for line in self.lines_from(jack, (other,))]

    # On the engine

    def actions_of(self, chain: Chain) -> tuple[Action, ...]:
        """The cords of a chain as lines at the bay."""
        return tuple(self._cord(a, b) for a, b in chain.cords)

    def _cord(self, a: End, b: End) -> Action:
        address = [self.room.jacks[end.jack].address for end in (a, b)]
        if a.loose is not None:
            return PlugLooseEnd(a.loose, address[1])
        if b.loose is not None:
            return PlugLooseEnd(b.loose, address[0])
        return Plug((address[0], address[1]))

    def play(
        self, actions: tuple[Action, ...], wanted: Sequence[Stretch], reach: int, about: str = ""
    ) -> Proposal | None:
        """Actions with their consequences; None where they are not possible, lead elsewhere, break what is guarded, or harm."""
        try:
            done = self.patch.do(together(actions))
            if done.change.passing:  # from the other end it may be safe at every moment
                other_way = self.patch.do(together(actions[::-1]))
                if not other_way.change.passing:
                    actions, done = actions[::-1], other_way
        except Refusal:
            return None
        leads = all(joined(done.patch.state, stretch) for stretch in wanted)
        if not leads or lost(self.guarded, done.change):
            return None
        if dangers := new_dangers(done.change):
            self.danger = dangers[0]
            return None
        return Proposal(actions, done.change, reach, about)

    def after(self, actions: tuple[Action, ...]) -> Wayfinder:
        """The same search in the bay as some actions leave it."""
        patch = self.patch.do(together(actions)).patch if actions else self.patch
        return Wayfinder(patch, self.places, self.guarded, self.most_played)

    def joined(self, stretch: Stretch) -> bool:
        """Whether a stretch's ends are on one net."""
        return joined(self.state, stretch)


def joined(state: State, stretch: Stretch) -> bool:
    """Whether a stretch's ends are on one net in a state, and its signal takes no tie line that is not of its kind."""
    reached = walk_for(state, stretch.start, families(state, stretch.start))
    return any(end in reached for end in stretch.end)
