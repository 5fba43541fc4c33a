"""A session whose entries are in its logbook before they are answered, and which other seats at the same logbook share.

All seats hold the same entries in the same order, the order of the record: an entry typed here is decided on the session as it
is; where other seats were faster it is decided once more on what they left; it is answered when it is on disk. Of two that
collide, one is first and the other is refused by the bay as it then is.
"""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from model.entry.answer import Answer
from model.entry.draft import Recording
from model.entry.session_state import SessionState
from model.live.look import Standing
from model.record.beside import read_beside
from model.record.commands import GO_ON
from model.record.faults import CannotKeep, Damaged, Gone, Locked, NotThisOne, fault_of
from model.record.follow import Followed, hear, who_said
from model.record.logbook import PATIENCE_S, Logbook
from model.record.place import PATIENCE_S as OPENING_PATIENCE_S
from model.record.place import alone_at, logbook_place, seat_name
from model.record.recorded import (
    DAMAGED,
    ENTRY,
    REMARK,
    ROOM,
    UNKNOWN,
    Chain,
    Recorded,
    RecordedRoom,
    now_ms,
    time_words,
)
from model.record.rescue import LOOK, Known, begun_anew
from model.record.restore import Restored, recorded_outcome, restore
from model.record.room_file import RoomFile
from model.record.tables import plain_session
from model.session import Outcome, Session
from model.text.listing import counted

RETRY_S = 1.0  # between two tries of a record that could not be kept
IDLE_S = 1.0  # without an entry: then the write-ahead log is folded in, and the record looked through
LOOKED_THROUGH = 100  # entries at a time: some milliseconds
REMEMBERED = 5000  # entries that may live in the write-ahead log alone, at most
ENTRIES_A_CHECKPOINT = 500  # a session restored sets at most so many entries once more
ENTRIES_FOR_HISTORY = 500


class Stale(CannotKeep):
    """The room file has changed, and another seat goes by the new one."""


class RecordedSession:
    """A session and its logbook. Open one with :meth:`open`."""

    def __init__(
        self, file: RoomFile, place: Path | None, in_own_place: bool, seat: str, at_rest: Standing | None = None
    ) -> None:
        self.file = file
        self.place = place  # of the logbook; None where there is none to be had
        self.session = Session(file.room, seat, at_rest)
        self.session.recording = lambda: Recording(self.keeping or "", not isinstance(self._fault, Stale))
        self._at_rest = at_rest
        self.opened: list[str] = []  # what is to be said at the opening
        self.history: list[str] = []  # what was typed, oldest first
        self._in_own_place = in_own_place
        self._book: Logbook | None = None
        self._restored = False
        self._identity = ""  # of the logbook whose entries the session holds
        self._last = 0  # the number of its last entry that the session has done
        self._checkpointed = 0  # the number of the entry after which it was set down last
        self._unrecorded: list[Recorded] = []  # what is not on disk
        self._anew = False  # the session and its room must go into the logbook with the next entry
        self._fault: CannotKeep | None = None
        self._goes_on = False
        self._followed: list[Followed] = []
        self._sum = ""  # of the last entry that the session has done
        self._past = 0  # numbers up to this were given already, to entries that are missing
        self._mends = False  # the count in the logbook must be made anew with the next entry
        self._recent: list[Recorded] = []  # what may live in the write-ahead log alone
        self._unknown = False  # nobody has looked at the bay since the record lost sight of it
        self._proof: Chain | None = None  # how far the record was looked through
        self._proof_end = 0
        self._patience = math.inf  # seconds, where it is less than what is usual
        self._busy_at = self._tried_at = 0.0  # monotonic seconds: the last entry, the last try of the record

    @classmethod
    def open(
        cls,
        file: RoomFile,
        logbook: Path | None = None,
        seat: str | None = None,
        at_rest: Standing | None = None,
    ) -> RecordedSession:
        """The session of a room file, as its record left it. ``logbook`` in place of the one in the user's state directory.

        ``at_rest``: the warnings that stand in the room at rest, where they were found before.

        Where the record can be read but not kept, or there is none and none can be made, the session opens all the same:
        see :attr:`keeping`. Raises :class:`~model.record.faults.NotThisOne` where the record must be left alone.
        """
        place, fault = logbook, None
        if place is None:
            try:
                place = logbook_place(file.path)
            except CannotKeep as why:
                fault = why
        kept = cls(file, place, logbook is None, seat_name() if seat is None else seat, at_rest)
        kept._fault = fault
        if place is not None:
            kept._open(place)
        return kept

    def _open(self, place: Path) -> None:
        try:
            self._begin()
            self._end()
            if self._book is not None:
                self._book.fold()  # what others left in the write-ahead log, this seat could not write once more
        except NotThisOne:
            self._lay_down(None)
            raise
        except Locked as fault:
            raise NotThisOne(
                f"{place}: {fault.reason}, so that nothing of the record can be read. Close that program, or use "
                "--logbook PATH for a logbook in another place"
            ) from fault
        except CannotKeep as fault:
            self._lay_down(fault)
            if not self._restored:
                self._read_only(place, fault)
        if self._last:
            self.opened.append(f"going on after entry {self._last} of the record")
        self.opened += [heard.words for heard in self._followed if not heard.seat]
        self._followed.clear()

    def _read_only(self, place: Path, fault: CannotKeep) -> None:
        """The record as far as it can be read, where it cannot be written."""
        try:
            if not place.exists():
                return
            book = Logbook.open_to_read(place, self._in_own_place)
        except (CannotKeep, OSError) as why:
            raise NotThisOne(f"{place}: {fault.reason}, nor can what it holds be read ({why})") from why
        try:
            self._load(book)
            self._identity = book.identity
        finally:
            book.close()
        self._restored = True

    @property
    def is_new(self) -> bool:
        """Whether nothing was ever typed in this room: the bay is as the room file has it at rest."""
        now = self.session.now
        return not (self._unknown or self.history or now.taken or now.patch.state.cords)

    @property
    def bay_unknown(self) -> bool:
        """Whether the record has lost sight of the bay, and nothing was typed since: someone must look first."""
        return self._unknown

    def recorded(self, last: int) -> list[Recorded]:
        """The record's last entries, oldest first; none where it cannot be read now."""
        if self._book is None:
            return []
        try:
            return list(self._book.readable(max(0, self._last - last)))
        except CannotKeep:
            return []

    @property
    def keeping(self) -> str | None:
        """Why the record is not kept at this moment; None where all is well."""
        if self._fault is None:
            return None
        if not self._goes_on:
            return self._fault.reason
        entries = len([recorded for recorded in self._unrecorded if recorded.kind == ENTRY])
        return f"{self._fault.reason}; {counted(entries, 'entry')} not in the record"

    def go_on(self) -> None:
        """Do entries although the record cannot be kept, by the user's decision.

        They go into the record with the first entry for which it can be kept again.
        """
        if self._fault is not None and not isinstance(self._fault, Stale):
            self._goes_on = True

    def close(self) -> None:
        """Close the logbook. All that was answered is in it already."""
        with suppress(CannotKeep):  # then the next opening is a little slower; what was not kept is tried once more
            if self._unrecorded or self._last > self._checkpointed:
                self._begin()
                self._write(self.session.now, checkpoint=True)
        self._lay_down(self._fault)

    # Entries typed here

    def enter(self, typed: str, seen: Outcome | None = None) -> Outcome:
        """Do a typed entry, as :meth:`~model.session.Session.enter` does; on disk when it is answered."""
        self._listen()
        outcome = self.session.decide(typed).unless_seen_otherwise(seen)
        if outcome.changes:
            outcome = self._record(outcome, seen)
        elif isinstance(self._fault, Stale) and not outcome.ok:
            return _refused(outcome, self._why_not_done(self._fault))
        else:
            self.session.take(outcome)
            self._carry_out(outcome)
        return outcome if outcome.ok else self._refused_for_others(outcome)

    def enter_together(self, entries: Sequence[str]) -> list[Outcome]:
        """The entries with which a new record begins, all or none, in one transaction.

        The last outcome is the refusal where there is one; there is no outcome where another seat has begun meanwhile.
        """
        self._listen()
        if not self.is_new:
            return []
        before, proposals = self.session.now, self.session.proposals
        try:
            self._begin()
        except CannotKeep as fault:
            self._lay_down(fault)
            return [_refused(self.session.decide(typed), self._why_not_done(fault)) for typed in entries[:1]]
        try:
            if not self.is_new:
                return []
            before = self.session.now
            outcomes = self.session.enter_together(entries)
            if outcomes and outcomes[-1].ok:
                self._keep(*outcomes)
                self.history += [outcome.typed.strip() for outcome in outcomes]
        except CannotKeep as fault:
            self.session.now, self.session.proposals = before, proposals
            return [*outcomes[:-1], _refused(outcomes[-1], fault.reason)]
        finally:
            if self._book is not None:
                self._book.roll_back()
        return outcomes

    def preview(self, typed: str) -> Outcome:
        """What an entry would do. Nothing is changed."""
        return self.session.preview(typed)

    def _record(self, outcome: Outcome, seen: Outcome | None) -> Outcome:
        """Have an entry on disk, and take it; the answer is what came of it."""
        try:
            self._begin()
        except CannotKeep as fault:
            self._lay_down(fault)
            if not self._goes_on or isinstance(fault, Stale):
                return _refused(outcome, self._why_not_done(fault))
        try:
            if self.session.now is not outcome.before:  # other seats were faster
                outcome = self.session.decide(outcome.typed).unless_seen_otherwise(seen)
                if not outcome.changes:
                    return outcome
            try:
                self._keep(outcome)
            except CannotKeep as fault:
                return _refused(outcome, fault.reason)
            self.session.take(outcome)
        finally:
            if self._book is not None:
                self._book.roll_back()  # of an entry that was refused; one that was done is committed
        self.history.append(outcome.typed.strip())
        return outcome

    def _carry_out(self, outcome: Outcome) -> None:
        """What an entry does outside the session, Enter alone does."""
        if any(effect == GO_ON for effect in outcome.answer.effects) and not outcome.asked:
            self.go_on()

    def _refused_for_others(self, outcome: Outcome) -> Outcome:
        """A refusal, with what another seat did and nobody here has been told yet: it may be the reason."""
        unseen = [heard.words for heard in self._followed if heard.seat]
        return outcome._replace(error=f"{outcome.error} (just now, {unseen[-1]})") if unseen else outcome

    def _keep(self, *outcomes: Outcome) -> None:
        """Have entries on disk. Raises CannotKeep where that cannot be, unless it was decided to go on without."""
        waited = len(self._unrecorded)
        self._unrecorded += [recorded_outcome(now_ms(), self.session.seat, outcome) for outcome in outcomes]
        try:
            self._write_anew_if_damaged(outcomes[-1].after)
        except CannotKeep as fault:
            self._lay_down(fault)
            if self._goes_on and not isinstance(fault, Stale):
                return
            del self._unrecorded[waited:]
            raise CannotKeep(self._why_not_done(fault)) from fault

    @staticmethod
    def _why_not_done(fault: CannotKeep) -> str:
        if isinstance(fault, Stale):
            return f"not done: {fault.reason}"
        return (
            f"not done, because the record cannot be kept: {fault.reason}. Enter it once more to try again, or type "
            "'unrecorded' to go on without the record"
        )

    # Entries of other seats

    def catch_up(self) -> list[Followed]:
        """What other seats have done since this was last asked, now done here too; and remarks about the record.

        Meant to be asked a few times a second: it costs microseconds where nothing was done.
        """
        self._listen()
        if time.monotonic() - self._busy_at > IDLE_S:
            self.tidy()
        heard, self._followed = self._followed, []
        return heard

    def tidy(self) -> None:
        """What is done while nobody types: fold the write-ahead log in, and look through what the opening did not."""
        book = self._book
        if book is None or self._fault is not None:
            return
        try:
            if self._recent and book.fold():
                self._recent.clear()
            if self._proof is not None:
                looked = book.some_entries(self._proof, LOOKED_THROUGH)
                self._followed += [Followed("", entry.entry) for entry in looked if entry.kind == DAMAGED]
                if not looked or self._proof.last >= self._proof_end:
                    self._proof = None
        except Damaged as fault:
            self._go_on_after(fault)
        except CannotKeep as fault:
            self._lay_down(fault)

    def _listen(self) -> None:
        self._try_again()
        book = self._book
        if book is None:
            return
        try:
            if book.moved():
                self._begin()
                self._end()
            elif book.changed():
                with book.reading():
                    self._follow(book)
        except Damaged as fault:
            self._go_on_after(fault)
        except CannotKeep as fault:
            self._lay_down(fault)

    def _try_again(self) -> None:
        """Write what could not be written, once in a while, and without waiting for whoever holds the logbook."""
        waits = self._fault is not None or bool(self._unrecorded) or self._anew
        now = time.monotonic()
        if not waits or isinstance(self._fault, Stale) or now - self._tried_at < RETRY_S:
            return
        self._tried_at, self._patience = now, 0.0
        try:
            if self._book is not None:
                self._book.be_patient(0)
            self._begin()
            self._end()
        except CannotKeep as fault:
            self._lay_down(fault)
        finally:
            self._patience = math.inf
            with suppress(CannotKeep):  # then the next use of it says so
                if self._book is not None:
                    self._book.roll_back()
                    self._book.be_patient(PATIENCE_S)

    def _follow_entries(self, entries: list[Recorded]) -> None:
        """Do here what other seats did."""
        for recorded in entries:
            self.session.now, heard = hear(self.session.now, recorded)
            self._followed.append(heard)

    # The logbook

    def _begin(self) -> None:
        """Begin to write, having done what other seats did. Opens the logbook first where it is not open."""
        try:
            try:
                self._begin_once()
            except Gone:
                self._lay_down(None)
                self._begin_once()
            except Damaged as fault:
                self._set_aside(fault)
                self._begin_once()
        except NotThisOne as why:
            if self._restored:
                raise CannotKeep(str(why)) from why
            raise

    def _begin_once(self) -> None:
        if isinstance(self._fault, Stale):
            raise self._fault
        if self.place is None:
            raise self._fault or CannotKeep("there is no place for a logbook")
        opened = self._book is None
        if self._book is None:
            if self._in_own_place:
                _make_directory(self.place.parent)
            with alone_at(self.place, min(self._patience, OPENING_PATIENCE_S)):
                self._book = Logbook.open(self.place, self._in_own_place, min(self._patience, PATIENCE_S))
            self._book.check()
        book = self._book
        book.begin()
        try:
            if book.identity == self._identity:
                if opened and self._last and self._sum not in book.sums_at(self._last):
                    self._put_back(book)
                self._follow(book)
            elif book.room() is None and not book.last_id():
                self._begin_new()
            else:
                self._load_and_do_unrecorded(book)
            self._identity, self._restored = book.identity, True
        except BaseException:
            book.roll_back()
            raise

    def _begin_new(self) -> None:
        """A logbook in which nothing stands yet."""
        assert self.place is not None  # it is there
        if self._restored and self._identity:
            self._remark("the logbook was moved away or removed: this one is begun with the bay as it is")
        elif not self._restored and (gone := read_beside(self.place)) is not None:
            entries = f"{counted(gone.entries, 'entry')}, the last of {time_words(gone.at)}"
            self._remark(f"the record that was here is gone ({entries}). {LOOK}", UNKNOWN)
        self._anew, self._last, self._sum = True, 0, ""

    def _put_back(self, book: Logbook) -> None:
        """What this seat knows to have been in the logbook is not there: it went with the write-ahead log, or was replaced."""
        there = book.last_id()
        known = [each for each in self._recent if each.sum in book.sums_at(each.id)]
        common = known[-1].id if known else self._recent[0].id - 1 if self._recent else there
        lost = [each for each in self._recent if each.id > common]
        words = f"{counted(len(lost), 'entry')} had gone from the logbook with its write-ahead log"
        if lost and there <= common:
            book.put_back(lost)
            book.commit()
            book.begin()
            self._remark(f"{words}, and {'is' if len(lost) == 1 else 'are'} written once more")
        elif lost:
            own = [each for each in lost if each.kind == ENTRY and each.seat == self.session.seat]
            self._remark(f"{words}: what was typed here is done once more on what others wrote since")
            self._unrecorded += own
            self._load_and_do_unrecorded(book)
        else:
            self._remark("the logbook was replaced by an earlier one: the bay is as it was here")
            self._past, self._mends, self._anew = max(self._last, there), True, True
            self._last, self._sum = there, book.sums_at(there)[0]

    def _follow(self, book: Logbook) -> None:
        """Take in what other seats have written."""
        chain = Chain(self._last, (self._sum,))
        entries = list(book.entries(self._last, chain))
        if not entries:
            return
        self._busy_at = time.monotonic()
        if self._unrecorded or self._anew or any(recorded.kind == ROOM for recorded in entries):
            self._load_and_do_unrecorded(book)
            self._followed += [Followed(each.seat, who_said(each)) for each in entries if each.kind == ENTRY]
        else:
            self._follow_entries(entries)
            self._last, self._sum = chain.last, chain.sum
        self._remember(entries)

    def _remember(self, entries: Sequence[Recorded]) -> None:
        self._recent += [entry for entry in entries if entry.kind != DAMAGED]
        del self._recent[:-REMEMBERED]

    def _end(self) -> None:
        """Write what waits to be written, and end."""
        if self._unrecorded or self._anew:
            self._write_anew_if_damaged(self.session.now)
        elif self._book is not None:
            self._book.roll_back()
            self._fault, self._goes_on = None, False

    def _write_anew_if_damaged(self, after: SessionState) -> None:
        try:
            self._write(after)
        except Damaged as fault:
            self._set_aside(fault)
            self._begin_once()
            self._write(after)

    def _write(self, after: SessionState, checkpoint: bool = False) -> None:
        """Write what waits to be written; ``after``: the session with it."""
        book = self._book
        if book is None or not book.writing:
            raise self._fault or CannotKeep("the logbook is not open")
        if self._mends:
            book.mend_head()
        added = book.append(self._unrecorded, self._past)
        last = added[-1].id if added else self._last
        if self._anew:
            room = self.file.room
            book.set_room(RecordedRoom(last, str(self.file.path.resolve()), room.name, self.file.text))
        checkpoint = checkpoint or self._anew or last >= self._checkpointed + ENTRIES_A_CHECKPOINT
        if checkpoint:
            book.set_checkpoint(last, plain_session(after).to_json())
        book.commit()
        if added:
            book.write_beside(added[-1])
            self._sum = added[-1].sum
            self._unknown = self._unknown and all(entry.kind != ENTRY for entry in added)
            self._remember(added)
        self._last = last
        if checkpoint:
            self._checkpointed = last
        self._unrecorded.clear()
        self._anew = self._goes_on = self._mends = False
        self._fault, self._past = None, 0
        self._busy_at = time.monotonic()

    def _lay_down(self, fault: CannotKeep | None) -> None:
        """Note a fault and close the logbook: the next try opens it again. One that is locked can still be read."""
        self._fault = fault
        self._tried_at = time.monotonic()
        if self._book is None:
            return
        if isinstance(fault, Locked):
            self._book.roll_back()
        else:
            self._book.close()
            self._book = None

    def _go_on_after(self, fault: Damaged) -> None:
        """Damage that was found while nothing is written."""
        try:
            self._set_aside(fault)
            self._begin_once()
            self._end()
        except CannotKeep as why:
            self._lay_down(why)

    def _set_aside(self, fault: Damaged) -> None:
        """Give a damaged logbook another name, once, whichever seat finds it; what can be read of it goes into a new one."""
        assert self.place is not None  # what is damaged is somewhere
        found = None if self._book is None else self._book.found
        self._lay_down(fault)
        with alone_at(self.place):
            try:
                book = Logbook.open(self.place, self._in_own_place)
                try:
                    book.check(whatever_size=True)
                    if book.found != found:
                        return  # another seat was faster: this is the new one
                finally:
                    book.close()
            except Damaged as still:
                fault = still
            known = None
            if self._restored:
                here = RecordedRoom(self._last, str(self.file.path.resolve()), self.file.room.name, self.file.text)
                known = Known(plain_session(self.session.now).to_json(), self._last, here)
            try:
                words = begun_anew(self.place, fault.reason, self.session.seat, known)
            except OSError as why:
                raise CannotKeep(f"{fault.reason}, and cannot be set aside: {why.strerror}") from why
        self._followed.append(Followed("", words))
        self._identity, self._last, self._sum = "", 0, ""
        self._recent.clear()

    def _load(self, book: Logbook) -> Restored:
        """Make the session what the record says, and note what no longer holds."""
        room = book.room()
        here = str(self.file.path.resolve())
        if room is not None and room.name != self.file.room.name and room.path != here:
            raise NotThisOne(
                f"{self.place} is the logbook of {room.name} ({room.path}), not of {self.file.room.name}: it is left as it is"
            )
        if self._restored and (room is None or room.text != self.file.text):
            raise Stale(
                "the room file has changed, and another seat goes by the new one: close the room and open it again"
            )
        found = restore(book, room, self.file.room, self.file.text, self._at_rest)
        self.session.now = found.session
        read = found.read
        self._last, self._sum, self._checkpointed = read.last, read.sum, read.checkpoint
        if self._proof is None and not self._restored:
            self._proof, self._proof_end = Chain(0, ("",)), read.checkpoint
        self.history = book.typed_entries(ENTRIES_FOR_HISTORY)
        self._anew = room is None or (room.text, room.path) != (self.file.text, here)
        self._note_damage(book, found)
        if found.changed:
            held = "all that was in the bay still holds" if not found.words else "this no longer holds as it was"
            self._remark(f"the room file has changed: {held}", ROOM)
        for words in found.words:
            self._remark(words)
        return found

    def _note_damage(self, book: Logbook, found: Restored) -> None:
        """What of the record is missing or cannot be trusted, and so what is not known of the bay."""
        lost = [*found.read.damage, *found.read.end.words]
        self._unknown = bool(lost) or book.bay_unknown()
        if lost:
            self._past, self._mends, self._anew = found.read.end.past, True, True
            for words in lost[:-1]:
                self._remark(words)
            self._remark(f"{lost[-1]}. {LOOK}", UNKNOWN)

    def _load_and_do_unrecorded(self, book: Logbook) -> None:
        """Take the record as it is now, and do once more on it what was done here without it."""
        unrecorded = [recorded for recorded in self._unrecorded if recorded.kind == ENTRY]
        self._unrecorded = [recorded for recorded in self._unrecorded if recorded.kind != ENTRY]
        self._load(book)
        for recorded in unrecorded:
            outcome = self.session.decide(recorded.entry)
            if outcome.changes:
                self.session.take(outcome)
                again = recorded_outcome(recorded.at, recorded.seat, outcome)
                self._unrecorded.append(again._replace(typed=recorded.typed))
            else:
                self._remark(
                    f"typed while the record could not be kept, and not possible on it: {recorded.entry}: {outcome.error}"
                )

    def _remark(self, words: str | None, kind: str = REMARK) -> None:
        """Something to be said here, and kept with the next entry."""
        if words:
            self._unknown = self._unknown or kind == UNKNOWN
            self._unrecorded.append(Recorded(0, now_ms(), self.session.seat, kind, "", words))
            self._followed.append(Followed("", words))


def _make_directory(directory: Path) -> None:
    try:
        directory.mkdir(parents=True, exist_ok=True, mode=0o700)
    except OSError as error:
        raise fault_of(error) from error


def _refused(outcome: Outcome, reason: str) -> Outcome:
    return Outcome(outcome.typed, outcome.read, Answer(), outcome.before, outcome.before, reason)
