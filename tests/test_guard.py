"""`keep`, `free`, `anyway`: nothing kept is broken unless it is said twice."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from model.commands.reading import split_anyway
from model.entry.guarded import GUARDED
from model.entry.notes import NOTES
from model.record.tables import plain_session, restored
from model.room.file import read_room
from model.session import Session
from tests.flow_judge import patched, room_of
from tests.said import read, words_of
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
        assert "Tallow 2 out > Fennel 1 in, which is guarded" in (outcome.error or "")
    assert session.patch.state.plugs == before
    assert session.enter(f"{line} anyway ?").ok
    assert session.patch.state.plugs == before
    assert session.enter(f"{line} anyway").ok
    assert session.patch.state.plugs != before
    words = words_of(session.enter("guard"))
    assert words == ("Tallow 2 out > Fennel 1 in: guarded, but broken now",)


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
    assert words_of(session.enter("guard")) == ("nothing is guarded",)
    assert session.enter("pull #1").ok


def test_only_what_stands_can_be_kept() -> None:
    session = Session(KELPFIELD)
    assert "does not feed" in (session.enter("guard tallow 2 out > fennel 1 in").error or "")
    assert "no output" in (session.enter("guard L21 > L22").error or "")
    through = session.enter("guard hall 3 > desk 3 line").error or ""
    assert "guard Hall 3, Tallow 3 out > Tallow 3 in, Desk 3 line" in through
    assert session.enter("guard hall 3 > tallow 3 in ?").ok
    assert not session.get(GUARDED)


def test_the_json_says_what_is_kept_and_whether_it_stands(session: Session) -> None:
    session.enter("pull #1 anyway")
    assert session.enter("guard").answer.extra == {
        "guarded": [{"source": "Tallow 2 out", "load": "Fennel 1 in", "stands": False}]
    }


def test_anyway_belongs_to_lines_that_can_break_something(session: Session) -> None:
    """In a note it is a word like any other; and no line leaves it standing for the next."""
    assert session.enter("note we do it anyway").ok
    assert session.get(NOTES)[-1] == "we do it anyway"
    assert session.enter("plug C9 anyway").ok
    assert not session.enter("pull #1").ok
    assert split_anyway("anyway") == ("anyway", False)


def test_what_is_kept_outlives_the_session(session: Session) -> None:
    again = Session(KELPFIELD)
    again.now = restored(plain_session(session.now), KELPFIELD).session
    assert again.get(GUARDED) == session.get(GUARDED)
    assert not again.enter("pull #1").ok
    left, gone = GUARDED.from_tables({("guard", ""): ["Tallow 2 out", "Moon 1 in"]}, KELPFIELD)
    assert gone == ["Tallow 2 out > Moon 1 in is not guarded any more: the room has no Moon 1 in"]
    assert not left


@pytest.mark.parametrize("typed", ["guard hall 3 > tallow 3 in", "unguard hall 3 > tallow 3 in", "guard"])
def test_it_reads_itself_back(typed: str) -> None:
    session = Session(KELPFIELD)
    line = read(typed, session.names)
    assert read(str(line), session.names) == line


@pytest.mark.parametrize("seed", range(40))
def test_whatever_is_typed_what_is_kept_stands(seed: int) -> None:
    """Random lines in random rooms, undo and proposals among them: a refusal, or all that was kept stands as it stood."""
    rng = Random(seed)
    session, slow = patched(room_of(rng), rng, 4)
    stood = sorted(slow.connections())
    session.now = session.now.with_part(GUARDED, frozenset(rng.sample(stood, min(3, len(stood)))))
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
        assert session.get(GUARDED) <= now.connections(), line
