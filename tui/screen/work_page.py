"""The work list on the screen: what comes next, what is left, what is left alone and why, and what is done."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from model.session import Session
from tui.screen.ink import Ink, Piece
from tui.screen.told_words import Item, first_of_all

if TYPE_CHECKING:
    from model.patches.work import Standing

NUMBER = 4  # cells before a step


class WorkPage(NamedTuple):
    """The list to read, and the lines that could be typed next."""

    entries: list[Item]
    offers: tuple[str, ...]


def work_page(session: Session, ink: Ink) -> WorkPage | None:
    """The work list under way; None where there is none."""
    if "shelf" not in session.now.parts:
        return None
    from model.patches.work import offers, standing  # only who has a work list pays for it

    found = standing(session.draft())
    if found is None:
        return None
    entries = [Item([Piece(title(session, found), "strong")]), *_next(session, found, ink), *_later(found)]
    if found.elsewhere:
        entries.append(_said(ink, f"it was saved in another room, {found.elsewhere}"))
    entries += [_said(ink, f"left alone: {left.what} ({left.why})") for left in found.left]
    entries += [_said(ink, f"rewired since: {words}") for words in found.placing.rewired]
    entries += [Item([ink.mark("cleared"), Piece(f" done: {words}", "faint")]) for words in done(session, found)]
    return WorkPage(entries, offers(found))


def title(session: Session, found: Standing) -> str:
    """Where it leads, and how far it has come."""
    steps = len(found.todo.steps)
    if not steps:
        return f"{found.title}: nothing is left to do; 'leave' puts the list away"
    plugs = found.todo.handlings
    left = f"{steps} step{'' if steps == 1 else 's'} left, {plugs} plug{'' if plugs == 1 else 's'} out or in"
    behind = len(done(session, found))
    return f"{found.title}: {left}{f', {behind} done' if behind else ''}"


def done(session: Session, found: Standing) -> list[str]:
    """What is otherwise in the bay than when the list was begun."""
    from model.patches.compare import Stay, differences
    from model.patches.patch_words import difference_words
    from model.patches.placed import place, present

    began = place(found.work.began.patch, session.room).placed
    changed = [d for d in differences(began, present(session.patch.state)) if not isinstance(d, Stay)]
    return [" ".join(difference_words(difference, session.room).split()) for difference in changed]


def _next(session: Session, found: Standing, ink: Ink) -> Iterator[Item]:
    """The step to do now: first what must be cautioned, and the dangers that it would raise."""
    from model.signal.warning import DANGER

    for step in found.todo.steps[:1]:
        for caution in step.cautions:
            yield first_of_all(ink, caution)
        for warning in session.patch.do(step.action).change.raised:
            if warning.severity == DANGER:
                yield Item([ink.mark(DANGER), Piece(" danger: ", "alarm"), Piece(f"{warning.text} {warning.fix}")])
        yield Item([Piece("now ", "key"), Piece(step.words, "strong")], NUMBER)


def _later(found: Standing) -> Iterator[Item]:
    for number, step in enumerate(found.todo.steps[1:], start=2):
        yield Item([Piece(f"{number:>{NUMBER - 1}} ", "faint"), Piece(step.words)], NUMBER)
        for caution in step.cautions:
            yield Item([Piece(f"{'':{NUMBER}}caution: {caution}", "faint")], NUMBER)


def _said(ink: Ink, text: str) -> Item:
    return Item([ink.mark("said"), Piece(f" {text}")])
