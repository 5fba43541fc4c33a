"""A session as tables that JSON can write: by addresses and names, so that it outlives a change of the room file.

What an entry of the record *set* is a list of such table entries, before and after. A record is read again by setting them,
never by reading typed text again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from model.bay.state import Cord, Difference, Set, State, reversed_difference
from model.commands.parts import PARTS, part_named, part_of_table
from model.entry import session_state
from model.entry.session_state import SessionState, Taken
from model.live.look import Standing
from model.live.patch import Patch
from model.room.wiring import NO_PORT, Room
from model.text.listing import list_words

CORD, PHANTOM, MIC = "cord", "phantom", "mic"  # the tables of the bay; the other tables are those of parts
BAY_TABLES = (CORD, PHANTOM, MIC)
Key = tuple[str, Any]  # a table, and the key in it
_NONSENSE = (KeyError, TypeError, ValueError, IndexError, AttributeError)  # of a table entry of the wrong form
Plain = list[Any]  # what was set: table, key, before, after; None where nothing is there


class PlainStep(NamedTuple):
    """A step that undo or redo reaches, as the record keeps it."""

    entry: str
    sets: list[Plain]
    by: str


@dataclass
class PlainSession:
    """A session as the record keeps it."""

    tables: dict[Key, Any] = field(default_factory=dict)
    taken: list[PlainStep] = field(default_factory=list)
    undone: list[PlainStep] = field(default_factory=list)

    def set(self, entry: str, step: str, sets: list[Plain], by: str) -> None:
        """What an entry of the record did."""
        for table, key, _, after in sets:
            if after is None:
                self.tables.pop((table, key), None)
            else:
                self.tables[table, key] = after
        if step == "act":
            at_bay = [each for each in sets if each[0] in BAY_TABLES]
            self.taken.append(PlainStep(entry, at_bay, by))
            del self.taken[: -session_state.DEEPEST_UNDO]
            self.undone.clear()
        elif step == "undo":
            self.undone.append(self.taken.pop())
        elif step == "redo":
            self.taken.append(self.undone.pop())

    def to_json(self) -> dict[str, Any]:
        """As a checkpoint holds it."""
        return {
            "tables": [[*key, value] for key, value in self.tables.items()],
            "taken": [list(step) for step in self.taken],
            "undone": [list(step) for step in self.undone],
        }

    @classmethod
    def from_json(cls, plain: Any) -> PlainSession:
        """From a checkpoint. Raises KeyError, TypeError or ValueError where it is none."""
        return cls(
            {(table, key): value for table, key, value in plain["tables"]},
            [PlainStep(*step) for step in plain["taken"]],
            [PlainStep(*step) for step in plain["undone"]],
        )


# From a session to its tables


def plain_session(session: SessionState) -> PlainSession:
    """A session as the record keeps it."""
    room = session.patch.room
    tables = tables_of_bay(session.patch.state)
    for name in PARTS:  # in one order, whichever was changed last
        if name in session.parts:
            tables |= part_named(name).to_tables(session.parts[name])
    return PlainSession(
        tables,
        [PlainStep(step.entry, sets_of_bay(step.difference, room), step.by) for step in session.taken],
        [PlainStep(step.entry, sets_of_bay(step.difference, room), step.by) for step in session.undone],
    )


def sets_between(before: SessionState, after: SessionState, difference: Difference) -> list[Plain]:
    """What leads from one session to another that one entry made of it; ``difference``: what it set at the bay."""
    sets = sets_of_bay(difference, before.patch.room)
    for name in dict.fromkeys((*before.parts, *after.parts)):
        was, now = before.parts.get(name), after.parts.get(name)
        if was is not now:
            part = part_named(name)
            old = {} if was is None else part.to_tables(was)
            new = {} if now is None else part.to_tables(now)
            sets += [[*key, value, None] for key, value in old.items() if key not in new]
            sets += [[*key, old.get(key), value] for key, value in new.items() if old.get(key) != value]
    return sets


def tables_of_bay(state: State) -> dict[Key, Any]:
    """Cords with what is wired to their jacks, supplies that are on with the inputs they feed, microphones on lines."""
    room = state.room
    tables: dict[Key, Any] = {(CORD, number): _plain_cord(room, cord) for number, cord in sorted(state.cords.items())}
    tables |= {(PHANTOM, switch): _fed_by(room, switch) for switch in sorted(state.switches)}
    return tables | {(MIC, room.ports[line].name): mic.name for line, mic in sorted(state.mics.items())}


def sets_of_bay(difference: Difference, room: Room) -> list[Plain]:
    """A difference of two states of the bay. Which jack holds which cord follows from the cords."""
    sets: list[Plain] = []
    for table, key, before, after in difference:
        if table == "cords":
            sets.append([CORD, key, *(None if cord is None else _plain_cord(room, cord) for cord in (before, after))])
        elif table == "switches":
            sets.append([PHANTOM, key, *(_fed_by(room, key) if on else None for on in (before, after))])
        elif table == "mics":
            sets.append([MIC, room.ports[key].name, *(None if mic is None else mic.name for mic in (before, after))])
    return sets


def _plain_cord(room: Room, cord: Cord) -> dict[str, Any]:
    plugs = [[room.jacks[jack].address, wired_to(room, jack)] for jack in cord.plugs]
    return {"plugs": plugs, "ends": cord.ends, "length_cm": cord.length_cm}


def _fed_by(room: Room, switch: str) -> list[str]:
    return [room.ports[port].name for port in room.ports_of_switch[switch]]


def wired_to(room: Room, jack: int) -> str | None:
    """The name of the port at a jack's rear; None where there is none."""
    port = room.port_at[jack]
    return None if port == NO_PORT else room.ports[port].name


# And back


class Restored(NamedTuple):
    """A session in a room that may be wired otherwise than when it was set down, and a sentence for what no longer holds."""

    session: SessionState
    words: list[str]


def restored(plain: PlainSession, room: Room, at_rest: Standing | None = None) -> Restored:
    """The session that tables describe, as far as a room still has what they name.

    Nothing is moved to another jack: where a plug is in truth, only someone at the bay can see.
    """
    words: list[str] = []
    patch = Patch.of_room(room, at_rest)
    difference = _bay_from_tables(plain.tables, room, words)
    if difference:
        patch = patch.moved(difference)
    session = SessionState(patch, *_steps(plain, patch.state, words))
    return Restored(with_parts(session, plain.tables, words), words)


def with_parts(session: SessionState, tables: Mapping[Key, Any], words: list[str]) -> SessionState:
    """A session with its parts as tables have them; adds a sentence to ``words`` for what no longer holds."""
    of_part: dict[str, dict[Key, Any]] = {}
    for key, value in tables.items():
        if key[0] not in BAY_TABLES:
            part = part_of_table(key[0])
            if part is None:
                words.append(f"the record holds '{key[0]}', which this version of bayhand does not know")
            else:
                of_part.setdefault(part.name, {})[key] = value
    for name, own in of_part.items():
        part = part_named(name)
        try:
            value, lost = part.from_tables(own, session.patch.room)
        except _NONSENSE:
            words.append(f"what the record holds in '{name}' makes no sense")
            continue
        session = session.with_part(part, value)
        words += lost
    return session


def _bay_from_tables(tables: Mapping[Key, Any], room: Room, words: list[str]) -> Difference:
    sets: list[Set] = []
    for (table, key), value in tables.items():
        if table in BAY_TABLES:
            try:
                sets += _READERS[table](room, key, value, words)
            except _NONSENSE:
                words.append(f"what the record holds of {table} {key} makes no sense")
    return tuple(sets)


def _cord_sets(room: Room, number: int, plain: Any, words: list[str]) -> list[Set]:
    cord = _cord_in(room, number, plain, words)
    if cord is None:
        return []
    return [Set("cords", number, None, cord), *(Set("plugs", jack, None, number) for jack in cord.plugs)]


def _cord(number: Any, plugs: Sequence[int], plain: Any) -> Cord:
    """A cord. Raises TypeError where what tells of it has the wrong form."""
    ends, length = plain["ends"], plain["length_cm"]
    if type(number) is not int or type(ends) is not int or type(length) not in (int, float, type(None)):
        raise TypeError("no cord has such a number, such ends or such a length")
    return Cord(tuple(plugs), ends, length)


def _cord_in(room: Room, number: int, plain: Any, words: list[str]) -> Cord | None:
    held = []
    for address, wired in plain["plugs"]:
        jack = room.jack_of(address)
        if jack is None:
            words.append(f"cord {number}: the room has no jack {address} now{_where_now(room, wired)}")
            continue
        held.append(jack)
        now = wired_to(room, jack)
        if now != wired:
            words.append(
                f"cord {number} stays in {address}, which was {wired or 'wired to nothing'} and is "
                f"{now or 'wired to nothing'} now{_where_now(room, wired)}"
            )
    if len(held) < len(plain["plugs"]):
        left = list_words([room.jacks[jack].address for jack in held])
        words.append(
            f"cord {number} stays in {left} with a loose end" if held else f"cord {number} is out of the record's bay"
        )
    return _cord(number, held, plain) if held else None


def _phantom_in(room: Room, switch: str, ports: list[str], words: list[str]) -> list[Set]:
    if switch not in room.ports_of_switch:
        words.append(f"phantom '{switch}' was on at {list_words(ports)}: the room has no such supply now")
        return []
    now = _fed_by(room, switch)
    if sorted(now) != sorted(ports):
        words.append(f"phantom '{switch}' stays on: it fed {list_words(ports)} and feeds {list_words(now)} now")
    return [Set("switches", switch, None, True)]


def _mic_in(room: Room, line: str, mic: str, words: list[str]) -> list[Set]:
    port, microphone = room.port_named.get(line), room.mic_named.get(mic)
    if port is None:
        words.append(f"the {mic} was on {line}: the room has no {line} now")
    elif not port.kind.is_mic_line:
        words.append(f"the {mic} was on {line}, which is no microphone line now but a {port.kind.name}")
    elif microphone is None:
        words.append(f"the {mic} was on {line}: the locker has no {mic} now")
    else:
        return [Set("mics", port.index, None, microphone)]
    return []


_READERS: dict[str, Callable[[Room, Any, Any, list[str]], list[Set]]] = {
    CORD: _cord_sets,
    PHANTOM: _phantom_in,
    MIC: _mic_in,
}


def _where_now(room: Room, wired: str | None) -> str:
    """Where what was wired to a jack is now."""
    port = room.port_named.get(wired) if wired else None
    if port is None:
        return f"; there is no {wired} either" if wired else ""
    jacks = [room.jacks[jack].address for jack in room.jacks_of_port[port.index]]
    return f"; {port.name} is at {list_words(jacks)}" if jacks else f"; {port.name} is at no jack"


def _steps(plain: PlainSession, state: State, words: list[str]) -> tuple[tuple[Taken, ...], tuple[Taken, ...]]:
    """The steps that undo and redo reach, as far as they lead back from, and on from, the present state of the bay."""
    taken: list[Taken] = []
    then = state
    for step in reversed(plain.taken):
        difference = difference_in(state.room, step.sets)
        if difference is None or not _leads_to(difference, then):
            words.append(
                f"undo reaches back over {len(taken)} of {len(plain.taken)} actions: the earlier ones do not fit the room "
                "any more"
            )
            break
        then = then.after(reversed_difference(difference))
        taken.append(Taken(step.entry, difference, step.by))
    undone: list[Taken] = []
    then = state
    for step in reversed(plain.undone):
        difference = difference_in(state.room, step.sets)
        if difference is None or not _leads_to(reversed_difference(difference), then):
            break
        then = then.after(difference)
        undone.append(Taken(step.entry, difference, step.by))
    return tuple(reversed(taken)), tuple(reversed(undone))


def _leads_to(difference: Difference, state: State) -> bool:
    """Whether a state has all that a difference set."""
    return all(getattr(state, table).get(key) == after for table, key, _, after in difference)


def difference_in(room: Room, sets: Iterable[Plain]) -> Difference | None:
    """A difference of two states of a room's bay; None where the room does not have all that it names, or it makes no sense."""
    try:
        return _difference_in(room, sets)
    except _NONSENSE:
        return None


def _difference_in(room: Room, sets: Iterable[Plain]) -> Difference | None:
    found: list[Set] = []
    plugs: dict[int, list[int | None]] = {}  # jack: the cord before, and after
    for table, key, before, after in sets:
        if table == CORD:
            cords: list[Cord | None] = []
            for side, plain in enumerate((before, after)):
                jacks = [] if plain is None else [room.jack_of(address) for address, _ in plain["plugs"]]
                for jack in jacks:
                    if jack is None:
                        return None
                    plugs.setdefault(jack, [None, None])[side] = key
                held = tuple(jack for jack in jacks if jack is not None)
                cords.append(None if plain is None else _cord(key, held, plain))
            found.append(Set("cords", key, *cords))
        elif table == PHANTOM:
            if key not in room.ports_of_switch:
                return None
            found.append(Set("switches", key, before is not None or None, after is not None or None))
        elif table == MIC:
            line = room.port_named.get(key)
            mics = [None if name is None else room.mic_named.get(name) for name in (before, after)]
            unknown = [mic is None and name is not None for mic, name in zip(mics, (before, after), strict=True)]
            if line is None or not line.kind.is_mic_line or any(unknown):
                return None
            found.append(Set("mics", line.index, *mics))
    found += [Set("plugs", jack, was, now) for jack, (was, now) in plugs.items() if was != now]
    return tuple(found)
