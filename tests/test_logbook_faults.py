"""The logbook on a bad day: each fault is one clear sentence, and nothing that was answered is lost."""

from __future__ import annotations

import os
import resource
import shutil
import signal
import sqlite3
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random

import pytest

from model.record import logbook
from model.record.faults import NotThisOne
from model.record.logbook import Logbook
from model.record.recorded import Recorded
from model.record.recorded_session import RecordedSession
from model.record.room_file import read_room_file
from model.record.schema import APPLICATION_ID, VERSION
from tests.recorded import ATTIC, all_of, do, ended_well, in_another_program, open_at, typed_in

LINES = ("pre 1 out > squash in", "plug a11", "note thin", "phantom pre 1 on", "put cond on booth 1", "undo")


@pytest.fixture
def state(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The user's state directory: logbooks in it are in this program's own place."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    return tmp_path / "bayhand"


def open_own(seat: str = "anna") -> RecordedSession:
    return RecordedSession.open(read_room_file(ATTIC), seat=seat)


def fill_until_refused(kept: RecordedSession) -> tuple[list[str], str]:
    """Type notes until nothing fits any more, not even a short line; those that were taken, and the last refusal.

    A refusal may make room: the logbook is closed, and its write-ahead log goes into it.
    """
    taken: list[str] = []
    refused = 0
    size = 900
    for number in range(5000):
        was = all_of(kept.session)
        note = f"note {number} {'x' * size}"
        outcome = kept.enter(note)
        if outcome.error is None:
            taken.append(note)
            refused = 0
            continue
        assert all_of(kept.session) == was, "a refused line has left something behind"
        refused += 1
        size = 1
        if refused == 3:
            return taken, outcome.error
    raise AssertionError("the disk never filled")


def check_full_and_free_again(directory: Path, make_room: Callable[[], object]) -> None:
    """What is typed before, while and after the disk is full; ``make_room`` frees it."""
    kept = open_at(directory)
    do(kept, *LINES)
    taken, reason = fill_until_refused(kept)
    assert reason.startswith("not done, because the record cannot be kept: the disk")
    assert "'unrecorded'" in reason
    assert kept.keeping is not None
    refused = kept.enter("pull a5")  # each line tries again
    assert refused.error is not None
    assert 1 in kept.session.patch.state.cords
    assert kept.enter("unrecorded").ok
    do(kept, "pull a5", "undo")
    assert kept.enter("redo").ok
    assert "3 entries not in the record" in (kept.keeping or "")
    make_room()
    do(kept, "note again")
    assert kept.keeping is None
    assert typed_in(directory / "attic.logbook") == [
        *LINES,
        *taken,
        "pull a5",
        "undo",
        "redo",
        "note again",
    ]
    again = open_at(directory)
    assert all_of(again.session) == all_of(kept.session)


def test_a_full_disk_in_miniature(tmp_path: Path) -> None:
    """A process that may write no longer files than so (setrlimit(2), RLIMIT_FSIZE)."""

    def limited() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        open_at(tmp_path).close()
        hard = resource.getrlimit(resource.RLIMIT_FSIZE)[1]
        resource.setrlimit(resource.RLIMIT_FSIZE, (300_000, hard))
        check_full_and_free_again(tmp_path, lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (hard, hard)))

    assert ended_well(in_another_program(limited))


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of its own that is soon full; only where this user may mount one."""
    disk = tmp_path / "disk"
    disk.mkdir()
    mounted = shutil.which("mount") is not None and os.geteuid() == 0
    if (
        not mounted
        or subprocess.run(["mount", "-t", "tmpfs", "-o", "size=400k", "tmpfs", disk], check=False).returncode
    ):
        pytest.skip("this user may not mount a file system")
    yield disk
    subprocess.run(["umount", disk], check=True)


def test_a_full_disk(small_disk: Path) -> None:
    ballast = small_disk / "ballast"
    ballast.write_bytes(b"x" * 100_000)

    def full() -> None:
        check_full_and_free_again(small_disk, ballast.unlink)

    # in a program of its own, so that the file system is not in use when it is unmounted
    assert ended_well(in_another_program(full))


def test_a_disk_that_is_full_from_the_start(small_disk: Path) -> None:
    with pytest.raises(OSError, match="space"):
        (small_disk / "ballast").write_bytes(b"x" * 1_000_000)

    def full() -> None:
        kept = open_at(small_disk)
        assert kept.keeping is not None
        assert not kept.enter("pre 1 out > squash in").ok
        assert kept.enter("unrecorded").ok
        do(kept, "pre 1 out > squash in")
        (small_disk / "ballast").unlink()
        do(kept, "note now")
        assert kept.keeping is None
        again = open_at(small_disk)
        assert all_of(again.session) == all_of(kept.session)

    assert ended_well(in_another_program(full))


def as_nobody() -> None:
    """Give up the rights of the superuser, whom no permission holds back."""
    if os.geteuid() == 0:
        os.setgid(65534)
        os.setuid(65534)


@pytest.fixture
def public() -> Iterator[Path]:
    """A directory that others may read."""
    with tempfile.TemporaryDirectory() as directory:
        Path(directory).chmod(0o755)
        yield Path(directory)


@pytest.mark.parametrize("left_open", [False, True])
def test_a_directory_that_may_only_be_read(public: Path, left_open: bool) -> None:
    kept = open_at(public)
    do(kept, *LINES)
    was = all_of(kept.session)
    if not left_open:
        kept.close()
    for file in public.iterdir():
        file.chmod(0o444)
    public.chmod(0o555)
    room = read_room_file(ATTIC)

    def reading() -> None:
        as_nobody()
        again = RecordedSession.open(room, public / "attic.logbook", "ben")
        assert all_of(again.session) == was
        assert again.keeping is not None
        outcome = again.enter("pull all")
        assert outcome.error is not None
        assert "the record cannot be kept" in outcome.error
        assert all_of(again.session) == was
        assert again.enter("unrecorded").ok
        do(again, "pull all")
        assert "1 entry not in the record" in (again.keeping or "")
        again.close()

    try:
        assert ended_well(in_another_program(reading))
    finally:
        public.chmod(0o755)
    again = open_at(public)
    assert all_of(again.session) == was


def test_a_directory_in_which_nothing_can_be_made(public: Path) -> None:
    room = read_room_file(ATTIC)
    public.chmod(0o555)

    def opening() -> None:
        as_nobody()
        kept = RecordedSession.open(room, public / "attic.logbook", "anna")
        assert kept.keeping is not None
        assert "cannot be opened or made" in kept.keeping
        outcome = kept.enter("plug a5")
        assert "type 'unrecorded' to go on" in (outcome.error or "")
        os.environ["XDG_STATE_HOME"] = str(public / "state")
        kept = RecordedSession.open(room)
        assert "Permission denied" in (kept.keeping or "")

    try:
        assert ended_well(in_another_program(opening))
    finally:
        public.chmod(0o755)


def test_no_home_at_all(monkeypatch: pytest.MonkeyPatch) -> None:
    def no_home() -> Path:
        raise RuntimeError("Could not determine home directory.")

    monkeypatch.delenv("XDG_STATE_HOME", raising=False)
    monkeypatch.setattr(Path, "home", no_home)
    kept = open_own()
    assert kept.keeping is not None
    assert "no home directory" in kept.keeping
    assert not kept.enter("plug a5").ok
    assert kept.enter("unrecorded").ok
    do(kept, "plug a5")


def test_a_logbook_that_another_program_has_locked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(logbook, "PATIENCE_S", 0.05)
    kept = open_at(tmp_path)
    do(kept, *LINES)
    was = all_of(kept.session)
    kept._lay_down(None)  # opened again with less patience
    other = sqlite3.connect(tmp_path / "attic.logbook", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    outcome = kept.enter("pull a5")
    assert "another program has locked the logbook" in (outcome.error or "")
    assert all_of(kept.session) == was
    assert "locked" in (kept.keeping or "")
    assert kept.enter("unrecorded").ok
    do(kept, "pull a5")
    sets = '[["note", 1, null, "me too"]]'
    me_too = Recorded(0, 1, "ben", "entry", "note me too", "note me too", "", sets)
    Logbook(other, tmp_path / "attic.logbook").append([me_too])
    other.execute("COMMIT")
    do(kept, "note after")
    assert kept.keeping is None
    assert typed_in(tmp_path / "attic.logbook") == [*LINES, "note me too", "pull a5", "note after"]
    assert all_of(open_at(tmp_path).session) == all_of(kept.session)


def test_what_was_done_without_the_record_and_does_not_fit_it_is_said_and_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(logbook, "PATIENCE_S", 0.05)
    anna = open_at(tmp_path, "anna")
    anna._lay_down(None)
    ben = open_at(tmp_path, "ben")
    assert ben._book is not None
    ben._book.begin()
    assert not anna.enter("plug a5").ok
    assert anna.enter("unrecorded").ok
    do(anna, "plug a5", "note mine")
    ben._book.roll_back()
    do(ben, "a5 > b19", "note his")
    do(anna, "note now")
    said = [heard.words for heard in anna.catch_up()]
    assert "ben: a5 > b19" in said
    clash = (
        "typed while the record could not be kept, and not possible on it: plug A5: A5 already holds a plug of cord 1, "
        "which goes to B19"
    )
    assert clash in said
    assert typed_in(tmp_path / "attic.logbook") == ["a5 > b19", "note his", clash, "note mine", "note now"]
    ben.catch_up()
    assert all_of(ben.session) == all_of(anna.session)


def test_locked_at_the_start_is_said_and_left_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(logbook, "PATIENCE_S", 0.05)
    open_at(tmp_path).close()
    other = sqlite3.connect(tmp_path / "attic.logbook", isolation_level=None)
    other.execute("PRAGMA locking_mode = EXCLUSIVE")
    other.execute("BEGIN EXCLUSIVE")
    with pytest.raises(NotThisOne, match=r"another program has locked the logbook.*--logbook PATH"):
        open_at(tmp_path)


DAMAGES: dict[str, Callable[[bytes], bytes]] = {
    "no header": lambda data: b"not a database at all " * 300,
    "cut short": lambda data: data[: len(data) // 2 // 4096 * 4096],
    "cut in its header": lambda data: data[:50],
    "a page of noise": lambda data: data[:4096] + Random(1).randbytes(4096 * 3) + data[4096 * 4 :],
    "its tables gone": lambda data: data[:100] + bytes(3996) + data[4096:],
}


@pytest.mark.parametrize("damage", DAMAGES)
def test_a_damaged_logbook_is_set_aside_and_said(state: Path, damage: str) -> None:
    kept = open_own()
    do(kept, *LINES)
    kept.close()
    (place,) = state.glob("*.logbook")
    damaged = DAMAGES[damage](place.read_bytes())
    for time in range(2):  # the second is not set aside over the first
        place.write_bytes(damaged)
        again = open_own()
        assert again.keeping is None
        (said,) = [words for words in again.opened if "damaged" in words]
        aside = [
            file for file in state.iterdir() if ".damaged-" in file.name and not file.name.endswith(("-wal", "-shm"))
        ]
        assert len(aside) == time + 1
        assert all(file.read_bytes() == damaged for file in aside)
        assert any(file.name in said for file in aside)
        do(again, "plug a1")
        assert typed_in(place) == [said, "plug a1"]
        again.close()


def test_a_logbook_that_is_damaged_while_it_is_open_goes_on_from_the_bay_as_it_is(state: Path) -> None:
    kept, other = open_own("anna"), open_own("ben")
    do(kept, *LINES)
    (place,) = state.glob("*.logbook")
    with sqlite3.connect(place) as third:
        third.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    data = place.read_bytes()
    with place.open("r+b") as file:
        file.seek(4096)
        file.write(Random(2).randbytes(len(data) - 4096))
    kept._book._db.execute("PRAGMA shrink_memory")  # type: ignore[union-attr]  # what it has read is read anew
    outcome = kept.enter("note after the damage")
    assert outcome.ok, outcome.error
    said = [heard.words for heard in kept.catch_up()]
    assert any("set aside as" in words and "The bay is as it was" in words for words in said)
    assert kept.keeping is None
    again = open_own("cleo")
    assert all_of(again.session) == all_of(kept.session)
    other.catch_up()
    assert all_of(other.session) == all_of(kept.session)


def test_random_damage_never_ends_in_a_traceback(state: Path) -> None:
    kept = open_own()
    do(kept, *LINES)
    kept.close()
    (place,) = state.glob("*.logbook")
    whole = place.read_bytes()
    rng = Random(9)
    asides = opened = 0
    for _ in range(60):
        data = bytearray(whole)
        for _ in range(rng.choice((1, 8, 400))):
            data[rng.randrange(len(data))] = rng.randrange(256)
        place.write_bytes(data)
        try:
            again = open_own()
        except NotThisOne:  # the damage has made it another program's, or a newer version's
            assert place.read_bytes() == data
            continue
        opened += 1
        do(again, "note goes on")
        asides += any("set aside" in words for words in again.opened)
        again.close()
        for file in state.iterdir():
            file.unlink()
    assert asides > 10
    assert opened > 40


def test_another_programs_file_is_refused_and_left_as_it_is(tmp_path: Path) -> None:
    place = tmp_path / "attic.logbook"
    with sqlite3.connect(place) as other:
        other.execute("CREATE TABLE songs (name TEXT)")
    was = place.read_bytes()
    with pytest.raises(NotThisOne, match="another program"):
        open_at(tmp_path)
    assert place.read_bytes() == was
    for content in (ATTIC.read_bytes(), b"x"):
        place.write_bytes(content)
        with pytest.raises(NotThisOne, match="is not a logbook"):
            open_at(tmp_path)
        assert place.read_bytes() == content
    assert list(tmp_path.iterdir()) == [place]
    place.unlink()
    place.mkdir()
    with pytest.raises(NotThisOne, match="not an ordinary file"):
        open_at(tmp_path)


def test_a_newer_version_is_refused_and_left_as_it_is(tmp_path: Path) -> None:
    open_at(tmp_path).close()
    place = tmp_path / "attic.logbook"
    with sqlite3.connect(place) as newer:
        newer.execute(f"PRAGMA user_version = {VERSION + 1}")
        newer.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    newer.close()
    was = place.read_bytes()
    with pytest.raises(NotThisOne, match=f"newer bayhand .version {VERSION + 1}"):
        open_at(tmp_path)
    assert place.read_bytes() == was


def test_an_older_version_is_refused_and_left_as_it_is(tmp_path: Path) -> None:
    place = tmp_path / "attic.logbook"
    with sqlite3.connect(place) as older:
        older.execute("CREATE TABLE lines (id INTEGER PRIMARY KEY, at INTEGER, typed TEXT, line TEXT)")
        older.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        older.execute("PRAGMA user_version = 1")
    older.close()
    was = place.read_bytes()
    with pytest.raises(NotThisOne, match=r"older bayhand .version 1.*Give it another name, and a new one is begun"):
        open_at(tmp_path)
    assert place.read_bytes() == was


def test_the_logbook_of_another_room_is_refused_and_left_as_it_is(tmp_path: Path) -> None:
    kept = open_at(tmp_path)
    do(kept, *LINES)
    kept.close()
    was = (tmp_path / "attic.logbook").read_bytes()
    with pytest.raises(NotThisOne, match="is the logbook of Candle Attic"):
        open_at(tmp_path, room=ATTIC.with_name("kelpfield.yaml"))
    assert (tmp_path / "attic.logbook").read_bytes() == was


@pytest.mark.parametrize("moved", [True, False])
def test_a_logbook_that_is_taken_away_while_it_is_open_is_begun_anew(tmp_path: Path, moved: bool) -> None:
    anna, ben = open_at(tmp_path, "anna"), open_at(tmp_path, "ben")
    do(anna, *LINES)
    ben.catch_up()
    for file in list(tmp_path.iterdir()):
        if moved:
            file.rename(tmp_path / f"{file.name}.old")
        else:
            file.unlink()
    do(anna, "plug a7")
    do(ben, "plug a8")
    anna.catch_up()
    assert anna.keeping is None and ben.keeping is None
    again = open_at(tmp_path)
    assert all_of(again.session) == all_of(anna.session) == all_of(ben.session)
    assert len(again.session.patch.state.cords) == 4
    assert "moved away or removed" in typed_in(tmp_path / "attic.logbook")[0]
