"""The whole way of a signal: up to its sources and down to every load, joint by joint, through nets and gear.

The way is a tree. What was shown is not shown again: where it comes up a second time stands 'shown above', and where it
comes up on its own way, a loop with its name.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any, NamedTuple

from model.bay.state import State
from model.language.targets import Target, contacts_of, port_words, wired_words
from model.room.inside import NOTHING_TOLD, Settings
from model.room.wiring import NO_PORT
from model.signal.flow import (
    backward,
    begins,
    bus_condition,
    carried_here,
    carries_on,
    condition,
    gear_of_bus,
    is_output,
    onward,
)
from model.way.joints import OpenNormal, Step, Walk, contact_words, open_normals_at, path_to, steps_of, walk

UPSTREAM, DOWNSTREAM = "upstream", "downstream"
# What a row is: a joint of the bay, a port, gear that carries the signal, a normal that a plug opens, something that was
# shown above, a loop.
JOINT, PORT, THROUGH, OPEN, AGAIN, LOOP = "joint", "port", "gear", "open", "again", "loop"
SOURCE, LOAD = "source", "load"
MAX_LINES = 400


class Row(NamedTuple):
    """One step of the tree. ``after`` is the number of the row before it on its way; -1 right at what was asked about."""

    way: str
    after: int
    kind: str
    text: str
    step: Step | None = None  # of a joint, in the direction of the signal
    node: int | None = None  # of the flow: a port, or a bus inside gear
    gear: int | None = None
    condition: str = ""  # of a way through gear: such as 'if assigned'; empty where it always passes, or is told to
    end: str = ""  # 'source' or 'load' where the way ends
    open: OpenNormal | None = None


class Through(NamedTuple):
    """A way through gear, from one of its ports straight to another."""

    gear: int
    condition: str


class Branch(NamedTuple):
    """What waits to be shown: the row it grows from, what leads on from there, and the node that it leads to."""

    root: int
    node: int
    steps: tuple[Step, ...] = ()
    through: Through | None = None


class Trace:
    """The tree of a target, as rows in the order in which they are read."""

    def __init__(self, state: State, target: Target, told: Settings = NOTHING_TOLD) -> None:
        """``told``: how gear is set tonight."""
        self.told = told
        self.state = state
        self.room = state.room
        self.target = target
        self.rows: list[Row] = []
        self.loops: list[tuple[str, ...]] = []  # their ports in the order of the signal
        for way in (UPSTREAM, DOWNSTREAM):
            self._grow(way)

    def _grow(self, way: str) -> None:
        """Show one way. What is still to be shown waits on a stack, so that no way is too long to be followed."""
        self._way = way
        self._leads = onward if way == DOWNSTREAM else backward
        self._shown: dict[int, int] = {}  # nodes of the flow, with their rows
        self._joint_rows: dict[
            tuple[int, int], int
        ] = {}  # by the row at which their net was come to, and their far end
        self._through_rows: dict[tuple[int, Through], int] = {}
        todo = list(self._at_target())[::-1]
        while todo:
            branch = todo.pop()
            row = self._show_node(self._show_joints(branch), branch.node)
            if row is not None:
                todo += list(self._beyond(row, branch.node))[::-1]

    def _at_target(self) -> Iterator[Branch]:
        target = self.target
        if target.port is not None:
            self._shown[target.port.index] = -1
            yield from self._beyond(-1, target.port.index)
        else:
            yield from self._along_net(-1, target.contacts)

    def _beyond(self, row: int, node: int) -> Iterator[Branch]:
        """What follows a node that was shown."""
        room = self.room
        if node < 0:
            return (Branch(row, port) for port in self._leads(self.state, node, self.told))
        if is_output(room, node) == (self._way == DOWNSTREAM):
            return self._along_net(row, contacts_of(self.state, node))
        branches = []
        for there in self._leads(self.state, node, self.told):
            way = (node, there) if self._way == DOWNSTREAM else (there, node)
            inside = None if there < 0 else Through(room.ports[node].gear, condition(room, *way, self.told))
            branches.append(Branch(row, there, through=inside))
        # ways that hang on one condition come together, so that it is said once and right above them
        return iter(sorted(branches, key=lambda branch: branch.through or Through(-1, "")))

    def _along_net(self, row: int, contacts: Iterable[int]) -> Iterator[Branch]:
        """The ports of a net that the way leads to, each with the joints from some contacts to it."""
        reached = walk(self.state, contacts)
        first: dict[int, int] = {}  # where each port is come to first
        for contact in reached:
            port = NO_PORT if contact & 1 else self.room.port_at[contact >> 1]
            if port != NO_PORT and is_output(self.room, port) == (self._way == UPSTREAM):
                first.setdefault(port, contact)
        if not first:
            self._show_open(row, reached)
        order = {contact: place for place, contact in enumerate(reached)}
        paths = {port: path_to(reached, contact) for port, contact in first.items()}
        # ways that begin alike come together, so that what they share is shown once and right above them
        for port, path in sorted(paths.items(), key=lambda item: [order[contact] for contact in item[1]]):
            yield Branch(row, port, steps_of(self.state, path))

    def _show_joints(self, branch: Branch) -> int:
        row = branch.root
        if branch.through is not None:
            gear, hangs = branch.through
            known = self._through_rows.get((row, branch.through))
            if known is None:
                known = self._add(THROUGH, row, self._through_words(gear, hangs), gear=gear, condition=hangs)
                self._through_rows[row, branch.through] = known
            return known
        for step in branch.steps:
            key = branch.root, step.end
            if key not in self._joint_rows:
                told = step if self._way == DOWNSTREAM else step.backwards()
                self._joint_rows[key] = self._add(JOINT, row, told.words(self.room), step=told)
            row = self._joint_rows[key]
        return row

    def _show_node(self, after: int, node: int) -> int | None:
        """The row of a node; None where it was shown before, and the way ends here."""
        room = self.room
        if node in self._shown:
            above = self._shown[node]
            ring = self._ring(after, above, node)
            if ring is not None:
                number = self._loop_number(ring)
                self._add(LOOP, after, f"loop {number}: {' > '.join((*ring, ring[0]))}", node=node)
            else:
                name = room.ports[node].name if node >= 0 else self._bus_words(node)
                self._add(AGAIN, after, f"{name}: shown above", node=node)
            return None
        if node < 0:
            gear, hangs = gear_of_bus(room, node), bus_condition(room, node)
            row = self._add(THROUGH, after, self._bus_words(node), node=node, gear=gear, condition=hangs)
        else:
            end, text = self._end(node), port_words(room, room.ports[node])
            if end:
                text += f": {end}"
            if end == SOURCE and room.carried_from(node) and carried_here(room, node, self.told):
                text += ", unless armed"
            row = self._add(PORT, after, text, node=node, end=end)
        self._shown[node] = row
        return row

    def _bus_words(self, node: int) -> str:
        return self._through_words(gear_of_bus(self.room, node), bus_condition(self.room, node))

    def _through_words(self, gear: int, condition: str) -> str:
        name = f"through {self.room.gear[gear].name}"
        return f"{name}, {condition}" if condition else name

    def _end(self, port: int) -> str:
        """Whether the way ends at a port: where its signal starts, or where gear carries it no further."""
        if is_output(self.room, port):
            return SOURCE if begins(self.room, port, self.told) else ""
        return "" if carries_on(self.room, port, self.told) else LOAD

    def _show_open(self, row: int, reached: Walk) -> None:
        """The normals that plugs open on a net that leads nowhere: what should have gone on there."""
        told: set[OpenNormal] = set()
        for contact in reached:
            for found in () if contact & 1 else open_normals_at(self.state, contact >> 1):
                if found not in told:
                    told.add(found)
                    self._add(OPEN, row, found.words(self.state), open=found)

    def _ring(self, row: int, above: int, node: int) -> tuple[str, ...] | None:
        """The ports of the loop that closes when a row leads back to a node above it on its way; None where it does not."""
        nodes: list[int] = []
        while row != above:
            if row < 0:
                return None
            found = self.rows[row].node
            if found is not None:
                nodes.append(found)
            row = self.rows[row].after
        nodes.append(node)
        if self._way == DOWNSTREAM:
            nodes.reverse()
        ports = [port for port in nodes if port >= 0]
        names = [self.room.ports[port].name for port in ports]
        outputs = [name for name, port in zip(names, ports, strict=True) if is_output(self.room, port)]
        at = names.index(min(outputs))
        return (*names[at:], *names[:at])

    def _loop_number(self, ring: tuple[str, ...]) -> int:
        if ring not in self.loops:
            self.loops.append(ring)
        return self.loops.index(ring) + 1

    def _add(
        self,
        kind: str,
        after: int,
        text: str,
        step: Step | None = None,
        node: int | None = None,
        gear: int | None = None,
        condition: str = "",
        end: str = "",
        open: OpenNormal | None = None,
    ) -> int:
        self.rows.append(Row(self._way, after, kind, text, step, node, gear, condition, end, open))
        return len(self.rows) - 1

    # What it found

    def ports(self, way: str) -> set[int]:
        """The ports that a way leads to."""
        return {row.node for row in self.rows if row.way == way and row.node is not None and row.node >= 0}

    def ends(self, way: str) -> list[Row]:
        """The sources (up) or the loads (down) at which a way ends."""
        return [row for row in self.rows if row.way == way and row.end]

    def lit(self) -> tuple[int, ...]:
        """The jacks on the way."""
        jacks = set(self.target.jacks)
        for row in self.rows:
            if row.step is not None:
                jacks.update(contact >> 1 for contact in row.step.contacts)
            elif row.kind == PORT and row.node is not None:
                jacks.update(self.room.jacks_of_port[row.node])
        return tuple(sorted(jacks))

    def words(self, most: int = MAX_LINES) -> tuple[str, ...]:
        """The tree to read. Where a way parts, each part starts with a dash and is set in."""
        lines = [self._heading()]
        children = Counter(row.after if row.after >= 0 else row.way for row in self.rows)
        depth: list[int] = []
        for way, heading in ((UPSTREAM, "upstream, to what feeds it:"), (DOWNSTREAM, "downstream, to what it feeds:")):
            if way not in children:
                lines.append(f"{way}: {self._nothing(way)}")
            elif not self.ports(way) and not any(r.kind in (LOOP, AGAIN) for r in self.rows if r.way == way):
                lines.append(
                    "upstream: nothing feeds it now" if way == UPSTREAM else "downstream: it feeds nothing now"
                )
            else:
                lines.append(heading)
            for row in islice(self.rows, len(depth), None):
                if row.way != way:
                    break
                parts = children[row.after if row.after >= 0 else row.way] > 1
                depth.append((depth[row.after] if row.after >= 0 else 1) + parts)
                mark = "- " if parts else "  "
                lines.append(f"{'  ' * (depth[-1] - parts)}{mark if depth[-1] > 1 else ''}{row.text}")
        if len(lines) > most:
            lines[most:] = [f"... and {len(lines) - most} lines more"]
        return tuple(lines)

    def _nothing(self, way: str) -> str:
        port = self.target.port
        end = "" if port is None else self._end(port.index)
        if end == SOURCE and way == UPSTREAM:
            return "the signal starts here"
        if end == LOAD and way == DOWNSTREAM:
            return "the signal ends here"
        return "nothing feeds it" if way == UPSTREAM else "it feeds nothing"

    def _heading(self) -> str:
        target = self.target
        if target.port is not None:
            return f"{port_words(self.room, target.port)}, {target.port.kind.name}"
        addresses = [self.room.jacks[jack].address for jack in target.jacks]
        if target.cord is not None:
            return f"cord {target.cord}: {' > '.join(addresses)}{' > loose' if len(addresses) < 2 else ''}"
        if len(addresses) == 1:
            wired = wired_words(self.room, target.jacks[0])
            return f"{target.name}, wired to {wired}" if wired else f"{target.name}, with nothing wired to it"
        return f"{target.name} ({', '.join(addresses)})" if addresses else f"{target.name}, at no jack"

    def as_json(self) -> dict[str, Any]:
        """As `rehearse --json` prints it: flat, each row with the number of the row that it follows."""
        return {
            "of": self.target.name,
            "sources": sorted({self.room.ports[row.node].name for row in self.ends(UPSTREAM) if row.node is not None}),
            "loads": sorted({self.room.ports[row.node].name for row in self.ends(DOWNSTREAM) if row.node is not None}),
            "loops": [list(ring) for ring in self.loops],
            "steps": [self._row_json(number, row) for number, row in enumerate(self.rows)],
        }

    def _row_json(self, number: int, row: Row) -> dict[str, Any]:
        room = self.room
        found: dict[str, Any] = {
            "number": number,
            "after": None if row.after < 0 else row.after,
            "way": row.way,
            "kind": row.kind,
            "text": row.text,
        }
        if row.step is not None:
            found |= {
                "from": room.jacks[row.step.start >> 1].address,
                "to": room.jacks[row.step.end >> 1].address,
                "joint": row.step.kind,
                "name": row.step.name,
                "cord": row.step.cord,
                "contacts": [contact_words(room, contact) for contact in row.step.contacts],
            }
        if row.node is not None and row.node >= 0:
            found["port"] = room.ports[row.node].name
            found["end"] = row.end or None
        if row.gear is not None:
            found["gear"] = room.gear[row.gear].name
            found["condition"] = row.condition or None
        if row.open is not None:
            found |= {
                "from": room.jacks[row.open.normal.top].address,
                "to": room.jacks[row.open.normal.bottom].address,
                "opened_by": [{"jack": room.jacks[jack].address, "cord": cord} for jack, cord in row.open.plugs],
            }
        return found
