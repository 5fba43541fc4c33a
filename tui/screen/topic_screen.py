"""A topic of the help over everything else, to be read whole."""

from __future__ import annotations

from model.help.plain import block_lines
from model.help.topic import Section, Topic
from tui.screen.ink import Ink, Piece
from tui.screen.reading import ReadingScreen
from tui.screen.told_words import Item

WIDTH = 76  # fits the narrowest screen; on a wider one longer lines would be harder to read


def topic_items(topic: Topic) -> list[Item]:
    """A topic's lines, its headings in the role of titles."""
    entries: list[Item] = []
    for block in topic.blocks:
        entries.append(Item([]))
        if isinstance(block, Section):
            entries.append(Item([Piece(block.title, "title")]))
        else:
            entries += [Item([Piece(line)]) for line in block_lines(block, WIDTH)]
    return entries[1:]


class TopicScreen(ReadingScreen):
    """One topic."""

    def __init__(self, ink: Ink, topic: Topic) -> None:
        super().__init__(ink, topic.title, topic_items(topic))
