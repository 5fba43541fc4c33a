"""The cautions of a single action: what hands must see to first, before a plug moves, a microphone or a switch.

``OCCASIONS`` is the table of all of them, and the only place of their words: work lists and paper read it as well. A caution
that always stood would dull the eye: at line level there is one only where people hear what the plug does.

Source: a plug's tip passes other contacts on its way in, so that a supply is shorted for a moment, and what that sends into
gear and loudspeakers can harm them (Bortoni and Kirkwood, J. Audio Eng. Soc. 58(3), 2010). The rest is common practice.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from collections.abc import Set as AbstractSet
from typing import NamedTuple

from model.room.wiring import Port
from model.signal.circuit import Circuit, names
from model.signal.warning import DANGER, WARNING, Alert, figure_words
from model.text.listing import list_words

MONITORS_DOWN = "Monitors and headphones down"
WORK_FIRST = f"{MONITORS_DOWN} before the first plug."
BLEED_DOWN = "half a minute for it to bleed down"
BLEED_FIRST = "Give it half a minute to bleed down before the next plug or microphone."


class Moment(NamedTuple):
    """One action: the nets that it touches before and after, the jacks that plugs enter or leave, and the other ports.

    ``ports`` are those whose supply is switched, or whose microphone changes.
    """

    before: Sequence[Circuit]
    after: Sequence[Circuit]
    jacks: AbstractSet[int]
    ports: AbstractSet[int]
    at_plugs: Sequence[Circuit]  # the nets at the line contacts of the jacks, after and before

    def at_ports(self, lines: bool) -> Iterator[Circuit]:
        """The nets of the ports that are microphone lines (or of those that are not), after and before."""
        for circuit in (*self.after, *self.before) if self.ports else ():
            if any(port.index in self.ports and port.kind.is_mic_line is lines for port in circuit.ports):
                yield circuit


class Occasion(NamedTuple):
    """When to caution, and the words.

    ``text`` says what is the case at ``{at}``; ``first`` what to see to, as a sentence of its own.
    """

    rule: str
    severity: str
    says: str
    text: str
    first: str
    met: Callable[[Moment], Iterable[tuple[tuple[Port, ...], Circuit]]]
    figures: tuple[str, ...] = ()


def _supplies_at(circuits: Iterable[Circuit]) -> Iterator[tuple[tuple[Port, ...], Circuit]]:
    for circuit in circuits:
        if circuit.supplies:
            yield tuple(circuit.supplies), circuit


def _hot_plugs(moment: Moment) -> Iterator[tuple[tuple[Port, ...], Circuit]]:
    return _supplies_at(moment.at_plugs)


def _hot_microphones(moment: Moment) -> Iterator[tuple[tuple[Port, ...], Circuit]]:
    return _supplies_at(moment.at_ports(lines=True))


def _switched(moment: Moment, on: bool) -> Iterator[tuple[tuple[Port, ...], Circuit]]:
    was, now = (moment.before, moment.after) if on else (moment.after, moment.before)
    before = {port.index for circuit in was for port in circuit.supplies}
    found = [
        (port, circuit)
        for circuit in now
        for port in circuit.supplies
        if port.index in moment.ports and port.index not in before
    ]
    if found:
        yield tuple({port.index: port for port, _ in found}.values()), found[0][1]


def _switched_on(moment: Moment) -> Iterator[tuple[tuple[Port, ...], Circuit]]:
    return _switched(moment, on=True)


def _switched_off(moment: Moment) -> Iterator[tuple[tuple[Port, ...], Circuit]]:
    return _switched(moment, on=False)


def _loudspeaker_lines(moment: Moment) -> Iterator[tuple[tuple[Port, ...], Circuit]]:
    for circuit in moment.at_plugs:
        at = tuple(port for port in circuit.ports if port.kind.family == "speaker")
        if at:
            yield at, circuit


def _digital_feeds(moment: Moment) -> Iterator[tuple[tuple[Port, ...], Circuit]]:
    for circuit in moment.at_plugs:
        at = tuple(port for port in circuit.inputs if port.kind.digital)
        if at and any(port.kind.digital for port in circuit.outputs):
            yield at, circuit


def _ways_to_ears(moment: Moment) -> Iterator[tuple[tuple[Port, ...], Circuit]]:
    for circuit in moment.at_plugs:
        at = tuple(port for port in circuit.inputs if port.ears)
        if at and circuit.outputs:
            yield at, circuit


LOUDSPEAKER_LINE = Occasion(
    "loudspeaker-line",
    DANGER,
    "a plug enters or leaves a loudspeaker's line",
    "A plug goes in or out on the loudspeaker line of {at}.",
    "Power amplifier down or off: a plug shorts its contacts on the way in.",
    _loudspeaker_lines,
)
DIGITAL_FEED = Occasion(
    "digital-feed",
    WARNING,
    "a plug makes or breaks a digital or clock feed",
    "This plug makes or breaks the digital feed of {at}.",
    f"Recorders stopped, {MONITORS_DOWN.lower()}: lost lock can crack at full scale.",
    _digital_feeds,
)
PHANTOM_ON = Occasion(
    "phantom-on",
    WARNING,
    "a phantom supply is switched on",
    "Switching phantom on at {at} thumps.",
    f"{MONITORS_DOWN}.",
    _switched_on,
)
PHANTOM_OFF = Occasion(
    "phantom-off",
    WARNING,
    "a phantom supply is switched off",
    "Switching phantom off at {at} thumps, and the line stays charged for a while.",
    f"{MONITORS_DOWN}. {BLEED_FIRST}",
    _switched_off,
)
OCCASIONS: tuple[Occasion, ...] = (
    Occasion(
        "hot-plug",
        DANGER,
        "a plug enters or leaves a line with phantom on, before or after",
        "Phantom is on at {at} (up to {line_v} on the line) while a plug goes in or out.",
        f"{MONITORS_DOWN}, phantom off at {{at}}, and {BLEED_DOWN}.",
        _hot_plugs,
        ("line_v",),
    ),
    Occasion(
        "hot-microphone",
        DANGER,
        "a microphone is put on a line with phantom on, or taken off it",
        "Phantom is on at {at} (up to {line_v} on the line) while a microphone is plugged or unplugged.",
        f"{MONITORS_DOWN}, phantom off at {{at}}, and {BLEED_DOWN}.",
        _hot_microphones,
        ("line_v",),
    ),
    LOUDSPEAKER_LINE,
    DIGITAL_FEED,
    PHANTOM_ON,
    PHANTOM_OFF,
    Occasion(
        "heard-plug",
        WARNING,
        "a plug makes or breaks a feed of monitors, headphones or cues",
        "What this plug makes or breaks is heard at {at}.",
        f"{MONITORS_DOWN}.",
        _ways_to_ears,
    ),
)

# What to see to at the jacks of each family of ports, where a list of work is made and no single action is looked at.
FAMILY_CAUTIONS: dict[str, str] = {
    "mic": f"{MONITORS_DOWN}: a microphone line.",
    "speaker": LOUDSPEAKER_LINE.first,
    **dict.fromkeys(("aes3", "coax", "clock"), DIGITAL_FEED.first),
}


def cautions(
    before: Sequence[Circuit], after: Sequence[Circuit], jacks: AbstractSet[int], ports: AbstractSet[int]
) -> tuple[Alert, ...]:
    """The cautions of one action, in the order of the table. See :class:`Moment` for what is asked of it."""
    if not jacks and not ports:
        return ()
    contacts = {2 * jack for jack in jacks}
    at_plugs = [circuit for circuit in (*after, *before) if not contacts.isdisjoint(circuit.nodes)]
    moment = Moment(before, after, jacks, ports, at_plugs)
    return tuple(_caution(occasion, met) for occasion in OCCASIONS if (met := list(occasion.met(moment))))


def _caution(occasion: Occasion, met: list[tuple[tuple[Port, ...], Circuit]]) -> Alert:
    """One caution for all the nets of an action on which the occasion is met, with the highest voltage among them."""
    told = names({port for at, _ in met for port in at})
    volts = [circuit.line_v for _, circuit in met]
    known = [line_v for line_v in volts if line_v is not None]
    most = max(known) if occasion.figures and len(known) == len(volts) else None
    said = {"at": list_words(told, most=6), "line_v": figure_words("line_v", most)}
    return Alert(
        occasion.rule,
        occasion.severity,
        told,
        {} if most is None else {"line_v": most},
        occasion.text.format(**said),
        occasion.first.format(**said),
        node=min(met[0][1].nodes),
    )
