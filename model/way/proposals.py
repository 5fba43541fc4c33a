"""Cords that are proposed for what someone wants, and using one of the proposals."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from model.bay.actions import Action, Move, Plug, PlugLooseEnd, Unplug, singles, together
from model.bay.refusals import Malformed, NotNow, Refusal
from model.entry.answer import Answer
from model.entry.draft import Draft
from model.entry.entry import Acts
from model.language.names import Names
from model.language.targets import wired_words
from model.live.change import Change
from model.live.told import CAUTION, SAID, Told, action_words, said, told
from model.room.wiring import Room
from model.signal.warning import DANGER, NOTE, WARNING
from model.text.listing import counted, list_words

MOST = 3  # proposals shown


@dataclass(frozen=True, slots=True)
class Proposal:
    """What to do at the bay, and what the engine says that it would change."""

    actions: tuple[Action, ...]
    change: Change
    reach: int  # points apart on the bays, over all its cords
    about: str = ""  # which gear stands in for which

    @property
    def action(self) -> Action:
        """All of it, as one step."""
        return together(self.actions)

    @property
    def cords(self) -> int:
        """How many cords it takes, those whose loose end it plugs among them."""
        return sum(isinstance(action, Plug | PlugLooseEnd) for action in self.actions)

    @property
    def raised(self) -> tuple[int, int, int]:
        """How many dangers, warnings and notes it raises."""
        severities = [warning.severity for warning in self.change.raised]
        return severities.count(DANGER), severities.count(WARNING), severities.count(NOTE)

    @property
    def quiet(self) -> bool:
        """Whether it raises nothing."""
        return not self.change.raised

    @property
    def best_first(self) -> tuple[Any, ...]:
        """Sort key: no warning raised, then fewest cords, then shortest reach; what breaks least among equals."""
        return self.raised, self.cords, self.reach, len(self.change.broken), tuple(map(str, self.actions))

    def way(self, room: Room) -> tuple[str, ...]:
        """What it joins, by name: two proposals of one way differ in nothing but which jack of a mult or port they use."""
        return self.about, *(named(action, room) or str(action) for action in self.actions)

    def as_json(self, number: int, room: Room) -> dict[str, Any]:
        """As `rehearse --json` prints it."""
        return {
            "number": number,
            "about": self.about or None,
            "entries": [str(action) for action in self.actions],
            "named": [named(action, room) for action in self.actions],
            "cords": self.cords,
            "reach": self.reach,
            "change": self.change.as_json(room),
        }

    def told(self, number: int, room: Room) -> list[Told]:
        """To read: its cautions, its lines by jack and by name, and its consequences."""
        about = f"{self.about}; " if self.about else ""
        lines = [Told(SAID, f"{number}: {about}{counted(self.cords, 'cord')}, reach {self.reach}")]
        beside = [each._replace(indent=5) for each in told(self.change, room)]
        lines += [each for each in beside if each.kind == CAUTION]
        for action in singles(self.action):
            name = named(action, room)
            lines.append(Told(SAID, f"{action}{f'  ({name})' if name else ''}", indent=3))
        return lines + [each for each in beside if each.kind != CAUTION]


def best_of(proposals: Iterable[Proposal], room: Room) -> list[Proposal]:
    """Up to three proposals worth choosing between, best first.

    Where one raises nothing, none that raises something is among them; nor is one that takes more cords than another and
    raises no less; nor the same way by another jack of the same mult or port.
    """
    ranked = sorted(proposals, key=lambda proposal: proposal.best_first)
    found: list[Proposal] = []
    ways: set[tuple[str, ...]] = set()
    for proposal in ranked:
        outdone = any(other.cords < proposal.cords and other.raised <= proposal.raised for other in found)
        loud = bool(found) and found[0].quiet and not proposal.quiet
        if not outdone and not loud and proposal.way(room) not in ways:
            found.append(proposal)
            ways.add(proposal.way(room))
        if len(found) == MOST:
            break
    return found


def named(action: Action, room: Room) -> str:
    """What a line at the bay is about, by the names of what is wired to its jacks; empty where it names them itself."""
    match action:
        case Plug(jacks=addresses):
            return " > ".join(_wired(room, address) for address in addresses)
        case PlugLooseEnd(jack=address) | Unplug(jack=address):
            return _wired(room, address)
        case Move(jack=start, to=end):
            return f"{_wired(room, start)} > {_wired(room, end)}"
        case _:
            return ""


def _wired(room: Room, address: str) -> str:
    jack = room.jack_of(address)
    return address if jack is None else wired_words(room, jack) or address


def answer(draft: Draft, proposals: Sequence[Proposal], words: Sequence[str]) -> Answer:
    """The answer to a question that proposals answer; they can be used by their numbers from then on."""
    room = draft.room
    lines = [*said(*words)]
    for number, proposal in enumerate(proposals, start=1):
        lines += proposal.told(number, room)
    if len(proposals) == 1:
        lines += said("'use 1' does it as one step")
    elif proposals:
        lines += said("'use' and its number does one as one step")
    return Answer(
        said=tuple(lines),
        extra={"proposals": [p.as_json(number, room) for number, p in enumerate(proposals, start=1)]},
        lit=tuple(sorted(proposals[0].change.jacks)) if proposals else (),
        offers=tuple(f"use {number}" for number in range(1, len(proposals) + 1)),
        proposals=tuple(proposals),
    )


def same_consequences(a: Change, b: Change) -> bool:
    """Whether two changes say the same, but for the numbers of cords."""
    return a._replace(cords=(), jacks=()) == b._replace(cords=(), jacks=())


@dataclass(frozen=True, slots=True)
class Use(Acts):
    """Do one of the proposals, as one step."""

    number: int

    def __str__(self) -> str:
        return f"use {self.number}"

    def run(self, draft: Draft) -> Answer:
        """Do it. Raises NotNow where there is no such proposal, or it would not do any more what it promised."""
        action = self._chosen(draft)
        if not singles(action):
            raise NotNow("nothing has to be plugged for that")
        words = said(str(action), *action_words(action, draft.room))
        return Answer(draft.act(action), words, canonical=str(action))

    def _chosen(self, draft: Draft) -> Action:
        proposals = draft.proposals
        if not proposals:
            raise NotNow("nothing is proposed: ask 'route X > Y' or 'around X' first")
        if self.number > len(proposals):
            raise NotNow(f"the proposals are {list_words([str(n) for n in range(1, len(proposals) + 1)])}")
        chosen: Proposal = proposals[self.number - 1]
        try:
            now = draft.patch.do(chosen.action).change
        except Refusal:
            now = None
        if now is None or not same_consequences(now, chosen.change):
            raise NotNow("the bay has changed since that was proposed, and it would do something else now: ask again")
        return chosen.action


def read_use(text: str, names: Names) -> Use:
    """'1': the number of a proposal."""
    digits = text.strip()
    if not digits.isdigit() or not digits.isascii() or len(digits) > 3 or int(digits) < 1:
        raise Malformed("say which proposal: use 1", text)
    return Use(int(digits))
