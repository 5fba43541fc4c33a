"""The topic on keys, made from their one table; with the words and clicks that do the same."""

from __future__ import annotations

from model.help.topic import Block, Paragraph, Points, Section, Table, Topic, code
from tui.screen.help_screen import MOUSE
from tui.screen.keys import PLACES, WORDS, Key, keys_of


def keys_table(keys: list[Key]) -> Table:
    """Some keys and what they do."""
    return Table(("key", "does"), tuple((key.shown, key.does) for key in keys))


def topic() -> Topic:
    """All keys, place by place."""
    tables: list[Block] = [
        block for place, title in PLACES.items() for block in (Section(title), keys_table(keys_of(place)))
    ]
    return Topic(
        "Keys, words and the mouse",
        (
            Paragraph("Keyboard alone or mouse alone: each does all. What a key does can also be typed or clicked."),
            *tables,
            Section("Words"),
            Paragraph(f"Typed alone, these do what a key does: {code(*WORDS)}."),
            Section("The mouse"),
            Points(MOUSE),
            Section("Terminals"),
            Points(
                (
                    "Some terminals report AltGr with no text to the kitty keyboard protocol: start with "
                    "`TEXTUAL_DISABLE_KITTY_KEY=1` there.",
                    "Over a slow link `TEXTUAL_COLOR_SYSTEM=standard` sends less.",
                    "`--light` is for light terminals, `--ascii` for those without line drawing; `NO_COLOR` is respected.",
                )
            ),
        ),
    )
