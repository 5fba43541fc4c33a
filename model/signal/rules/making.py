"""What every rule is made of: its words, its function, the warning that it answers with, and how a bound is met."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import NamedTuple

from model.room.wiring import Port
from model.signal.circuit import Circuit, names
from model.signal.warning import Alert
from model.text.listing import list_words


class RuleWords(NamedTuple):
    """What a reader must know of a rule: its name, how bad it is at its worst, when it is raised, and its figures."""

    name: str
    severity: str
    says: str
    figures: tuple[str, ...] = ()


class Rule(NamedTuple):
    """A rule about a net: its words, and the function that finds it in the net's circuit."""

    words: RuleWords
    finds: Callable[[Circuit], Alert | None]


def warn(
    circuit: Circuit,
    rule: str,
    severity: str,
    ports: Iterable[Port],
    figures: Mapping[str, float | None],
    text: str,
    fix: str,
    impedances: Iterable[Port] = (),
    feeds: Iterable[Port] = (),
) -> Alert:
    """A warning of a net. ``impedances``, ``feeds``: the ports on whose impedance, on whose feed its figures rest.

    What of these is a default and not stated by the room file is said at the end of the text. A figure that is not known
    (None) is left out.
    """
    defaults = names(p for p in impedances if circuit.assumed(p))
    default_feeds = names(p for p in feeds if p.supply is not None and p.supply.feed_assumed)
    told = [
        f"{what} of {list_words(some, most=3)}"
        for what, some in (("impedance", defaults), ("feed resistors", default_feeds))
        if some
    ]
    return Alert(
        rule,
        severity,
        names(ports),
        {name: value for name, value in figures.items() if value is not None},
        f"{text} Assumed: {' and '.join(told)}." if told else text,
        fix,
        assumed=tuple(sorted({*defaults, *default_feeds})),
        node=min(circuit.nodes),
    )


def under(value: float, bound: float) -> bool:
    """Whether a figure is under a bound above 0. Ten loads of 10 k in parallel are 1 k, whatever the last digit says."""
    return value < bound * (1 - 1e-9)


def reaches(value: float, bound: float) -> bool:
    """Whether a figure is at a bound above 0 or over it."""
    return not under(value, bound)


def breaks_a_normal(circuit: Circuit) -> bool:
    """Whether a plug could part the net: a normal that a plug breaks is closed on it."""
    room = circuit.state.room
    on_net = set(circuit.nodes)
    for node in circuit.nodes:
        for normal in room.normals_at.get(node >> 1, ()):
            ends = room.ends_of_normal(normal)
            if on_net.issuperset(ends) and (ends[0] | ends[1]) & 1:
                return True
    return False


def parting(circuit: Circuit) -> str:
    """How hands can part what meets on a net: by a cord where there is one, by a normal where a plug breaks one."""
    ways = ["pull the cord that joins them"] if circuit.cords else []
    if breaks_a_normal(circuit):
        ways.append("break the normal that joins them with a plug")
    return ", or ".join(ways) or "have the wiring mended, for neither a cord nor a normal joins them"
