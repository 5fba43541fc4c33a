"""Wiring changed on paper: entries in, the planned room and what differs from the room as it is out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, NamedTuple

from model.bay.refusals import Refusal, UnknownName
from model.bay.state import State
from model.bench.jumpers import Jumpers, count_jumpers
from model.bench.pairs import TURNED, Changed, Jacks, bay_of, changed_pairs, column_of, kinds_of
from model.bench.patches_lost import Wiring, connections, patches_lost
from model.bench.plan_entries import Wanted, is_plan_entry, read_plan_entry
from model.check import as_json as checked_json
from model.check import check_room
from model.language.names import Names
from model.patches.saved_patch import SavedPatch
from model.rehearse import Played, at_rest_json
from model.rehearse import as_json as played_json
from model.room.kinds import NO_NORMAL
from model.room.wiring import Normal, Room
from model.session import Session
from model.text.suggest import did_you_mean


class Refused(NamedTuple):
    """An entry that changes no wiring because it cannot be done."""

    number: int
    typed: str
    why: str


@dataclass
class Plan:
    """A room and what it is planned to be; the ordinary entries tried on the new wiring, and those refused."""

    room: Room
    planned: Room
    played: list[Played] = field(default_factory=list)
    refused: list[Refused] = field(default_factory=list)

    @property
    def well(self) -> bool:
        """Whether every entry was taken."""
        return not self.refused and all(played.outcome.ok for played in self.played)

    @property
    def changes(self) -> list[Changed]:
        """The pairs that are to be changed."""
        return changed_pairs(self.room, self.planned)

    @property
    def jumpers(self) -> Jumpers:
        """The jumpers that come out and go in."""
        return count_jumpers((self.room.bays[bay_of(self.room, c.top)], c.now, c.then) for c in self.changes)

    @property
    def marks(self) -> dict[str, int]:
        """By the room's own mark: how many are needed (above 0) or left over (below 0)."""
        marks: dict[str, int] = {}
        for change in self.changes:
            for kind, count in ((change.now, -1), (change.then, 1)):
                if kind in self.room.marks:
                    marks[self.room.marks[kind]] = marks.get(self.room.marks[kind], 0) + count
        return {mark: count for mark, count in marks.items() if count}


def make_plan(room: Room, entries: Sequence[str]) -> Plan:
    """The plan that entries make. Those that change wiring come first, in their order; the others are tried on its result."""
    plan = Plan(room, room)
    names = Names(State(room))
    kinds = kinds_of(room)
    ordinary: list[tuple[int, str]] = []
    for number, typed in enumerate(entries, 1):
        if not is_plan_entry(typed):
            ordinary.append((number, typed))
            continue
        try:
            wanted = read_plan_entry(typed, names)
        except Refusal as refusal:
            if Session(room).enter(typed).ok:  # a name may begin with these words
                ordinary.append((number, typed))
            else:
                plan.refused.append(Refused(number, typed, _why(refusal, names)))
            continue
        set_kinds(kinds, wanted)
    plan.planned = with_kinds(room, kinds)
    if ordinary:
        session = Session(plan.planned)
        plan.played = [Played(number, session.enter(typed)) for number, typed in ordinary]
    return plan


def _why(refusal: Refusal, names: Names) -> str:
    """A refusal's reason; where a name is unknown, with the nearest ones."""
    if not isinstance(refusal, UnknownName):
        return refusal.reason
    near = names.nearest(refusal.typed) if refusal.nearest is None else refusal.nearest
    return refusal.reason + did_you_mean(near)


def set_kinds(kinds: dict[Jacks, str], wanted: Iterable[Wanted]) -> None:
    """Give pairs their wanted kinds; a normal that is there from the other end keeps its direction."""
    for jacks, kind in wanted:
        if jacks[::-1] in kinds:
            kinds[jacks[::-1]] = TURNED[kind]
        else:
            kinds[jacks] = kind


def with_kinds(room: Room, kinds: Mapping[Jacks, str]) -> Room:
    """The room with these normals, in the order in which a room file has them: bay by bay, then cross normals."""
    lines = {(normal.top, normal.bottom): normal.line for normal in room.normals}
    normals = [
        Normal(top, bottom, kind, column_of(room, top, bottom) is None, lines.get((top, bottom), 0))
        for (top, bottom), kind in kinds.items()
        if kind != NO_NORMAL
    ]
    order = {(normal.top, normal.bottom): at for at, normal in enumerate(room.normals)}
    normals.sort(key=lambda n: (n.cross, (order.get((n.top, n.bottom), len(order)), n.top) if n.cross else (0, n.top)))
    return replace(room, normals=tuple(normals))


def as_json(plan: Plan, saved: Mapping[str, SavedPatch], written: bool) -> dict[str, Any]:
    """The object of `plan --json`. ``made``, ``broken``, ``raised`` and ``cleared`` are at rest."""
    room, planned = plan.room, plan.planned
    rest, will_rest = (at_rest_json(Session(r)) for r in (room, planned))
    was, will = connections(rest), connections(will_rest)
    warned, warns = _by_identity(rest["raised"]), _by_identity(will_rest["raised"])
    found, finds = (_by_identity(checked_json(r, check_room(r))["findings"]) for r in (room, planned))
    refused = [_refused_json(refused) for refused in plan.refused]
    return {
        "normals": [
            {
                "top": planned.jacks[change.top].address,
                "bottom": planned.jacks[change.bottom].address,
                "now": change.now,
                "then": change.then,
            }
            for change in plan.changes
        ],
        "made": [list(pair) for pair in sorted(will - was)],
        "broken": [list(pair) for pair in sorted(was - will)],
        "raised": [warns[key] for key in warns if key not in warned],
        "cleared": [warned[key] for key in warned if key not in warns],
        "findings": {
            "new": [finds[key] for key in finds if key not in found],
            "gone": [found[key] for key in found if key not in finds],
        },
        "patches_lost": patches_lost(Wiring(room, was), Wiring(planned, will), saved),
        "jumpers": plan.jumpers.as_json(),
        "marks": plan.marks,
        "entries": sorted([*refused, *map(played_json, plan.played)], key=lambda entry: int(entry["line"])),
        "written": written,
    }


def _refused_json(refused: Refused) -> dict[str, Any]:
    return {"line": refused.number, "typed": refused.typed, "ok": False, "error": refused.why}


_NOT_IDENTITY = frozenset(("line", "text", "fix", "figures"))


def _by_identity(told: Iterable[dict[str, Any]]) -> dict[str, dict[str, Any]]:
    """Warnings or findings by what makes them these and no others; its words and its line may change."""
    return {repr(sorted((k, v) for k, v in one.items() if k not in _NOT_IDENTITY)): one for one in told}
