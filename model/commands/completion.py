"""Completion of the typed entry: whole entries that what was typed so far may become, the likeliest first."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import NamedTuple

from model.commands.reading import command_of
from model.commands.table import COMMANDS
from model.entry.draft import Draft
from model.entry.guarded import GUARDED
from model.language.names import IN, OUT, Named, Names

MOST = 12


class Completion(NamedTuple):
    """An entry as it would stand when the completion is taken, and what the list shows for it."""

    entry: str
    label: str


def complete(text: str, draft: Draft, most: int = MOST) -> list[Completion]:
    """What the line may become. Names come in the order in which they are likely to be meant.

    That is: words met whole before words begun, the way (output, input) that the place in the line asks for, jacks that can
    take the plug before jacks that cannot, then the order of the room file.
    """
    if not text.strip() or text.rstrip().endswith("?"):
        return []
    before, parted, part = text.rpartition(";")
    if parted and command_of(text)[0].free_text is None:  # the last of several entries
        return [one._replace(entry=f"{before}; {one.entry}") for one in complete(part.lstrip(), draft, most)]
    word, space, _ = text.partition(" ")
    found: list[Completion] = []
    if not space and not text.startswith("#"):
        found = [Completion(f"{name} ", name) for name in COMMANDS if name.startswith(word.casefold())]
    command, rest = command_of(text)
    if command.offers and (space or command.word == "plug"):
        found += OFFERS[command.offers](rest, text[: len(text) - len(rest)], draft, most)
    return found[:most]


def _names_for(
    text: str, before: str, names: Names, way: str, held: bool, most: int, one_jack: bool = True
) -> list[Completion]:
    """Entries of the room whose names a text meets, as lines that begin with what stands before it.

    Where ``one_jack`` is wanted and a name stands for several, such as a tie line's two ends, their addresses are offered.
    """
    plugs = names.state.plugs
    found = []
    for entry in _likeliest(names, text, way, held, most):
        fitting = [jack for jack in entry.jacks if (jack in plugs) == held] or entry.jacks
        if one_jack and len(fitting) > 1 and (held or not entry.alike):
            addresses = map(names.address, fitting)
            found += [Completion(f"{before}{address}", f"{entry.name}  {address}") for address in addresses]
            continue
        where = " ".join(names.address(jack) for jack in entry.jacks[:3])
        found.append(Completion(f"{before}{entry.name}", f"{entry.name}  {where}".rstrip()))
    return found[:most]


def _likeliest(names: Names, text: str, way: str, held: bool, most: int) -> list[Named]:
    """The first entries that a text meets: by how well, then those with a fitting jack, then those of the way asked for."""
    plugs = names.state.plugs
    likeliest: list[Named] = []
    for group in names.index.matching(text):
        ranked: dict[tuple[bool, bool], list[Named]] = {
            (unfit, astray): [] for unfit in (False, True) for astray in (False, True)
        }
        best = ranked[False, False]
        for number in group.entries:
            entry = names.entries[number]
            unfit = all((jack in plugs) != held for jack in entry.jacks)
            ranked[unfit, bool(way) and entry.way not in (way, "")].append(entry)
            if len(likeliest) + len(best) >= most:
                break  # the rest of the group, large in a large room, stands behind these
        likeliest += [entry for entries in ranked.values() for entry in entries]
        if len(likeliest) >= most:
            break
    return likeliest[:most]


def _last_end(rest: str) -> tuple[str, str]:
    """What is being typed after the last '>' or comma, and the text before it."""
    at = max(rest.rfind(">"), rest.rfind(","))
    return rest[at + 1 :].strip(), f"{rest[: at + 1]} " if at >= 0 else ""


def _ends(rest: str, before: str, draft: Draft, most: int) -> list[Completion]:
    names = draft.names
    end, done = _last_end(rest)
    if end.startswith("#") or (end and names.jack_by_address_or_none(end) is not None):
        return []
    return _names_for(end, before + done, names, IN if ">" in done else OUT, False, most)


def _held(rest: str, before: str, draft: Draft, most: int) -> list[Completion]:
    names = draft.names
    state = names.state
    if not rest.strip() or rest.strip().startswith("#"):
        numbers = [n for n in sorted(state.cords) if str(n).startswith(rest.strip().lstrip("#"))]
        return [
            Completion(f"{before}#{n}", f"#{n}  {names.room.cord_words(state.cords[n].plugs)}") for n in numbers[:most]
        ]
    return _names_for(rest.strip(), before, names, "", True, most)


def _held_jack(rest: str, before: str, draft: Draft, most: int) -> list[Completion]:
    names = draft.names
    if rest.strip():
        return _names_for(rest.strip(), before, names, "", True, most)
    told = [(names.address(jack), number) for jack, number in sorted(names.state.plugs.items())]
    return [Completion(f"{before}{address}", f"{address}  #{number}") for address, number in told[:most]]


def _move(rest: str, before: str, draft: Draft, most: int) -> list[Completion]:
    names = draft.names
    end, done = _last_end(rest)
    return _names_for(end, before + done, names, IN if ">" in done else "", ">" not in done, most)


def _supplies(rest: str, before: str, draft: Draft, most: int) -> list[Completion]:
    names = draft.names
    words = rest.rsplit(None, 1)
    if len(words) == 2 and words[1].casefold() in ("o", "on", "of", "off"):
        return [
            Completion(f"{before}{words[0]} {way}", way) for way in ("on", "off") if way.startswith(words[1].casefold())
        ]
    found = _ported(rest, before, names, lambda e: e.port is not None and e.port.supply is not None, most)
    if rest.endswith(" ") and len(found) == 1:
        return [Completion(f"{before}{rest.strip()} {way}", way) for way in ("on", "off")]
    return found


def _ported(rest: str, before: str, names: Names, wanted: Callable[[Named], bool], most: int) -> list[Completion]:
    entries = names.entries
    text = rest.strip()
    if not text:
        fitting = [entry for entry in entries if wanted(entry)]
    else:
        fitting = [entries[e] for group in names.index.matching(text) for e in group.entries if wanted(entries[e])]
    return [Completion(f"{before}{entry.name}", entry.name) for entry in fitting[:most]]


def _mic_line(entry: Named) -> bool:
    return entry.port is not None and entry.port.kind.is_mic_line


def _put(rest: str, before: str, draft: Draft, most: int) -> list[Completion]:
    names = draft.names
    parts = re.split(r"\s+on(?:\s+|$)", rest, maxsplit=1, flags=re.IGNORECASE)
    if len(parts) == 2:
        return _ported(parts[1], f"{before}{parts[0].strip()} on ", names, _mic_line, most)
    text = rest.strip()
    mics = (
        [names.room.mics[e] for group in names.mics.matching(text) for e in group.entries] if text else names.room.mics
    )
    return [Completion(f"{before}{mic.name} on ", mic.name) for mic in mics[:most]]


def _with_mic(rest: str, before: str, draft: Draft, most: int) -> list[Completion]:
    names = draft.names
    mics = names.state.mics
    return _ported(rest, before, names, lambda e: e.port is not None and e.port.index in mics, most)


def _any_name(rest: str, before: str, draft: Draft, most: int) -> list[Completion]:
    names = draft.names
    return _names_for(rest.strip(), before, names, "", False, most, one_jack=False)


def _saved(rest: str, before: str, draft: Draft, most: int) -> list[Completion]:
    """Saved patches, the newest first, and the house patch."""
    from model.patches.shelf import HOUSE  # loaded already where anything is saved

    name, done = _last_end(rest)
    return _patches([*_saved_names(draft), HOUSE], name, before + done, most)


def _own_saved(rest: str, before: str, draft: Draft, most: int) -> list[Completion]:
    """Saved patches alone."""
    return _patches(_saved_names(draft), rest.strip(), before, most)


def _saved_names(draft: Draft) -> list[str]:
    from model.patches.shelf import SHELF  # not before a saved patch is asked for

    return list(draft.get(SHELF).patches)[::-1]


def _patches(known: list[str], name: str, before: str, most: int) -> list[Completion]:
    fitting = [patch for patch in known if patch.casefold().startswith(name.casefold()) and patch != name]
    return [Completion(f"{before}{patch}", patch) for patch in fitting[:most]]


def _on_hold(rest: str, before: str, draft: Draft, most: int) -> list[Completion]:
    """The cords on hold, each with its reason."""
    from model.patches.shelf import SHELF  # not before a hold is asked for

    holds = draft.get(SHELF).standing_holds(draft.patch.state)
    fitting = [n for n in sorted(holds) if str(n).startswith(rest.strip().lstrip("#"))]
    return [Completion(f"{before}#{n}", f"#{n}  {holds[n].why}") for n in fitting[:most]]


def _proposed(rest: str, before: str, draft: Draft, most: int) -> list[Completion]:
    """The proposals, each with its first line."""
    numbered = enumerate(draft.proposals, start=1)
    told = [(str(number), proposal) for number, proposal in numbered if str(number).startswith(rest.strip())]
    return [
        Completion(f"{before}{number}", f"{number}  {proposal.about or proposal.actions[0]}")
        for number, proposal in told[:most]
    ]


def _fault(rest: str, before: str, draft: Draft, most: int) -> list[Completion]:
    """The end of the search, and what was heard."""
    from model.fault.search import FAULT  # not before a fault is looked for

    heard = list(dict.fromkeys(each.place for each in draft.get(FAULT)))
    told = ["over", *(f"without {place}" for place in heard)] if heard else []
    text = " ".join(rest.split()).casefold()
    return [Completion(f"{before}{words}", words) for words in told if words.casefold().startswith(text)][:most]


def _guarded(rest: str, before: str, draft: Draft, most: int) -> list[Completion]:
    """The connections that are guarded."""
    pairs = sorted(draft.get(GUARDED))
    told = [f"{source} > {load}" for source, load in pairs]
    return [Completion(f"{before}{pair}", pair) for pair in told if rest.strip().casefold() in pair.casefold()][:most]


# What a command's ``offers`` stands for: a function of the text after its word, the text before that, and the draft.
OFFERS: dict[str, Callable[[str, str, Draft, int], list[Completion]]] = {
    "ends": _ends,
    "held": _held,
    "held jack": _held_jack,
    "move": _move,
    "supplies": _supplies,
    "put": _put,
    "with mic": _with_mic,
    "name": _any_name,
    "saved": _saved,
    "own saved": _own_saved,
    "on hold": _on_hold,
    "proposed": _proposed,
    "fault": _fault,
    "guarded": _guarded,
}
