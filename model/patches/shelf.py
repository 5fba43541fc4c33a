"""What a session keeps beside the bay for patches: those that were saved, cords on hold, and the work that is under way."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, NamedTuple

from model.bay.state import State
from model.entry.part import Part, Tables
from model.patches.patch_file import parse_patch, write_on_a_line
from model.patches.placed import Placing, house, place
from model.patches.saved_patch import SavedPatch
from model.room.file.errors import RoomFileErrors
from model.room.wiring import Room
from model.text.normalized import normalized

HOUSE = "house"  # the name of the house patch, where a patch is named


class Written(NamedTuple):
    """A saved patch, and the text that it is set down as: it never changes, so it is written once."""

    patch: SavedPatch
    text: str


def written(patch: SavedPatch) -> Written:
    """A patch with its text."""
    return Written(patch, write_on_a_line(patch))


@dataclass(frozen=True, slots=True)
class Hold:
    """A cord that is to stay. It is the same cord for as long as one of its plugs is where it was when it was held."""

    cord: int
    jacks: tuple[str, ...]  # addresses
    why: str


@dataclass(frozen=True, slots=True)
class Skip:
    """A step that was skipped, for as long as what it was about stays as it is."""

    entry: str
    about: str
    why: str


@dataclass(frozen=True, slots=True)
class Work:
    """A work list under way: where it leads, from where, and what was skipped. Its steps are made afresh each time."""

    towards: str
    goal: Written | None  # None: the house patch
    began: Written
    skips: tuple[Skip, ...] = ()


@dataclass(frozen=True, slots=True)
class Shelf:
    """What a session keeps for patches."""

    patches: Mapping[str, Written] = field(default_factory=dict)  # by name, oldest first
    holds: Mapping[int, Hold] = field(default_factory=dict)
    work: Work | None = None
    report: tuple[str, ...] = ()  # of the last reset, as lines to read; the record has them all

    def named(self, name: str) -> str | None:
        """A saved patch's name as it was saved, in whatever case of letters it is asked for."""
        return next((known for known in self.patches if normalized(known) == normalized(name)), None)

    def standing_holds(self, state: State) -> dict[int, Hold]:
        """The holds whose cords are still the ones that were held."""
        found = {}
        for number, hold in self.holds.items():
            cord = state.cords.get(number)
            if cord is not None and any(state.room.jacks[jack].address in hold.jacks for jack in cord.plugs):
                found[number] = hold
        return found

    def with_skip(self, skip: Skip) -> Shelf:
        """The same, with a step of the work left out from now on."""
        assert self.work is not None
        others = tuple(other for other in self.work.skips if other.about != skip.about)
        return replace(self, work=replace(self.work, skips=(*others, skip)))


def _to_tables(shelf: Shelf) -> dict[tuple[str, Any], Any]:
    """All of it: patches as their texts."""
    tables: dict[tuple[str, Any], Any] = {("patch", name): patch.text for name, patch in shelf.patches.items()}
    tables |= {("hold", hold.cord): [list(hold.jacks), hold.why] for hold in shelf.holds.values()}
    if shelf.work is not None:
        tables["work", ""] = {
            "towards": shelf.work.towards,
            "goal": None if shelf.work.goal is None else shelf.work.goal.text,
            "began": shelf.work.began.text,
            "skips": [[skip.entry, skip.about, skip.why] for skip in shelf.work.skips],
        }
    if shelf.report:
        tables["report", ""] = list(shelf.report)
    return tables


def _from_tables(tables: Tables, _room: Room) -> tuple[Shelf, list[str]]:
    """A patch holds in any room (where it goes is asked when it is put back): only one whose text cannot be read is lost."""
    lost: list[str] = []
    patches: dict[str, Written] = {}
    holds: dict[int, Hold] = {}
    for (table, key), value in tables.items():
        if table == "patch":
            patch = _read(value, f"the patch '{key}'", lost)
            if patch is not None:
                patches[key] = patch
        elif table == "hold":
            jacks, why = value
            holds[key] = Hold(key, tuple(jacks), why)
    return Shelf(patches, holds, _work(tables.get(("work", "")), lost), tuple(tables.get(("report", ""), ()))), lost


def _read(text: str, what: str, lost: list[str]) -> Written | None:
    try:
        return Written(parse_patch(text, what), text)
    except RoomFileErrors as problem:
        lost.append(f"{what} cannot be read any more: {problem.errors[0].text}")
        return None


def _work(plain: Any, lost: list[str]) -> Work | None:
    if plain is None:
        return None
    towards = plain["towards"]
    goal = None if plain["goal"] is None else _read(plain["goal"], f"the goal of the work list, '{towards}',", lost)
    began = _read(plain["began"], "the patch from which the work began", lost)
    if began is None or (goal is None and plain["goal"] is not None):
        return None
    return Work(towards, goal, began, tuple(Skip(*skip) for skip in plain["skips"]))


SHELF: Part[Shelf] = Part("shelf", Shelf(), ("patch", "hold", "work", "report"), _to_tables, _from_tables)


def goal_of(work: Work, room: Room) -> Placing:
    """Where the work leads in this room."""
    return Placing(house(room)) if work.goal is None else place(work.goal.patch, room)
