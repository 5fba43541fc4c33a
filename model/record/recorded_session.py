"""A session whose entries are in its logbook before they are answered, and which other seats at the same logbook share.

All seats hold the same entries in the same order, the order of the record: an entry typed here is decided on the session as it
is; where other seats were faster it is decided once more on what they left; it is answered when it is on disk. Of two that
collide, one is first and the other is refused by the bay as it then is.
"""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

from model.entry.answer import Answer
from model.entry.draft import Recording
from model.entry.session_state import SessionState
from model.live.look import Standing
from model.record.commands import GO_ON
from model.record.faults import CannotKeep, Damaged, Gone, Locked, NotThisOne
from model.record.follow import followed, said_of
from model.record.logbook import ENTRY, REMARK, ROOM, Logbook, Recorded, RecordedRoom, now_ms
from model.record.place import logbook_place, seat_name, set_aside
from model.record.restore import Restored, recorded_outcome, restore
from model.record.room_file import RoomFile
from model.record.tables import PlainSession, plain_session, restored
from model.session import Outcome, Session
from model.text.listing import counted

ENTRIES_A_CHECKPOINT = 500  # a session restored sets at most so many entries once more
ENTRIES_FOR_HISTORY = 500


class Followed(NamedTuple):
    """Something that was not typed here: an entry of another seat, or a remark of the program about the record."""

    seat: str  # '' for a remark
    words: str
    outcome: Outcome | None = None  # of an entry


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
        return not self.history and not self.session.now.taken and not self.session.patch.state.cords

    def recorded(self, last: int) -> list[Recorded]:
        """The record's last entries, oldest first; none where it cannot be read now."""
        if self._book is None:
            return []
        try:
            return list(self._book.entries(max(0, self._last - last)))
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

    def enter(self, typed: str) -> Outcome:
        """Do a typed entry, as :meth:`~model.session.Session.enter` does; on disk when it is answered."""
        self._listen()
        outcome = self.session.decide(typed)
        if outcome.changes:
            outcome = self._record(outcome)
        elif isinstance(self._fault, Stale) and not outcome.ok:
            return _refused(outcome, self._why_not_done(self._fault))
        else:
            self.session.take(outcome)
            self._carry_out(outcome)
        return outcome if outcome.ok else self._refused_for_others(outcome)

    def preview(self, typed: str) -> Outcome:
        """What an entry would do. Nothing is changed."""
        return self.session.preview(typed)

    def _record(self, outcome: Outcome) -> Outcome:
        """Have an entry on disk, and take it; the answer is what came of it."""
        try:
            self._begin()
        except CannotKeep as fault:
            self._lay_down(fault)
            if not self._goes_on or isinstance(fault, Stale):
                return _refused(outcome, self._why_not_done(fault))
        try:
            if self.session.now is not outcome.before:  # other seats were faster
                outcome = self.session.decide(outcome.typed)
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

    def _keep(self, outcome: Outcome) -> None:
        """Have an entry on disk. Raises CannotKeep where that cannot be, unless it was decided to go on without."""
        self._unrecorded.append(recorded_outcome(now_ms(), self.session.seat, outcome))
        try:
            self._write_anew_if_damaged(outcome.after)
        except CannotKeep as fault:
            self._lay_down(fault)
            if self._goes_on and not isinstance(fault, Stale):
                return
            self._unrecorded.pop()
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
        heard, self._followed = self._followed, []
        return heard

    def _listen(self) -> None:
        book = self._book
        if book is None or self._unrecorded or self._fault is not None:
            return
        try:
            if book.moved():
                self._begin()
                self._end()
            elif book.changed():
                self._follow(book)
        except CannotKeep as fault:
            self._lay_down(fault)

    def _follow_entries(self, entries: list[Recorded]) -> None:
        """Do here what other seats did."""
        for recorded in entries:
            self._last = recorded.id
            if recorded.kind != ENTRY:
                self._followed.append(Followed("", recorded.entry))
                continue
            before = self.session.now
            self.session.now, change = followed(before, recorded)
            answer = Answer(change, said_of(recorded), canonical=recorded.entry)
            outcome = Outcome(recorded.typed, None, answer, before, self.session.now, step=recorded.step)
            self._followed.append(Followed(recorded.seat, _who_said(recorded), outcome))

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
        if self._book is None:
            self._book = Logbook.open(self.place, self._in_own_place)
            self._book.check()
        book = self._book
        book.begin()
        try:
            if book.identity == self._identity:
                self._follow(book)
            elif book.room() is None and not book.last_id():
                if self._restored and self._identity:
                    self._remark("the logbook was moved away or removed: this one is begun with the bay as it is")
                self._anew, self._last = True, 0
            else:
                self._load_and_do_unrecorded(book)
            self._identity, self._restored = book.identity, True
        except BaseException:
            book.roll_back()
            raise

    def _follow(self, book: Logbook) -> None:
        """Take in what other seats have written."""
        entries = list(book.entries(self._last))
        if entries and (self._unrecorded or self._anew or any(recorded.kind == ROOM for recorded in entries)):
            self._load_and_do_unrecorded(book)
            self._followed += [Followed(each.seat, _who_said(each)) for each in entries if each.kind == ENTRY]
        else:
            self._follow_entries(entries)

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
        last = book.append(self._unrecorded) or self._last
        if self._anew:
            room = self.file.room
            book.set_room(RecordedRoom(last, str(self.file.path.resolve()), room.name, self.file.text))
        checkpoint = checkpoint or self._anew or last >= self._checkpointed + ENTRIES_A_CHECKPOINT
        if checkpoint:
            book.set_checkpoint(last, plain_session(after).to_json())
        book.commit()
        self._last = last
        if checkpoint:
            self._checkpointed = last
        self._unrecorded.clear()
        self._anew = self._goes_on = False
        self._fault = None

    def _lay_down(self, fault: CannotKeep | None) -> None:
        """Close the logbook because of a fault; the next line opens it again."""
        self._fault = fault
        if self._book is not None:
            self._book.close()
            self._book = None

    def _set_aside(self, fault: Damaged) -> None:
        """Give a damaged logbook another name. What the session holds, or what can still be read, goes into a new one."""
        self._lay_down(fault)
        assert self.place is not None  # what is damaged is somewhere
        begun = "the bay as it was here"
        if not self._restored:
            begun = "the bay as far as the damaged one could be read: compare it with the cords in the room"
            try:
                book = Logbook.open_to_read(self.place, self._in_own_place)
                try:
                    self._load(book)
                finally:
                    book.close()
            except CannotKeep:
                self.session.now = restored(PlainSession(), self.file.room, self._at_rest).session
                begun = "an empty bay"
        try:
            aside = set_aside(self.place, "damaged")
        except OSError as why:
            raise CannotKeep(f"{fault.reason}, and cannot be set aside: {why.strerror}") from why
        self._identity = ""
        self._last = 0
        self._remark(f"{fault.reason}. It is set aside as {aside.name}, and a new one begun with {begun}")

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
        self._last, self._checkpointed = found.last, found.checkpoint
        self.history = book.typed_entries(ENTRIES_FOR_HISTORY)
        self._anew = room is None or (room.text, room.path) != (self.file.text, here)
        if found.changed:
            held = "all that was in the bay still holds" if not found.words else "this no longer holds as it was"
            self._remark(f"the room file has changed: {held}", ROOM)
        for words in found.words:
            self._remark(words)
        return found

    def _load_and_do_unrecorded(self, book: Logbook) -> None:
        """Take the record as it is now, and do once more on it what was done here without it."""
        unrecorded = [recorded for recorded in self._unrecorded if recorded.kind == ENTRY]
        self._unrecorded = [recorded for recorded in self._unrecorded if recorded.kind == REMARK]
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
            self._unrecorded.append(Recorded(0, now_ms(), self.session.seat, kind, "", words))
            self._followed.append(Followed("", words))


def _refused(outcome: Outcome, reason: str) -> Outcome:
    return Outcome(outcome.typed, outcome.read, Answer(), outcome.before, outcome.before, reason)


def _who_said(recorded: Recorded) -> str:
    return f"{recorded.seat or 'another seat'}: {recorded.typed}"
