"""The grammar of entries at the bay: whatever is accepted has one reading; several at once are all or nothing, and one undo.

Takes 6 seconds.
"""

from __future__ import annotations

from random import Random

import pytest

from model.bay.refusals import Ambiguous, Refusal
from model.commands.cords import read_plug
from model.entry.entry import AtBay
from model.language.lists import MOST, forms
from model.language.names import Names
from model.room.file.reader import parse_room
from model.room.wiring import Room
from model.session import Session
from tests.random_rooms import random_room
from tests.said import read
from tests.sessions import shipped_room
from tests.slow_grammar import cords

# Names that words, dashes and commas of the grammar could be taken for.
TANGLED = parse_room(
    """
bayhand: 1
room: Bramble
gear:
  Send {1-4}: line out
  Send to {1-2}: line out
  To 1: line in
  Echo: {"{L,R}": line out, "in {L,R}": line in}
  Echo and {1-2}: line in
  Cue 1-2: line in
  Cue {1-4}: line in
  Tape 1: line in
  Tape 1 and 2: line in
  Tape 1 and to 1: line in
  Log in {1-2}: line in
  Pull {1-2}: line out
bays:
  - bay: One
    columns: 16
    rows:
      A: {1-4: "Send {1-4}", 5-6: "Send to {1-2}", 7-8: "Echo {L,R}", 9-10: "Pull {1-2}"}
      B:
        1: To 1
        2-3: Echo in {L,R}
        4-5: Echo and {1-2}
        6: Cue 1-2
        7-10: Cue {1-4}
        11: Tape 1
        12: Tape 1 and 2
        13-14: Log in {1-2}
        15: Tape 1 and to 1
"""
)


def _end(rng: Random, room: Room, output: bool) -> str:
    """A name as a tired hand types it: short, out of order, in a range, in a list, as an address."""
    ports = [
        port for port in room.ports if port.kind.is_output == output and room.jacks_of_port[port.index]
    ] or room.ports
    name = rng.choice(ports).name
    words = name.split()
    chance = rng.random()
    if chance < 0.15:
        rng.shuffle(words)
    elif chance < 0.3:
        words = [word[: rng.randint(1, 4)] for word in words]
    elif chance < 0.45:
        words = words[: rng.randint(1, len(words))]
    text = " ".join(words)
    chance = rng.random()
    if chance < 0.2 and text[-1].isdigit():
        number = int(text.split()[-1]) if text.split()[-1].isdigit() else 1
        text = f"{text}-{number + rng.randint(0, 2)}"
    elif chance < 0.35:
        text = f"{text}, {rng.choice((str(rng.randint(1, 4)), 'r', 'L', rng.choice(ports).name))}"
    elif chance < 0.45:
        jack = rng.choice(room.jacks)
        text = jack.address if rng.random() < 0.5 else f"{jack.address}-{jack.point + 1}"
    return text


def _typed(rng: Random, room: Room) -> str:
    if room is TANGLED and rng.random() < 0.2:
        left = rng.choice(("send 1", "send to 1", "send to 2", "send 1-2", "echo"))
        right = rng.choice(
            ("tape 1 and to 1", "to 1", "tape 1 and 2", "echo and 1", "cue 1-2", "tape 1 and 2 and to 1")
        )
        return f"{left}{rng.choice((' > ', ' to '))}{right}"
    sign = rng.choice((" > ", " > ", " to ", " -> "))
    text = f"{_end(rng, room, True)}{sign}{_end(rng, room, False)}"
    return f"{text} and {_end(rng, room, False)}" if rng.random() < 0.15 else text


def _rooms() -> list[Room]:
    return [TANGLED, shipped_room("kelpfield"), *(random_room(Random(seed)) for seed in range(12))]


def test_what_is_accepted_has_one_reading_by_a_slow_reader() -> None:
    accepted = refused = several = 0
    for number, room in enumerate(_rooms()):
        rng = Random(number)
        names = Names(Session(room).patch.state)
        for _ in range(500 if room is TANGLED else 80):
            typed = _typed(rng, room)
            slow = cords(typed, names)
            try:
                entry = str(read_plug(typed, names))
            except Ambiguous as why:
                several += len(slow) > 1
                assert len(slow) != 1, (typed, slow, why.reason)
                assert len(slow) < 2 or set(why.candidates) == slow, typed
            except Refusal as why:
                refused += 1
                assert len(slow) != 1, (typed, slow, why.reason)
            else:
                accepted += 1
                assert slow == {entry}, typed
    assert accepted > 200 and refused > 100 and several > 5, (accepted, refused, several)


@pytest.mark.parametrize(
    ("typed", "forms"),
    [
        ("cue 1-2 > send 1-2", {"plug B7 > A1; plug B8 > A2"}),
        ("send 1 to cue 1-2", None),  # a range of two, and a name with a dash
        ("send to 1 to tape 1", {"plug A5 > B11"}),
        ("send 1 > tape 1 and to 1", {"plug A1 > B11 and B1", "plug A1 > B15"}),
        ("pull 1 > tape 1", {"plug A9 > B11"}),  # a name that begins with a command's word
    ],
)
def test_names_that_look_like_the_grammar(typed: str, forms: set[str] | None) -> None:
    names = Session(TANGLED).names
    try:
        assert forms is None or {str(read(typed, names))} == forms
    except Ambiguous as why:
        assert forms is None or set(why.candidates) == forms


def test_quotes_settle_what_words_cannot() -> None:
    session = Session(TANGLED)
    assert session.enter('send 1 > "Cue 1-2"').canonical == "plug A1 > B6"
    assert session.enter('"Send to 1" > "Tape 1 and 2"').canonical == "plug A5 > B12"
    assert "opened and not closed" in (session.enter('send 2 > "Cue 1').error or "")


def test_a_list_is_bounded() -> None:
    assert len(forms(f"x 1-{MOST}")[-1]) == MOST
    for text in (f"x 1-{MOST + 1}", "x 1-99999", ", ".join(["x"] * (MOST + 1))):
        with pytest.raises(Refusal, match="at most"):
            forms(text)


def _several(rng: Random, room: Room) -> str:
    """Entries at the bay as one step; often one of them is not possible."""
    jacks = [jack.address for jack in rng.sample(room.jacks, min(8, len(room.jacks)))]
    parts = [f"{rng.choice(jacks)} > {rng.choice(jacks)}" for _ in range(rng.randint(2, 3))]
    return "; ".join([*parts, *(f"pull {rng.choice(jacks)}" for _ in range(rng.random() < 0.3))])


def test_several_at_once_are_all_or_nothing_and_one_undo() -> None:
    done = refused = 0
    for seed in range(110):
        rng = Random(seed)
        session = Session(random_room(rng))
        for _ in range(8):
            typed = _several(rng, session.room)
            before, steps = session.patch.state, len(session.now.taken)
            preview = session.preview(typed)
            outcome = session.enter(typed)
            assert preview.change == outcome.change and preview.error == outcome.error
            if not outcome.ok:
                refused += 1
                assert session.patch.state is before
                continue
            done += 1
            assert len(session.now.taken) == steps + 1
            after = session.patch.state
            one_by_one = Session(session.room)
            one_by_one.now = outcome.before
            for part in outcome.canonical.split("; "):
                assert one_by_one.enter(part).ok, part
            assert one_by_one.patch.state == after
            assert isinstance(read(outcome.canonical, Names(before)), AtBay)
            assert session.enter("undo").ok and session.patch.state == before
            assert session.enter("redo").ok and session.patch.state == after
    assert done > 100 and refused > 50, (done, refused)
