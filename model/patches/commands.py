"""The commands for whole patches: saving, comparing, recalling, the reset, and the work list that leads there."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import PurePath

from model.bay.refusals import Malformed, NotNow, UnknownName
from model.entry.alone import nothing_after
from model.entry.answer import Answer
from model.entry.draft import Draft
from model.entry.entry import Asks, Changes, Entry
from model.language.names import Names
from model.live.told import said
from model.patches.compare import Difference, Stay, differences, handlings
from model.patches.patch_file import read_patch
from model.patches.patch_words import difference_words
from model.patches.placed import Placing, house, place, present
from model.patches.saved_patch import SavedPatch, save
from model.patches.shelf import HOUSE, SHELF, Work, Written, written
from model.patches.work import list_answer
from model.room.file.errors import RoomFileErrors, UnreadableFile
from model.room.labels import why_not_typed
from model.text.listing import counted
from model.text.normalized import normalized
from model.text.suggest import nearest

FILE_ENDS = (".yaml", ".yml")
# Saved patches


def _known(draft: Draft, name: str) -> str:
    """A saved patch's name as it was saved."""
    shelf = draft.get(SHELF)
    known = shelf.named(name)
    if known is None:
        if not shelf.patches:
            raise NotNow(f"no patch is saved as '{name}', nor any other: save NAME keeps the present one", name)
        close = nearest(name, shelf.patches) or list(shelf.patches)[-3:]
        raise UnknownName(f"no patch is saved as '{name}'", name, close)
    return known


def _placing(draft: Draft, name: str) -> Placing:
    """A saved patch, or the house patch, in this room."""
    if normalized(name) == HOUSE:
        return Placing(house(draft.room))
    return place(draft.get(SHELF).patches[_known(draft, name)].patch, draft.room)


@dataclass(frozen=True, slots=True)
class Save(Changes):
    """Keep the present patch under a name."""

    name: str

    def __str__(self) -> str:
        return f"save {self.name}"

    def run(self, draft: Draft) -> Answer:
        """Keep it. Raises NotNow where the name is taken."""
        shelf = draft.get(SHELF)
        known = shelf.named(self.name)
        if known is not None:
            raise NotNow(
                f"a patch is saved as '{known}' already: 'forget {known}' first, or choose another name", self.name
            )
        patch = save(draft.patch.state)
        draft.put(SHELF, replace(shelf, patches={**shelf.patches, self.name: written(patch)}))
        return Answer(said=said(f"saved as '{self.name}': {patch_words(patch)}"))


@dataclass(frozen=True, slots=True)
class Forget(Changes):
    """Take a saved patch away; a work list that leads there goes on."""

    name: str

    def __str__(self) -> str:
        return f"forget {self.name}"

    def run(self, draft: Draft) -> Answer:
        """Take it away."""
        known = _known(draft, self.name)
        shelf = draft.get(SHELF)
        patches = {name: patch for name, patch in shelf.patches.items() if name != known}
        draft.put(SHELF, replace(shelf, patches=patches))
        return Answer(said=said(f"'{known}' is forgotten: {patch_words(shelf.patches[known].patch)}"))


@dataclass(frozen=True, slots=True)
class Patches(Asks):
    """The list of saved patches."""

    def __str__(self) -> str:
        return "patches"

    def run(self, draft: Draft) -> Answer:
        """List them."""
        words = [f"{name}: {patch_words(patch.patch)}" for name, patch in draft.get(SHELF).patches.items()]
        rest = len(draft.room.house_patch)
        words.append(f"{HOUSE}: the house patch, {rest} cord{'' if rest == 1 else 's'}")
        return Answer(said=said(*words))


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

    def run(self, draft: Draft) -> Answer:
        """List the differences, and the handlings that they come to."""
        first = _placing(draft, self.name)
        if self.other:
            second = _placing(draft, self.other)
            title = f"from '{self.name}' to '{self.other}'"
        else:
            first, second = Placing(present(draft.patch.state)), first
            title = f"from the present patch to '{self.name}'"
        found = differences(first.placed, second.placed)
        lines = comparison_lines(title, found, draft)
        lines += [f"cannot be placed: {lost.what} ({lost.why})" for lost in (*first.unplaced, *second.unplaced)]
        return Answer(said=said(*lines))


def comparison_lines(title: str, found: list[Difference], draft: Draft) -> list[str]:
    """A comparison to read."""
    staying = sum(isinstance(difference, Stay) for difference in found)
    if staying == len(found):
        return [f"{title}: nothing differs", *(difference_words(difference, draft.room) for difference in found)]
    head = f"{title}: {staying} cord{'s stay' if staying != 1 else ' stays'}, "
    head += f"{counted(len(found) - staying, 'difference')}, {counted(handlings(found), 'plug')} out or in"
    return [head, *(difference_words(difference, draft.room) for difference in found)]


# Recall and reset


def _begin(draft: Draft, towards: str, goal: Written | None, *first: str) -> Answer:
    """Put a goal up, and show the list that leads there, after what is said first."""
    shelf = draft.get(SHELF)
    before = () if shelf.work is None else (f"the list towards '{shelf.work.towards}' is put away",)
    draft.put(SHELF, replace(shelf, work=Work(towards, goal, written(save(draft.patch.state)))))
    return list_answer(draft, *first, *before)


@dataclass(frozen=True, slots=True)
class Recall(Changes):
    """Make the work list towards a saved patch."""

    name: str

    def __str__(self) -> str:
        return f"recall {self.name}"

    def run(self, draft: Draft) -> Answer:
        """Put the list up."""
        known = _known(draft, self.name)
        return _begin(draft, known, draft.get(SHELF).patches[known])


@dataclass(frozen=True, slots=True)
class RecallFile(Changes):
    """The same towards the patch of a file, which is saved under the file's name: the record does without the file."""

    path: str
    name: str
    patch: SavedPatch

    def __str__(self) -> str:
        return f"recall {self.path}"

    def run(self, draft: Draft) -> Answer:
        """Save it under its name, and put the list up."""
        shelf = draft.get(SHELF)
        known = shelf.named(self.name)
        if known is not None and shelf.patches[known].patch != self.patch:
            raise NotNow(
                f"another patch is saved as '{known}' already: 'forget {known}' first, or give the file another name",
                self.name,
            )
        name = known or self.name
        goal = shelf.patches[name] if known else written(self.patch)
        draft.put(SHELF, replace(shelf, patches={**shelf.patches, name: goal}))
        return _begin(draft, name, goal, f"saved as '{name}': {patch_words(self.patch)}")


@dataclass(frozen=True, slots=True)
class Reset(Changes):
    """Make the work list towards the house patch."""

    def __str__(self) -> str:
        return "reset"

    def run(self, draft: Draft) -> Answer:
        """Put the list up."""
        return _begin(draft, HOUSE, None)


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


def read_save(text: str, _names: Names) -> Entry:
    """'NAME'."""
    return Save(read_name(text))


def read_forget(text: str, _names: Names) -> Entry:
    """'NAME': a saved patch."""
    return Forget(read_name(text))


def read_compare(text: str, _names: Names) -> Entry:
    """'NAME', or 'NAME > NAME'."""
    ends = [end.strip() for end in text.split(">")]
    if not all(ends) or len(ends) > 2:
        raise Malformed("say with which saved patch, or which two, with '>' between them", text)
    return Compare(*ends)


def read_recall(text: str, _names: Names) -> Entry:
    """A saved patch's name, or a file's."""
    text = text.strip()
    if not text:
        raise Malformed("say which saved patch, or which patch file")
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
    return RecallFile(text, read_name(PurePath(text).stem), patch)


def _errors_words(problem: RoomFileErrors) -> str:
    """All errors of a patch file, one after another."""
    return f"{len(problem.errors)} error{'' if len(problem.errors) == 1 else 's'}: " + "; ".join(
        str(problem).splitlines()
    )


read_patches = nothing_after("patches", Patches())
read_reset = nothing_after("reset", Reset())
