"""A change of mind: 'move X > Y', 'exchange X, Y'."""

from __future__ import annotations

from itertools import product

from model.bay.actions import Action, Clear, Move, Plug, PlugLooseEnd, Put, Unplug, together
from model.bay.refusals import Ambiguous, Malformed, NotNow
from model.bay.state import State
from model.entry.entry import AtBay
from model.language.ends import End, Ends
from model.language.names import IN, OUT, Names
from model.language.quotes import Quotes
from model.language.readings import Readings
from model.language.signs import ends_of
from model.room.wiring import Port

_OTHER = {OUT: IN, IN: OUT}


def read_move(text: str, names: Names) -> AtBay:
    """'C3 > C9': that plug; 'X > Y' by names: X goes to Y from now on; lists of them."""
    return Moving(text, names).one()


class Moving:
    """The readings of one move."""

    def __init__(self, text: str, names: Names) -> None:
        self.text, self.names = text.strip(), names
        self.quotes = Quotes(text)
        self.ends = Ends(names, self.quotes)
        self.readings: Readings[AtBay] = Readings()

    def one(self) -> AtBay:
        """The one reading."""
        for parts in ends_of(self.quotes.text):
            if len(parts) != 2 or "" in parts:
                self.readings.refusals.append(Malformed("say from which jack to which: move X > Y", self.text))
                continue
            sources = self.ends.forms(parts[0], self.readings)
            for chosen in product(sources, self.ends.forms(parts[1], self.readings)):
                self.readings.attempt(lambda chosen=chosen: self._moves(*chosen))  # type: ignore[misc]
        return self.readings.one(self.text)

    def _moves(self, sources: tuple[str, ...], targets: tuple[str, ...]) -> AtBay:
        if len(sources) != len(targets):
            raise Malformed(f"both sides must be as many: {len(sources)} and {len(targets)}", self.text)
        moves = [self._move(*pair) for pair in zip(sources, targets, strict=True)]
        return AtBay(all_moved(self.names.state, moves))

    def _move(self, source: str, target: str) -> tuple[int, int]:
        """The jack that a plug leaves, and the jack that it enters."""
        names, state = self.names, self.names.state
        if names.cord(source) is not None or names.cord(target) is not None:
            raise Malformed("a cord has several plugs: say the jack of the one that moves, move X > Y", self.text)
        address = None if self.quotes.name(source) is not None else names.jack_by_address(source)
        jack = self.ends.end(source, OUT, True)[0] if address is None else address
        here = self._port(jack)
        if address is not None:
            way = IN if here is None else here.kind.way
            return jack, self._to(jack, self.ends.end(target, way, False), target)
        cord = state.cords[self.ends.names.cord_in(jack, source)]
        far = [other for other in cord.plugs if other != jack]
        if cord.ends > 2:
            which = " or ".join(f"move {names.address(plug)} > {target}" for plug in cord.plugs)
            raise Ambiguous(f"the cord in {names.address(jack)} has three plugs: {which}", self.text, [which])
        way = "" if here is None else here.kind.way
        by_way = {at: self._fits(target, at) for at in (OUT, IN, "")}
        if not far:
            return jack, self._to(jack, by_way[way] or self.ends.end(target, way, False), target)
        # a name to the left of '>' is an output, as in a new cord: its signal goes elsewhere now
        moves = []
        if way and by_way[_OTHER[way]]:
            moves.append((far[0], self._to(far[0], by_way[_OTHER[way]], target)))
        if way and by_way[way] and not (way == OUT and moves):
            moves.append((jack, self._to(jack, by_way[way], target)))
        if not moves:
            there = self.ends.end(target, "", False)
            moves = [(plug, self._to(plug, there, target)) for plug in (jack, far[0])]
        if len(set(moves)) > 1:
            words = [f"move {names.address(a)} > {names.address(b)}" for a, b in moves]
            raise Ambiguous(f"'{self.text}' can be read as {' or '.join(map(repr, words))}", self.text, words)
        return moves[0]

    def _port(self, jack: int) -> Port | None:
        at = self.names.room.port_at[jack]
        return self.names.room.ports[at] if at >= 0 else None

    def _fits(self, target: str, way: str) -> End:
        """The jacks of a target that goes one way; none where it does not."""
        if not way:
            return ()
        found = self.ends.end(target, way, False)
        ports = [self._port(jack) for jack in found]
        return found if all(port is not None and port.kind.way == way for port in ports) else ()

    def _to(self, source: int, there: End, text: str) -> int:
        others = [plug for plug in self._plugs(source) if plug != source]
        return self.ends.together((*((plug,) for plug in others), there), text)[-1]

    def _plugs(self, jack: int) -> tuple[int, ...]:
        number = self.names.state.plugs.get(jack)
        return () if number is None else self.names.state.cords[number].plugs


def all_moved(state: State, moves: list[tuple[int, int]]) -> Action:
    """Plugs moved as one step: where one takes the place of another, all leave before any enters."""
    address = [jack.address for jack in state.room.jacks]
    to = dict(moves)
    if len(to) != len(moves):
        raise NotNow("one plug cannot move to two jacks")
    if len(to) == 1 or not to.keys() & set(to.values()):
        return together([Move(address[a], address[b]) for a, b in moves])
    for source in to:
        if source not in state.plugs:
            raise NotNow(f"{address[source]} is empty", address[source])
    leave: list[Action] = [Unplug(address[source]) for source in to]
    enter: list[Action] = []
    for number in dict.fromkeys(state.plugs[source] for source in to):
        cord = state.cords[number]
        there = [to[plug] for plug in cord.plugs if plug in to]
        if len(there) < len(cord.plugs):
            enter += [PlugLooseEnd(number, address[jack]) for jack in there]
        elif cord.ends == max(2, len(there)):
            enter.append(Plug(tuple(address[jack] for jack in there), number, cord.length_cm))
        else:
            raise NotNow(
                f"cord {number} has a loose end beside those that move: plug it or pull it first", f"#{number}"
            )
    return together([*leave, *enter])


def read_exchange(text: str, names: Names) -> AtBay:
    """'X, Y': what is in X and what is in Y change places; 'mics X, Y', 'jacks X, Y' where both could be meant."""
    quotes = Quotes(text.strip())
    ends = Ends(names, quotes)
    words = quotes.text.split(None, 1)
    mics_alone = len(words) == 2 and words[0].casefold() in ("mics", "microphones")
    readings: Readings[AtBay] = Readings()
    for texts in ends.forms(words[1] if mics_alone else quotes.text, readings):
        if len(texts) == 2:
            readings.attempt(lambda texts=texts: _exchange(texts, ends, names, mics_alone))  # type: ignore[misc]
        elif len(texts) != 1 or not readings.refusals:
            readings.refusals.append(Malformed("say what changes places: exchange X, Y", text))
    return readings.one(text.strip())


def _exchange(texts: tuple[str, ...], ends: Ends, names: Names, mics_alone: bool) -> AtBay:
    state = names.state
    lines = [_mic_line(each, ends) for each in texts]
    mics = [state.mics.get(line.index) if line is not None else None for line in lines]
    addressed = any(names.jack_by_address_or_none(each) is not None for each in texts)
    plain = [ends.quotes.plain(each) for each in texts]
    if mics_alone or not addressed:
        jacks = None if mics_alone else _held(texts, ends)
        if all(mics) and jacks is not None and all(jack in state.plugs for jack in jacks):
            words = [f"exchange {', '.join(map(names.address, jacks))}", f"exchange mics {', '.join(plain)}"]
            raise Ambiguous(f"a plug and a microphone are at both: {' or '.join(map(repr, words))}", "", words)
        if mics_alone or (all(mics) and (jacks is None or not all(jack in state.plugs for jack in jacks))):
            return _mics_exchanged(lines, state, plain)
    held = _held(texts, ends, refuse=True)
    assert held is not None
    first, second = held
    for jack in held:
        ends.names.cord_in(jack, names.address(jack))
    if state.plugs[first] == state.plugs[second]:
        raise NotNow(f"both are plugs of cord {state.plugs[first]}: nothing would change")
    return AtBay(all_moved(state, [(first, second), (second, first)]))


def _held(texts: tuple[str, ...], ends: Ends, refuse: bool = False) -> list[int] | None:
    try:
        return [ends.end(each, "", True)[0] for each in texts]
    except (NotNow, Ambiguous, Malformed):
        if refuse:
            raise
        return None


def _mic_line(text: str, ends: Ends) -> Port | None:
    try:
        port = ends.names.mic_line(ends.quotes.bare(text))
    except (NotNow, Ambiguous, Malformed):
        return None
    return port if port.kind.is_mic_line else None


def _mics_exchanged(lines: list[Port | None], state: State, texts: list[str]) -> AtBay:
    """Both microphones leave their lines before either is on the other's."""
    found = []
    for line, text in zip(lines, texts, strict=True):
        if line is None or line.index not in state.mics:
            raise NotNow(f"no microphone is on {text if line is None else line.name}", text)
        found.append((line.name, state.mics[line.index].name))
    (one, mic), (other, second) = found
    if mic == second:
        raise NotNow(f"a {mic} is on both: nothing would change")
    return AtBay(together([Clear(one), Clear(other), Put(second, one), Put(mic, other)]))
