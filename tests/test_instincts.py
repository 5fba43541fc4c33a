"""Entries that a practised hand types without having read the manual, in the studio room.

Each is done as it was meant, or refused with an entry that, typed as it is told, is accepted there; what the program does
elsewhere, outside the entry, is refused with where.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import NamedTuple

import pytest

from model.commands.table import WORDS
from model.entry.labels import LABELS
from model.live.told import CAUTION
from model.rehearse import play
from model.room.file import read_room
from model.session import Session
from tui.screen.jack_words import jack_title
from tui.screen.keys import WORDS as KEYS

ROOM = read_room(Path(__file__).parent.parent / "rooms" / "kelpfield.yaml")


class Evening(NamedTuple):
    """What was typed before, and what is typed: ``done`` by its canonical form, ``instead`` by the entry that is told."""

    before: tuple[str, ...]
    done: dict[str, str]
    instead: dict[str, str]


CORDS = Evening(
    (),
    {
        "hall 1-8 > brindle 1-8": "; ".join(f"plug A{n} > B{n + 16}" for n in range(1, 9)),
        "hall 2, 3, 4 > brindle 2, 3, 4": "plug A2 > B18; plug A3 > B19; plug A4 > B20",
        "hall 2 > brindle 2; hall 3 > brindle 3": "plug A2 > B18; plug A3 > B19",
        "hall 1 to brindle 1": "plug A1 > B17",
        "hall 1 -> brindle 1": "plug A1 > B17",
        "connect hall 1 > brindle 1": "plug A1 > B17",
        "patch hall 1 to brindle 1": "plug A1 > B17",
        "A1-8 > B17-24": "; ".join(f"plug A{n} > B{n + 16}" for n in range(1, 9)),
        "tallow 1-2 out > buckle 1-2 in": "plug C1 > L15; plug C2 > L16",
        "squash > monitor": "plug K13 > H45; plug K14 > H46",
        "desk 2 > buckle 2 > desk 2": "plug E2 > L16; plug K16 > F2",
        "insert buckle 2 on desk 2": "plug E2 > L16; plug K16 > F2",
        "insert buckle 2-3 on desk 2-3": "plug E2 > L16; plug K16 > F2; plug E3 > L17; plug K17 > F3",
        "insert squash on mix": "plug E41 > L13; plug K13 > F41; plug E42 > L14; plug K14 > F42",
        "desk 3 > slouch 1 > fennel 2 > desk 3": "plug E3 > L19; plug K19 > L22; plug K22 > F3",
        "keys 1 > tie 9": "plug P5 > Q5",
        "brindle 3 > rec 10 and tape 2": "plug C19 > H10 and H34",
        "hall 6 > tallow 9 as #31 with 2 ft": "plug A6 > B9 as #31 with 60 cm",
    },
    {
        "hall 1 brindle 1": "hall 1 > brindle 1",
        "patch hall 1 brindle 1": "hall 1 > brindle 1",
        "plug hall 1 brindle 1": "hall 1 > brindle 1",
        "desk 2 > buckle 2": "Desk 2 send > buckle 2",
        "buckle 3 on desk 5": "insert buckle 3 on desk 5",
        "mix > squash": "mix send > squash",
        "mix l > squash l": "Mix L send > squash l",
        "mix l,r > rec 1,2": "Mix L send,r > rec 1,2",
        "stairwell l/r > effects 1/2": "stairwell l, r > effects 1, 2",
        "cue 1 > phones 1": "route cue 1 l > phones 1 l",
        "squash > desk 3-4": "squash > desk line 3-4",
        "tie 9 > desk 20": "tie 9 > Desk 20 line",
        "split brindle 3 > rec 10, tape 2": "brindle 3 > rec 10 and tape 2",
        "mult brindle 3": "brindle 3 > Mult 1",
        "hall 6 > tallow 9 #31": "hall 6 > tallow 9 as #31",
        "hall 6 > tallow 9 as 31": "hall 6 > tallow 9 as #31",
    },
)
PULLING = Evening(
    ("hall 1 > brindle 1", "hall 2 > brindle 2", "hall 5 > tallow 9 as #8"),
    {
        "pull 8": "pull #8",
        "unplug 8": "pull #8",
        "unplug #8": "pull #8",
        "remove #8": "pull #8",
        "pull hall 1, 2": "pull #1; pull #2",
        "pull 1-2": "pull #1; pull #2",
        "trace 8": "trace #8",
        "why 8": "why #8",
        "move hall 5 > tallow 16": "move B9 > B16",
        "move A5 > A6": "move A5 > A6",
        "move hall 1, 2 > brindle 7, 8": "move B17 > B23; move B18 > B24",
        "exchange A1, A2": "unplug A1; unplug A2; plug #1 > A2; plug #2 > A1",
    },
    {
        "swap hall 1 hall 2": "exchange hall 1, hall 2",
        "pull cord 8": "pull #8",
        "pull hall 1-8": "pull A1, A2, A5",
        "pull everything": "pull all",
        "hold #8": "hold #8 because it stays",
    },
)
MICROPHONES = Evening(
    (),
    {
        "put condenser on hall 7-8": "put condenser on Hall 7; put condenser on Hall 8",
        "put cond on hall 7": "put condenser on Hall 7",
        "48v on hall 7": "phantom Tallow 7 in on",
        "phantom on hall 7": "phantom Tallow 7 in on",
        "phantom hall 7": "phantom Tallow 7 in",
        "phantom hall 7 on": "phantom Tallow 7 in on",
        "phantom tallow 3": "phantom Tallow 3 in",
        "phantom": "phantom",
        "phantom tallow 7-8 on": "phantom Tallow 7 in on; phantom Tallow 8 in on",
        "phantom brindle 1-4 on": "phantom Brindle 1 in on",  # they share a switch
        "label hall 1 kick": "label Hall 1 = kick",
    },
    {
        "put condenser hall 7": "put condenser on hall 7",
        "condenser on hall 3": "put condenser on hall 3",
        "put a condenser on hall 2": "put condenser on hall 2",
        "ribbon > closet 1": "put ribbon on closet 1",
        "+48 hall 7": "phantom hall 7 on",
        "name hall 1 kick": "label hall 1 kick",
        "hall 1 = kick": "label hall 1 = kick",
    },
)
MICROPHONES_OFF = Evening(
    ("put ribbon on closet 1", "put dynamic on hall 1", "phantom tallow 3 on"),
    {
        "phantom all off": "phantom Tallow 3 in off",
        "exchange hall 1, closet 1": "clear Hall 1; clear Closet 1; put ribbon on Hall 1; put dynamic on Closet 1",
    },
    {
        "take ribbon off closet 1": "clear closet 1",
        "put nothing on hall 1": "clear hall 1",
        "clear all": "clear Hall 1, Closet 1",
        "phantom off": "phantom all off",
    },
)
LOOKING = Evening(
    ("put ribbon on hall 7", "hall 7 > brindle 2", "phantom brindle 2 on"),
    {"find slouch": "find slouch", "cords": "cords", "mics": "mics", "history": "history"},
    {
        "where is slouch 1": "find slouch 1",
        "show slouch 1": "find slouch 1",
        "go slouch 1": "find slouch 1",
        "/slouch": "find slouch",
        "goto clock bay": "find clock bay",
        "trace rec 10": "trace Rec 10 in",
        "why": "why stray-phantom",
        "why ribbon": "why Hall 7",
        "why danger": "why stray-phantom",
        "list": "cords",
        "status": "cords",
        "mic list": "mics",
        "input list": "mics",
        "log": "history",
        "show used": "cords",
    },
)
END_OF_DAY = Evening(
    ("hall 1 > brindle 1 as #15", "save yesterday", "hall 2 > brindle 2"),
    {},
    {
        "load yesterday": "recall yesterday",
        "open yesterday": "recall yesterday",
        "restore yesterday": "recall yesterday",
        "diff yesterday": "compare yesterday",
        "recall": "recall yesterday",
        "recall yest": "recall yesterday",
        "compare": "compare yesterday",
        "hold #15": "hold #15 because it stays",
    },
)
WORK_LIST = Evening(
    ("save yesterday", "hall 1 > brindle 1", "hall 2 > brindle 2", "recall yesterday"),
    {},
    {"next": "done", "skip": "skip because it is not needed", "back": "undo"},
)
PROGRAM = Evening(("hall 1 > brindle 1",), {"u": "undo"}, {})
EVENINGS = {
    "cords": CORDS,
    "pulling": PULLING,
    "microphones": MICROPHONES,
    "microphones off": MICROPHONES_OFF,
    "looking": LOOKING,
    "end of day": END_OF_DAY,
    "work list": WORK_LIST,
    "program": PROGRAM,
}
ELSEWHERE = ("sheet", "print", "export", "help move", "theme", "copy", "screenshot")  # outside the entry
DONE = [(name, typed, canonical) for name, evening in EVENINGS.items() for typed, canonical in evening.done.items()]
INSTEAD = [(name, typed, told) for name, evening in EVENINGS.items() for typed, told in evening.instead.items()]


def session(evening: str) -> Session:
    """The studio after what was typed before."""
    session = Session(ROOM)
    for typed in EVENINGS[evening].before:
        outcome = session.enter(typed)
        assert outcome.ok, (typed, outcome.error)
    return session


@pytest.mark.parametrize(("evening", "typed", "canonical"), DONE)
def test_it_is_done_as_it_was_meant(evening: str, typed: str, canonical: str) -> None:
    outcome = session(evening).enter(typed)
    assert outcome.error is None
    assert outcome.canonical == canonical


@pytest.mark.parametrize(("evening", "typed", "told"), INSTEAD)
def test_it_is_refused_with_an_entry_that_is_accepted(evening: str, typed: str, told: str) -> None:
    at = session(evening)
    before = at.now
    outcome = at.enter(typed)
    assert at.now is before
    assert re.search(r"[Tt]ype '(.+)'$", outcome.error or "")[1] == told  # type: ignore[index]
    assert outcome.answer.offers == (told,)
    assert at.enter(told).ok
    _names_no_other_command(outcome.error or "", told)


def _names_no_other_command(error: str, told: str) -> None:
    """What is guessed to have been meant is the command of the entry that is told."""
    guessed = re.search(r"did you mean '(\w+)'\?", error)
    if guessed is not None and guessed[1] in WORDS:
        assert told.split()[0] == guessed[1]


@pytest.mark.parametrize("typed", ELSEWHERE)
def test_what_is_done_elsewhere_is_refused_with_where(typed: str) -> None:
    error = Session(ROOM).enter(typed).error or ""
    assert error.startswith(f"'{typed}' is no entry at the bay: ")
    assert "bayhand " in error and "did you mean" not in error


@pytest.mark.parametrize("typed", ["quit", "exit", "q", ":q"])
def test_what_leaves_the_program_is_a_word_of_the_screen(typed: str) -> None:
    assert (KEYS.get(typed) == "screen.leave") == (typed != ":q")
    assert "'quit' on the screen" in (Session(ROOM).enter(typed).error or "")


def test_an_occupied_jack_says_where_its_cord_goes_and_what_would_split_it() -> None:
    at = session("pulling")
    error = at.enter("hall 5 > tallow 10").error or ""
    assert "A5 already holds a plug of cord 8, which goes to B9; Mult 1 (E43) is free to split it" in error
    for jack in ROOM.mults[0].jacks:
        at.enter(f"plug {ROOM.jacks[jack].address}")
    assert "Mult 1 is full" in (at.enter("hall 9 > mult 1").error or "")


def test_counts_that_differ_are_refused_with_both() -> None:
    error = Session(ROOM).enter("hall 1-8 > brindle 1-7").error or ""
    assert "'hall 1-8' is 8 and 'brindle 1-7' is 7" in error


def test_repetitions_are_entries_one_by_one() -> None:
    at = session("pulling")
    assert [played.outcome.typed for played in play(at, ["undo 2", "redo 3"])] == [
        "undo",
        "undo",
        "redo",
        "redo",
        "redo",
    ]
    assert len(at.patch.state.cords) == 3  # the third 'redo' was refused, and nothing after it is tried
    at = session("work list")
    played = [each.outcome for each in play(at, ["done all"])]
    assert played[0].ok
    cautioned = [
        any(told.kind == CAUTION for told in outcome.answer.said) for outcome in played
    ]  # of the step after it
    assert all(outcome.ok for outcome in played)
    assert not any(cautioned[:-1])
    assert cautioned[-1] or not at.preview("done").ok  # it halts before a caution, and where nothing is left


def test_a_label_serves_in_entries() -> None:
    at = Session(ROOM)
    assert at.enter("label hall 1 = zither").ok
    assert at.enter("zither > tallow 5").canonical == "plug A1 > B5"
    assert jack_title(at.patch, 0, at.get(LABELS)) == "A1  zither:  Hall 1"
    assert "zither: Hall 1" in at.enter("label").answer.said[0].words
    for taken in ("A1", "hall 3", "pull", "8", "ribbon", "mult 1"):
        assert "already means" in (at.enter(f"label hall 2 = {taken}").error or ""), taken
    assert at.enter("label hall 1 =").ok
    assert not at.enter("zither > tallow 6").ok
