"""The commands that find a fault: dead, good, swap, fault."""

from __future__ import annotations

import re
from dataclasses import dataclass

from model.bay.actions import Plug, Pull, Together
from model.bay.edits import state_after
from model.bay.refusals import Ambiguous, Malformed, NotNow, Refusal
from model.entry.answer import Answer
from model.entry.draft import Draft
from model.entry.entry import Acts, Asks, Changes, Entry
from model.fault.chain import flow_to, joined_jacks, passed, plays, sources_of
from model.fault.reasoning import Element, Finding, Observation, heard_again
from model.fault.search import FAULT
from model.fault.trials import fresh_cord, still_fed, trials
from model.fault.words import Standing, as_json, heard_words, standing_words, suspects_words
from model.language.names import OUT, Names
from model.language.targets import JACK, PORT, Target, jack_words, read_port, read_target, wired_words
from model.live.told import said
from model.room.wiring import NO_PORT
from model.signal.flow import is_output
from model.text.listing import list_words
from model.text.suggest import listed

MAX_HEARD = 200  # observations of one fault
_FROM = re.compile(r"\s+from\s+", re.IGNORECASE)


def standing_of(draft: Draft) -> Standing:
    """Where the search of a session stands."""
    observations = draft.get(FAULT)
    finding = Finding(observations, draft.room.priors)
    found = trials(finding, draft.names, lambda action: tuple(load for _, load in draft.patch.do(action).change.broken))
    doubtful = [doubt.dead for doubt in finding.doubts]
    dead = [heard for heard in observations if not heard.works and heard not in doubtful]
    unfed = tuple(heard for heard in dead if not still_fed(heard, draft.names)) if not found else ()
    return Standing(finding, found, unfed, draft.names)


def standing_answer(draft: Draft, first: tuple[str, ...] = ()) -> Answer:
    """Where the search stands, after some first lines."""
    standing = standing_of(draft)
    words, offers = standing_words(standing)
    jacks = {address for element, _ in standing.finding.suspects for address in element.jacks}
    lit = {jack for address in jacks if (jack := draft.names.jack_by_address_or_none(address)) is not None}
    return Answer(said=said(*first, *words), extra=as_json(standing), lit=tuple(sorted(lit)), offers=offers)


@dataclass(frozen=True, slots=True)
class Heard(Changes):
    """What was heard at a place while a source played: that the signal was there, or that it was not."""

    place: str
    works: bool
    source: str = ""  # empty: the only one that can be meant

    def __str__(self) -> str:
        return f"{'heard' if self.works else 'dead'} {self.place}{f' from {self.source}' if self.source else ''}"

    def run(self, draft: Draft) -> Answer:
        """Record it, and say where the search stands. Raises a refusal where no source's signal leads there."""
        if len(draft.get(FAULT)) >= MAX_HEARD:
            raise NotNow(f"{MAX_HEARD} places were heard for this fault: 'fault over' ends it, then begin again")
        target = read_target(self.place, draft.names)
        source = self._source(draft, target)
        target, way = _way(draft, target, source)
        heard = Observation(target.name, self.works, draft.room.ports[source].name, way)
        draft.put(FAULT, tuple(heard_again(draft.get(FAULT), heard)))
        first = [heard_words(heard)]
        if target.name != self.place and target.kind == PORT:
            first.append(f"A plug in {self.place} would take the signal away, so it counts as heard in {target.name}.")
        return standing_answer(draft, tuple(first))

    def _source(self, draft: Draft, target: Target) -> int:
        """The source that plays: the one that was named, or the one that it must be."""
        room, state = draft.room, draft.patch.state
        if self.source:
            source = room.port_named[self.source].index
            if not is_output(room, source) or not plays(room, source) or source not in flow_to(state, target):
                raise NotNow(
                    f"{self.source} does not lead to {self.place} now: 'why {self.place}' says why", self.source
                )
            return source
        found = sources_of(state, target)
        names = [room.ports[port].name for port in found]
        if not found:
            raise NotNow(f"nothing leads to {self.place} now: 'why {self.place}' says why", self.place)
        before = {heard.source for heard in draft.get(FAULT)}
        for few in (
            found,
            [port for port in found if room.ports[port].name in before],
            # of several microphone lines, the one that a microphone is on
            [port for port in found if port in state.mics],
        ):
            if len(few) == 1:
                return few[0]
        raise Ambiguous(
            f"several sources lead to {self.place}: {listed(names, 'and')}. Say which one plays: "
            f"{self} from {names[0]}",
            self.place,
            names,
        )


def _way(draft: Draft, target: Target, source: int) -> tuple[Target, tuple[Element, ...]]:
    """Where a target is heard, and what the signal passes on every way there.

    A jack is heard with a plug in it. Where that takes the signal away, what was heard is the input behind the jack.
    """
    room, state = draft.room, draft.patch.state
    if target.kind == JACK and target.jacks[0] not in state.plugs:
        way = passed(state_after(state, Plug((target.name,))), source, target)
        if way:
            return target, way
        jack = target.jacks[0]
        port = room.port_at[jack]
        if port == NO_PORT or room.ports[port].kind.is_output:
            beside = [room.jacks[there].address for there in joined_jacks(state, jack)]
            raise NotNow(
                f"nothing can be heard at {jack_words(room, jack)}: a plug there takes the signal away. "
                f"Listen at {' or '.join(beside) or 'another place'}",
                target.name,
            )
        target = Target(PORT, room.ports[port].name, room.jacks_of_port[port], room.ports[port])
    way = passed(state, source, target)
    if not way:
        raise NotNow(f"{room.ports[source].name} does not lead to {target.name} now", target.name)
    return target, way


@dataclass(frozen=True, slots=True)
class Swap(Acts):
    """Another cord in the place of one."""

    cord: int

    def __str__(self) -> str:
        return f"swap #{self.cord}"

    def _action(self, draft: Draft) -> Together:
        state = draft.patch.state
        cord = state.cords.get(self.cord)
        if cord is None:
            raise NotNow(f"no cord {self.cord} is in the bay", f"#{self.cord}")
        jacks = tuple(draft.names.address(jack) for jack in cord.plugs)
        return Together((Pull(self.cord), Plug(jacks, fresh_cord(state, draft.get(FAULT)))))

    def _words(self, action: Together) -> str:
        plug = action.actions[1]
        assert isinstance(plug, Plug)
        return f"cord {plug.cord} in the place of cord {self.cord}: {' > '.join(plug.jacks)}"

    def run(self, draft: Draft) -> Answer:
        """Swap it, as one step. Raises NotNow where the cord is not in the bay."""
        action = self._action(draft)
        change = draft.act(action)
        old, plug = f"#{self.cord}", action.actions[1]
        assert isinstance(plug, Plug)
        heard = [h.place for h in reversed(draft.get(FAULT)) if not h.works and any(e.of == old for e in h.passed)]
        words = [self._words(action)]
        offers: tuple[str, ...] = ()
        if heard:
            place = f"#{plug.cord}" if heard[0] == old else heard[0]
            words.append(f"Hear {place} again: 'heard {place}' if the signal came back, 'dead {place}' if not.")
            offers = (f"heard {place}", f"dead {place}")
        return Answer(change, said(*words), offers=offers, canonical=str(action))


@dataclass(frozen=True, slots=True)
class ShowFault(Asks):
    """Where the search stands."""

    def __str__(self) -> str:
        return "fault"

    def run(self, draft: Draft) -> Answer:
        """Say what was heard, what can be at fault, and what to try next."""
        if not draft.get(FAULT):
            return Answer(said=said("no fault is looked for: 'dead X' says where a signal is missing"))
        return standing_answer(draft, tuple(heard_words(heard) for heard in draft.get(FAULT)))


@dataclass(frozen=True, slots=True)
class Forget(Changes):
    """What was heard at one place, or all of it, does not count any more."""

    place: str = ""  # empty: all of it, and the search is over

    def __str__(self) -> str:
        return f"fault without {self.place}" if self.place else "fault over"

    def _left(self, draft: Draft) -> tuple[Observation, ...]:
        if not draft.get(FAULT):
            raise NotNow("no fault is looked for")
        if not self.place:
            return ()
        meant = self._meant(draft)
        left = tuple(heard for heard in draft.get(FAULT) if heard.place not in meant)
        if len(left) == len(draft.get(FAULT)):
            places = list(dict.fromkeys(heard.place for heard in draft.get(FAULT)))
            raise NotNow(f"nothing was heard at {self.place}, only at {list_words(places)}", self.place)
        return left

    def run(self, draft: Draft) -> Answer:
        """Forget it. Raises NotNow where nothing was heard."""
        left = self._left(draft)
        if left:
            draft.put(FAULT, left)
            return standing_answer(draft, (f"what was heard at {self.place} does not count any more",))
        over = self._over(draft)
        draft.put(FAULT, ())
        return Answer(said=said(over))

    def _meant(self, draft: Draft) -> set[str]:
        """The names under which the place may have been recorded: a jack's, and that of the port behind it."""
        try:
            target = read_target(self.place, draft.names)
        except Refusal:
            return {self.place}  # a cord that is out of the bay by now
        wired = {wired_words(draft.room, jack) for jack in target.jacks} if target.kind in (JACK, PORT) else set()
        jacks = {draft.names.address(jack) for jack in target.jacks} if target.kind == PORT else set()
        return {target.name} | wired | jacks

    def _over(self, draft: Draft) -> str:
        """The last word of a search, for the record."""
        finding = Finding(draft.get(FAULT), draft.room.priors)
        names = [element.name for element, _ in finding.suspects]
        if finding.is_found:
            return f"the search is over: it was {list_words(names)}"
        if not names:
            return "the search is over"
        return f"the search is over without a culprit: {suspects_words(finding)}"


def _read_heard(word: str, works: bool, text: str, names: Names) -> Heard:
    if not text.strip():
        raise Malformed(f"say where: {word} tape 1 in, {word} C5, {word} #7, {word} C5 from hall 3")
    cuts = list(_FROM.finditer(text))
    if not cuts:
        return Heard(read_target(text, names).name, works)
    refusal: Refusal | None = None
    for cut in reversed(cuts):  # a name may hold the word 'from' itself
        try:
            place = read_target(text[: cut.start()], names).name
            source = read_port(text[cut.end() :], names, OUT)
            return Heard(place, works, source.name)
        except Refusal as why:
            refusal = refusal or why
    try:
        return Heard(read_target(text, names).name, works)
    except Refusal:
        assert refusal is not None
        raise refusal from None


def read_dead(text: str, names: Names) -> Heard:
    """'X', 'X from Y'."""
    return _read_heard("dead", False, text, names)


def read_good(text: str, names: Names) -> Heard:
    """'X', 'X from Y'."""
    return _read_heard("heard", True, text, names)


def read_fault(text: str, names: Names) -> Entry:
    """Nothing, 'over', or 'without X'."""
    word, _, place = text.strip().partition(" ")
    if not word:
        return ShowFault()
    if word.casefold() == "over" and not place:
        return Forget()
    if word.casefold() == "without" and place:
        try:
            return Forget(read_target(place, names).name)
        except Refusal:
            return Forget(place.strip())  # what was heard there may be out of the bay by now
    raise Malformed("after 'fault' comes nothing, 'over', or 'without' and a place", text)


def read_swap(text: str, names: Names) -> Swap:
    """'#7', or a jack or a name that holds its plug."""
    return Swap(names.cord_meant(text))
