"""Phantom power by what it meets: nothing to work from, two inputs on one line, what must not see it. IEC 61938.

Not modelled: transformers, which may keep phantom out, and a supply that is off but pulls to ground; off counts as open.
"""

from __future__ import annotations

from model.room.kinds import PhantomClass, phantom_class
from model.room.wiring import Mic, Port, Supply
from model.signal.cautions import MONITORS_DOWN
from model.signal.circuit import Circuit, names
from model.signal.rules.making import parting, under, warn
from model.signal.warning import DANGER, NOTE, WARNING, Alert, figure_words
from model.text.listing import list_words

BLEED_WAIT = "Give it half a minute to bleed down"
RIBBON = (
    "A sound balanced line drives no current through a ribbon; a plug on its way in, an unbalanced lead or one broken leg "
    "does, and can stretch it."
)


def needs_v(mic: Mic) -> float | None:
    """The least on its line from which a microphone works, V; None for one that needs no phantom.

    What the room file states; else the least supply of its class less what the microphone's own draw costs in the feed of
    that class (P48: 44 V less 3.4 V for each mA). A microphone of no class needs the volts that the room file gives it.
    """
    if mic.phantom_v is None:
        return None
    if mic.works_from_v is not None:
        return mic.works_from_v
    known = phantom_class(mic.phantom_v)
    if known is None:
        return mic.phantom_v
    return known.least_v - known.feed_ohm / 2 * min(mic.draws_ma, known.most_ma) / 1000


def no_phantom(circuit: Circuit) -> Alert | None:
    """A microphone that needs phantom has none on its line, or less than it works from."""
    if not circuit.mics:
        return None
    needing = [p for p in circuit.outputs if p.index in circuit.mics and circuit.mics[p.index].phantom_v is not None]
    if not needing:
        return None
    return _starved(circuit, needing) if circuit.supplies else _without(circuit, needing)


def _without(circuit: Circuit, needing: list[Port]) -> Alert:
    return warn(
        circuit,
        "no-phantom",
        NOTE,
        needing,
        {},
        f"No phantom reaches {list_words(_mics_on(circuit, needing))}, which cannot work without it.",
        _way_to_phantom(circuit),
    )


def _way_to_phantom(circuit: Circuit) -> str:
    """How to give a line phantom; never where something on the line would be harmed by it."""
    elsewhere = "Take its line to a preamplifier with phantom of the microphone's class."
    victims = [told for _, told in must_not_see_it(circuit)]
    if victims:
        return f"Not on this line: phantom would reach {list_words(victims)}. {elsewhere}"
    able = [p for p in circuit.inputs if p.supply is not None]
    if not able:
        return elsewhere
    first = min(able, key=lambda p: p.name)
    room = circuit.state.room
    others = [room.ports[i].name for i in room.ports_of_switch[_supply(first).switch] if i != first.index]
    shared = f" Its switch is that of {list_words(others, most=6)} too: first see that nothing is harmed there."
    return f"{MONITORS_DOWN}, then phantom on at {first.name}.{shared if others else ''}"


def _starved(circuit: Circuit, needing: list[Port]) -> Alert | None:
    line_v = circuit.line_v
    starved: list[Port] = []
    most: float | None = None
    told: list[str] = []
    for port in needing:
        mic = circuit.mics[port.index]
        least = needs_v(mic)
        if least is None:
            continue
        if line_v is not None and under(line_v, least):
            told.append(f"the {mic.name} on {port.name} works from {figure_words('needs_v', least)}")
        elif (made_for := _weaker_class(circuit, mic)) is not None:
            told.append(f"the {mic.name} on {port.name} is made for {made_for.name}")
        else:
            continue
        starved.append(port)
        most = least if most is None else max(most, least)
    if not starved:
        return None
    return warn(
        circuit,
        "no-phantom",
        WARNING,
        starved,
        {"line_v": line_v, "needs_v": most},
        f"Too little phantom: {_stands_at(circuit)} ({_supply_words(circuit.supplies)}), and {list_words(told)}.",
        "One microphone to a supply, and a supply of the class that the microphone is made for.",
        feeds=circuit.supplies,
    )


def _weaker_class(circuit: Circuit, mic: Mic) -> PhantomClass | None:
    """The class that a microphone is made for, where every supply on its line is of a lower one."""
    if mic.works_from_v is not None or mic.phantom_v is None:
        return None
    known = phantom_class(mic.phantom_v)
    if known is None:
        return None
    lower = all(_supply(p).volts < known.least_v for p in circuit.supplies)
    return known if lower else None


def stray_phantom(circuit: Circuit) -> Alert | None:
    """Phantom reaches what must not see it: a microphone that it harms, an output, an input not made for microphones."""
    supplies = circuit.supplies
    if not supplies:
        return None
    found = must_not_see_it(circuit)
    if not found:
        return None
    most = max(_supply(p).volts for p in supplies)
    harmed = any((mic := circuit.mic_on(p)) is not None and mic.harmed for p, _ in found)
    if all(p.kind.is_mic_line or p.kind.is_mic_in for p, _ in found):
        after = f"{BLEED_WAIT} before anything is unplugged."
    else:
        after = f"{BLEED_WAIT}, and only then {parting(circuit)}."
    return warn(
        circuit,
        "stray-phantom",
        DANGER,
        [*supplies, *(p for p, _ in found)],
        {"line_v": circuit.line_v},
        f"Phantom from {list_words(names(supplies))} puts up to {figure_words('line_v', most)} on "
        f"{list_words([told for _, told in found])}.{f' {RIBBON}' if harmed else ''}",
        f"{MONITORS_DOWN}, then phantom off at {list_words(names(supplies))}. {after}",
        feeds=supplies,
    )


def must_not_see_it(circuit: Circuit) -> list[tuple[Port, str]]:
    """What phantom on a net would harm, each with its words."""
    found: dict[Port, str] = {}
    for port in circuit.outputs:
        mic = circuit.mic_on(port)
        if not port.kind.is_mic_line:
            found[port] = port.name
        elif mic is not None and mic.harmed:
            found[port] = f"the {mic.name} on {port.name}"
    for port in circuit.inputs:
        if not port.kind.is_mic_in:
            found[port] = f"{port.name}, which is not made for microphones"
    for port in circuit.ports:
        if not port.balanced and port not in found:
            found[port] = f"{port.name}, whose line is unbalanced, so that one leg is shorted"
    return list(found.items())


def shared_phantom(circuit: Circuit) -> Alert | None:
    """A supply is on, on a line that two or more microphone inputs share: it reaches them all."""
    supplies = circuit.supplies
    if not supplies:
        return None
    mic_ins = [p for p in circuit.inputs if p.kind.is_mic_in]
    if len(mic_ins) < 2:
        return None
    classes = {_class_of(_supply(p)) for p in supplies}
    on = list_words(names(supplies))
    figures = {"supplies": len(supplies), "line_v": circuit.line_v, "feed_ohm": circuit.feed_ohm}
    if len(supplies) == 1:
        text = f"Phantom from {on} reaches every input on this line; {_stands_at(circuit)}."
        fix = (
            f"Nothing is to be done where each of these inputs is built to stand it. Else: {MONITORS_DOWN.lower()}, phantom "
            "off, and take the line to one input alone, or split it by a transformer."
        )
    else:
        current = circuit.circulating_ma
        figures["circulating_ma"] = current
        unlike = " of unlike class" if len(classes) > 1 else ""
        runs = (
            f", and up to {figure_words('circulating_ma', current)} runs from one to another"
            if current is not None and current >= 0.005  # less is none, rounded for the eye
            else ""
        )
        text = f"{len(supplies)} phantom supplies{unlike} feed one line, {on}: {_stands_at(circuit)}{runs}."
        fix = f"{MONITORS_DOWN}, then leave phantom on at one of them alone, of the class that the microphone needs."
    others = [_stands_it(p, classes) for p in mic_ins if p not in supplies]
    return warn(
        circuit,
        "shared-phantom",
        DANGER if len(classes) > 1 else WARNING,
        mic_ins,
        figures,
        " ".join([text, *others]),
        fix,
        feeds=supplies,
    )


def _stands_it(port: Port, classes: set[str]) -> str:
    """Whether another input on a line with phantom is built to stand it, as far as the room file tells."""
    if port.supply is not None and classes == {_class_of(port.supply)}:
        return f"{port.name} has a supply of that class itself, and is built to stand it."
    has = "no supply" if port.supply is None else f"a supply of {_class_of(port.supply)} only"
    return f"{port.name} has {has}: whether it stands this is not known, read its manual first."


def _class_of(supply: Supply) -> str:
    known = phantom_class(supply.volts)
    return figure_words("supply_v", supply.volts) if known is None else known.name


def _supply(port: Port) -> Supply:
    assert port.supply is not None
    return port.supply


def _supply_words(supplies: list[Port]) -> str:
    return list_words([f"{_class_of(_supply(p))} from {p.name}" for p in sorted(supplies, key=lambda p: p.name)])


def _stands_at(circuit: Circuit) -> str:
    if circuit.line_v is None:
        return "what the line stands at is unknown, for the room file gives no feed resistor"
    return f"the line stands at {figure_words('line_v', circuit.line_v)}"


def _mics_on(circuit: Circuit, ports: list[Port]) -> list[str]:
    return [f"the {circuit.mics[p.index].name} on {p.name}" for p in ports]
