"""Phantom: 'phantom X on', lists, 'phantom all off', 'phantom on X', '48v on X'; 'phantom X' and 'phantom' only show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from model.bay.actions import Action, Phantom, together
from model.bay.refusals import Ambiguous, Malformed, NotNow
from model.entry.answer import Answer
from model.entry.draft import Draft
from model.entry.entry import Asks, AtBay
from model.language.ends import Ends
from model.language.names import Names
from model.language.quotes import Quotes
from model.language.readings import Readings
from model.live.told import said
from model.room.wiring import Port
from model.signal.flow import inputs_fed_by, outputs_feeding
from model.text.listing import list_words
from model.text.written import written

_WAYS = ("on", "off")


@dataclass(frozen=True, slots=True)
class ShowPhantom(Asks):
    """Which supplies are on, and which microphone lines they meet; of some supplies, or of all that are on."""

    ports: tuple[str, ...] = ()

    def __str__(self) -> str:
        return " ".join(["phantom", ", ".join(map(written, self.ports))]).strip()

    def run(self, draft: Draft) -> Answer:
        """Show them."""
        room, state = draft.room, draft.patch.state
        named = [room.port_named[name] for name in self.ports] if self.ports else room.ports
        found, words = [], []
        for port in named:
            if port.supply is None or not (self.ports or state.is_on(port.supply.switch)):
                continue
            lines = [
                p.name for at in sorted(outputs_feeding(state, port.index)) if (p := room.ports[at]).kind.is_mic_line
            ]
            on = state.is_on(port.supply.switch)
            found.append({"supply": port.name, "switch": port.supply.switch, "on": on, "lines": lines})
            on_line = f"; it is at {list_words(lines)}" if lines else "; no microphone line is at it"
            words.append(f"phantom at {port.name} is {'on' if on else 'off'}{on_line}")
        lit = tuple(jack for port in named if self.ports for jack in room.jacks_of_port[port.index])
        return Answer(said=said(*words or ["no phantom supply is on"]), extra={"phantom": found}, lit=lit)


def read_phantom(text: str, names: Names) -> AtBay | ShowPhantom:
    """'X on', 'on X', 'all off', 'X', or nothing."""
    quotes = Quotes(text.strip())
    ends = Ends(names, quotes)
    words = quotes.text.split()
    if not words:
        return ShowPhantom()
    readings: Readings[AtBay | ShowPhantom] = Readings()
    last, first = words[-1].casefold(), words[0].casefold()
    if last in _WAYS and len(words) > 1:
        of = quotes.text[: -len(last)].strip()
        readings.attempt(lambda: _switched(of, last == "on", ends))
    if first in _WAYS and len(words) > 1:
        after = quotes.text[len(first) :].strip()
        readings.attempt(lambda: _switched(after, first == "on", ends))
    if len(words) == 1 and first in _WAYS:
        raise Malformed("say whose phantom", text)
    readings.attempt(lambda: ShowPhantom(tuple(port.name for port in _supplies(quotes.text, ends))))
    return readings.one(text.strip())


def _supplies(text: str, ends: Ends) -> list[Port]:
    """The inputs whose supplies a list means."""
    readings: Readings[_Several] = Readings()
    for texts in ends.forms(text, readings):
        readings.attempt(lambda texts=texts: _Several([_supply(each, ends) for each in texts]))  # type: ignore[misc]
    return readings.one(ends.quotes.plain(text)).ports


class _Several:
    """Some supplies, written as their list."""

    def __init__(self, ports: Sequence[Port]) -> None:
        self.ports = list(dict.fromkeys(ports))

    def __str__(self) -> str:
        return ", ".join(port.name for port in self.ports)


def _supply(text: str, ends: Ends) -> Port:
    """The input that a name means; a microphone line means the one supply that it meets."""
    names = ends.names
    port = names.supply(ends.quotes.bare(text))
    if port.supply is not None or not port.kind.is_mic_line:
        if port.supply is None:
            raise NotNow(f"{port.name} has no phantom supply", text)
        return port
    met = [names.room.ports[at] for at in sorted(inputs_fed_by(names.state, port.index))]
    supplied = [each for each in met if each.supply is not None]
    switches = {each.supply.switch for each in supplied if each.supply is not None}
    if not switches:
        raise NotNow(f"{port.name} is at no input with a phantom supply", text)
    if len(switches) > 1:
        inputs = [each.name for each in supplied]
        raise Ambiguous(f"{port.name} is at {list_words(inputs)}: say which of them", text, inputs)
    return supplied[0]


def _switched(text: str, on: bool, ends: Ends) -> AtBay:
    """Each switch thrown once; what is already so stays."""
    names = ends.names
    if text.casefold() == "all":
        switches = names.room.ports_of_switch
        ports = [names.room.ports[inputs[0]] for name, inputs in switches.items() if names.state.is_on(name) != on]
        if not ports:
            raise NotNow(f"every phantom supply is {'on' if on else 'off'} already")
    else:
        ports = _supplies(text, ends)
    actions: dict[str, Action] = {}
    already: list[str] = []
    for port in ports:
        assert port.supply is not None
        if len(ports) > 1 and names.state.is_on(port.supply.switch) == on:
            already.append(port.name)
        else:
            actions.setdefault(port.supply.switch, Phantom(port.name, on))
    if not actions:
        raise NotNow(f"phantom at {list_words(already)} is already {'on' if on else 'off'}")
    told = (f"phantom at {list_words(already)} is already {'on' if on else 'off'}",) if already else ()
    return AtBay(together(list(actions.values())), told)
