"""The table of commands: every reader is there, and every form is one that its command can read."""

from __future__ import annotations

from importlib import import_module

import pytest

from model.commands.completion import OFFERS
from model.commands.table import COMMANDS, GROUPS
from model.session import awaited


@pytest.mark.parametrize("word", COMMANDS)
def test_every_reader_is_there(word: str) -> None:
    module, _, function = COMMANDS[word].reader.partition(":")
    assert callable(getattr(import_module(f"model.{module}"), function))


def test_every_word_stands_once() -> None:
    words = [command.word for _, group in GROUPS for command in group]
    assert len(words) == len(set(words)) == len(COMMANDS)


def test_what_takes_long_waits_for_enter() -> None:
    assert awaited("route hall 3 > desk 4 line") and awaited("recall tuesday")
    assert not awaited("route hall 3 > desk 4 line ?")
    assert not awaited("hall 3 > tallow 4")


@pytest.mark.parametrize("word", COMMANDS)
def test_what_completion_offers_is_known(word: str) -> None:
    assert COMMANDS[word].offers in ("", *OFFERS)
    assert all(form.usage and form.does for form in COMMANDS[word].forms)
