"""A slow, obvious model of the same bay, to check the engine against: everything is made anew for each question.

Nets come from ``scipy.sparse.csgraph.connected_components`` over all contacts of the room as edges. Nothing of the engine's
nets, circuits or rules is used; only the room's frozen data and the tables of kinds are shared.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from model.bay.actions import Action, Clear, Move, Phantom, Plug, PlugLooseEnd, Pull, PullAll, Put, Unplug
from model.room.wiring import NO_PORT, Room


class SlowBay:
    """Cords as lists of jacks' addresses; switches and microphones by name."""

    def __init__(self, room: Room) -> None:
        self.room = room
        self.cords: dict[int, list[str]] = {}
        self.ends: dict[int, int] = {}
        self.on: set[str] = set()
        self.mics: dict[str, str] = {}
        self.number = {jack.address: jack.index for jack in room.jacks}
        self.port = {port.name: port for port in room.ports}

    def held(self) -> dict[str, int]:
        """The cord in each jack that holds one."""
        return {jack: number for number, jacks in self.cords.items() for jack in jacks}

    def do(self, action: Action) -> None:
        """Do an action that the engine accepted."""
        match action:
            case Plug(jacks, cord, _):
                number = cord or next(n for n in itertools.count(1) if n not in self.cords)
                self.cords[number] = list(jacks)
                self.ends[number] = max(2, len(jacks))
            case PlugLooseEnd(cord, jack):
                self.cords[cord].append(jack)
            case Unplug(jack):
                self._take(jack)
            case Pull(cord):
                del self.cords[cord]
            case PullAll():
                self.cords.clear()
            case Move(jack, to):
                number = self.held()[jack]
                self._take(jack)
                self.cords.setdefault(number, []).append(to)
            case Phantom(port, on):
                switch = self.port[port].supply.switch  # type: ignore[union-attr]
                (self.on.add if on else self.on.discard)(switch)
            case Put(mic, line):
                self.mics[line] = mic
            case Clear(line):
                del self.mics[line]
            case _:
                raise AssertionError(action)

    def _take(self, jack: str) -> None:
        number = self.held()[jack]
        self.cords[number].remove(jack)
        if not self.cords[number]:
            del self.cords[number]

    def possible(self, action: Action) -> bool:
        """Whether an action can be done now."""
        held = self.held()
        match action:
            case Plug(jacks, cord, _):
                return len(set(jacks)) == len(jacks) and not held.keys() & set(jacks) and cord not in self.cords
            case PlugLooseEnd(cord, jack):
                return cord in self.cords and len(self.cords[cord]) < self.ends[cord] and jack not in held
            case Unplug(jack):
                return jack in held
            case Pull(cord):
                return cord in self.cords
            case PullAll():
                return bool(self.cords)
            case Move(jack, to):
                return jack in held and to not in held
            case Phantom(port, on):
                supply = self.port[port].supply
                return supply is not None and (supply.switch in self.on) != on
            case Put(mic, line):
                return self.port[line].kind.is_mic_line and self.mics.get(line) != mic
            case Clear(line):
                return self.port[line].kind.is_mic_line and line in self.mics
            case _:
                raise AssertionError(action)

    def edges(self) -> list[tuple[int, int]]:
        """All that joins two contacts now. A jack has two: line (2n) and normal (2n + 1)."""
        room = self.room
        held = self.held()
        edges = [(2 * j.index, 2 * j.index + 1) for j in room.jacks if j.address not in held]
        for normal in room.normals:
            line_top, line_bottom = 2 * normal.top, 2 * normal.bottom
            edges.append(
                {
                    "full": (line_top + 1, line_bottom + 1),
                    "half": (line_top, line_bottom + 1),
                    "half top": (line_top + 1, line_bottom),
                    "parallel": (line_top, line_bottom),
                }[normal.kind]
            )
        edges += [(2 * tie.a, 2 * tie.b) for tie in room.ties]
        edges += [(2 * a, 2 * b) for mult in room.mults for a, b in itertools.pairwise(mult.jacks)]
        for port in room.ports:
            edges += [
                (2 * a, 2 * b) for a, b in itertools.pairwise(j.index for j in room.jacks if j.port == port.index)
            ]
        for jacks in self.cords.values():
            edges += [(2 * self.number[a], 2 * self.number[b]) for a, b in itertools.pairwise(jacks)]
        return edges

    def nets(self) -> list[set[str]]:
        """The ports of each net that has any."""
        size = 2 * len(self.room.jacks)
        a, b = np.array(self.edges(), dtype=int).T
        _, label = connected_components(coo_matrix((np.ones(len(a)), (a, b)), shape=(size, size)), directed=False)
        nets: dict[int, set[str]] = {}
        for jack in self.room.jacks:
            if jack.port != NO_PORT:
                nets.setdefault(int(label[2 * jack.index]), set()).add(self.room.ports[jack.port].name)
        return list(nets.values())

    def outputs(self, net: set[str]) -> set[str]:
        """The outputs of a net."""
        return {name for name in net if self.port[name].kind.way == "out"}

    def connections(self) -> set[tuple[str, str]]:
        """Every output with every input of its net."""
        return {(s, i) for net in self.nets() for s in self.outputs(net) for i in net - self.outputs(net)}

    def mics_ohm(self, output: str) -> float:
        """The impedance of an output, or of the microphone on it."""
        return next((m.ohms for m in self.room.mics if m.name == self.mics.get(output)), self.port[output].ohms)

    def rules(self) -> set[tuple[str, tuple[str, ...]]]:
        """The standing warnings that need no figure to be found, with their ports."""
        found: set[tuple[str, tuple[str, ...]]] = set()
        for net in self.nets():
            outs = self.outputs(net)
            ins = net - outs
            family = {name: self.port[name].kind.family for name in net}
            lines = {n for n in outs if family[n] == "mic"}
            mic_ins = {n for n in ins if family[n] == "mic"}
            on = {n for n in mic_ins if (s := self.port[n].supply) is not None and s.switch in self.on}
            mics = {n: next(m for m in self.room.mics if m.name == self.mics[n]) for n in lines if n in self.mics}

            def add(rule: str, ports: set[str]) -> None:
                found.add((rule, tuple(sorted(ports))))

            if lines and len(mic_ins) >= 2:
                add("double-load", lines | mic_ins)
            if on and len(mic_ins) >= 2:
                add("shared-phantom", mic_ins)
            victims = (outs - lines) | {n for n, m in mics.items() if m.harmed} | (ins - mic_ins)
            if on and victims:
                add("stray-phantom", on | victims)
            needing = {n for n, m in mics.items() if m.phantom_v is not None}
            if needing and not on:
                add("no-phantom", needing)
            elif needing:
                # Kirchhoff: what comes through both legs of every supply is what the microphones draw
                supplies = [s for n in on if (s := self.port[n].supply) is not None]
                legs = sum(2 / (s.feed_ohm or math.nan) for s in supplies)
                short = sum(2 * s.volts / (s.feed_ohm or math.nan) for s in supplies)
                line_v = max(0.0, (short - sum(m.draws_ma for m in mics.values()) / 1000) / legs)
                weak = all(s.volts < 44 for s in supplies)  # the microphones of these rooms are for 48 V +-4
                starved = {n for n in needing if weak or line_v < (44 - 3.4 * mics[n].draws_ma) * (1 - 1e-9)}
                if starved:
                    add("no-phantom", starved)
            if len(outs) >= 2:
                add("joined-outputs", outs)
            for source in sorted(outs):
                same = {n for n in net if family[n] == family[source]}
                line_ohm = self.port[source].kind.line_ohms
                if line_ohm is None or not same & ins:
                    continue
                others = [self.mics_ohm(n) for n in outs - {source}]
                end = 1 / sum(1 / ohm for ohm in [*(self.port[n].ohms for n in ins), *others])
                if family[source] == "clock":
                    ends_well = 0.8 - 1e-9 <= end / line_ohm <= 1.2 + 1e-9
                    split = not ends_well and (len(same & ins) > 1 or len(outs) == 1)
                else:
                    split = len(same & ins) > 1
                if split:
                    add("digital-split", same)
                    break
        return found

    def loose(self) -> set[str]:
        """The jacks of loose ends."""
        return {jacks[0] for jacks in self.cords.values() if len(jacks) == 1}
