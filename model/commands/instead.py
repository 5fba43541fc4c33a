"""What to type instead of an entry that was refused: entries that it may have meant, for the session to try one by one."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from model.bay.refusals import Ambiguous, Refusal
from model.commands.table import WORDS
from model.entry.draft import Draft
from model.language.names import IN, OUT, Names
from model.text.written import written

_MOST_WORDS = 10
_SEVERITY = re.compile(r"why (?:note|warning|danger)s?", re.IGNORECASE)  # of which none stands

# What is typed by instinct, and what says it here. A group of the pattern stands as \1 or \g<name> in what is written.
SAID_ELSEWISE: tuple[tuple[str, str], ...] = (
    (r"(?:pull|unplug|remove) (?:everything|all cords|every cord)", "pull all"),
    (r"(pull|unplug|remove|why|trace|hold|find) cord (\d+)", r"\1 #\2"),
    (r"put (?:a|an|the) (.+)", r"put \1"),
    (r"put (?:nothing|no microphone|none) on (.+)", r"clear \1"),
    (r"(?:take|remove) .+? off (.+)", r"clear \1"),
    (r"\+?48v?\s+(?:on )?(.+)", r"phantom \1 on"),
    (r"phantom (on|off)", r"phantom all \1"),
    (r"(.+>.+?) #(\d+)", r"\1 as #\2"),
    (r"(.+>.+?) as (\d+)", r"\1 as #\2"),
    (r"undo \d+", "undo"),
    (r"split (.+?)\s*(?:>|to)\s*(.+?),\s*(.+)", r"\1 > \2 and \3"),
    (r"split (.+?)\s*(?:>|to)\s*(.+)", r"\1 > \2"),
    (r"(?:name|call|rename) (.+)", r"label \1"),
    (r"(.+?)\s*=\s*(.+)", r"label \1 = \2"),
    (r"(?:where is|where|show|go to|goto|go|locate|search)\s+(.+)", r"find \1"),
    (r"/\s*(.+)", r"find \1"),
    (r"(?:list|ls|status|show cords|show used|show)", "cords"),
    (r"(?:mic list|input list|inputs|microphones)", "mics"),
    (r"(?:log|record|notes)", "history"),
    (r"(?:load|open|restore) (.+)", r"recall \1"),
    (r"diff (.+)", r"compare \1"),
    (r"(?:next|done \d+|done all|tick)", "done"),
    (r"back", "undo"),
    (r"(hold \S+)(?: because)?", r"\1 because it stays"),
    (r"skip", "skip because it is not needed"),
)
_TABLE = tuple((re.compile(pattern, re.IGNORECASE), instead) for pattern, instead in SAID_ELSEWISE)


def instead(text: str, refusal: Refusal, draft: Draft) -> Iterator[str]:
    """Entries that a refused one may have meant, the likeliest first. Whether the bay allows them is for the caller to try."""
    text = " ".join(text.split())
    if not text:
        return
    names = draft.names
    first, _, rest = text.partition(" ")
    said_elsewise = False
    for pattern, written_so in _TABLE:
        found = pattern.fullmatch(text)
        if found is not None:
            said_elsewise = True
            yield found.expand(written_so)
    if first.casefold() not in WORDS:
        yield f"put {text}"
        yield f"insert {text}"
    for special in (
        _mic_as_source,
        _three_plugs,
        _mult,
        _cleared_all,
        _free_parts,
        _slashes,
        _of_microphone,
        _over_tie_lines,
    ):
        yield from special(text, names)
    yield from _of_session(text, draft)
    yield from _two_names(text, first, rest)
    if not said_elsewise and not _SEVERITY.fullmatch(text) and first.casefold() != "forget":
        yield from _by_candidates(text, refusal, names)
    if first.casefold() not in WORDS and names.means_something(text):
        yield f"find {text}"


def _two_names(text: str, first: str, rest: str) -> Iterator[str]:
    """Two names side by side: what stands between them is missing."""
    if ">" in text or " to " in text:
        return
    between: dict[str, Callable[[str, str], str]] = {
        "put": lambda a, b: f"put {a} on {b}",
        "swap": lambda a, b: f"exchange {a}, {b}",
        "exchange": lambda a, b: f"exchange {a}, {b}",
        "move": lambda a, b: f"move {a} > {b}",
        "guard": lambda a, b: f"guard {a} > {b}",
        "route": lambda a, b: f"route {a} > {b}",
        "insert": lambda a, b: f"insert {a} on {b}",
    }
    known = WORDS.get(first.casefold())
    written_so = between.get(known.word if known is not None else first.casefold())
    if written_so is None:
        if known is not None and known.word != "plug":
            return
        written_so = lambda a, b: f"{a} > {b}"  # noqa: E731
        rest = rest if known is not None else text
    words = rest.split()
    if not 2 <= len(words) <= _MOST_WORDS:
        return
    middle = len(words) / 2
    for at in sorted(range(1, len(words)), key=lambda at: abs(at - middle)):
        yield written_so(" ".join(words[:at]), " ".join(words[at:]))


def _mic_as_source(text: str, names: Names) -> Iterator[str]:
    """'ribbon > closet 1': a microphone is put on a line, not plugged."""
    source, sign, line = text.partition(">")
    if sign and names.mics.matching(source.strip()):
        yield f"put {source.strip()} on {line.strip()}"


def _three_plugs(text: str, _names: Names) -> Iterator[str]:
    """'X > Y > Z' that is no chain: a cord of three plugs."""
    ends = [end.strip() for end in text.split(">")]
    if len(ends) > 2:
        yield f"{ends[0]} > {' and '.join(ends[1:])}"


def _mult(text: str, names: Names) -> Iterator[str]:
    """'mult X': X into the first mult that is free."""
    word, _, rest = text.partition(" ")
    if word.casefold() in ("mult", "split") and rest and ">" not in rest:
        for mult in names.room.mults:
            if not any(jack in names.state.plugs for jack in mult.jacks):
                yield f"{rest} > {written(mult.name)}"
                return


def _cleared_all(text: str, names: Names) -> Iterator[str]:
    if text.casefold() in ("clear all", "clear mics", "clear") and names.state.mics:
        yield f"clear {', '.join(written(names.room.ports[line].name) for line in sorted(names.state.mics))}"


def _free_parts(text: str, names: Names) -> Iterator[str]:
    """'pull hall 1-8' where some are empty: those that are not."""
    word, _, rest = text.partition(" ")
    if word.casefold() in ("pull", "unplug", "remove") and rest:
        from model.language.lists import forms

        try:
            texts = forms(rest)[-1]
            held = []
            for each in texts:
                jack = names.jack(each, held=True)
                if jack in names.state.plugs:
                    held.append(names.address(jack))
        except Refusal:
            return
        if held:
            yield f"{word} {', '.join(held)}"


def _slashes(text: str, _names: Names) -> Iterator[str]:
    if re.search(r"\w\s*/\s*\w", text):
        yield re.sub(r"\s*/\s*", ", ", text)


def _of_microphone(text: str, names: Names) -> Iterator[str]:
    """'why ribbon': of the line on which it stands."""
    word, _, rest = text.partition(" ")
    if word.casefold() in ("why", "trace", "find", "clear", "where") and rest:
        mics = {names.mics.names[mic] for found in names.mics.matching(rest) for mic in found.entries}
        for line, mic in names.state.mics.items():
            if mic.name in mics:
                yield f"{word} {written(names.room.ports[line].name)}"


def _over_tie_lines(text: str, names: Names) -> Iterator[str]:
    """A cord from one place to another: the way over tie lines, or the one that stands already."""
    ends = [end.strip() for end in text.removeprefix("plug ").split(">")]
    if len(ends) != 2 or len(names.room.bays) < 2:
        return
    for side in ("", " l"):
        try:
            jacks = [names.jack(f"{ends[0]}{side}", OUT), names.jack(f"{ends[1]}{side}", IN)]
        except Refusal:
            continue
        if names.room.place_of(jacks[0]) != names.room.place_of(jacks[1]):
            yield f"route {ends[0]}{side} > {ends[1]}{side}"
            yield f"trace {names.address(jacks[0])}"


def _of_session(text: str, draft: Draft) -> Iterator[str]:
    """A command that was left without what it is about: the saved patch, the warning or the cord that stands."""
    word, _, rest = text.casefold().partition(" ")
    if word in ("recall", "compare") and not rest:
        from model.patches.shelf import HOUSE, SHELF  # not before a saved patch is asked for

        for name in (*list(draft.get(SHELF).patches)[::-1], HOUSE):
            yield f"{word} {name}"
    if word == "why" and rest:
        yield from (f"why {alert.rule}" for alert in draft.patch.standing_warnings() if rest in alert.rule)
    if word == "why":
        severities = {alert.severity: alert.rule for alert in draft.patch.standing_warnings()[::-1]}
        for severity, rule in [*severities.items()][::-1]:
            if not rest or rest.rstrip("s") == severity:
                yield f"why {rule}"
        if not rest:
            yield from (f"why #{number}" for number in sorted(draft.patch.state.cords)[:1])


def _by_candidates(text: str, refusal: Refusal, names: Names) -> Iterator[str]:
    """The entry with each candidate in the place of a name that fits several, or none."""
    typed = refusal.typed.strip()
    candidates: list[str] = []
    if isinstance(refusal, Ambiguous):
        candidates = list(refusal.candidates)
    else:
        near = getattr(refusal, "nearest", ())
        candidates = names.nearest(typed) if near is None else list(near)
    if not typed or typed.casefold() not in text.casefold():
        yield from candidates
        return
    at = text.casefold().index(typed.casefold())
    for candidate in candidates:
        whole = any(word in candidate for word in (" > ", "insert ", "move ", "exchange "))
        yield candidate if whole else f"{text[:at]}{candidate}{text[at + len(typed) :]}"
        known = typed.casefold().split()
        more = [word for word in candidate.casefold().split() if word not in known]
        if more and not whole:  # of a list: the word that each of its names lacks
            begin = at + len(typed.split()[0])
            yield f"{text[:begin]} {' '.join(more)}{text[begin:]}"
