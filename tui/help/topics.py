"""All topics: those of the engine, and the keys of the screen."""

from __future__ import annotations

from model.help import topics
from model.help.topic import Topic
from model.help.topics import Listed


def _keys() -> Topic:
    from tui.help.keys_topic import topic  # it brings Textual, which takes long to load

    return topic()


TOPICS: dict[str, Listed] = dict(
    sorted({**topics.TOPICS, "keys": Listed("the keys of the screen, its words and the mouse", _keys)}.items())
)


def help_for(word: str) -> Topic | None:
    """What is to be read on a word: a command's forms, else the topic of that name; None where it is neither."""
    return topics.help_for(word, TOPICS)


def not_found(word: str) -> str:
    """What is said of a word on which there is nothing to read: the nearest, and the list."""
    return topics.not_found(word, TOPICS)
