"""The line that never leaves the screen: the room, at the bay or in practice, cords, phantom, and how many warnings stand."""

from __future__ import annotations

from collections import Counter

from model.session import Session
from model.signal.warning import SEVERITIES
from tui.screen.ink import Ink, Piece, Words, cells, width_of
from tui.screen.spans import WordsLine

LEAST_OF_NAME = 8  # cells
WITH_MARGIN = 60  # columns


class TopLine(WordsLine):
    """It is drawn in the longest form in which the room's name fits, else in the shortest, with the name cut."""

    def __init__(self, session: Session, ink: Ink, *, id: str | None = None) -> None:
        super().__init__(ink, id=id)
        self.session = session
        self.mode = "AT THE BAY"

    def words(self, width: int) -> Words:
        """The line at a width."""
        name = self.ink.clean(self.session.room.name)
        end = 1 if width >= WITH_MARGIN else 0
        forms = [self._long(), self._middle(), self._short()]
        form = next((f for f in forms if cells(name) + 2 + width_of(f) + end <= width), None)
        if form is None:
            form = next((f for f in forms[1:] if LEAST_OF_NAME + 2 + width_of(f) + end <= width), forms[-1])
        room_left = max(0, width - width_of(form) - 2 - end)
        title = self.ink.cut([Piece(name, "title")], room_left)
        gap = max(1 if room_left else 0, width - width_of(title) - width_of(form) - 1 - end)
        return [Piece(" " if room_left else ""), *title, Piece(" " * gap), *form]

    def _counts(self) -> tuple[int, int, int]:
        session = self.session
        state = session.patch.state
        owned = sum((session.room.cords or {}).values())
        on = sum(len(ports) for switch, ports in session.room.ports_of_switch.items() if switch in state.switches)
        return len(state.cords), owned, on

    def _severities(self, long: bool) -> Words:
        counts = Counter(warning.severity for warning in self.session.patch.standing.values())
        words: Words = []
        for severity in SEVERITIES:
            count = counts[severity]
            mark = self.ink.mark(severity)
            name = f" {severity}{'' if count == 1 else 's'}" if long else ""
            if count:
                gap = "  " if words and long else " " if words else ""
                words += [Piece(gap), mark, Piece(f"{' ' if long else ''}{count}{name}", "strong")]
            elif long:
                words += [Piece("  " if words else ""), Piece(f"{mark.text} 0{name}", "faint")]
            else:
                words += [Piece(" " if words else ""), Piece(f"{mark.text}0", "faint")]
        return words

    def _long(self) -> Words:
        cords, owned, on = self._counts()
        of = f" of {owned}" if owned else ""
        return [
            Piece(self.mode, "strong"),
            Piece(f"   cords {cords}{of}   "),
            Piece(f"phantom on {on} line{'' if on == 1 else 's'}", "plugged" if on else "faint"),
            Piece("   "),
            *self._severities(True),
        ]

    def _middle(self) -> Words:
        cords, owned, on = self._counts()
        of = f"/{owned}" if owned else ""
        return [
            Piece(self.mode, "strong"),
            Piece(f"  cords {cords}{of}  "),
            Piece(f"phantom {on}", "plugged" if on else "faint"),
            Piece("  "),
            *self._severities(False),
        ]

    def _short(self) -> Words:
        _, _, on = self._counts()
        return [
            Piece(self.mode.split()[-1], "strong"),
            Piece(" "),
            Piece(f"P{on}", "plugged" if on else "faint"),
            Piece(" "),
            *self._severities(False),
        ]
