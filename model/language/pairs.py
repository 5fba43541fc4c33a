"""Several ports that one name means: a pair, L and R; what gear joins inside; what a normal joins to a send."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence

from model.bay.refusals import Ambiguous, NotNow
from model.language.nameindex import words_of
from model.language.names import MAX_NAMED, Named, Names
from model.room.wiring import Port
from model.text.suggest import listed

Joint = tuple[Port, Port]
RETURNED = ("send that a normal joins to its return", "sends that normals join to their returns")


def _side_and_family(name: str) -> tuple[str, str]:
    words = words_of(name)
    sides = [word for word in words if word in ("l", "r")]
    return (sides[0], " ".join(word for word in words if word not in ("l", "r"))) if len(sides) == 1 else ("", "")


def pair(text: str, names: Names, way: str) -> tuple[Named, Named] | None:
    """The pair that a name means: L and R of one family of ports; None where what fits best is no pair.

    Raises Ambiguous where two families fit.
    """
    for group in names.index.matching(text):
        entries = names.entries
        asked = any(entries[number].way == way for number in group.entries)  # whether any is of the way asked for
        families: dict[str, dict[str, Named]] = defaultdict(dict)
        for number in group.entries:
            entry = entries[number]
            if asked and entry.way != way:
                continue
            side, family = _side_and_family(entry.name)
            if not side or side in families[family]:
                return None
            families[family][side] = entry
        if any(len(sides) != 2 for sides in families.values()):
            return None
        if len(families) > 1:
            raise Ambiguous(
                f"'{text}' fits {len(families)} pairs: {listed(list(families), 'or', MAX_NAMED)}?", text, list(families)
            )
        sides = next(iter(families.values()))
        return sides["l"], sides["r"]
    return None


def _matched(text: str, names: Names) -> list[Port]:
    """The ports that a name fits best; an unknown name is refused by the words of :meth:`Names.entry`."""
    jack = names.jack_by_address_or_none(text)
    if jack is not None:
        at = names.room.port_at[jack]
        return [names.room.ports[at]] if at >= 0 else []
    for group in names.index.matching(text):
        ports = [port for entry in group.entries if (port := names.entries[entry].port) is not None]
        if ports:
            return ports
    names.entry(text)
    return []


def gear_joints(text: str, names: Names) -> list[Joint]:
    """The input and the output that gear in the middle of a chain joins; L and R where there are two of a pair."""
    room = names.room
    ports = _matched(text, names)
    among = {port.index for port in ports}
    found = [
        (port, room.ports[out])
        for port in ports
        if not port.kind.is_output
        for out in room.carried(port.index)
        if out in among
    ]
    return _one_or_pair(
        text,
        found,
        ("input and output that its gear joins", "inputs with outputs that its gear joins"),
        lambda joint: f"{joint[0].name} and {joint[1].name}",
    )


def insert_joints(text: str, names: Names, wanted: Callable[[str], str]) -> list[Joint]:
    """The output and the input that a normal joins among the ports of a name: a send and its return.

    One output alone means the input that it is normalled to. ``wanted`` writes the entry for one of several.
    """
    room = names.room
    ports = _matched(text, names)
    among = {port.index for port in ports}
    found: list[Joint] = []
    for port in ports:
        if not port.kind.is_output:
            continue
        for jack in room.jacks_of_port[port.index]:
            for normal in room.normals_at.get(jack, ()):
                at = room.port_at[normal.bottom if normal.top == jack else normal.top]
                if at < 0 or room.ports[at].kind.is_output or (port, room.ports[at]) in found:
                    continue
                if at in among or len(ports) == 1:
                    found.append((port, room.ports[at]))
    return _one_or_pair(text, found, RETURNED, lambda joint: wanted(joint[0].name))


def _one_or_pair(text: str, found: Sequence[Joint], what: tuple[str, str], word: Callable[[Joint], str]) -> list[Joint]:
    if len(found) == 1:
        return list(found)
    if not found:
        raise NotNow(f"'{text}' has no {what[0]}", text)
    sides = [_side_and_family(joint[0].name) for joint in found]
    if len(found) == 2 and sides[0][1] == sides[1][1] and {sides[0][0], sides[1][0]} == {"l", "r"}:
        return sorted(found, key=lambda joint: _side_and_family(joint[0].name)[0])
    words = [word(joint) for joint in found]
    raise Ambiguous(f"'{text}' has {len(found)} {what[1]}: {listed(words, 'or', MAX_NAMED)}?", text, words)
