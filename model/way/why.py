"""`why X`: why it is silent, why it carries more than one source, why it is split, why a warning stands; and what fixes it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any, NamedTuple

from model.bay.actions import Action, Pull, Unplug, together
from model.bay.refusals import Malformed, NotNow
from model.entry.answer import Answer
from model.entry.draft import Draft
from model.entry.entry import Asks
from model.entry.guarded import GUARDED
from model.language.names import Names
from model.language.targets import Target, contacts_of, read_target
from model.live.patch import Patch
from model.live.told import CAUTION, CHANGED, FIX, RAISED, Told, said, told
from model.room.wiring import line_contact
from model.signal import rules
from model.signal.flow import backward, begins, first_sources, follow, is_output, sure_sources
from model.signal.warning import Alert, worst_first
from model.text.listing import list_words
from model.way.fixes import Fix, Search, cord_lines, outputs_on, phantom_lines, ports_on, shortest_fix, sources_of
from model.way.joints import open_normals_at, path_to, steps_of, walk
from model.way.proposals import named
from model.way.silence import missing, source_words

SILENT, FED, JOINED, SPLIT, UNUSED, WARNING = (
    "silent",
    "fed",
    "more than one source",
    "split",
    "feeds nothing",
    "warning",
)
RULES = frozenset(rule.name for rule in rules.ALL_RULES)
MAX_NAMED = 6


class Finding(NamedTuple):
    """One thing that was found, in a sentence or two, with the line that would fix it."""

    kind: str
    text: str
    fix: Fix | None = None
    more: dict[str, Any] | None = None  # further keys of its JSON

    def as_json(self) -> dict[str, Any]:
        """As `rehearse --json` prints it."""
        fix = None if self.fix is None else str(self.fix.action)
        return {"finding": self.kind, "text": self.text, "fix": fix, **(self.more or {})}


class Asking:
    """One question about a target, or about a rule's warnings."""

    def __init__(self, draft: Draft) -> None:
        self.patch = draft.patch
        self.state = draft.patch.state
        self.room = draft.room
        self.guarded = draft.get(GUARDED)

    def about(self, target: Target) -> Iterator[Finding]:
        """All that is to be said about a target."""
        if not target.jacks and target.port is None:
            raise NotNow(f"{target.name} comes up at no jack of the bay")
        port = target.port
        if port is not None and not target.jacks:
            yield Finding(UNUSED, f"{port.name} comes up at no jack of the bay: no cord and no normal can reach it.")
        if port is not None and is_output(self.room, port.index):
            yield from self._feed_of_output(port.index)
            if target.jacks:
                yield from self._load(target)
        elif target.jacks:
            yield from self._feed(target)
        if target.jacks:
            yield from self._crowd(target)
        yield from self.warnings(self._standing_at(target))

    # Silence

    def _feed(self, target: Target) -> Iterator[Finding]:
        """Whether anything feeds some jacks, and where the way is broken."""
        contacts = target.contacts
        sources = sources_of(self.patch, contacts)
        if sources:
            yield self._carries(sources, sure_sources(self.state, outputs_on(self.patch, contacts)))
        else:
            yield self._silent(target.name, contacts)

    def _carries(self, sources: Sequence[int], sure: Collection[int]) -> Finding:
        """What feeds it for certain, and what does as gear is set tonight: assigned, selected, armed."""
        ports, more = self.room.ports, {}
        said = []
        for found, begin, key in (
            ([port for port in sources if port in sure], "It carries", "sources"),
            ([port for port in sources if port not in sure], "As the gear on its way is set, it may carry", "possible"),
        ):
            names = [source_words(self.room, self.state, port) for port in found[:MAX_NAMED]]
            if names:
                rest = f" and {len(found) - MAX_NAMED} more" if len(found) > MAX_NAMED else ""
                said.append(
                    f"{begin} {list_words(names)}{rest}.{self._no_microphone(found) if key == 'sources' else ''}"
                )
            more[key] = [ports[port].name for port in found]
        return Finding(FED, " ".join(said), more=more)

    def _no_microphone(self, sources: Sequence[int]) -> str:
        """Lines on which no microphone stands, where the input list is in use."""
        mics = self.state.mics
        bare = [self.room.ports[p].name for p in sources if self.room.ports[p].kind.is_mic_line and p not in mics]
        return f" No microphone is on {list_words(bare)} in the input list." if mics and bare else ""

    def _feed_of_output(self, port: int) -> Iterator[Finding]:
        """The same for an output: what comes into its gear."""
        room = self.room
        if begins(room, port):
            said = f"The signal of {room.ports[port].name} starts there.{self._no_microphone([port])}"
            yield Finding(FED, said, more={"sources": [room.ports[port].name]})
            return
        sources = first_sources(self.state, [port])
        if sources:
            yield self._carries(sources, sure_sources(self.state, [port]))
        else:
            entries = [contact for entry in room.carried_from(port) for contact in contacts_of(self.state, entry)]
            yield self._silent(room.ports[port].name, entries)

    def _silent(self, name: str, contacts: Sequence[int]) -> Finding:
        found = missing(self.state, contacts)
        near = outputs_on(self.patch, contacts)
        begin = f"{name} is silent: "
        if near:
            names = list_words([self.room.ports[port].name for port in near[:MAX_NAMED]])
            begin += f"{names} {'feeds' if len(near) == 1 else 'feed'} it, and nothing comes in there. "
        else:
            begin += "nothing feeds it. "
        if found is None:
            return Finding(
                SILENT, f"{begin}No normal and no tie line leads a source there: it needs a cord.", more={"breaks": []}
            )
        source = source_words(self.room, self.state, found.source)
        told = list(dict.fromkeys(each.words(self.state) for each in found.breaks))
        said = f"It should come from {source}: {told[0]}." if told else f"It should come from {source}."
        if len(told) > 1:
            said += f" After that {'; and '.join(told[1:])}."
        cords = list(dict.fromkeys(each.cord for each in found.breaks))
        actions = [action for each in found.breaks for action in self._take_out(each.cord, each.jack)]

        def fed(patch: Patch) -> bool:
            return bool(sources_of(patch, contacts))

        fix = self._fix(actions, fed).fix
        if fix is None and len(cords) > 1:
            fix = self._fix([together([Pull(cord) for cord in cords])], fed).fix
        jacks = self.room.jacks
        breaks = [
            {
                "normal": each.normal.kind,
                "from": jacks[each.normal.top].address,
                "to": jacks[each.normal.bottom].address,
                "jack": jacks[each.jack].address,
                "cord": each.cord,
            }
            for each in found.breaks
        ]
        more = {"source": self.room.ports[found.source].name, "breaks": breaks}
        return Finding(SILENT, begin + said, fix, more)

    def _take_out(self, cord: int, jack: int) -> tuple[Action, Action]:
        return Pull(cord), Unplug(self.room.jacks[jack].address)

    def _load(self, target: Target) -> Iterator[Finding]:
        """Whether an output feeds anything, and which plug keeps it from that."""
        if any(not is_output(self.room, port) for port in ports_on(self.patch, target.contacts)):
            return
        reached = walk(self.state, target.contacts)
        jacks = dict.fromkeys(contact >> 1 for contact in reached if not contact & 1)
        opened = list(dict.fromkeys(each for jack in jacks for each in open_normals_at(self.state, jack)))
        said = f"{target.name} feeds nothing"
        actions = [action for each in opened for jack, cord in each.plugs for action in self._take_out(cord, jack)]
        fix = self._fix(
            actions, lambda patch: any(not is_output(self.room, p) for p in ports_on(patch, target.contacts))
        ).fix
        if opened:
            said += f": {list_words([each.words(self.state) for each in opened])}"
        yield Finding(UNUSED, f"{said}.", fix)

    # More than one

    def _crowd(self, target: Target) -> Iterator[Finding]:
        """More than one output, or more than one input, on the net of a target."""
        ports = ports_on(self.patch, target.contacts)
        sources = [port for port in ports if is_output(self.room, port)]
        loads = [port for port in ports if not is_output(self.room, port)]
        if len(sources) > 1:
            ways = self._ways(sources, target.contacts)
            fix = self._fix(
                self._actions_at(target.contacts), lambda patch: len(outputs_on(patch, target.contacts)) == 1
            ).fix
            more = {"sources": [self.room.ports[port].name for port in sources]}
            yield Finding(JOINED, f"{len(sources)} outputs meet on its line: {ways}.", fix, more)
        if sources and len(loads) > 1:
            ways = self._ways(loads, contacts_of(self.state, sources[0]))
            fix = self._fix(self._actions_at(target.contacts), lambda patch: self._alone(patch, target, sources)).fix
            more = {"loads": [self.room.ports[port].name for port in loads]}
            source = list_words([self.room.ports[port].name for port in sources])
            yield Finding(
                SPLIT, f"{source} {'feeds' if len(sources) == 1 else 'feed'} {len(loads)} inputs: {ways}.", fix, more
            )

    def _alone(self, patch: Patch, target: Target, sources: Sequence[int]) -> bool:
        """Whether a patch leaves the target with its sources and one input, its own where it is one."""
        ports = ports_on(patch, target.contacts)
        loads = [port for port in ports if not is_output(self.room, port)]
        return set(sources) <= set(ports) and len(loads) == 1

    def _ways(self, ports: Sequence[int], contacts: Iterable[int]) -> str:
        """How some ports are joined to some contacts."""
        reached = walk(self.state, contacts)
        told = []
        for port in ports[:MAX_NAMED]:
            at = next((contact for contact in contacts_of(self.state, port) if contact in reached), None)
            steps = () if at is None else steps_of(self.state, path_to(reached, at))
            if is_output(self.room, port):
                steps = tuple(step.backwards() for step in reversed(steps))
            way = ", then ".join(step.words(self.room) for step in steps)
            told.append(f"{self.room.ports[port].name} ({way or 'at its own jack'})")
        return list_words(told) + (f" and {len(ports) - MAX_NAMED} more" if len(ports) > MAX_NAMED else "")

    # Warnings

    def warnings(self, standing: Iterable[Alert]) -> Iterator[Finding]:
        """Why some warnings stand, with the line after which they do not."""
        for warning in standing:
            contacts = self._contacts_of(warning)
            joints = sorted(
                {
                    f"Cord {number} ({' > '.join(self.room.jacks[jack].address for jack in self.state.cords[number].plugs)})"
                    for contact in contacts
                    if not contact & 1 and (number := self.state.plugs.get(contact >> 1)) is not None
                }
            )
            by = (
                f" {list_words(joints)} {'is' if len(joints) == 1 else 'are'} on that line."
                if joints and warning.ports
                else ""
            )
            found = self._fix(self._actions_at(contacts), partial(_is_gone, warning), lighter=True)
            remedy = f" {warning.fix}" if warning.fix else ""
            if found.harm is not None:
                action, danger = found.harm
                remedy += f" But not '{action}', which would be a danger: {danger.text}"
            yield Finding(
                WARNING,
                f"{warning.text}{by}{remedy}",
                found.fix,
                {"rule": warning.rule, "ports": list(warning.ports), "jacks": list(warning.jacks)},
            )

    def _contacts_of(self, warning: Alert) -> list[int]:
        """The contacts of the nets that a warning is about."""
        room = self.room
        starts = {c for name in warning.ports for c in contacts_of(self.state, room.port_named[name].index)}
        starts |= (
            {line_contact(jack.index) for jack in room.jacks if jack.address in warning.jacks}
            if warning.jacks
            else set()
        )
        if not starts and warning.rule == "short-of-cords":
            starts = {line_contact(cord.plugs[0]) for cord in self.state.cords.values() if len(cord.plugs) == 1}
        return list(walk(self.state, sorted(starts)))

    def _standing_at(self, target: Target) -> list[Alert]:
        """The warnings about a target's nets; of those before it, where a microphone waits for phantom."""
        reached = walk(self.state, target.contacts)
        ports = ports_on(self.patch, target.contacts)
        names = {self.room.ports[port].name for port in ports}
        addresses = {self.room.jacks[contact >> 1].address for contact in reached if not contact & 1}
        outputs = [port for port in ports if is_output(self.room, port)]
        before = {self.room.ports[node].name for node in follow(self.state, outputs, backward) if node >= 0}
        return sorted(
            (
                warning
                for warning in self.patch.standing.values()
                if names.intersection(warning.ports)
                or addresses.intersection(warning.jacks)
                or (warning.rule == "no-phantom" and before.intersection(warning.ports))
            ),
            key=worst_first,
        )

    # Cures

    def _actions_at(self, contacts: Iterable[int]) -> list[Action]:
        reached = list(walk(self.state, contacts))
        return [*cord_lines(self.patch, reached), *phantom_lines(self.patch, reached)]

    def _fix(self, actions: Iterable[Action], fixed: Callable[[Patch], bool], lighter: bool = False) -> Search:
        return shortest_fix(self.patch, self.guarded, actions, fixed, lighter)


def _is_gone(warning: Alert, patch: Patch) -> bool:
    """Whether its rule has nothing to say any more about any of a warning's ports or jacks."""
    about = {*warning.ports, *warning.jacks}
    return not any(
        other.rule == warning.rule
        and (other.identity == warning.identity or about.intersection(other.ports + other.jacks))
        for other in patch.standing.values()
    )


def told_of(findings: Sequence[Finding], draft: Draft) -> list[Told]:
    """The findings to read; before an action that would fix one, its cautions; after it, what it would raise."""
    lines: list[Told] = []
    known: set[str] = set()
    for finding in findings:
        lines += said(finding.text)
        fix = finding.fix
        if fix is not None and str(fix.action) not in known:
            known.add(str(fix.action))
            beside = told(fix.change, draft.room)
            lines += [each._replace(indent=2) for each in beside if each.kind == CAUTION]
            name = named(fix.action, draft.room) or _cord_words(fix.action, draft)
            lines.append(Told(FIX, f"{fix.action}{f'  ({name})' if name else ''}", fix=str(fix.action), indent=2))
            grown = {warning.text for warning in fix.change.grown}
            lines += [
                each._replace(indent=4)
                for each in beside
                if each.kind == RAISED or (each.kind == CHANGED and each.words in grown)
            ]
    return lines


def _cord_words(action: Action, draft: Draft) -> str:
    """Where the cord that a line pulls goes."""
    if not isinstance(action, Pull):
        return ""
    return draft.room.cord_words(draft.patch.state.cords[action.cord].plugs)


@dataclass(frozen=True, slots=True)
class Why(Asks):
    """Why something is as it is. ``of``: what an entry names, or a rule."""

    of: str

    def __str__(self) -> str:
        return f"why {self.of}"

    def run(self, draft: Draft) -> Answer:
        """Say it in a few sentences, and offer the lines that would fix it."""
        asking = Asking(draft)
        lit: set[int] = set()
        if self.of in RULES:
            standing = sorted((w for w in draft.patch.standing.values() if w.rule == self.of), key=worst_first)
            findings = list(asking.warnings(standing[:MAX_NAMED]))
            if not findings:
                findings = [Finding(WARNING, f"No {self.of} stands.", more={"rule": self.of, "ports": [], "jacks": []})]
        else:
            target = read_target(self.of, draft.names)
            findings = list(asking.about(target))
            lit.update(contact >> 1 for contact in walk(draft.patch.state, target.contacts) if not contact & 1)
        fixes = list(dict.fromkeys(str(finding.fix.action) for finding in findings if finding.fix is not None))
        found = {"of": self.of, "findings": [f.as_json() for f in findings], "fix": fixes[0] if fixes else None}
        return Answer(
            said=tuple(told_of(findings, draft)), extra={"why": found}, lit=tuple(sorted(lit)), offers=tuple(fixes)
        )


def read_why(text: str, names: Names) -> Why:
    """'X': a jack, a name, a cord, or a rule."""
    if not text.strip():
        raise Malformed("say about what: a name, a jack, a cord, or the rule of a warning")
    rule = text.strip().casefold()
    if rule in RULES:
        return Why(rule)
    return Why(read_target(text, names).name)
