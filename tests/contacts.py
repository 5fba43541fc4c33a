"""A bay as contacts and jumpers, for tests: it knows no kinds of normal, only what touches what.

An empty jack's line contact touches its normal contact. A jumper joins two contacts. Ties, mults and ports at several
jacks join line contacts.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from itertools import pairwise
from typing import Any

from model.room.wiring import NO_PORT, Room

Contact = tuple[str, str]  # a jack's address in lower case, and 'line' or 'normal'


class Contacts:
    """One conductor of a room's bays."""

    def __init__(self, room: Room) -> None:
        self.room = room
        self.addresses = [jack.address.lower() for jack in room.jacks]
        self.jumpers: dict[frozenset[str], list[Contact | None]] = {}  # by its two jacks: its two ends
        self.cut: set[frozenset[Contact]] = set()  # joints that are broken
        self.bridges: list[tuple[Contact, Contact]] = []  # what joins and should not
        for normal in room.normals:
            self.jumpers[frozenset(self.addresses[j] for j in (normal.top, normal.bottom))] = [
                (self.addresses[node // 2], ("line", "normal")[node % 2]) for node in Room.ends_of_normal(normal)
            ]

    def do(self, step: dict[str, Any]) -> None:
        """Carry out one step of `order --json`: each end that is listed leaves its contact and goes to another."""
        jacks = [step["top"].lower(), step["bottom"].lower()]
        jumper = self.jumpers.setdefault(frozenset(jacks), [None, None])
        ends = {end[0]: at for at, end in enumerate(jumper) if end is not None}
        for end in step["ends"]:
            jack = end["jack"].lower()
            at = ends.get(jack, next((i for i in (0, 1) if jumper[i] is None), None))
            assert at is not None, step
            assert jumper[at] == (None if end["was"] is None else (jack, end["was"])), (step, jumper)
            jumper[at] = None if end["becomes"] is None else (jack, end["becomes"])
            if end["becomes"] is None:
                ends.pop(jack, None)
            else:
                ends[jack] = at
        assert (jumper[0] is None) == (jumper[1] is None), "a jumper has two ends or is not there"
        if jumper[0] is None:
            del self.jumpers[frozenset(jacks)]

    def nets(self, plugged: Collection[str] = ()) -> dict[Contact, int]:
        """The number of each contact's net while plugs stand in some jacks."""
        joints: list[tuple[Contact, Contact]] = [
            ((jack, "line"), (jack, "normal")) for jack in self.addresses if jack not in plugged
        ]
        joints += [(a, b) for a, b in self.jumpers.values() if a is not None and b is not None]
        joints += self.bridges
        fixed: list[Iterable[int]] = [(tie.a, tie.b) for tie in self.room.ties]
        fixed += [mult.jacks for mult in self.room.mults]
        fixed += self.room.jacks_of_port
        joints += [
            ((self.addresses[a], "line"), (self.addresses[b], "line")) for jacks in fixed for a, b in pairwise(jacks)
        ]
        of: dict[Contact, Contact] = {}

        def root(contact: Contact) -> Contact:
            while of.get(contact, contact) != contact:
                contact = of[contact]
            return contact

        for a, b in joints:
            if frozenset((a, b)) not in self.cut:
                of[root(a)] = root(b)
        numbers: dict[Contact, int] = {}
        return {
            (jack, contact): numbers.setdefault(root((jack, contact)), len(numbers))
            for jack in self.addresses
            for contact in ("line", "normal")
        }

    def joined(self, a: str, b: str, plugged: Collection[str] = ()) -> bool:
        """Whether the rear terminals of two jacks are joined."""
        nets = self.nets(plugged)
        return nets[a.lower(), "line"] == nets[b.lower(), "line"]

    def connections(self, plugged: Collection[str] = ()) -> set[tuple[int, int]]:
        """Which outputs and inputs, by number of port, are on one net."""
        nets = self.nets(plugged)
        return {
            (a, b)
            for a, b in self._meetings(nets)
            if self.room.ports[a].kind.is_output and not self.room.ports[b].kind.is_output
        }

    def must_not_meet(self) -> set[tuple[int, int]]:
        """At rest: two outputs that meet, and supplies with any other port."""
        return {
            (a, b)
            for a, b in self._meetings(self.nets())
            if (self.room.ports[a].kind.is_output and self.room.ports[b].kind.is_output)
            or self.room.ports[a].supply is not None
        }

    def _meetings(self, nets: dict[Contact, int]) -> set[tuple[int, int]]:
        on: dict[int, set[int]] = {}
        for jack in self.room.jacks:
            if jack.port != NO_PORT:
                on.setdefault(nets[self.addresses[jack.index], "line"], set()).add(jack.port)
        return {(a, b) for ports in on.values() for a in ports for b in ports if a != b}
