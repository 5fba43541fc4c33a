"""Whole patches at the entry: save, compare, recall, reset, the work list, holds; and that the record does them again."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from model.bay.actions import Action
from model.commands.reading import MAX_CHARACTERS
from model.patches.commands import Compare, Forget, Recall, Save
from model.patches.patch_file import write_patch
from model.patches.placed import present
from model.patches.saved_patch import End, SavedCord, SavedPatch, save
from model.patches.shelf import SHELF
from model.patches.work_commands import Done, HoldCord, Leave, Release, SkipStep
from model.room.file import read_room
from model.session import Outcome, Session
from tests.patches import ways_there
from tests.recorded import all_of, do, open_at
from tests.said import read, words_of

ATTIC = Path(__file__).parents[1] / "rooms" / "attic.yaml"
ROOM = read_room(ATTIC)
POOL = ("A1", "A2", "B1", "B2", "A5", "A9", "A24", "B5", "B13", "B19", "B24")


def session(*lines: str) -> Session:
    made = Session(ROOM)
    for line in lines:
        did(made, line)
    return made


def did(at: Session, line: str) -> tuple[str, ...]:
    """Type a line that must be taken; the words of its answer."""
    outcome = at.enter(line)
    assert outcome.ok, f"{line}: {outcome.error}"
    return words_of(outcome)


def refused(at: Session, line: str) -> str:
    before = all_of(at)
    outcome: Outcome = at.enter(line)
    assert outcome.error is not None, line
    assert all_of(at) == before
    return outcome.error


def steps(words: tuple[str, ...]) -> list[str]:
    """The lines of the steps that an answer lists."""
    return [found[1] for line in words if (found := re.search(r"\[([^]]+)\]$", line))]


def do_all(at: Session) -> list[str]:
    """Tick every step; the actions that were done."""
    done = []
    while at.enter("worklist").answer.offers != ("leave",):
        outcome = at.enter("done")
        assert outcome.ok, outcome.error
        done.append(outcome.canonical)
    return done


# Names


def test_names_with_spaces_survive() -> None:
    at = session("keys l > monitor l", "save tuesday night with strings", "pull all", "save wednesday")
    words = did(at, "compare Tuesday Night with Strings > wednesday")
    assert words[1:] == ("pull     #1  Keys L (A9) > Monitor L (B13)",)
    assert did(at, "patches") == (
        "tuesday night with strings: 1 cord, phantom at 0 inputs, 0 microphones",
        "wednesday: 0 cords, phantom at 0 inputs, 0 microphones",
        "house: the house patch, 4 cords",
    )


def test_a_name_is_not_used_twice_nor_forgotten_by_mistake() -> None:
    at = session("save one")
    assert "'forget one' first" in refused(at, "save ONE")
    assert refused(at, "forget on") == "no patch is saved as 'on': did you mean 'one'?"
    did(at, "forget One")
    did(at, "save one")


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("save", "a name is missing"),
        ("save a > b", "joins the two ends"),
        ("save house", "the house patch"),
        ("save tuesday.yaml", "means a file"),
        ("recall", "say which"),
        ("recall tuesday", "nor any other"),
        ("recall /nowhere/tuesday.yaml", "no such file"),
        ("compare", "say with which"),
        ("compare > house", "say with which"),
        ("compare house > house > house", "say with which"),
        ("worklist", "no work list is under way"),
        ("done", "no work list is under way"),
        ("skip because of the noise", "no work list is under way"),
        ("skip", "say why"),
        ("skip because", "say why"),
        ("leave", "no work list is under way"),
        ("leave tomorrow", "stands alone"),
        ("report", "there is no report yet"),
        ("hold #1", "say why"),
        ("hold #1 because of her", "no cord 1 is in the bay"),
        ("hold A9 because of her", "A9 is empty"),
        ("release #1", "not on hold"),
        ("patches all", "stands alone"),
        ("hold #1 because " + "x" * 501, "at most 500"),
    ],
)
def test_what_is_refused_says_why(line: str, why: str) -> None:
    assert why in refused(session(), line)


# Every line reads itself back

words = st.text(st.characters(categories=("L", "N", "P", "S")), min_size=1, max_size=12)
typed_names = words.filter(lambda text: not re.search(r'[>,"{}=?#]|(?i:house)|\.ya?ml$', text))


@given(typed_names, typed_names, words, st.integers(1, 99_999))
@settings(max_examples=50, deadline=None)
def test_requests_read_themselves_back(name: str, other: str, why: str, number: int) -> None:
    at = Session(ROOM)
    for request in (
        Save(name),
        Forget(name),
        Compare(name),
        Compare(name, other),
        Recall(name),
        Done(),
        Done("pull #7"),
        SkipStep("", why),
        SkipStep("pull #7", f"because {why}"),
        Leave(),
        Release(number),
    ):
        assert read(str(request), at.names) == request
    assert read(f"hold #{number} because {why}", at.names) == HoldCord(number, why)
    for line in ("patches", "reset", "worklist", "report"):
        assert str(read(line, at.names)) == line


# Recall


def test_recall_is_done_step_by_step_and_the_state_follows() -> None:
    at = session("keys l > monitor l", "phantom pre 1 on", "put condenser on booth 1", "save one")
    goal = present(at.patch.state)
    for line in ("pull #1", "phantom pre 1 off", "clear booth 1", "A1 > B2", "A5 > B19"):
        did(at, line)
    listed = steps(did(at, "recall one"))
    assert listed == ["pull #1", "pull #2", "plug A9 > B13 as #1", "put condenser on Booth 1", "phantom Pre 1 in on"]
    assert at.enter("worklist").answer.offers == ("done pull #1",)
    assert do_all(at) == listed
    assert present(at.patch.state) == goal
    assert "nothing is left to do" in refused(at, "done")
    assert did(at, "leave") == ("recall of 'one' is put away: nothing is left to do",)
    did(at, "undo")
    assert "Pre pair A" not in at.patch.state.switches  # each step is an action that can be undone


def test_what_is_typed_by_hand_in_between_is_taken_into_account() -> None:
    at = session("keys l > monitor l", "A5 > B19", "save one", "pull all", "recall one")
    did(at, "A9 > B13")  # the assistant was faster
    assert steps(did(at, "worklist")) == ["plug A5 > B19 as #2"]
    did(at, "A24 > B24")
    assert steps(did(at, "worklist")) == ["pull #2", "plug A5 > B19 as #2"]


def test_done_with_another_step_in_mind_ticks_nothing() -> None:
    at = session("keys l > monitor l", "A5 > B19", "save one", "pull all", "recall one")
    assert refused(at, "done plug A5 > B19 as #2") == (
        "the next step is 'plug A9 > B13 as #1' now, and not 'plug A5 > B19 as #2'"
    )
    did(at, "done PLUG a9 >  b13 as #1")
    assert refused(at, "skip plug A9 > B13 as #1 because of the noise").startswith("the next step is 'plug A5 > B19")


def test_a_step_is_skipped_with_a_reason_and_comes_back_when_its_cord_changes() -> None:
    at = session("save one", "keys l > monitor l", "A5 > B19", "recall one")
    assert "(the singer is on it)" in did(at, "skip because the singer is on it")[0]
    assert do_all(at) == ["pull #2"]
    assert did(at, "worklist")[1:] == (
        "left alone: cord 1 stays: Keys L (A9) > Monitor L (B13) (skipped: the singer is on it)",
    )
    did(at, "unplug B13")
    assert steps(did(at, "worklist")) == ["pull #1"]


def test_a_list_can_be_left_and_taken_up_again() -> None:
    at = session("save one", "keys l > monitor l", "A5 > B19", "recall one", "done", "leave")
    assert "no work list" in refused(at, "worklist")
    assert steps(did(at, "recall one")) == ["pull #2"]
    assert did(at, "recall house")[0] == "the list towards 'one' is put away"


def test_a_question_changes_nothing() -> None:
    at = session("save one", "keys l > monitor l", "recall one", "hold #1 because of her", "release #1")
    before = all_of(at)
    for line in (
        "save two ?",
        "forget one ?",
        "recall one ?",
        "reset ?",
        "done ?",
        "leave ?",
        "compare one ?",
        "patches ?",
        "worklist ?",
    ):
        did(at, line)
        assert all_of(at) == before, line


def test_dangers_of_the_next_step_are_told_before_it() -> None:
    at = session("phantom pre 1 on", "save one", "phantom pre 1 off", "guitar > pre 1 in", "recall one")
    told = did(at, "skip because of the noise")
    assert told[1].endswith("[phantom Pre 1 in on]")
    assert any(line.strip().startswith("raised: Phantom from Pre 1 in puts up to 48 V on Guitar") for line in told)


# Files


def test_a_file_is_recalled_and_kept_whole(tmp_path: Path) -> None:
    source = session("keys l > monitor l with 60 cm", "phantom pre 1 on", "put ribbon on booth 3")
    patch = save(source.patch.state)
    file = tmp_path / "tuesday night.yaml"
    file.write_text(write_patch(patch), "utf-8")
    at = session()
    assert steps(did(at, f"recall {file}")) == [
        "plug A9 > B13 as #1 with 60 cm",
        "put ribbon on Booth 3",
        "phantom Pre 1 in on",
    ]
    assert at.get(SHELF).patches["tuesday night"].patch == patch
    do_all(at)
    assert present(at.patch.state) == present(source.patch.state)
    did(at, f"recall {file}")  # the same patch again is no quarrel
    file.write_text(write_patch(SavedPatch()), "utf-8")
    assert "another patch is saved as 'tuesday night'" in refused(at, f"recall {file}")


def test_all_errors_of_a_file_are_told(tmp_path: Path) -> None:
    file = tmp_path / "bad.yaml"
    file.write_text("bayhand patch: 1\ncords:\n  - {cord: 0, ends: [{jack: 5}]}\n", "utf-8")
    error = refused(session(), f"recall {file}")
    assert error.startswith("2 errors: ")
    assert f"{file}:3:12: " in error
    assert f"{file}:3:29: " in error


def test_a_patch_from_another_room_says_so_and_what_has_no_place(tmp_path: Path) -> None:
    file = tmp_path / "away.yaml"
    cord = SavedCord(1, (End("Keys L", "Z1"), End("Organ in", "Z2")))
    file.write_text(write_patch(SavedPatch("Barn", (cord, SavedCord(2, (End("Drum box", "Z3"),))))), "utf-8")
    words = did(session(), f"recall {file}")
    assert "it was saved in another room, Barn" in words
    assert "rewired since: cord 2: Drum box was at Z3 and is at A11" in words
    assert any(
        line.startswith("left alone: cannot be placed: cord 1, Keys L (Z1) > Organ in (Z2) (the room has no port")
        for line in words
    )


# Reset


def test_reset_ends_in_a_report() -> None:
    at = session(*Session(ROOM).house_entries())
    for line in (
        "keys l > monitor l with 60 cm",  # 5
        "phantom pre 1 on",
        "put ribbon on booth 3",
        "guitar > monitor r with 30 cm",  # 6
        "hold #6 because the guitarist comes back",
        "pull #2",
        "reset",
    ):
        did(at, line)
    assert do_all(at) == ["phantom Pre 1 in off", "pull #5", "plug A12 > B5 as #2", "clear Booth 3"]
    preview = did(at, "leave ?")
    report = did(at, "leave")
    assert report == preview  # within the same minute
    assert report[0].startswith("Reset of Candle Attic, 20")
    assert report[1:] == (
        "put back: 4",
        "  pull     #5  Keys L (A9) > Monitor L (B13), 60 cm",
        "  plug     Squash out (A12) > Interface in 1 (B5)",
        "  phantom  Pre pair A off",
        "  clear    Booth 3: the ribbon",
        "stays: 1",
        "  cord 6 stays: Guitar (A24) > Monitor R (B14), 30 cm (on hold: the guitarist comes back)",
        "cords to count back:",
        "  30 cm: 1 in the bay, so 5 of 6 belong on the cord rack",
        "  60 cm: 0 in the bay, so 6 of 6 belong on the cord rack",
        "  90 cm: 0 in the bay, so 2 of 2 belong on the cord rack",
        "  length not known: 4 in the bay, and missing from the counts of their lengths",
        *report[13:],
    )
    assert report[13:16] == (
        "warnings that remain: 2",
        "  warning: Guitar feeds Monitor R straight, past the level control that is usually before people's ears: it can come "
        "at full level.",
        # 10 kohm on 6 kohm: 20 log10(10 / 16) = -4.08 dB
        "  warning: Monitor R loads Guitar heavily: at 1.67 times its impedance it loses 4.08 dB.",
    )
    assert "never that a room is safe" in report[-1]
    assert did(at, "report") == report
    assert "no work list" in refused(at, "worklist")


def test_a_reset_that_is_put_away_early_says_what_was_not_done() -> None:
    at = session("keys l > monitor l", "reset")
    report = did(at, "leave")
    assert "put back: nothing" in report
    assert "  not done: pull #1: Keys L (A9) > Monitor L (B13) (the list was put away before it)" in report


def test_a_hold_goes_with_its_cord_and_not_with_its_number() -> None:
    at = session("keys l > monitor l", "hold #1 because of her", "move B13 > B14", "reset")
    assert "pull #1" not in steps(did(at, "worklist"))  # moved, and still the same cord
    for line in ("pull #1", "A24 > B24"):
        did(at, line)
    assert steps(did(at, "worklist"))[0] == "pull #1"  # another cord bears the number now
    assert "cord 1 is not on hold" in refused(at, "release #1")


# The record


def lines_of_a_night(tmp_path: Path) -> list[str]:
    file = tmp_path / "guest.yaml"
    patch = save(session("keys r > monitor r with 30 cm", "put condenser on booth 2").patch.state)
    many = tuple(
        SavedCord(n, (End(None, f"X{n}"), End("Organ " * 20 + str(n), f"Y{n}")), 2, 60.0) for n in range(50, 90)
    )
    whole = SavedPatch(patch.room, (*patch.cords, *many), patch.phantom, patch.input_list)
    file.write_text(write_patch(whole), "utf-8")
    assert file.stat().st_size > MAX_CHARACTERS
    return [
        "keys l > monitor l",
        "guitar > pre 1 in",
        "phantom pre 3 on",
        "save tuesday night",
        "hold #1 because of her",
        "note two more takes",
        f"recall {file}",
        "done",
        "skip because the guitarist is still at it",
        "A5 > B19",
        "done",
        "undo",
        "recall tuesday night",
        "reset",
        "done",
        "leave",
        f"recall {file}",
        "done",
    ]


def test_the_record_does_it_all_again_without_the_file(tmp_path: Path) -> None:
    lines = lines_of_a_night(tmp_path)
    kept = open_at(tmp_path)
    do(kept, *lines)
    (tmp_path / "guest.yaml").unlink()
    again = open_at(tmp_path, "ben")  # from the lines: the first seat set nothing down
    assert all_of(again.session) == all_of(kept.session)
    assert "tuesday night" in again.session.get(SHELF).patches
    kept.close()
    again.close()
    once_more = open_at(tmp_path)  # from what was set down at the close
    assert all_of(once_more.session) == all_of(kept.session)
    outcome = once_more.enter("worklist")
    assert outcome.ok, outcome.error
    once_more.close()


def test_two_seats_tick_one_list(tmp_path: Path) -> None:
    anna, ben = open_at(tmp_path), open_at(tmp_path, "ben")
    do(anna, "save one", "keys l > monitor l", "guitar > amp", "recall one")
    ben.catch_up()
    offered = ben.enter("worklist").answer.offers[0]
    do(anna, offered)
    outcome = ben.enter(offered)  # both saw the same step, and it was done once
    assert outcome.error is not None
    assert "the next step is 'pull #2' now" in outcome.error
    do(ben, "done", "leave")
    anna.catch_up()
    assert all_of(anna.session) == all_of(ben.session)
    for kept in (anna, ben):
        kept.close()


@given(ways_there(ROOM, POOL, 5), ways_there(ROOM, POOL, 5))
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_patch_is_recalled_from_any_other(start: list[Action], end: list[Action]) -> None:
    at = session(*(str(action) for action in end), "save goal")
    goal = present(at.patch.state)
    at.enter("pull all")
    for action in start:
        at.enter(str(action))  # some are refused: a supply may be on already
    did(at, "recall goal")
    do_all(at)
    now = present(at.patch.state)
    assert {frozenset(cord.jacks) for cord in now.cords} == {frozenset(cord.jacks) for cord in goal.cords}
    assert (now.switches, now.mics) == (goal.switches, goal.mics)
    assert did(at, "compare goal")[0].endswith("nothing differs")
