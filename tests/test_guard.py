"""`keep`, `free`, `anyway`: nothing kept is broken unless it is said twice."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from model.commands.reading import read_line, split_anyway
from model.record.checkpoint import session_as_plain, session_from_plain
from model.room.file import read_room
from model.session import Session
from tests.flow_judge import patched, room_of
from tests.slow_model import SlowBay

KELPFIELD = read_room(Path(__file__).parent.parent / "rooms" / "kelpfield.yaml")


@pytest.fixture
def session() -> Session:
    """A cord from Tallow 2 out to Fennel 1 in, and that connection kept."""
    session = Session(KELPFIELD)
    for line in ("tallow 2 out > fennel 1 in", "guard tallow 2 out > fennel 1 in"):
        assert session.enter(line).ok
    return session


@pytest.mark.parametrize("line", ["pull #1", "pull C2", "pull all", "unplug L21", "move L21 > L22", "undo"])
def test_a_line_that_breaks_what_is_kept_is_refused_until_repeated(session: Session, line: str) -> None:
    before = dict(session.patch.state.plugs)
    for typed in (line, f"{line} ?", line):
        outcome = session.enter(typed)
        assert not outcome.ok
        assert "Tallow 2 out > Fennel 1 in, which is kept" in (outcome.error or "")
    assert session.patch.state.plugs == before
    assert session.enter(f"{line} anyway ?").ok
    assert session.patch.state.plugs == before
    assert session.enter(f"{line} anyway").ok
    assert session.patch.state.plugs != before
    words = session.enter("guard").answer.words
    assert words == ("Tallow 2 out > Fennel 1 in: kept, but broken now",)


def test_a_plug_that_breaks_a_kept_normal_is_refused(session: Session) -> None:
    session.enter("guard hall 3 > tallow 3 in")
    assert not session.enter("plug B3").ok
    assert not session.preview("plug B3").ok
    assert session.enter("plug B3 anyway").ok
    assert session.enter("undo").ok  # it stands again, and is kept as before
    assert not session.enter("plug B3").ok
    assert not session.enter("redo").ok
    assert session.enter("redo anyway").ok


def test_free_lets_it_go(session: Session) -> None:
    assert not session.enter("guard tallow 2 out > fennel 1 in").ok
    assert session.enter("unguard tallow 2 out > fennel 1 in").ok
    assert not session.enter("unguard tallow 2 out > fennel 1 in").ok
    assert session.enter("guard").answer.words == ("nothing is kept",)
    assert session.enter("pull #1").ok


def test_only_what_stands_can_be_kept() -> None:
    session = Session(KELPFIELD)
    assert "does not feed" in (session.enter("guard tallow 2 out > fennel 1 in").error or "")
    assert "no output" in (session.enter("guard L21 > L22").error or "")
    through = session.enter("guard hall 3 > desk 3 line").error or ""
    assert "guard Hall 3 > Tallow 3 in; guard Tallow 3 out > Desk 3 line" in through
    assert session.enter("guard hall 3 > tallow 3 in ?").ok
    assert not session.kept


def test_the_json_says_what_is_kept_and_whether_it_stands(session: Session) -> None:
    session.enter("pull #1 anyway")
    assert session.enter("guard").answer.extra == {
        "kept": [{"source": "Tallow 2 out", "load": "Fennel 1 in", "stands": False}]
    }


def test_anyway_belongs_to_lines_that_can_break_something(session: Session) -> None:
    """In a note it is a word like any other; and no line leaves it standing for the next."""
    assert session.enter("note we do it anyway").ok
    assert session.notes[-1] == "we do it anyway"
    assert session.enter("plug C9 anyway").ok
    assert not session.enter("pull #1").ok
    assert split_anyway("anyway") == ("anyway", False)


def test_what_is_kept_outlives_the_session(session: Session) -> None:
    plain = session_as_plain(session)
    again = Session(KELPFIELD)
    session_from_plain(again, plain)
    assert again.kept == session.kept
    assert not again.enter("pull #1").ok
    gone = again.kept.from_dict([["Tallow 2 out", "Moon 1 in"]])
    assert gone == ["Tallow 2 out > Moon 1 in is not kept any more: the room has no Moon 1 in"]
    assert not again.kept


@pytest.mark.parametrize("typed", ["guard hall 3 > tallow 3 in", "unguard hall 3 > tallow 3 in", "guard"])
def test_it_reads_itself_back(typed: str) -> None:
    session = Session(KELPFIELD)
    line = read_line(typed, session.names)
    assert read_line(str(line), session.names) == line


@pytest.mark.parametrize("seed", range(40))
def test_whatever_is_typed_what_is_kept_stands(seed: int) -> None:
    """Random lines in random rooms, undo and proposals among them: a refusal, or all that was kept stands as it stood."""
    rng = Random(seed)
    session, slow = patched(room_of(rng), rng, 4)
    stood = sorted(slow.connections())
    session.kept.update(rng.sample(stood, min(3, len(stood))))
    ports = [p.name for p in session.room.ports if session.room.jacks_of_port[p.index]]
    for _ in range(30):
        a, b = (rng.choice(session.room.jacks).address for _ in range(2))
        way = rng.choice((f"route {rng.choice(ports)} > {rng.choice(ports)}", f"around {rng.choice(ports)}"))
        line = rng.choice(
            (
                f"plug {a} > {b}",
                f"plug {a}",
                f"unplug {a}",
                f"pull {a}",
                f"move {a} > {b}",
                "undo",
                "redo",
                "pull all",
                way,
                "use 1",
            )
        )
        session.enter(line)
        now = SlowBay(session.room)
        now.cords = {n: [session.room.jacks[j].address for j in c.plugs] for n, c in session.patch.state.cords.items()}
        assert session.kept <= now.connections(), line
