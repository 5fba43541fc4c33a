"""The entry: what it is read as, what it is refused for, and that no text at all breaks it."""

from __future__ import annotations

import re
from pathlib import Path
from random import Random

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from model.bay.actions import Action, Clear, Move, Phantom, Plug, PlugLooseEnd, Pull, PullAll, Put, Unplug
from model.bay.refusals import Ambiguous, Malformed, NotNow, Refusal, UnknownName
from model.commands.completion import complete
from model.commands.reading import MAX_CHARACTERS
from model.commands.table import COMMANDS
from model.entry.entry import AtBay
from model.language.nameindex import NameIndex
from model.room.file import read_room
from model.session import Session
from tests.random_rooms import random_room
from tests.said import read, words_of

ROOM = read_room(Path(__file__).parent.parent / "rooms" / "kelpfield.yaml")


@pytest.fixture
def session() -> Session:
    """Kelpfield at rest, with cord 1 from A3 to B5 and the loose end of cord 2 in C7."""
    session = Session(ROOM)
    for line in ("A3 > B5", "plug C7"):
        assert session.enter(line).ok
    return session


@pytest.mark.parametrize(
    ("typed", "action"),
    [
        ("hall 1 > tallow 2", Plug(("A1", "B2"))),
        ("Tallow 2 in > hall 1", Plug(("B2", "A1"))),  # either way round
        ("TALLOW 2 > desk 4 line", Plug(("C2", "D4"))),  # left of '>' its output
        ("in 2 tallow > hall 1", Plug(("B2", "A1"))),  # words in any order
        ("a1 > b2", Plug(("A1", "B2"))),
        ("tal 2 > d4", Plug(("C2", "D4"))),  # short of what makes it unique
        ("plug a1", Plug(("A1",))),
        ("a1 > b2 with 60", Plug(("A1", "B2"), None, 60.0)),
        ("a1 > b2 with 1.5 m", Plug(("A1", "B2"), None, 150.0)),
        ("a1 > b2 with 0.29 m", Plug(("A1", "B2"), None, 29.0)),
        ("a1 > b2 as #12", Plug(("A1", "B2"), 12)),
        ("a1 > b2 as #12 with 60 cm", Plug(("A1", "B2"), 12, 60.0)),
        ("a1 > b2 with 60 cm as #12", Plug(("A1", "B2"), 12, 60.0)),
        ("a1 > b2 and b4", Plug(("A1", "B2", "B4"))),
        ("#2 > b9", PlugLooseEnd(2, "B9")),
        ("unplug a3", Unplug("A3")),
        ("unplug hall 3", Unplug("A3")),
        ("pull b5", Pull(1)),
        ("pull #2", Pull(2)),
        ("pull Tallow 5", Pull(1)),  # only its input holds a plug
        ("pull all", PullAll()),
        ("move b5 > b9", Move("B5", "B9")),
        ("move b5 > tallow 9", Move("B5", "B9")),
        ("phantom tallow 4 on", Phantom("Tallow 4 in", True)),
        ("phantom brindle 4 off", Phantom("Brindle 4 in", False)),
        ("phantom brindle bank 2 on", Phantom("Brindle 5 in", True)),
        ("put ribbon on hall 3", Put("ribbon", "Hall 3")),
        ("clear hall 3", Clear("Hall 3")),
    ],
)
def test_what_a_line_is_read_as(session: Session, typed: str, action: Action) -> None:
    assert read(typed, session.names) == AtBay(action)
    assert read(str(action), session.names) == AtBay(action)


@pytest.mark.parametrize(
    ("typed", "why", "says"),
    [
        ("", Malformed, "nothing was typed"),
        ("a1 >", Malformed, "missing beside '>'"),
        ("> a1", Malformed, "missing beside '>'"),
        ("plgu a1", Malformed, "did you mean 'plug'"),
        ("a1", Malformed, "say what to do with 'a1'"),
        ("a1 > a99", UnknownName, "points 1 to 48"),
        ("a1 > zzz", UnknownName, "nothing called 'zzz'"),
        ("hall > b2", Ambiguous, "Hall 1"),
        ("hall 1 > brindle", Ambiguous, "fits 16 names"),
        ("#2", Malformed, "say where the loose end of cord 2 goes"),
        ("b9 > #2", Malformed, "the cord comes first"),
        ("#x > b9", Malformed, "a cord is written #"),
        ("pull a1", NotNow, "A1 is empty"),
        ("move b5", Malformed, "from which jack to which"),
        ("phantom off", Malformed, "say whose phantom"),
        ("phantom tallow 4 out on", NotNow, "no phantom supply"),
        ("put ribbon", Malformed, "which microphone on which line"),
        ("put kazoo on hall 3", UnknownName, "the locker has nothing called 'kazoo'"),
        ("put ribbon on desk 3 line", NotNow, "no microphone line but a line in"),
        ("note", Malformed, "a note needs words"),
        ("note " + "x" * 1001, Malformed, "at most 1000"),
        ("undo it", Malformed, "stands alone"),
        ("x" * (MAX_CHARACTERS + 1), Malformed, "at most"),
        ("a1 > \x1b[2J", Malformed, "cannot be printed (U+001B)"),
        ("a1 > b2 with 0", Malformed, "a cord's length is from 0.1 cm to 1000 m"),
        ("a1 > b2 with -3 cm", Malformed, "a cord's length is from 0.1 cm to 1000 m, not -3 cm"),
        ("a1 > b2 with 30 cm with 60 cm", Malformed, "one length, and two are given"),
        ("a1 > b2 as #3 as #4", Malformed, "one number, and two are given"),
        ("a1 > b2 as #0", NotNow, "from 1 to"),
        ("a1 > a1", NotNow, "both ends"),
        ("a3 > b9", NotNow, "already holds a plug of cord 1"),
        ("a1 > b9 as #1", NotNow, "already in the bay"),
        ("#1 > b9", NotNow, "has no loose end: it is in A3 and B5"),
        ("#8 > b9", NotNow, "no cord 8"),
    ],
)
def test_what_a_line_is_refused_for(session: Session, typed: str, why: type[Refusal], says: str) -> None:
    before = (dict(session.patch.state.plugs), len(session.now.taken))
    with pytest.raises(why) as refused:
        line = read(typed, session.names)
        line.run(session.draft())
    assert says in refused.value.reason
    outcome = session.enter(typed)
    assert not outcome.ok
    assert says in (outcome.error or "")
    assert (dict(session.patch.state.plugs), len(session.now.taken)) == before


def test_an_unknown_name_is_refused_with_the_nearest(session: Session) -> None:
    assert "did you mean 'Tallow 4 in'" in (session.enter("hall 4 > talow 4").error or "")


def test_what_is_near_is_of_what_was_asked_for(session: Session) -> None:
    """A point past its row: the row's last. A microphone that is not there: those of the locker."""
    assert (session.enter("a1 > b99").error or "").endswith(
        "points 1 to 48, not 99: did you mean 'B48'? Type 'a1 > B48'"
    )
    assert (session.enter("b0 > a1").error or "").endswith("points 1 to 48, not 0: did you mean 'B1'? Type 'B1 > a1'")
    assert "Type 'put ribbon on hall 3'" in (session.enter("put ribon on hall 3").error or "")
    told = session.enter("put zzz on hall 3").error or ""
    assert all(f"'{mic.name}'" in told for mic in ROOM.mics[:2])
    assert "Hall" not in told


def test_a_loose_end_goes_either_way_round(session: Session) -> None:
    """A cord that stands at an input is to meet an output; one that stands at an output, an input."""
    for plugged, action in (("B9", PlugLooseEnd(3, "C10")), ("A9", PlugLooseEnd(3, "B10"))):
        assert session.enter(f"plug {plugged}").change.cord == 3
        assert read("#3 > tallow 10", session.names) == AtBay(action)
        assert session.enter("pull #3").ok


def test_plugs_of_several_cords_in_one_mult_are_not_guessed(session: Session) -> None:
    mult = ROOM.mults[0]
    first, second = (ROOM.jacks[jack].address for jack in mult.jacks[:2])
    assert session.enter(f"plug {first}").ok
    assert read(f"unplug {mult.name}", session.names) == AtBay(Unplug(first))
    assert session.enter(f"plug {second}").ok
    for word in ("unplug", "pull"):
        error = session.enter(f"{word} {mult.name}").error or ""
        assert f"comes up at several jacks: '{first}' or '{second}'?" in error


def test_figures_of_what_comes_up_at_several_jacks(session: Session) -> None:
    """All ends of a tie line, or of a mult, are on one net; there may be nothing on it but cable."""
    for jack in ROOM.jacks:
        told = session.enter(f"figures {jack.address}")
        assert told.ok and words_of(told), jack
    for name, jacks in [(tie.name, (tie.a, tie.b)) for tie in ROOM.ties[:1]] + [
        (m.name, m.jacks) for m in ROOM.mults[:1]
    ]:
        told = session.enter(f"figures {name}").answer.extra["figures_of"]
        assert {ROOM.jacks[jack].address for jack in jacks} <= set(told["jacks"])
    assert "say of what" in (session.enter("figures").error or "")


def test_a_question_changes_nothing(session: Session) -> None:
    outcome = session.enter("hall 1 > tallow 2 ?")
    assert outcome.ok
    assert outcome.asked
    assert ("Hall 1", "Tallow 2 in") in outcome.change.made
    assert len(session.now.taken) == 2
    assert session.enter("undo ?").change.cleared
    assert len(session.now.taken) == 2


words = st.sampled_from(
    [*COMMANDS, "hall", "tallow", "3", "4", ">", "#1", "#2", "on", "off", "in", "out", "a1", "B5", "all", "?", "with", "60",
     "as", "ribbon", "[red]", "\x1b[0m", "é", "漢", "with 9999999 m", "because", "via", ","]
)  # fmt: skip


@settings(max_examples=400, deadline=None)
@given(st.one_of(st.text(max_size=60), st.lists(words, max_size=8).map(" ".join)))
@example(">" * 2000)
@example("#" + "9" * 1000 + " > a1")
@example("a" + "9" * 1000 + " > b1")
@example("²3 > b1")
@example("move > >")
def test_any_text_gives_a_result_or_a_refusal(typed: str) -> None:
    session = Session(ROOM)
    session.enter("a3 > b5")
    session.enter("plug c7")
    preview = session.preview(typed)
    assert isinstance(complete(typed, session.draft()), list)
    outcome = session.enter(typed)
    assert outcome.ok == preview.ok
    assert outcome.ok or outcome.error


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 2**32), st.data())
def test_an_action_writes_itself_and_is_read_back(seed: int, data: st.DataObject) -> None:
    room = random_room(Random(seed))
    session = Session(room)
    jacks = st.sampled_from([jack.address for jack in room.jacks])
    lines = [p.name for p in room.ports if p.kind.is_mic_line] or ["none"]
    supplied = [p.name for p in room.ports if p.supply is not None] or ["none"]
    actions: st.SearchStrategy[Action] = st.one_of(
        st.builds(
            Plug,
            st.lists(jacks, min_size=1, max_size=3, unique=True).map(tuple),
            st.none() | st.integers(1, 99_999),
            st.none() | st.floats(0.1, 100_000),
        ),
        st.builds(PlugLooseEnd, st.integers(1, 999), jacks),
        st.builds(Unplug, jacks),
        st.builds(Pull, st.integers(1, 999)),
        st.just(PullAll()),
        st.builds(Move, jacks, jacks),
        st.builds(Phantom, st.sampled_from(supplied), st.booleans()),
        st.builds(Put, st.sampled_from([m.name for m in room.mics]), st.sampled_from(lines)),
        st.builds(Clear, st.sampled_from(lines)),
    )
    action = data.draw(actions)
    if "none" not in str(action):
        assert read(str(action), session.names) == AtBay(action)


def test_completion_offers_the_likeliest_first(session: Session) -> None:
    assert complete("hall 1 > tal", session.draft())[0].entry == "hall 1 > Tallow 1 in"
    assert complete("tallow 4", session.draft())[0].label.startswith("Tallow 4 out")
    assert complete("hall 3 > tallow 4", session.draft())[0].entry == "hall 3 > Tallow 4 in"
    assert complete("pu", session.draft())[0].entry == "pull "
    assert [c.entry for c in complete("pull ", session.draft())] == ["pull #1", "pull #2"]
    assert complete("put rib", session.draft())[0].entry == "put ribbon on "
    assert complete("put ribbon on hall 2", session.draft())[0].entry == "put ribbon on Hall 2"
    assert complete("phantom tallow 4 ", session.draft())[0].entry == "phantom tallow 4 on"
    # what already holds a plug comes after what is free
    offered = [c.entry for c in complete("hall 9 > tallow", session.draft(), most=40)]
    assert offered.index("hall 9 > Tallow 6 in") < offered.index("hall 9 > Tallow 5 in")


def test_completion_knows_what_is_saved_and_kept(session: Session) -> None:
    for line in ("save tuesday evening", "guard hall 9 > tallow 9 in"):
        assert session.enter(line).ok
    assert [c.entry for c in complete("recall tue", session.draft())] == ["recall tuesday evening"]
    assert [c.entry for c in complete("compare tuesday evening > ho", session.draft())] == [
        "compare tuesday evening > house"
    ]
    assert [c.entry for c in complete("unguard ", session.draft())] == ["unguard Hall 9 > Tallow 9 in"]


def test_completion_offers_what_can_be_forgotten_released_taken_and_ended(session: Session) -> None:
    for word in ("forget", "release", "use", "fault"):
        assert complete(f"{word} ", session.draft()) == []
    for line in ("save tuesday", "save wednesday", "hall 1 > brindle 1", "hall 2 > brindle 2"):
        assert session.enter(line).ok
    for line in ("hold #2 because the singer stays", "dead desk 9 line", "route hall 4 > buckle 2 in"):
        assert session.enter(line).ok
    offered = {
        "forget ": ["forget wednesday", "forget tuesday"],
        "recall ": ["recall wednesday", "recall tuesday", "recall house"],
        "release ": ["release #2"],
        "use ": ["use 1"],
        "fault ": ["fault over", "fault without Desk 9 line"],
        "fault w": ["fault without Desk 9 line"],
    }
    for typed, lines in offered.items():
        assert [c.entry for c in complete(typed, session.draft())] == lines
        for line in lines:
            assert session.preview(line).ok, line


def test_a_text_meets_the_same_however_often_it_is_asked(session: Session) -> None:
    first = {text: session.names.index.matching(text) for text in ("pre", "tallow 3", "l", "in out", "x" * 40)}
    for text in map(str, range(50)):
        session.names.index.matching(text)
    fresh = Session(ROOM).names.index
    for text, found in first.items():
        assert session.names.index.matching(text) == found == fresh.matching(text)


def test_every_completion_can_be_read(session: Session) -> None:
    """A completed name means what it says."""
    tie, mult = ROOM.ties[0].name, ROOM.mults[0].name
    for jack in ROOM.mults[0].jacks[:2]:
        assert session.enter(f"plug {ROOM.jacks[jack].address}").ok
    for typed in (
        "hall 1 > tallow",
        "click > des",
        f"plug {tie}",
        f"plug {mult}",
        "unplug ",
        f"unplug {mult}",
        "pull ",
        "pull t",
    ):
        completions = complete(typed, session.draft(), most=40)
        assert completions
        for completion in completions:
            error = session.preview(completion.entry).error or ""
            assert not error or re.search(r"already holds|is empty|does not reach|at no jack", error), (
                completion,
                error,
            )


def test_numbers_are_met_whole() -> None:
    index = NameIndex(["Pre 4 in", "Pre 40 in", "Pre 44 in"])
    assert [index.names[e] for found in index.matching("pre 4") for e in found.entries] == ["Pre 4 in"]


def test_accents_that_are_apart_and_names_of_signs_alone_are_met() -> None:
    names = ["\u00c9cho in", "\u2605", "L+", "L-"]
    index = NameIndex(names)
    for typed, name in (
        ("E\u0301CHO IN", names[0]),
        ("e\u0301cho", names[0]),
        ("\u2605", names[1]),
        ("l+", "L+"),
        ("l-", "L-"),
    ):
        assert index.names[index.matching(typed)[0].entries[0]] == name
        assert len(index.matching(typed)[0].entries) == 1
    assert index.matching("!") == []


def test_the_order_of_words_decides_where_nothing_else_does() -> None:
    index = NameIndex(["Box 1 p2", "Box 2 p1"])
    assert [[index.names[e] for e in found.entries] for found in index.matching("box 2 p1")] == [
        ["Box 2 p1"],
        ["Box 1 p2"],
    ]


def test_a_name_met_whole_comes_before_one_begun() -> None:
    index = NameIndex(["Mixer L", "Mix L", "Mix Left"])
    assert [[index.names[e] for e in found.entries] for found in index.matching("mix l")] == [
        ["Mix L"],
        ["Mixer L", "Mix Left"],
    ]
