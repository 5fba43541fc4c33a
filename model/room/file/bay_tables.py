"""The bays, rows and jacks of a room file as they are read, and the normals that join them."""

from __future__ import annotations

from model.room.file.reading import Reading
from model.room.kinds import NO_NORMAL
from model.room.wiring import Bay, Jack, JackText, Normal, Row
from model.text.clean import quoted
from model.text.normalized import normalized
from model.text.ranges import stretch
from model.text.strictyaml import Mark
from model.text.suggest import did_you_mean, listed


class BayTables:
    """The bays, rows and jacks read so far, and the normals that join them."""

    def __init__(self) -> None:
        self.bays: list[Bay] = []
        self.rows: list[Row] = []
        self.jacks: list[Jack] = []
        self.normals: list[Normal] = []
        self.texts: dict[int, JackText] = {}  # by jack
        self.bay_named: dict[str, Bay] = {}  # by normalized name
        self.row_named: dict[str, int] = {}  # by normalized name
        self._normal_at: dict[tuple[int, int], int] = {}  # a pair of jacks, the lower first: the line of its normal

    def join(self, reading: Reading, mark: Mark, top: int, bottom: int, kind: str) -> bool:
        """Adds a normal between two jacks; refuses one from a jack to itself, and one that is there already."""
        if kind == NO_NORMAL:
            return True
        if top == bottom:
            reading.error(mark, f"a normal cannot join jack {self.jacks[top].address} to itself")
            return False
        line = mark.line + 1
        pair = (top, bottom) if top < bottom else (bottom, top)
        earlier = self._normal_at.get(pair)
        if earlier is not None:
            both = f"{self.jacks[top].address} and {self.jacks[bottom].address}"
            reading.error(mark, f"the normal between {both} is given twice: line {earlier} has it already")
            return False
        self._normal_at[pair] = line
        self.normals.append(Normal(top, bottom, kind, not self._is_pair(top, bottom), line))
        return True

    def _is_pair(self, top: int, bottom: int) -> bool:
        """Whether the second jack is right below the first on one panel."""
        upper, lower = self.jacks[top], self.jacks[bottom]
        return lower.row == upper.row + 1 and lower.point == upper.point and self._bay(upper) == self._bay(lower)

    def _bay(self, jack: Jack) -> int:
        return self.rows[jack.row].bay

    def stretch(self, reading: Reading, text: str, mark: Mark, what: str) -> list[int]:
        """The jacks for which ``A5``, ``A41-42`` or ``A1-4, B7`` stands; none where one of them is not in the room."""
        jacks: list[int] = []
        for part in text.split(","):
            part = part.strip()
            place = stretch(part)
            if place is None:
                meant = self._meant_stretch(part)
                reading.error(
                    mark, f"{what}: {quoted(part)} is not a jack or a range of jacks such as A5 or A41-42{meant}"
                )
                return []
            number = self.row_named.get(normalized(place.row))
            if number is None:
                names = [row.name for row in self.rows]
                meant = self._meant_stretch(part) or reading.meant(place.row, names)
                if not meant and names:
                    meant = f": the rows are {listed(names)}"
                if reading.whole:
                    reading.error(mark, f"{what}: there is no row {quoted(place.row)} for {quoted(part)}{meant}")
                return []
            row = self.rows[number]
            if place.last < place.first:
                turned = did_you_mean([f"{row.name}{place.last}-{place.first}"])
                reading.error(mark, f"{what}: the range {quoted(part)} runs backwards{turned}")
                return []
            if not 1 <= place.first <= place.last <= row.points:
                reading.error(
                    mark,
                    f"{what}: {quoted(part)} goes past row {quoted(row.name)}, whose columns are 1 to {row.points}",
                )
                return []
            if not reading.spend(place.last - place.first + 1, mark):
                return []
            jacks += range(row.first + place.first - 1, row.first + place.last)
        return jacks

    @staticmethod
    def _meant_stretch(text: str) -> str:
        """``A41-A42`` was probably meant to be ``A41-42``."""
        low, _, high = text.rpartition("-")
        first, last = stretch(low.strip()), stretch(high.strip())
        if first is None or last is None or normalized(first.row) != normalized(last.row):
            return ""
        return did_you_mean([f"{first.row}{first.first}-{last.last}"])
