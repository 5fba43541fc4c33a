"""Known answers: a room, the lines typed at it, and what must follow, as plain text that someone of the trade can read.

Each file of ``tests/answers`` is one answer. It starts with comments: what it shows, and ``# Source:`` where the answer
comes from. Then:

    room:                                   a whole room file, indented by two spaces
      bayhand: 1
      ...
    at rest:                                what stands before any cord
    made: Keys > Desk
    > A1 > B2                               an entry, behind "> "
    made: Keys > Tape                       a connection: output > input
    broken: Keys > Desk
    split: Keys > Desk + Tape               one output, all inputs it now feeds
    joined: Keys + Organ > Desk               all outputs that now meet, at one input
    raised: danger joined-outputs: Keys, Organ [joined_loss_db 5.98]
    raised: note loose-end: jack B1 "It breaks Keys > Desk."
    cleared: loose-end: jack B1
    changed: warning heavy-load: Keys, Desk [ratio 4, loss_db 1.94] was note [ratio 8, loss_db 1.02]
    caution: danger hot-plug: Pre 1 in [line_v 48]
    refused: already holds a plug           words of the reason
    cord: 2                                 the number of the cord that was handled
    figures A1: loss_db 1.087               what `figures A1` says of the net; of its outputs, the one that loses most
    figures A1, Desk: headroom_db 14.1      the same, of one input
    nothing                                 the line is taken and has no consequence at all
    check:                                  what `check` finds in the wiring
    found: warning half-normalled-mic: A1, B1 at "1: half"

What is not said must not be: every list of a line holds exactly what stands under it, each warning exactly its ports and
its figures. Only ``cord`` and ``figures`` are looked at where they are written and nowhere else. A figure is right when it
rounds to the digits shown: 0.64 takes 0.635 to 0.645, and ``open`` is a figure without bound. Words in quotation marks
must stand in the sentence that the program says. After ``at`` stands text of the room file's line to which a finding
points. Comments ("# ") may stand between any two lines.

Every line is also asked first (as with " ?"), and the answer must be the same; after it, what is said to stand must be
what is found in the whole room from scratch; and all lines, undone one by one, must leave the room as it was at rest.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from model.check import WIRING_CHECKS, check_room
from model.check import as_json as check_json
from model.commands.reading import split_question
from model.rehearse import Played, as_json, at_rest_json
from model.room.file import parse_room
from model.room.file.bays import BAY_KEYS
from model.session import Outcome, Session
from model.signal.rules import ALL_RULES

ANSWERS = sorted(Path(__file__).with_name("answers").glob("*.txt"))
LISTS = ("made", "broken", "split", "joined", "raised", "cleared", "changed", "caution", "found")
JSON_NAMES = {"caution": "cautions", "found": "findings"}  # where the JSON's name is another one
PREVIEWED = ("ok", "error", "made", "broken", "split", "joined", "raised", "cleared", "changed", "cautions", "cord")
SEVERITIES = ("danger", "warning", "note")

_WARNING = re.compile(r"(?:(?P<severity>\w+) )?(?P<rule>[a-z]+(?:-[a-z0-9]+)*)(?:: (?P<about>.*))?")
_FIGURE = re.compile(r"(?P<name>[a-z0-9_]+) (?P<value>[-+]?\d+(?:\.\d+)?|open)")
_ASKED = re.compile(r"figures (?P<jack>[^,:]+)(?:, (?P<port>[^:]+))?: (?P<figures>.+)")


class Unreadable(Exception):
    """An answer file that does not keep to the syntax above."""


@dataclass
class Told:
    """A warning, a caution or a finding as a file tells of it."""

    text: str
    severity: str | None
    rule: str
    ports: list[str]
    jacks: list[str]
    figures: dict[str, str]
    words: str | None
    at: str | None
    was: tuple[str, dict[str, str]] | None = None  # severity and figures before, of a warning that is on

    def meets(self, got: dict[str, Any], room_lines: Sequence[str]) -> bool:
        """Whether this is what the program said."""
        return bool(
            self.rule == got["rule"]
            and self.severity in (None, got["severity"])
            and self.ports == got.get("ports", [])
            and (self.jacks == got.get("jacks", []) or (self.ports and not self.jacks))
            and (self.words is None or self.words in got["text"])
            and (self.at is None or self.at in room_lines[got["line"] - 1])
            and (self.was is None or self._was(got["was"]))
            # A warning that is cleared has no severity written, and no figures either.
            and (self.severity is None or agree(self.figures, got.get("figures", {})))
        )

    def _was(self, got: dict[str, Any]) -> bool:
        """Whether it was before what the file says that it was."""
        assert self.was is not None
        severity, figures = self.was
        return severity == got["severity"] and agree(figures, got["figures"])


class Asked(NamedTuple):
    """Figures of a net that are asked for."""

    jack: str
    load: str | None  # an input
    figures: dict[str, str]


@dataclass
class Step:
    """What stands under one head of a file: an entry, ``at rest:`` or ``check:``."""

    number: int  # the line of the file
    head: str
    expected: dict[str, list[Any]] = field(default_factory=lambda: {kind: [] for kind in LISTS})
    refused: str | None = None
    cord: int | None = None
    asked: list[Asked] = field(default_factory=list)
    nothing: bool = False

    @property
    def is_empty(self) -> bool:
        """Whether nothing has been said of it."""
        return not any(self.expected.values()) and self.refused is None and not self.asked and self.cord is None


@dataclass
class Answer:
    """One file."""

    comments: list[str]
    room: str
    steps: list[Step]


# Reading a file


def read_answer(text: str) -> Answer:
    """The answer that a file holds. Raises :class:`Unreadable`, with the line, where it is not clear what it says."""
    comments: list[str] = []
    room: list[str] = []
    steps: list[Step] = []
    in_room = False
    for number, line in enumerate(text.splitlines(), start=1):
        if in_room and (line.startswith("  ") or not line.strip()):
            room.append(line[2:])
            continue
        in_room = line == "room:"
        if in_room or not line.strip():
            continue
        if line.startswith("#"):
            comments.append(line[1:].strip())
        elif line.startswith("> ") or line in ("at rest:", "check:"):
            steps.append(Step(number, line))
        elif steps:
            _read_expectation(steps[-1], line, number)
        else:
            raise Unreadable(f"line {number}: '{line}' stands under no head")
    for step in steps:
        if step.is_empty != step.nothing:
            raise Unreadable(f"line {step.number}: say what follows from '{step.head}', or 'nothing', and not both")
    if not room or not steps:
        raise Unreadable("an answer has a room, and at least one head with what must follow")
    return Answer(comments, "\n".join(room), steps)


def _read_expectation(step: Step, line: str, number: int) -> None:
    kind, _, rest = line.partition(": ")
    asked = _ASKED.fullmatch(line)
    if line == "nothing":
        step.nothing = True
    elif asked is not None:
        step.asked.append(Asked(asked["jack"], asked["port"], _figures(asked["figures"], number)))
    elif kind == "refused" and rest:
        step.refused = rest
    elif kind == "cord" and rest.isdigit():
        step.cord = int(rest)
    elif kind in LISTS and rest:
        step.expected[kind].append(_READERS[kind](rest, number))
    else:
        raise Unreadable(f"line {number}: '{line}' is nothing that can be expected")


def _connection(text: str, number: int) -> list[str]:
    """'OUTPUT > INPUT'."""
    ends = text.split(" > ")
    if len(ends) != 2:
        raise Unreadable(f"line {number}: a connection is written 'output > input', not '{text}'")
    return ends


def _split(text: str, number: int) -> dict[str, Any]:
    """'OUTPUT > INPUT + INPUT'."""
    source, loads = _connection(text, number)
    return {"source": source, "loads": loads.split(" + ")}


def _tied(text: str, number: int) -> dict[str, Any]:
    """'OUTPUT + OUTPUT > INPUT'."""
    sources, load = _connection(text, number)
    return {"load": load, "sources": sources.split(" + ")}


def _figures(text: str, number: int) -> dict[str, str]:
    figures: dict[str, str] = {}
    for part in text.split(", "):
        found = _FIGURE.fullmatch(part)
        if found is None or found["name"] in figures:
            raise Unreadable(f"line {number}: '{part}' is no figure such as 'load_ohm 1200'")
        figures[found["name"]] = found["value"]
    return figures


def _warning(text: str, number: int) -> Told:
    """'SEVERITY RULE: PORT, PORT [FIGURE, FIGURE] "WORDS"'; 'jack A1' in place of the ports where it is about jacks."""
    left, words, figures = text, None, {}
    if found := re.fullmatch(r'(.*) "(.+)"', left):
        left, words = found[1], found[2]
    if found := re.fullmatch(r"(.*) \[(.+)\]", left):
        left, figures = found[1], _figures(found[2], number)
    head = _WARNING.fullmatch(left)
    if head is None or head["severity"] not in (None, *SEVERITIES):
        raise Unreadable(f"line {number}: '{text}' is no warning such as 'note no-phantom: Live 1'")
    about = head["about"] or ""
    ports = [] if not about or about.startswith("jack ") else about.split(", ")
    jacks = about.removeprefix("jack ").split(", ") if about.startswith("jack ") else []
    return Told(text, head["severity"], head["rule"], ports, jacks, figures, words, None)


def _raised(text: str, number: int) -> Told:
    """A warning whose severity is written as well."""
    told = _warning(text, number)
    if told.severity is None:
        raise Unreadable(f"line {number}: '{text}' does not say how bad it is: {', '.join(SEVERITIES)}")
    return told


def _changed(text: str, number: int) -> Told:
    """'SEVERITY RULE: PORT, PORT [FIGURE] was SEVERITY [FIGURE]': one that is on, as it is and as it was."""
    found = re.fullmatch(r"(.*) was (\w+)(?: \[(.+)\])?", text)
    if found is None or found[2] not in SEVERITIES:
        raise Unreadable(f"line {number}: '{text}' does not say what it was: 'was warning [ratio 8]'")
    told = _raised(found[1], number)
    told.text, told.was = text, (found[2], _figures(found[3], number) if found[3] else {})
    return told


def _cleared(text: str, number: int) -> Told:
    """A warning without its severity and figures: the rule and the ports tell which it was."""
    told = _warning(text, number)
    if told.severity is not None or told.figures:
        raise Unreadable(f"line {number}: what is cleared is told by its rule and ports alone, not '{text}'")
    return told


def _found(text: str, number: int) -> Told:
    """'SEVERITY RULE: A1, B1 at "text of the file's line"': a finding is about jacks."""
    found = re.fullmatch(r'(.*) at "([^"]+)"(.*)', text)
    if found is None:
        raise Unreadable(f"line {number}: '{text}' does not say at which line of the room file")
    told = _raised(found[1] + found[3], number)
    told.text, told.jacks, told.ports, told.at = text, told.ports, [], found[2]
    return told


_READERS: dict[str, Callable[[str, int], Any]] = {
    "made": _connection,
    "broken": _connection,
    "split": _split,
    "joined": _tied,
    "raised": _raised,
    "cleared": _cleared,
    "changed": _changed,
    "caution": _raised,
    "found": _found,
}


# Comparing


def agree(expected: dict[str, str], got: dict[str, float | None]) -> bool:
    """Whether the figures are these and no others, each to the digits that are written."""
    return expected.keys() == got.keys() and all(rounds_to(value, got[name]) for name, value in expected.items())


def rounds_to(written: str, value: float | None) -> bool:
    """Whether a value is the written one to its last digit; a value without bound is written 'open'."""
    if written == "open" or value is None:
        return written == "open" and value is None
    decimals = len(written.partition(".")[2])
    return abs(value - float(written)) <= 0.5 * math.pow(10, -decimals) * (1 + 1e-9)


def same_list(expected: list[Any], got: list[Any], room_lines: Sequence[str]) -> bool:
    """Whether two lists hold the same, in any order; each thing once."""
    left = list(got)
    for item in expected:
        for other in left:
            if item.meets(other, room_lines) if isinstance(item, Told) else item == other:
                left.remove(other)
                break
        else:
            return False
    return not left


def failures(step: Step, answer: dict[str, Any], room_lines: Sequence[str] = ()) -> Iterator[str]:
    """Where the JSON of a line is not what the file says."""
    for kind, expected in step.expected.items():
        got = answer.get(JSON_NAMES.get(kind, kind), [])
        if not same_list(expected, got, room_lines):
            yield f"{kind}: expected {[e.text if isinstance(e, Told) else e for e in expected]}, got {_short(got)}"
    error = answer.get("error")
    if (error is None) != (step.refused is None) or (step.refused is not None and step.refused not in str(error)):
        yield f"refused: expected {step.refused!r}, got {error!r}"
    if step.cord is not None and step.cord != answer.get("cord"):
        yield f"cord: expected {step.cord}, got {answer.get('cord')}"


def _short(got: list[Any]) -> list[Any]:
    """What a reader of a failure needs to see."""
    keys = ("severity", "rule", "ports", "jacks", "figures", "was", "line", "text")
    return [{k: g[k] for k in keys if k in g} if isinstance(g, dict) and "rule" in g else g for g in got]


def net_figures(session: Session, asked: Asked) -> dict[str, Any]:
    """The figures that `figures` tells, in one table; of several outputs those of the one that loses most."""
    told = session.enter(f"figures {asked.jack}").answer.extra["figures_of"]
    figures: dict[str, Any] = {"load_ohm": told["load_ohm"], **told["cable"], **(told["phantom"] or {})}
    if asked.load is None:
        lost = ("loss_db", "joined_loss_db")
        figures.update(max(told["sources"], key=lambda source: sum(source[name] or 0 for name in lost), default={}))
    else:
        (load,) = (load for load in told["loads"] if load["port"] == asked.load)
        (level,) = load["levels"]  # of the net's only output
        figures.update(load | level)
    return figures


# Playing


def not_found_from_scratch(session: Session) -> list[str]:
    """Warnings of nets that stand and would not be found in the room as it is now, and the reverse."""
    kept = {w.identity: w for w in session.patch.standing_warnings() if w.rule != "short-of-cords"}
    found = {w.identity: w for w in session.patch.all_that_stands().raised}
    return [
        f"{key[0]} of {key[1] or key[2]}: stands as {kept.get(key)}, found from scratch {found.get(key)}"
        for key in kept.keys() | found.keys()
        if kept.get(key) != found.get(key)
    ]


def _json(step: Step, outcome: Outcome) -> dict[str, Any]:
    return as_json(Played(step.number, outcome))


def play(answer: Answer) -> list[str]:
    """Play a file's lines; the answer says where they did not do what it says."""
    session = Session(parse_room(answer.room))
    room_lines = answer.room.splitlines()
    # What must stand at rest is always compared: a file that does not speak of it says that nothing does.
    rest = next((step for step in answer.steps if step.head == "at rest:"), Step(0, "at rest:"))
    wrong: list[str] = []
    for step in [rest, *(step for step in answer.steps if step is not rest)]:
        found: list[str] = []
        if step.head == "at rest:":
            came = at_rest_json(session)
        elif step.head == "check:":
            came = check_json(session.room, check_room(session.room))
        else:
            typed = step.head.removeprefix("> ")
            foreseen = _json(step, session.enter(f"{split_question(typed)[0]} ?"))
            came = _json(step, session.enter(typed))
            found += not_found_from_scratch(session)
            found += [f"asked first, {key}: {foreseen[key]}" for key in PREVIEWED if foreseen[key] != came[key]]
        found += failures(step, came, room_lines)
        for asked in step.asked:
            known = net_figures(session, asked)
            if not agree(asked.figures, {name: known[name] for name in asked.figures if name in known}):
                found.append(f"expected {asked}, got {known}")
        wrong += [f"line {step.number}: {step.head}: {words}" for words in found]
    for _ in range(len(session.now.taken)):
        session.enter("undo")
    if not session.patch.state.__eq__(Session(session.room).patch.state) or (
        session.patch.all_that_stands() != session.patch.at_rest
    ):
        wrong.append("all lines undone: the room is not as it was at rest")
    return wrong


@pytest.mark.parametrize("path", ANSWERS, ids=lambda path: path.stem)
def test_known_answer(path: Path) -> None:
    answer = read_answer(path.read_text(encoding="utf-8"))
    assert any(comment.startswith("Source:") for comment in answer.comments), "the file names no source"
    wrong = play(answer)
    assert not wrong, "\n".join([path.name, *wrong])


def all_told(*kinds: str) -> list[Told]:
    """All warnings of some kinds in all files."""
    steps = [step for path in ANSWERS for step in read_answer(path.read_text(encoding="utf-8")).steps]
    return [told for step in steps for kind in kinds for told in step.expected[kind]]


def test_every_rule_has_an_answer() -> None:
    """With all the figures that the table of rules names, and at the worst as bad as it says."""
    severities: dict[str, set[str]] = {}
    figures: dict[str, set[str]] = {}
    for told in all_told("raised", "changed", "caution"):
        severities.setdefault(told.rule, set()).add(str(told.severity))
        figures.setdefault(told.rule, set()).update(told.figures)
    assert {rule: min(found, key=SEVERITIES.index) for rule, found in severities.items()} == {
        rule.name: rule.severity for rule in ALL_RULES
    }
    assert figures == {rule.name: set(rule.figures) for rule in ALL_RULES}


def test_every_check_of_the_wiring_has_an_answer() -> None:
    found = {(told.rule, told.severity) for told in all_told("found")}
    rules = {rule for check in WIRING_CHECKS for rule in check.rules}
    if "sleeve" not in BAY_KEYS:  # no room file can say it yet; test_check_mistakes.py makes it in a room
        rules.discard(("sleeve-open", "warning"))
    assert found >= rules


# The player itself: an answer that is wrong must be told, or none of the above says anything.

TRUE_ANSWER = """\
# Source: the room below
room:
  bayhand: 1
  room: Fernhill
  gear: {Keys: line out, Organ: line out, Desk: line in, Tape: line in}
  bays:
    - {bay: Small bay, columns: 2, rows: {A: {1: Keys, 2: Organ}, B: {1: Desk, 2: Tape}}, normals: {1: half top}}
at rest:
made: Keys > Desk
> A2 > B1
made: Organ > Desk
joined: Keys + Organ > Desk
raised: danger joined-outputs: Keys, Organ [joined_loss_db 5.98] "meet on one line"
figures A1: load_ohm 10000, loss_db 0.086
> A2 > B2
refused: already holds a plug of cord 1
"""


def test_the_answer_that_is_made_wrong_below_is_right() -> None:
    assert play(read_answer(TRUE_ANSWER)) == []


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ("made: Organ > Desk\n", ""),
        ("made: Organ > Desk", "made: Organ > Tape"),
        ("made: Organ > Desk\n", "made: Organ > Desk\nbroken: Keys > Desk\n"),
        ("made: Organ > Desk\n", "made: Organ > Desk\nmade: Organ > Desk\n"),
        ("joined: Keys + Organ > Desk\n", ""),
        ("joined: Keys + Organ > Desk", "joined: Keys + Tape > Desk"),
        ("loss_db 5.98", "loss_db 5.97"),
        ("loss_db 5.98", "loss_db 5.98, current_ma 1"),
        ("[joined_loss_db 5.98] ", ""),
        ("danger joined-outputs", "warning joined-outputs"),
        ("danger joined-outputs: Keys, Organ", "danger joined-outputs: Keys"),
        ("danger joined-outputs", "danger type-mismatch"),
        ("meet on one line", "meet on two lines"),
        ("load_ohm 10000", "load_ohm 10001"),
        ("loss_db 0.086", "loss_db 0.087"),
        ("loss_db 0.086", "loss_20k_db 0.086"),
        ("loss_db 0.086", "lost_db 0.086"),
        ("refused: already holds a plug of cord 1", "refused: no such jack"),
        ("refused: already holds a plug of cord 1", "nothing"),
        ("at rest:\nmade: Keys > Desk\n", ""),
    ],
)
def test_a_wrong_answer_is_told(right: str, wrong: str) -> None:
    assert TRUE_ANSWER.count(right) == 1
    assert play(read_answer(TRUE_ANSWER.replace(right, wrong))) != []


@pytest.mark.parametrize(
    ("right", "unclear"),
    [
        ("made: Organ > Desk", "mad: Organ > Desk"),
        ("made: Organ > Desk", "made: Organ"),
        ("danger joined-outputs", "joined-outputs"),
        ("danger joined-outputs", "grave joined-outputs"),
        ("loss_db 5.98", "loss_db about 6"),
        ("raised: danger", "changed: danger"),
        ("refused: already holds a plug of cord 1", ""),
        ("refused: already holds a plug of cord 1", "refused: already\nnothing"),
    ],
)
def test_an_unclear_answer_is_refused(right: str, unclear: str) -> None:
    assert TRUE_ANSWER.count(right) == 1
    with pytest.raises(Unreadable):
        read_answer(TRUE_ANSWER.replace(right, unclear))


@pytest.mark.parametrize(
    ("written", "value", "right"),
    [
        ("0.64", 0.6437, True),
        ("0.64", 0.635, True),
        ("0.64", 0.6451, False),
        ("48", 48.49, True),
        ("48", 48.51, False),
        ("-0.3333", -1 / 3, True),
        ("0.3333", -1 / 3, False),
        ("+0.1892", 35 / 185, True),
        ("open", None, True),
        ("open", 3.0, False),
        ("3", None, False),
    ],
)
def test_figures_are_compared_to_the_digits_shown(written: str, value: float | None, right: bool) -> None:
    assert rounds_to(written, value) is right
