"""Labels made safe: each payload that has been seen to pass through a terminal library unhindered."""

import pytest

from model.room.labels import first_not_typed, why_not_shown, why_not_typed
from model.text.clean import quoted, shown
from model.text.normalized import normalized
from tui.screen.ink import Ink

# What must not reach the terminal, and what is shown for it.
UNSAFE = {
    "ESC CSI": ("a\x1b[2Jb", "a\u241b[2Jb"),
    "OSC, a window's title": ("\x1b]0;title\x07", "\u241b]0;title\u2407"),
    "terminal reset": ("\x1bc", "\u241bc"),
    "C1": ("a\x9b2J", "a\ufffd2J"),
    "DEL": ("a\x7f", "a\u2421"),
    "NUL and SO": ("\x00\x0e", "\u2400\u240e"),
    "BEL BS VT CR": ("\x07\x08\x0b\r", "\u2407\u2408\u240b\u240d"),
    "tab and line feed": ("a\tb\nc", "a\u2409b\u240ac"),
    "override of direction": ("a\u202eb\u2066c\u200f", "a\ufffdb\ufffdc\ufffd"),
    "zero width": ("a\u200bb\ufeff", "a\ufffdb\ufffd"),
    "line separator": ("a\u2028b", "a\ufffdb"),
    "lone surrogate": ("a\udc80b", "a\ufffdb"),
    "tags": ("a\U000e0041", "a\ufffd"),
}


@pytest.mark.parametrize(("text", "safe"), UNSAFE.values(), ids=UNSAFE)
def test_unsafe_characters_are_shown_as_visible_marks(text: str, safe: str) -> None:
    assert shown(text) == safe


@pytest.mark.parametrize("text", ["[bold]x[/]", "[@click=app.quit]", "[/]", "[red]", "\u97f3\u58f0 1", "Pre 4 in", ""])
def test_harmless_text_is_shown_as_it_is(text: str) -> None:
    assert shown(text) == text


def test_letters_are_composed_with_their_accents() -> None:
    assert shown("Cafe\u0301") == "Caf\xe9"


def test_nothing_shown_can_steer_a_terminal() -> None:
    for code in (*range(0x20), *range(0x7F, 0xA0), *range(0xD800, 0xE000), *range(0x202A, 0x202F)):
        assert shown(chr(code)).isprintable(), hex(code)
        shown(chr(code)).encode()


def test_quoted_is_cut_short_and_safe() -> None:
    assert quoted("x" * 300) == "'" + "x" * 57 + "...'"
    assert quoted("\x1b[31m") == "'\u241b[31m'"


@pytest.mark.parametrize(
    ("name", "reason"),
    [
        ("", "empty"),
        ("   ", "empty"),
        (" Pre", "space"),
        ("Pre  1", "two spaces"),
        ("x" * 201, "at most 200"),
        ("a\x1bb", "character 2 is a control character (U+001B)"),
        ("a\u202eb", "U+202E"),
        ("a\u200bb", "U+200B"),
        ("\udc80", "surrogate"),
        ("a\xa0b", "a space that is not the plain one"),
        ("a>b", "'>'"),
        ("a,b", "','"),
        ('a"b', "double quote"),
        ("#7", "'#'"),
        ("Pre 4?", "'?'"),
        ("Pre {1", "'{'"),
        ("Pre 1}", "'}'"),
    ],
)
def test_a_name_that_cannot_be_typed_is_refused_with_the_reason(name: str, reason: str) -> None:
    assert reason in (why_not_typed(name) or "")
    assert first_not_typed(["Pre 1", name, "Pre 2"]) == (name, why_not_typed(name))


def test_ordinary_names_are_fit() -> None:
    names = ["Pre 1", "[red]", "Dave's amp", "\u97f3\u58f0", "Caf\xe9 #2", "what? no", "x" * 200]
    assert [why_not_typed(name) for name in names] == [None] * len(names)
    assert first_not_typed(names) is None


def test_a_room_may_have_a_comma_in_its_name() -> None:
    assert why_not_shown("Saltmarsh, Studio B") is None


def test_folded_names_ignore_case_and_the_spelling_of_accents() -> None:
    assert normalized("Cafe\u0301 IN") == normalized("CAF\xc9 in")


def test_units_where_only_ascii_may_be_drawn() -> None:
    plain = Ink(ascii_only=True)
    assert plain.clean("200 Ω, 1.5 kΩ, 1 MΩ") == "200 ohm, 1.5 k, 1 M"
    assert plain.clean("200 \N{OHM SIGN}") == "200 ohm"
    assert Ink().clean("1.5 kΩ") == "1.5 kΩ"
