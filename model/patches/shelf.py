"""What a session keeps beside the bay for patches: those that were saved, cords on hold, and the work that is under way."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any, NamedTuple

from model.bay.state import State
from model.entry.parts import Plain
from model.patches.patch_file import parse_patch, write_on_a_line
from model.patches.placed import Placing, house, place
from model.patches.saved_patch import SavedPatch
from model.room.file.errors import RoomFileErrors
from model.room.labels import normalized
from model.room.wiring import Room

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

    line: str
    about: str
    why: str


@dataclass(frozen=True, slots=True)
class Work:
    """A work list under way: where it leads, from where, and what was skipped. Its steps are made afresh each time."""

    towards: str
    goal: Written | None  # None: the house patch
    began: Written
    skips: tuple[Skip, ...] = ()


@dataclass
class PatchShelf:
    """A part of the session (see :mod:`model.entry.parts`)."""

    patches: dict[str, Written] = field(default_factory=dict)  # by name, oldest first
    holds: dict[int, Hold] = field(default_factory=dict)
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

    def to_dict(self) -> Plain:
        """All of it: patches as their texts."""
        plain: dict[str, Plain] = {}
        if self.patches:
            plain["patches"] = [[name, patch.text] for name, patch in self.patches.items()]
        if self.holds:
            plain["holds"] = [[hold.cord, list(hold.jacks), hold.why] for hold in self.holds.values()]
        if self.work is not None:
            plain["work"] = {
                "towards": self.work.towards,
                "goal": None if self.work.goal is None else self.work.goal.text,
                "began": self.work.began.text,
                "skips": [[skip.line, skip.about, skip.why] for skip in self.work.skips],
            }
        if self.report:
            plain["report"] = list(self.report)
        return plain

    def from_dict(self, plain: Plain) -> list[str]:
        """Take it up again. A patch holds in any room (where it goes is asked when it is put back): only one whose text
        cannot be read is lost, and said."""
        lost: list[str] = []
        known: Any = plain if isinstance(plain, dict) else {}
        read = _reader(lost)
        self.patches = {}
        for name, text in known.get("patches", ()):
            patch = read(text, f"the patch '{name}'")
            if patch is not None:
                self.patches[name] = patch
        self.holds = {cord: Hold(cord, tuple(jacks), why) for cord, jacks, why in known.get("holds", ())}
        self.work = _work(known.get("work"), read)
        self.report = tuple(known.get("report", ()))
        return lost

    def skip(self, skip: Skip) -> None:
        """Leave a step of the work out from now on."""
        assert self.work is not None
        others = tuple(other for other in self.work.skips if other.about != skip.about)
        self.work = replace(self.work, skips=(*others, skip))


def _reader(lost: list[str]) -> Callable[[str, str], Written | None]:
    def read(text: str, what: str) -> Written | None:
        try:
            return Written(parse_patch(text, what), text)
        except RoomFileErrors as problem:
            lost.append(f"{what} cannot be read any more: {problem.errors[0].text}")
            return None

    return read


def _work(plain: Any, read: Callable[[str, str], Written | None]) -> Work | None:
    if plain is None:
        return None
    towards = plain["towards"]
    goal = None if plain["goal"] is None else read(plain["goal"], f"the goal of the work list, '{towards}',")
    began = read(plain["began"], "the patch from which the work began")
    if began is None or (goal is None and plain["goal"] is not None):
        return None
    return Work(towards, goal, began, tuple(Skip(*skip) for skip in plain["skips"]))


def goal_of(work: Work, room: Room) -> Placing:
    """Where the work leads in this room."""
    return Placing(house(room)) if work.goal is None else place(work.goal.patch, room)
