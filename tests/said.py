"""What tests of sessions share: what an answer said as lines to read, an action done, a text read."""

from __future__ import annotations

from model.bay.actions import Action
from model.commands.reading import read_entry
from model.entry.entry import Entry
from model.language.names import Names
from model.live.change import Change
from model.session import Outcome, Session


def words_of(outcome: Outcome) -> tuple[str, ...]:
    """The sentences of an answer, each as far in as it stands; what is more than a sentence begins with its kind."""
    return tuple(
        f"{' ' * each.indent}{'' if each.kind == 'said' else f'{each.kind}: '}{each.words}"
        for each in outcome.answer.said
    )


def act(session: Session, action: Action) -> Change:
    """Do an action that was not typed, whatever it breaks."""
    draft = session.draft(anyway=True)
    change = draft.act(action)
    session.now = draft.state
    return change


def read(text: str, names: Names) -> Entry:
    """What a text is read as."""
    return read_entry(text, names).entry
