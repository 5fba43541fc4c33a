"""A session whose lines are in its logbook before they are answered, and which other seats at the same logbook share.

All seats do the same lines in the same order, the order of the record: a line typed here begins a transaction, does first
what other seats have done meanwhile, then itself, and is answered when it is on disk. Of two that collide, one is first and
the other is refused by the bay as it then is.
"""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

from model.bay.refusals import Malformed, NotNow, Refusal
from model.commands.reading import Line, longest_line, split_question
from model.entry.requests import Answer
from model.live.patch import Standing
from model.record.checkpoint import empty, session_as_plain
from model.record.faults import CannotKeep, Damaged, Gone, Locked, NotThisOne
from model.record.kept_room import RoomFile
from model.record.logbook import LINE, REMARK, ROOM, Entry, KeptRoom, Logbook, now_ms
from model.record.place import logbook_place, seat_name, set_aside
from model.record.taking_up import Taken, entry_of, line_of, take_up_in
from model.session import Outcome, Session

LINES_A_CHECKPOINT = 500  # a session taken up again does at most so many lines, and what undo reaches, once more
LINES_FOR_HISTORY = 500


class Heard(NamedTuple):
    """Something that was not typed here: a line of another seat, or a remark of the program about the record."""

    seat: str  # '' for a remark
    words: str
    outcome: Outcome | None = None  # of a line


class Stale(CannotKeep):
    """The room file has changed, and another seat goes by the new one."""


class KeptSession:
    """A session and its logbook. Open one with :meth:`open`."""

    def __init__(
        self, file: RoomFile, place: Path | None, in_own_place: bool, seat: str, at_rest: Standing | None = None
    ) -> None:
        self.file = file
        self.place = place  # of the logbook; None where there is none to be had
        self.session = Session(file.room, self._keep, seat, at_rest)
        self.session.go_on = self.go_on
        self.opened: list[str] = []  # what is to be said at the opening
        self.history: list[str] = []  # lines that were typed, oldest first
        self._in_own_place = in_own_place
        self._book: Logbook | None = None
        self._live = False  # the session has been taken up
        self._identity = ""  # of the logbook whose lines the session has done
        self._last = 0  # the number of its last entry that the session has done
        self._checkpointed = 0  # the number of the entry after which it was set down last
        self._unkept: list[Entry] = []  # entries that are not on disk
        self._set_down = False  # the session and its room must go into the logbook with the next entry
        self._fault: CannotKeep | None = None
        self._goes_on = False
        self._heard: list[Heard] = []

    @classmethod
    def open(
        cls,
        file: RoomFile,
        logbook: Path | None = None,
        seat: str | None = None,
        at_rest: Standing | None = None,
    ) -> KeptSession:
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
            if not self._live:
                self._read_only(place, fault)
        if self._last:
            self.opened.append(f"going on after line {self._last} of the record")
        self.opened += [heard.words for heard in self._heard if not heard.seat]
        self._heard.clear()

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
        self._live = True

    @property
    def is_new(self) -> bool:
        """Whether nothing was ever typed in this room: the bay is as the room file has it at rest."""
        return not self.history and not self.session.patch.stack

    def recorded(self, last: int) -> list[Entry]:
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
        lines = len([entry for entry in self._unkept if entry.kind == LINE])
        return f"{self._fault.reason}; {lines} line{'' if lines == 1 else 's'} not in the record"

    def go_on(self) -> str:
        """Do lines although the record cannot be kept, by the user's decision. The answer says what that means.

        They go into the record with the first line for which it can be kept again. Raises NotNow where it is kept.
        """
        if self._fault is None:
            raise NotNow("the record is being kept: there is nothing to go on without")
        if isinstance(self._fault, Stale):
            raise NotNow(self._fault.reason)
        self._goes_on = True
        return (
            f"going on without the record ({self._fault.reason}). What is typed now is lost if the program ends before "
            "the record can be kept again; each line tries to, and takes with it what was typed meanwhile"
        )

    def close(self) -> None:
        """Close the logbook. All that was answered is in it already."""
        with suppress(CannotKeep):  # then the next opening is a little slower; what was not kept is tried once more
            if self._unkept or self._last > self._checkpointed:
                self._begin()
                self._write(checkpoint=True)
        self._lay_down(self._fault)

    # Lines typed here

    def enter(self, typed: str) -> Outcome:
        """Do a typed line, as :meth:`~model.session.Session.enter` does; on disk when it is answered."""
        text, asked = split_question(typed)
        self._listen()
        if asked or not self.session.is_kept(text):
            outcome = self.session.enter(typed)
            return outcome if outcome.ok else self._refused_for_others(outcome)
        try:
            self._begin()
        except CannotKeep as fault:
            self._lay_down(fault)
            if not self._goes_on or isinstance(fault, Stale):
                return Outcome(typed, None, Answer(), self._why_not_done(fault))
        try:
            outcome = self.session.enter(typed)
        finally:
            if self._book is not None:
                self._book.roll_back()  # of a line that was refused; one that was done is committed
        if outcome.ok:
            self.history.append(typed.strip())
            return outcome
        return self._refused_for_others(outcome)

    def _refused_for_others(self, outcome: Outcome) -> Outcome:
        """A refusal, with what another seat did and nobody here has been told yet: it may be the reason."""
        unseen = [heard.words for heard in self._heard if heard.seat]
        return outcome._replace(error=f"{outcome.error} (just now, {unseen[-1]})") if unseen else outcome

    def _keep(self, typed: str, line: Line, answer: Answer) -> None:
        """Have a line on disk, or refuse it."""
        entry = entry_of(now_ms(), self.session.seat, typed, line, answer)
        if not entry.action and len(entry.line) > (longest := longest_line(entry.line)):
            raise Malformed(f"written out in full the line has {len(entry.line)} characters, more than {longest}")
        self._unkept.append(entry)
        try:
            self._write_anew_if_damaged()
        except CannotKeep as fault:
            self._lay_down(fault)
            if self._goes_on and not isinstance(fault, Stale):
                return
            self._unkept.pop()
            raise CannotKeep(self._why_not_done(fault)) from fault

    @staticmethod
    def _why_not_done(fault: CannotKeep) -> str:
        if isinstance(fault, Stale):
            return f"not done: {fault.reason}"
        return (
            f"not done, because the record cannot be kept: {fault.reason}. Enter it once more to try again, or type "
            "'unrecorded' to go on without the record"
        )

    # Lines of other seats

    def catch_up(self) -> list[Heard]:
        """What other seats have done since this was last asked, now done here too; and remarks about the record.

        Meant to be asked a few times a second: it costs microseconds where nothing was done.
        """
        self._listen()
        heard, self._heard = self._heard, []
        return heard

    def _listen(self) -> None:
        book = self._book
        if book is None or self._unkept or self._fault is not None:
            return
        try:
            if book.moved():
                self._begin()
                self._end()
            elif book.changed():
                self._follow(book)
        except CannotKeep as fault:
            self._lay_down(fault)

    def _do_again(self, entries: list[Entry]) -> None:
        """Do the lines of other seats here."""
        for entry in entries:
            self._last = entry.id
            if entry.kind != LINE:
                self._heard.append(Heard("", entry.line))
                continue
            line = None
            try:
                line = line_of(entry, self.session.names)
                outcome = Outcome(entry.typed, line, self.session.do_again(line, entry.seat))
            except Refusal as refusal:
                outcome = Outcome(entry.typed, line, Answer(), refusal.reason)
            failed = "" if outcome.ok else f": it could not be done here: {outcome.error}"
            self._heard.append(Heard(entry.seat, _who_said(entry) + failed, outcome))

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
            if self._live:
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
            self._remark(self._book.remark)
        book = self._book
        book.begin()
        try:
            if book.identity == self._identity:
                self._follow(book)
            elif book.room() is None and not book.last_id():
                if self._live and self._identity:
                    self._remark("the logbook was moved away or removed: this one is begun with the bay as it is")
                self._set_down, self._last = True, 0
            else:
                self._load_and_do_unkept(book)
            self._identity, self._live = book.identity, True
        except BaseException:
            book.roll_back()
            raise

    def _follow(self, book: Logbook) -> None:
        """Take in what other seats have written."""
        entries = list(book.entries(self._last))
        if entries and (self._unkept or self._set_down or any(entry.kind == ROOM for entry in entries)):
            self._load_and_do_unkept(book)
            self._heard += [Heard(entry.seat, _who_said(entry)) for entry in entries if entry.kind == LINE]
        else:
            self._do_again(entries)

    def _end(self) -> None:
        """Write what waits to be written, and end."""
        if self._unkept or self._set_down:
            self._write_anew_if_damaged()
        elif self._book is not None:
            self._book.roll_back()
            self._fault, self._goes_on = None, False

    def _write_anew_if_damaged(self) -> None:
        try:
            self._write()
        except Damaged as fault:
            self._set_aside(fault)
            self._begin_once()
            self._write()

    def _write(self, checkpoint: bool = False) -> None:
        book = self._book
        if book is None or not book.writing:
            raise self._fault or CannotKeep("the logbook is not open")
        last = book.append(self._unkept) or self._last
        if self._set_down:
            room = self.file.room
            book.set_room(KeptRoom(last, str(self.file.path.resolve()), room.name, self.file.text))
        checkpoint = checkpoint or self._set_down or last >= self._checkpointed + LINES_A_CHECKPOINT
        if checkpoint:
            book.set_checkpoint(last, session_as_plain(self.session))
        book.commit()
        self._last = last
        if checkpoint:
            self._checkpointed = last
        self._unkept.clear()
        self._set_down = self._goes_on = False
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
        if not self._live:
            begun = "the bay as far as the damaged one could be read: compare it with the cords in the room"
            try:
                book = Logbook.open_to_read(self.place, self._in_own_place)
                try:
                    self._load(book)
                finally:
                    book.close()
            except CannotKeep:
                empty(self.session)
                begun = "an empty bay"
        try:
            aside = set_aside(self.place, "damaged")
        except OSError as why:
            raise CannotKeep(f"{fault.reason}, and cannot be set aside: {why.strerror}") from why
        self._identity = ""
        self._last = 0
        self._remark(f"{fault.reason}. It is set aside as {aside.name}, and a new one begun with {begun}")

    def _load(self, book: Logbook) -> Taken:
        """Make the session what the record says, and put down what no longer holds."""
        room = book.room()
        here = str(self.file.path.resolve())
        if room is not None and room.name != self.file.room.name and room.path != here:
            raise NotThisOne(
                f"{self.place} is the logbook of {room.name} ({room.path}), not of {self.file.room.name}: it is left as it is"
            )
        if self._live and (room is None or room.text != self.file.text):
            raise Stale(
                "the room file has changed, and another seat goes by the new one: close the room and open it again"
            )
        taken = take_up_in(self.session, book, room, self.file.room, self.file.text)
        self._last, self._checkpointed = taken.last, taken.checkpoint
        self.history = book.typed_lines(LINES_FOR_HISTORY)
        self._set_down = room is None or (room.text, room.path) != (self.file.text, here)
        if taken.changed:
            held = "all that was in the bay still holds" if not taken.words else "this no longer holds as it was"
            self._remark(f"the room file has changed: {held}", ROOM)
        for words in taken.words:
            self._remark(words)
        return taken

    def _load_and_do_unkept(self, book: Logbook) -> None:
        """Take the record as it is now, and do once more on it what was done here without it."""
        unkept = [entry for entry in self._unkept if entry.kind == LINE]
        self._unkept = [entry for entry in self._unkept if entry.kind == REMARK]
        self._load(book)
        for entry in unkept:
            try:
                self.session.do_again(line_of(entry, self.session.names), entry.seat)
                self._unkept.append(entry)
            except Refusal as refusal:
                self._remark(
                    f"typed while the record could not be kept, and not possible on it: {entry.line}: {refusal.reason}"
                )

    def _remark(self, words: str | None, kind: str = REMARK) -> None:
        """Something to be said here, and kept with the next entry."""
        if words:
            self._unkept.append(Entry(0, now_ms(), self.session.seat, kind, "", words))
            self._heard.append(Heard("", words))


def _who_said(entry: Entry) -> str:
    return f"{entry.seat or 'another seat'}: {entry.typed}"
