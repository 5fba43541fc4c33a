"""The topic on the record: what is kept where, seats, and what cannot be promised."""

from __future__ import annotations

from model.help.topic import Paragraph, Points, Section, Topic


def topic() -> Topic:
    """The logbook of a room."""
    return Topic(
        "The record",
        (
            Paragraph(
                "Every entry that is taken is on disk before the screen shows it as done. The record is a logbook, one for "
                "each room file."
            ),
            Section("What is kept, and where"),
            Points(
                (
                    "It is kept in `$XDG_STATE_HOME/bayhand`, or `~/.local/state/bayhand` where that is not set; "
                    "`--logbook PATH` names another place. The room file is only read.",
                    "It holds each entry with its time, its seat and what it did, and the text of the room file.",
                    "Opening the room again goes on where it was: cords, loose ends, phantom, the input list, saved "
                    "patches, the work list, undo and redo, notes, what was typed.",
                    "`bayhand log ROOM` prints it; F7 in the screen shows it.",
                    "Each entry has a checksum, chained to the one before. The count of the entries stands in a small file "
                    "beside the logbook too: by it, what is lost is missed.",
                    "The house patch that begins a record is there whole, or not at all.",
                    "`bayhand rehearse` keeps nothing.",
                )
            ),
            Section("When the room file has changed"),
            Paragraph(
                "What still holds is kept. What no longer does is listed with the reason, and the record keeps it."
            ),
            Paragraph(
                "A room file that was moved or renamed has no record at its new place. Where one fits whose own file is gone, "
                "it is offered by its name: `bayhand ROOM --record NAME` goes on with it, `--record new` begins another."
            ),
            Section("Several seats"),
            Paragraph(
                "Several terminals may open one room, on one machine: `bayhand ROOM --seat NAME` says who sits at each. From "
                "elsewhere a seat is opened over a secure shell: `ssh -t HOST bayhand ROOM --seat NAME`. An entry at one seat "
                "appears at the others, with who did it. Of two that collide, one wins and the other is refused. `undo` takes "
                "back the last action, whoever did it, and names both."
            ),
            Paragraph(
                "Enter does what its preview said, or nothing: where another seat changed what would happen, the entry is "
                "refused once, with the new preview, and the next Enter does that."
            ),
            Section("When it cannot be kept"),
            Points(
                (
                    "On a full disk or in a read-only directory the screen says so for as long as it lasts. It is "
                    "tried again every second, and with each entry. `unrecorded` goes on without; what was done meanwhile is "
                    "written as soon as it can be. What other seats do is heard all the while.",
                    "Entries that are missing, changed or make no sense are told by number and time, at the opening or soon "
                    "after it, and by `bayhand log`, whose status is then 1. All others are read.",
                    "A logbook that is damaged is set aside under another name, never written over. What can be read of it "
                    "goes into a new one. Where the bay is not known after that, the program says so and offers `reset`: "
                    "begin by looking.",
                    "One of a newer version of the program is refused, and left as it is.",
                )
            ),
            Section("What is not promised"),
            Points(
                (
                    "That the program ends at any moment is tested: no entry that was shown as done is lost. A real loss of "
                    "power could not be tried. It depends on the disk keeping what it said that it had written.",
                    "Network file systems could not be tried either. Those that do not lock files are not for records: two "
                    "seats could write over each other. Keep the record on a disk of the machine, and open further seats "
                    "over a secure shell.",
                    "The record says what was typed. Whether a cord really is where it says, only a look at the bay tells.",
                )
            ),
        ),
    )
