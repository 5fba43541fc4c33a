"""A whole session as one plain value, from which it goes on as if it had never been closed."""

from __future__ import annotations

from typing import Any, NamedTuple

from model.bay.refusals import Refusal
from model.entry.parts import Plain
from model.record.plain_state import action_as_plain, action_from_plain, put_into, state_as_plain
from model.session import Session, Undone


def session_as_plain(session: Session, deepest: int | None = None) -> dict[str, Plain]:
    """The state before the last actions, those actions, what was undone, and each part of the session.

    ``deepest`` says how many actions; None: as many as undo reaches.
    """
    stack = session.patch.stack
    steps = stack[max(0, len(stack) - (session.deepest_undo if deepest is None else deepest)) :]
    return {
        "base": state_as_plain(session.patch.state_before(len(steps))),
        "steps": [[action_as_plain(pushed.action), pushed.by] for pushed in steps],
        "undone": [[action_as_plain(undone.action), undone.by] for undone in session.undone],
        "parts": {name: held for name, held in session.parts.to_dict().items() if held},
    }


class TakenUp(NamedTuple):
    """What came of taking a session up again. All is empty where the room is still the one it was set down in."""

    words: list[str]  # what of the bay no longer holds, and why
    parts: list[str]  # the same of the session's parts
    last_refused: int | None  # the number of the last action that is not possible any more


def session_from_plain(session: Session, plain: Any) -> TakenUp:
    """Make a session what it was when it was set down, as far as its room allows; what it holds now goes."""
    patch = session.patch
    last_refused = None
    with patch.quietly():
        patch.empty()
        words = put_into(patch.state, plain["base"])
        for number, (step, by) in enumerate(plain["steps"]):
            action = action_from_plain(step)
            try:
                patch.push(action, by)
            except Refusal as refusal:
                last_refused = number
                words.append(f"{action}: {refusal.reason}")
    session.undone[:] = [Undone(action_from_plain(action), by) for action, by in plain["undone"]]
    return TakenUp(words, session.parts.from_dict(plain["parts"]), last_refused)


def empty(session: Session) -> None:
    """The session as it was before any line."""
    session_from_plain(
        session, {"base": {"cords": [], "phantom": [], "mics": []}, "steps": [], "undone": [], "parts": {}}
    )
