"""Cords that are proposed for what someone wants, and taking one of the proposals."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from model.bay.actions import Action, Move, Plug, PlugLooseEnd, Together, Unplug
from model.bay.refusals import Malformed, NotNow
from model.entry.requests import ActsAtBay, Answer
from model.language.names import Names
from model.language.targets import wired_words
from model.live.change import Change
from model.live.words import action_words, told
from model.room.addresses import split_address
from model.room.wiring import Room
from model.signal.warning import DANGER, NOTE, WARNING, list_words

if TYPE_CHECKING:
    from model.session import Session

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
        return self.actions[0] if len(self.actions) == 1 else Together(self.actions)

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
            "lines": [str(action) for action in self.actions],
            "named": [named(action, room) for action in self.actions],
            "cords": self.cords,
            "reach": self.reach,
            "change": self.change.as_json(),
        }

    def words(self, number: int, room: Room) -> list[str]:
        """To read: its lines, by jack and by name, and its consequences."""
        cords = f"{self.cords} cord{'' if self.cords == 1 else 's'}"
        lines = [f"{number}: {f'{self.about}; ' if self.about else ''}{cords}, reach {self.reach}"]
        for action in self.actions:
            name = named(action, room)
            lines.append(f"   {action}{f'  ({name})' if name else ''}")
        lines += [
            f"     {line.kind} {f'[{line.severity}] ' if line.severity else ''}{line.text}"
            for line in told(self.change)
        ]
        return lines


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
    return wired_words(room, jack_at_address(room, address)) or address


def jack_at_address(room: Room, address: str) -> int:
    """The number of the jack at an address that the engine itself has written."""
    place = split_address(address)
    found = room.jack_at(*place) if place else None
    if found is None:
        raise ValueError(f"no jack {address}")
    return found.index


def answer(session: Session, proposals: Sequence[Proposal], words: Sequence[str]) -> Answer:
    """The answer to a question that proposals answer; they can be taken by their numbers from then on."""
    session.proposals = tuple(proposals)
    room = session.room
    lines = list(words)
    lit: set[int] = set()
    for number, proposal in enumerate(proposals, start=1):
        lines += proposal.words(number, room)
    if proposals:
        lines.append(
            "'use 1' does the first as one step"
            if len(proposals) == 1
            else "'take' and its number does one as one step"
        )
        lit.update(proposals[0].change.jacks)
    return Answer(
        words=tuple(lines),
        extra={"proposals": [p.as_json(number, room) for number, p in enumerate(proposals, start=1)]},
        lit=tuple(sorted(lit)),
        offers=tuple(f"use {number}" for number in range(1, len(proposals) + 1)),
    )


def same_consequences(a: Change, b: Change) -> bool:
    """Whether two changes say the same, but for the number of the cord."""
    return (a.made, a.broken, a.split, a.joined, a.raised, a.cleared, a.cautions) == (
        b.made,
        b.broken,
        b.split,
        b.joined,
        b.raised,
        b.cleared,
        b.cautions,
    )


@dataclass(frozen=True, slots=True)
class Take(ActsAtBay):
    """Do one of the proposals, as one step."""

    number: int
    kept = True

    def __str__(self) -> str:
        return f"use {self.number}"

    def _chosen(self, session: Session) -> Action:
        proposals = session.proposals
        if not proposals:
            raise NotNow("nothing is proposed: ask 'route X > Y' or 'around X' first")
        if self.number > len(proposals):
            raise NotNow(f"the proposals are {list_words([str(n) for n in range(1, len(proposals) + 1)])}")
        chosen = proposals[self.number - 1]
        if not same_consequences(session.patch.preview(chosen.action), chosen.change):
            raise NotNow("the bay has changed since that was proposed, and it would do something else now: ask again")
        return chosen.action

    def run(self, session: Session) -> Answer:
        """Do it. Raises NotNow where there is no such proposal, or it would not do any more what it promised."""
        return self._told(session, session.act)

    def preview(self, session: Session) -> Answer:
        """What it would do."""
        return self._told(session, session.would)

    def _told(self, session: Session, do: Callable[[Action], Change]) -> Answer:
        action = self._chosen(session)
        return Answer(do(action), (str(action), *action_words(action, session.room)), kept_as=action)


def read_take(text: str, names: Names) -> Take:
    """'1': the number of a proposal."""
    digits = text.strip()
    if not digits.isdigit() or not digits.isascii() or len(digits) > 3 or int(digits) < 1:
        raise Malformed("say which proposal: take 1", text)
    return Take(int(digits))
