"""The text of a room file with other normals: every character that is not a changed normal stays as it was.

A run of columns of which some change is parted into runs of one kind each; a run that loses its normals whole is written
'none', so that its comment keeps its line.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields
from typing import Any

import yaml

from model.bench.pairs import TURNED, Jacks, columns, kinds_of
from model.room.file import RoomFileErrors, parse_room
from model.room.kinds import NO_NORMAL
from model.room.wiring import Room
from model.text.ranges import points, stretch
from model.text.splice import Splice, end_of, entry_of, is_empty, scalar, start_of

NORMALS, CROSS_NORMALS = "normals", "cross normals"
_INDENT = 2


class CannotSplice(ValueError):
    """A text that cannot be changed so that it says what it should: nothing is written then."""


def text_with_normals(text: str, room: Room, planned: Room) -> str:
    """The text of a room's file, changed where the normals of the planned room are others.

    ``room`` is what the text says, and ``planned`` the same room with other normals. Raises :class:`CannotSplice` where the
    changed text, read again, is not the planned room.
    """
    changed = _Writing(text, room, planned).text()
    try:
        as_planned = same_room(parse_room(changed), planned)
    except RoomFileErrors:
        as_planned = False
    if not as_planned:
        raise CannotSplice("this file is written in a way that cannot be changed here: change it by hand")
    return changed


def same_room(a: Room, b: Room) -> bool:
    """Whether two rooms are the same, whatever the order of their normals and wherever in their files things stand."""
    names = [field.name for field in fields(Room) if field.name != NORMALS]
    same = all(_without_lines(getattr(a, name)) == _without_lines(getattr(b, name)) for name in names)
    return same and _one_way(a) == _one_way(b)


def _one_way(room: Room) -> dict[Jacks, str]:
    """The kind of each normal, seen from the jack with the lower number."""
    return {min(jacks, jacks[::-1]): k if jacks[0] < jacks[1] else TURNED[k] for jacks, k in kinds_of(room).items()}


def _without_lines(value: Any) -> Any:
    if isinstance(value, tuple) and value and hasattr(value[0], "line"):
        return [entry._replace(line=0) for entry in value]
    return value


class _Writing:
    def __init__(self, text: str, room: Room, planned: Room) -> None:
        self.splice = Splice(text)
        self.room = room
        self.wanted = kinds_of(planned)
        self.met: set[Jacks] = set()

    def text(self) -> str:
        """The text with every change made."""
        root = self.splice.root
        crosses = entry_of(root, CROSS_NORMALS)
        if crosses is not None:
            self._change_crosses(crosses[1])
        found = entry_of(root, "bays")
        assert found is not None  # a room has bays
        bays = found[1]
        for number, node in enumerate(bays.value):
            self._change_bay(number, node)
        self._add_crosses(root, crosses, bays)
        return self.splice.spliced()

    def kind(self, jacks: Jacks) -> str:
        """The kind that is wanted between two jacks, seen from the first; they count as met."""
        self.met.update((jacks, jacks[::-1]))
        if jacks in self.wanted:
            return self.wanted[jacks]
        return TURNED[self.wanted.get(jacks[::-1], NO_NORMAL)]

    # Bays

    def _change_bay(self, bay: int, node: Any) -> None:
        pairs = list(columns(self.room, bay))
        entry = entry_of(node, NORMALS)
        mapping = entry[1] if entry is not None and not is_empty(entry[1]) else None
        entries = [] if mapping is None else [_Columns(self, pairs, *own) for own in mapping.value]
        new = [
            (column, self.kind(jacks))
            for column, jacks in enumerate(pairs, 1)
            if jacks in self.wanted and jacks not in self.met
        ]
        runs = _runs(new)
        if mapping is not None:
            self._add_runs(mapping, entries, runs)
        elif runs:
            self._begin(node, entry, NORMALS, [_run_text(run) for run in runs], "{}")

    def _add_runs(self, mapping: Any, entries: list[_Columns], runs: list[_Run]) -> None:
        """Put runs that are new among the entries, each after the one that begins before it."""
        for run in runs:
            before = [entry for entry in entries if entry.first < run[0]]
            if before:
                before[-1].after.append(run)
            else:
                gap = ", " if mapping.flow_style else f"{self.splice.newline}{' ' * mapping.start_mark.column}"
                self.splice.insert(start_of(mapping.value[0][0]), _run_text(run) + gap)
        for entry in entries:
            lines = [_run_text(run) for run in sorted(entry.after)]
            self._add_after(mapping, entry.value, lines)

    def _add_after(self, container: Any, node: Any, members: list[str]) -> None:
        """Put members of a mapping or a sequence after the one that ends with a node."""
        if members and container.flow_style:
            self.splice.insert(end_of(node), "".join(f", {member}" for member in members))
        elif members:
            dash = "- " if isinstance(container, yaml.SequenceNode) else ""
            self.splice.insert_lines(node, container.start_mark.column, [f"{dash}{member}" for member in members])

    def _begin(self, mapping: Any, entry: tuple[Any, Any] | None, key: str, members: list[str], brackets: str) -> None:
        """Write the first members under a key of a mapping, and the key itself where it is not there."""
        flow = f"{brackets[0]}{', '.join(members)}{brackets[1]}"
        dash = "- " if brackets == "[]" else ""
        column = mapping.start_mark.column
        lines = [f"{' ' * _INDENT}{dash}{member}" for member in members]
        last = mapping.value[-1][1]
        if entry is None and mapping.flow_style:
            self.splice.insert(end_of(last), f", {key}: {flow}")
        elif entry is None:
            self.splice.insert_lines(last, column, [f"{key}:", *lines])
        elif isinstance(entry[1], yaml.CollectionNode):
            self.splice.insert(start_of(entry[1]) + 1, flow[1:-1])
        elif mapping.flow_style or end_of(entry[1]) > start_of(entry[1]):
            self.splice.replace(entry[1], f" {flow}")
        else:
            self.splice.insert_lines(entry[1], column, lines)

    # Cross normals

    def _change_crosses(self, items: Any) -> None:
        for item in items.value:
            _, start = entry_of(item, "from") or (None, None)
            _, end = entry_of(item, "to") or (None, None)
            _, kind = entry_of(item, "kind") or (None, None)
            assert start is not None and end is not None and kind is not None  # the file was read
            pairs = list(zip(self._jacks(start.value), self._jacks(end.value), strict=True))
            wanted = [self.kind(jacks) for jacks in pairs]
            if len(set(wanted)) == 1:
                if wanted[0] != kind.value:
                    self.splice.replace(kind, wanted[0])
                continue
            runs = [
                run
                for run in _cross_runs(self.room, list(zip(pairs, wanted, strict=True)))
                if run[1] != NO_NORMAL or kind.value == NO_NORMAL
            ]
            first, *others = runs
            for node, new in zip((start, end, kind), self._cross_texts(first), strict=True):
                if new != node.value:
                    self.splice.replace(node, scalar(new))
            self._add_after(items, item, [self._cross_text(run) for run in others])

    def _add_crosses(self, root: Any, entry: tuple[Any, Any] | None, bays: Any) -> None:
        new = [(jacks, kind) for jacks, kind in self.wanted.items() if jacks not in self.met]
        members = [self._cross_text(run) for run in _cross_runs(self.room, new)]
        if not members:
            return
        if entry is not None and not is_empty(entry[1]):
            self._add_after(entry[1], entry[1].value[-1], members)
        elif entry is None and not root.flow_style:
            lines = [f"{' ' * _INDENT}- {member}" for member in members]
            self.splice.insert_lines(bays, root.start_mark.column, ["", f"{CROSS_NORMALS}:", *lines])
        else:
            self._begin(root, entry, CROSS_NORMALS, members, "[]")

    def _jacks(self, text: str) -> list[int]:
        jacks: list[int] = []
        for part in text.split(","):
            place = stretch(part.strip())
            assert place is not None  # the file was read
            row = self.room.row_named[place.row.lower()]
            jacks += range(row.first + place.first - 1, row.first + place.last)
        return jacks

    def _cross_texts(self, run: _CrossRun) -> tuple[str, str, str]:
        pairs, kind = run
        sides = [[pair[side] for pair in pairs] for side in (0, 1)]
        return self._stretch(sides[0]), self._stretch(sides[1]), kind

    def _cross_text(self, run: _CrossRun) -> str:
        start, end, kind = self._cross_texts(run)
        return f"{{from: {scalar(start)}, to: {scalar(end)}, kind: {kind}}}"

    def _stretch(self, jacks: Sequence[int]) -> str:
        first, last = self.room.jacks[jacks[0]], self.room.jacks[jacks[-1]]
        return first.address if first is last else f"{first.address}-{last.point}"


_Run = tuple[int, int, str]  # columns, first and last, and their kind
_CrossRun = tuple[list[Jacks], str]


class _Columns:
    """One entry of a bay's normals, changed as it must be; what must follow it waits in ``after``."""

    def __init__(self, writing: _Writing, pairs: list[Jacks], key: Any, value: Any) -> None:
        numbers = list(points(key.value))
        wanted = [writing.kind(pairs[number - 1]) for number in numbers]
        self.value = value
        self.first = numbers[0]
        self.after: list[_Run] = []
        now = value.value
        if len(set(wanted)) == 1:
            if wanted[0] != now:
                writing.splice.replace(value, wanted[0])
            return
        runs = [
            run for run in _runs(list(zip(numbers, wanted, strict=True))) if run[2] != NO_NORMAL or now == NO_NORMAL
        ]
        first, *self.after = runs
        writing.splice.replace(key, _columns_text(first))
        if first[2] != now:
            writing.splice.replace(value, first[2])


def _runs(columns_and_kinds: Sequence[tuple[int, str]]) -> list[_Run]:
    """Columns side by side of one kind, together."""
    runs: list[_Run] = []
    for column, kind in columns_and_kinds:
        if runs and runs[-1][1] + 1 == column and runs[-1][2] == kind:
            runs[-1] = (runs[-1][0], column, kind)
        else:
            runs.append((column, column, kind))
    return runs


def _columns_text(run: _Run) -> str:
    return str(run[0]) if run[0] == run[1] else f"{run[0]}-{run[1]}"


def _run_text(run: _Run) -> str:
    return f"{_columns_text(run)}: {run[2]}"


def _cross_runs(room: Room, pairs: Sequence[tuple[Jacks, str]]) -> list[_CrossRun]:
    """Cross normals side by side of one kind, together."""
    runs: list[_CrossRun] = []
    for (top, bottom), kind in pairs:
        if runs and runs[-1][1] == kind and _follows(room, runs[-1][0][-1], (top, bottom)):
            runs[-1][0].append((top, bottom))
        else:
            runs.append(([(top, bottom)], kind))
    return runs


def _follows(room: Room, before: Jacks, jacks: Jacks) -> bool:
    """Whether two jacks stand one to the right of two others."""
    return all(b + 1 == a and room.jacks[b].row == room.jacks[a].row for b, a in zip(before, jacks, strict=True))
