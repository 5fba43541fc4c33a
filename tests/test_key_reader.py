"""Bytes of a terminal as keys, pastes and mouse: however they are cut into reads, whatever they are."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from textual import events
from textual.message import Message

from tui.screen.key_reader import ENDS_A_PASTE, MAX_PASTE, PASTE_BEGIN, PASTE_END, SILENCE, KeyReader

SOME = st.lists(
    st.one_of(
        st.binary(max_size=8),
        st.sampled_from(
            [
                *(PASTE_BEGIN, PASTE_END, b"\x1b", b"\x1b[M", b"\x1b[<0;3;4M", b"\x1b[<0;3;4m", b"\x1b[200", b"\r"),
                *(b"\x1b[48;0;0;0;0t", b"\x1b[48;24;80;480;800t", b"\x1b[99999999999u", b"\x1b[1;1R", "é漢".encode()),
            ]
        ),
    ),
    max_size=30,
)


def told(messages: list[Message]) -> list[str]:
    """What came of some bytes, in short; characters alone, joined."""
    found = []
    for message in messages:
        if isinstance(message, events.Key):
            found.append(f"key {message.key} {message.character!r}")
        elif isinstance(message, events.Paste):
            found.append(f"paste {message.text!r}")
        elif isinstance(message, events.MouseEvent):
            found.append(f"{type(message).__name__} {message.x} {message.y} {message.button}")
        else:
            found.append(type(message).__name__)
    return found


def read(*parts: bytes) -> list[str]:
    """What some reads bring, without a pause between them."""
    reader = KeyReader()
    return told([message for part in parts for message in reader.feed(part)])


@given(SOME, st.data())
@settings(max_examples=100, deadline=None)
def test_it_never_fails_and_the_places_of_the_cuts_do_not_matter(parts: list[bytes], data: st.DataObject) -> None:
    whole = b"".join(parts)
    cuts = sorted(data.draw(st.lists(st.integers(0, len(whole)), max_size=6)))
    pieces = [whole[a:b] for a, b in zip([0, *cuts], [*cuts, len(whole)], strict=True)]
    assert read(*(piece for piece in pieces if piece)) == read(whole)


@given(st.lists(st.one_of(SOME.map(b"".join), st.just(b"")), max_size=20))
@settings(max_examples=50, deadline=None)
def test_nor_does_it_with_pauses(parts: list[bytes]) -> None:
    reader = KeyReader()
    for part in parts:
        list(reader.feed(part) if part else [message for _ in range(SILENCE + 1) for message in reader.tick()])
    # and whatever came, a key that comes alone in the end is heard, as a key or as the end of a paste
    for _ in range(SILENCE + 1):
        list(reader.tick())
    list(reader.feed(b"\r"))
    for _ in range(SILENCE + 1):
        list(reader.tick())
    assert told(list(reader.feed(b"a"))) == ["key a 'a'"]


@given(st.binary(max_size=60).filter(lambda data: PASTE_END not in data))
@settings(max_examples=60, deadline=None)
def test_what_stands_in_a_paste_is_text_alone(data: bytes) -> None:
    came = read(PASTE_BEGIN + data + PASTE_END + b"x")
    text = data.decode("utf-8", "replace").replace("\0", "")
    assert came == [f"paste {text!r}", "key x 'x'"]


def test_old_mouse_reports_are_read_and_the_release_is_of_the_button_that_was_pressed() -> None:
    pressed, released = b"\x1b[M" + bytes([32, 33 + 199, 33 + 4]), b"\x1b[M" + bytes([35, 33 + 199, 33 + 4])
    assert read(pressed, released) == ["MouseDown 199 4 1", "MouseUp 199 4 1"]


def test_half_a_character_is_waited_for_and_then_is_none() -> None:
    reader = KeyReader()
    assert told(list(reader.feed("é".encode()[:1]))) == []
    assert told(list(reader.feed("é".encode()[1:]))) == ["key é 'é'"]
    assert told(list(reader.feed("é".encode()[:1]))) == []
    assert told([message for _ in range(SILENCE) for message in reader.tick()]) == [
        "key replacement_character '\ufffd'"
    ]


def test_a_lone_escape_is_a_key_and_the_letters_typed_later_are_no_report() -> None:
    reader = KeyReader()
    assert told(list(reader.feed(b"\x1b"))) == []
    while not (came := told(list(reader.tick()))):
        pass
    assert came == ["key escape '\\x1b'"]
    assert len(told(list(reader.feed(b"[Mabc")))) == 5


def test_a_paste_without_an_end_takes_no_more_than_a_bound_and_a_key_alone_ends_it() -> None:
    for key in ENDS_A_PASTE:
        reader = KeyReader()
        list(reader.feed(PASTE_BEGIN))
        for _ in range(70):
            assert not list(reader.feed(b"x" * (MAX_PASTE // 60)))
        assert reader._paste is not None
        assert len(reader._paste) <= MAX_PASTE
        assert not list(reader.feed(key))  # behind text at once: it is text
        assert not [message for _ in range(SILENCE) for message in reader.tick()]
        (paste,) = reader.feed(key)
        assert isinstance(paste, events.Paste)
