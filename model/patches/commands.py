"""The commands for whole patches: saving, comparing, recalling, the reset, and the work list that leads there."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import PurePath
from typing import TYPE_CHECKING

from model.bay.refusals import Malformed, NotNow, UnknownName
from model.commands.command import Line, nothing_after
from model.entry.requests import Answer, Asks
from model.language.names import Names
from model.patches.compare import Difference, Keep, differences, handlings
from model.patches.patch_file import parse_patch, read_patch, write_on_a_line
from model.patches.patch_words import difference_words
from model.patches.placed import Placing, house, place, present
from model.patches.saved_patch import SavedPatch, save
from model.patches.shelf import HOUSE, Work, Written, written
from model.patches.work import list_answer, list_lines, under_way
from model.room.file.errors import RoomFileErrors, UnreadableFile
from model.room.labels import normalized, why_not_typed
from model.signal.warning import counted
from model.text.suggest import nearest

if TYPE_CHECKING:
    from model.session import Session

FILE_ENDS = (".yaml", ".yml")
# A name and its patch: how the record keeps a patch that came from a file.
_CARRIED = re.compile(r"(.+?)\s+=\s+(\{bayhand patch: .*\})")
# Saved patches


def _known(session: Session, name: str) -> str:
    """A saved patch's name as it was saved."""
    shelf = session.shelf
    known = shelf.named(name)
    if known is None:
        if not shelf.patches:
            raise NotNow(f"no patch is saved as '{name}', nor any other: save NAME keeps the present one", name)
        close = nearest(name, shelf.patches) or list(shelf.patches)[-3:]
        raise UnknownName(f"no patch is saved as '{name}'", name, close)
    return known


def _placing(session: Session, name: str) -> Placing:
    """A saved patch, or the house patch, in this room."""
    if normalized(name) == HOUSE:
        return Placing(house(session.room))
    return place(session.shelf.patches[_known(session, name)].patch, session.room)


@dataclass(frozen=True, slots=True)
class Save:
    """Keep the present patch under a name."""

    name: str
    kept = True

    def __str__(self) -> str:
        return f"save {self.name}"

    def preview(self, session: Session) -> Answer:
        """Say what would be kept."""
        known = session.shelf.named(self.name)
        if known is not None:
            raise NotNow(
                f"a patch is saved as '{known}' already: 'forget {known}' first, or take another name", self.name
            )
        return Answer(words=(f"keeps as '{self.name}': {patch_words(save(session.patch.state))}",))

    def run(self, session: Session) -> Answer:
        """Keep it."""
        self.preview(session)
        patch = save(session.patch.state)
        session.shelf.patches[self.name] = written(patch)
        return Answer(words=(f"saved as '{self.name}': {patch_words(patch)}",))


@dataclass(frozen=True, slots=True)
class Forget:
    """Take a saved patch away; a work list that leads there goes on."""

    name: str
    kept = True

    def __str__(self) -> str:
        return f"forget {self.name}"

    def preview(self, session: Session) -> Answer:
        """Say what would go."""
        known = _known(session, self.name)
        return Answer(words=(f"forgets '{known}': {patch_words(session.shelf.patches[known].patch)}",))

    def run(self, session: Session) -> Answer:
        """Take it away."""
        known = _known(session, self.name)
        del session.shelf.patches[known]
        return Answer(words=(f"'{known}' is forgotten",))


@dataclass(frozen=True, slots=True)
class Patches(Asks):
    """The list of saved patches."""

    def __str__(self) -> str:
        return "patches"

    def run(self, session: Session) -> Answer:
        """List them."""
        words = [f"{name}: {patch_words(patch.patch)}" for name, patch in session.shelf.patches.items()]
        rest = len(session.room.house_patch)
        words.append(f"{HOUSE}: the house patch, {rest} cord{'' if rest == 1 else 's'}")
        return Answer(words=tuple(words))


def patch_words(patch: SavedPatch) -> str:
    """What is in a patch, counted."""
    cords, phantom, mics = len(patch.cords), len(patch.phantom), len(patch.input_list)
    return (
        f"{cords} cord{'' if cords == 1 else 's'}, phantom at {phantom} input{'' if phantom == 1 else 's'}, "
        f"{mics} microphone{'' if mics == 1 else 's'}"
    )


@dataclass(frozen=True, slots=True)
class Compare(Asks):
    """What differs between the present patch and a saved one, or between two."""

    name: str
    other: str = ""

    def __str__(self) -> str:
        return f"compare {self.name} > {self.other}" if self.other else f"compare {self.name}"

    def run(self, session: Session) -> Answer:
        """List the differences, and the handlings that they come to."""
        first = _placing(session, self.name)
        if self.other:
            second = _placing(session, self.other)
            title = f"from '{self.name}' to '{self.other}'"
        else:
            first, second = Placing(present(session.patch.state)), first
            title = f"from the present patch to '{self.name}'"
        found = differences(first.placed, second.placed)
        lines = comparison_lines(title, found, session)
        lines += [f"cannot be placed: {lost.what} ({lost.why})" for lost in (*first.unplaced, *second.unplaced)]
        return Answer(words=tuple(lines))


def comparison_lines(title: str, found: list[Difference], session: Session) -> list[str]:
    """A comparison to read."""
    kept = sum(isinstance(difference, Keep) for difference in found)
    if kept == len(found):
        return [f"{title}: nothing differs", *(difference_words(difference, session.room) for difference in found)]
    head = f"{title}: {kept} cord{'s stay' if kept != 1 else ' stays'}, "
    head += f"{counted(len(found) - kept, 'difference')}, {counted(handlings(found), 'plug')} out or in"
    return [head, *(difference_words(difference, session.room) for difference in found)]


# Recall and reset


def _begin(session: Session, towards: str, goal: Written | None) -> tuple[str, ...]:
    """Put a goal up; the answer is what is said of a list that it takes the place of."""
    before = session.shelf.work
    session.shelf.work = Work(towards, goal, written(save(session.patch.state)))
    return () if before is None else (f"the list towards '{before.towards}' is put away",)


def _list_preview(session: Session, towards: str, goal: Written | None) -> Answer:
    work = session.shelf.work
    try:
        _begin(session, towards, goal)
        return Answer(words=tuple(list_lines(under_way(session))))
    finally:
        session.shelf.work = work


@dataclass(frozen=True, slots=True)
class Recall:
    """Make the work list towards a saved patch."""

    name: str
    kept = True

    def __str__(self) -> str:
        return f"recall {self.name}"

    def _goal(self, session: Session) -> tuple[str, Written]:
        known = _known(session, self.name)
        return known, session.shelf.patches[known]

    def run(self, session: Session) -> Answer:
        """Put the list up."""
        return list_answer(session, *_begin(session, *self._goal(session)))

    def preview(self, session: Session) -> Answer:
        """Show the list."""
        return _list_preview(session, *self._goal(session))


@dataclass(frozen=True, slots=True)
class RecallCarried:
    """The same towards a patch that the line carries: a file's, set down whole, so that the record does without the file."""

    name: str
    patch: SavedPatch
    kept = True

    def __str__(self) -> str:
        return f"recall {self.name} = {write_on_a_line(self.patch)}"

    def _check(self, session: Session) -> Written:
        known = session.shelf.named(self.name)
        if known is None:
            return written(self.patch)
        if session.shelf.patches[known].patch != self.patch:
            raise NotNow(
                f"another patch is saved as '{known}' already: 'forget {known}' first, or give the file another name",
                self.name,
            )
        return session.shelf.patches[known]

    def run(self, session: Session) -> Answer:
        """Save it under its name, and put the list up."""
        goal = self._check(session)
        name = session.shelf.named(self.name) or self.name
        session.shelf.patches.setdefault(name, goal)
        return list_answer(session, f"saved as '{name}': {patch_words(self.patch)}", *_begin(session, name, goal))

    def preview(self, session: Session) -> Answer:
        """Show the list."""
        return _list_preview(session, self.name, self._check(session))


@dataclass(frozen=True, slots=True)
class Reset:
    """Make the work list towards the house patch."""

    kept = True

    def __str__(self) -> str:
        return "reset"

    def run(self, session: Session) -> Answer:
        """Put the list up."""
        return list_answer(session, *_begin(session, HOUSE, None))

    def preview(self, session: Session) -> Answer:
        """Show the list."""
        return _list_preview(session, HOUSE, None)


# Reading


def read_name(text: str) -> str:
    """A name under which a patch may be saved."""
    name = text.strip()
    if not name:
        raise Malformed("a name is missing: save tuesday night")
    why = why_not_typed(name)
    if why is None and normalized(name).endswith(FILE_ENDS):
        why = "a name that ends like that means a file"
    if why is None and normalized(name) == HOUSE:
        why = "that is the house patch, which the room file states"
    if why is not None:
        raise Malformed(f"a patch cannot be called '{name}': {why}", name)
    return name


def read_save(text: str, _names: Names) -> Line:
    """'NAME'."""
    return Save(read_name(text))


def read_forget(text: str, _names: Names) -> Line:
    """'NAME': a saved patch."""
    return Forget(read_name(text))


def read_compare(text: str, _names: Names) -> Line:
    """'NAME', or 'NAME > NAME'."""
    ends = [end.strip() for end in text.split(">")]
    if not all(ends) or len(ends) > 2:
        raise Malformed("say with which saved patch, or which two: compare tuesday, compare tuesday > house", text)
    return Compare(*ends)


def read_recall(text: str, _names: Names) -> Line:
    """A saved patch's name, a file's, or a name and the patch itself."""
    text = text.strip()
    carried = _CARRIED.fullmatch(text)
    if carried is not None:
        try:
            return RecallCarried(read_name(carried[1]), parse_patch(carried[2], carried[1]))
        except RoomFileErrors as problem:
            raise Malformed(_errors_words(problem), text) from problem
    if not text:
        raise Malformed("say which: recall tuesday, or a patch file: recall tuesday.yaml")
    if normalized(text) == HOUSE:
        return Reset()
    if not normalized(text).endswith(FILE_ENDS):
        return Recall(text)
    try:
        patch = read_patch(text)
    except UnreadableFile as problem:
        raise NotNow(str(problem), text) from problem
    except RoomFileErrors as problem:
        raise Malformed(_errors_words(problem), text) from problem
    return RecallCarried(read_name(PurePath(text).stem), patch)


def _errors_words(problem: RoomFileErrors) -> str:
    """All errors of a patch file, one after another."""
    return f"{len(problem.errors)} error{'' if len(problem.errors) == 1 else 's'}: " + "; ".join(
        str(problem).splitlines()
    )


read_patches = nothing_after("patches", Patches())
read_reset = nothing_after("reset", Reset())
