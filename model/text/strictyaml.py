"""A strict subset of YAML, read into a tree whose every text knows its place: texts, tables and lists, nothing else.

Scalars stay text, so that ``1-12``, ``12:30``, ``no`` and ``on`` mean what they say where they stand. Keys given twice,
anchors, aliases, merge keys, tags and second documents are refused; they are the way to bombs and are never needed.
What is refused is noted with its place, and reading goes on where it can.

The events come from libyaml by way of PyYAML; where PyYAML was built without it, from PyYAML's own parser, which takes
about six times as long and words some of its messages differently.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any, NamedTuple, Protocol

import yaml
from yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
    StreamEndEvent,
)

from model.text.clean import quoted
from model.text.slips import slip_that_breaks

# Typed as Any: the two loaders share no type that has events, and PyYAML may lack the first.
_Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

MAX_DEPTH = 20
_TOO_DEEP = f"tables and lists lie more than {MAX_DEPTH} deep in one another"
MAX_NODES = 4_000_000  # about what 32 MiB of one line for each jack hold


class Mark(Protocol):
    """A place in the text; line and column count characters from 0."""

    @property
    def line(self) -> int:
        """From 0."""

    @property
    def column(self) -> int:
        """In characters, from 0."""


class Place(NamedTuple):
    """A place that is not PyYAML's own."""

    line: int
    column: int


class Text(NamedTuple):
    """A scalar as it was written."""

    text: str
    mark: Mark


class Table:
    """A mapping: its values, and where each key stands. A value of None was refused, or is cut off by an error."""

    __slots__ = ("mark", "marks", "values")

    def __init__(self, mark: Mark) -> None:
        self.mark = mark
        self.values: dict[str, Node] = {}
        self.marks: dict[str, Mark] = {}


class Items:
    """A sequence."""

    __slots__ = ("mark", "nodes")

    def __init__(self, mark: Mark) -> None:
        self.mark = mark
        self.nodes: list[Node] = []


Node = Text | Table | Items | None


class Problem(NamedTuple):
    """Something that is refused, and where."""

    mark: Mark
    text: str


@dataclass
class Tree:
    """What was read. ``whole`` is False where an error ended the reading early: the tree holds what came before."""

    root: Node = None
    problems: list[Problem] = field(default_factory=list)
    whole: bool = True
    text: str = field(default="", compare=False)  # what was read


# Characters that YAML does not take as they are (YAML 1.1, section 4.1.1, "c-printable"), and lone surrogates.
_NOT_YAML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff\ufffe\uffff]")
_MOST_STRAY = 100
_MOST_BACK = 1_000  # lines that are searched for the slip that ended the reading


def build(text: str) -> Tree:
    """The tree of a text. Never raises: what is wrong with the text is among the tree's problems.

    >>> build("a: [no, 12:30]").root.values["a"].nodes[1].text
    '12:30'
    """
    tree = Tree(text=text)
    stray = _parse(text, tree)
    if stray:
        # Once more without the characters that the parser cannot pass, so that all else is reported too.
        tree = Tree(text=text)
        _parse(_NOT_YAML.sub("\N{REPLACEMENT CHARACTER}", text), tree)
        tree.problems += _stray_characters(text)
    return tree


def _parse(text: str, tree: Tree) -> bool:
    """Fills the tree. True where a character ended the reading that can be replaced for another attempt."""
    parser = None
    try:
        parser = _Loader(text)
        _fill(tree, parser.get_event)
    except yaml.MarkedYAMLError as error:
        mark, said = error.problem_mark or error.context_mark or Place(0, 0), _in_plain_words(error)
        begun = error.context_mark.line if error.context_mark else mark.line
        # the line before too: a key without its ':' is missed where the next one comes
        slip = slip_that_breaks(
            text.splitlines(), max(begun, mark.line - _MOST_BACK) if begun < mark.line else mark.line - 1, mark.line
        )
        if slip is not None:
            mark, said = Place(slip[0], slip[1].column), f"{slip[1].words}; {said}"
        _stopped(tree, mark, said)
    except (yaml.reader.ReaderError, UnicodeEncodeError) as error:
        if _NOT_YAML.search(text):
            return True
        _stopped(tree, Place(0, 0), f"the file is not YAML: {error}")
    except yaml.YAMLError as error:
        _stopped(tree, Place(0, 0), f"the file is not YAML: {error}")
    except RecursionError:
        _stopped(tree, Place(0, 0), _TOO_DEEP)
    finally:
        if parser is not None:
            parser.dispose()
    return False


def _stopped(tree: Tree, mark: Mark, text: str) -> None:
    tree.problems.append(Problem(mark, text))
    tree.whole = False


def _fill(tree: Tree, next_event: Any) -> None:
    """Builds the tree from events, each container hung up before it is filled: an error on the way loses nothing.

    One loop with its own stack; the branches stand in the order of how often they are taken.
    """
    problems = tree.problems
    stack: list[tuple[Table | Items | None, Text | None]] = []
    here: Table | Items | None = None  # the container that is being filled
    key: Text | None = None  # the key that waits for its value
    count = documents = 0
    new = tuple.__new__  # a NamedTuple's own constructor takes twice as long
    while True:
        event = next_event()
        kind = type(event)
        opened: Table | Items | None = None
        node: Node
        if kind is ScalarEvent:
            node = new(Text, (event.value, event.start_mark))
        elif kind is MappingEndEvent or kind is SequenceEndEvent:
            here, key = stack.pop()
            continue
        elif kind is MappingStartEvent:
            node = opened = Table(event.start_mark)
        elif kind is SequenceStartEvent:
            node = opened = Items(event.start_mark)
        elif kind is AliasEvent:
            problems.append(Problem(event.start_mark, f"alias {quoted('*' + event.anchor)}: aliases are refused here"))
            node = None
        elif kind is StreamEndEvent:
            return
        else:
            if kind is DocumentStartEvent:
                documents += 1
                if documents > 1:
                    _stopped(tree, event.start_mark, "a second document starts here: a room file is one document")
                    return
            continue

        count += 1
        if count > MAX_NODES:
            _stopped(tree, event.start_mark, f"the file has more than {MAX_NODES:,} keys and values")
            return
        if kind is not AliasEvent and (event.anchor is not None or event.tag is not None):
            _refuse_anchor_or_tag(problems, event)

        if type(here) is Table:
            if key is None:
                if isinstance(node, Text) and node.text and node.text != "<<":
                    key = node
                else:
                    key = _refused_key(node, event.start_mark, problems)
            else:
                name, mark = key
                if name in here.marks:
                    first = here.marks[name].line + 1
                    text = f"key {quoted(name)} is given twice: it is on line {first} already"
                    problems.append(Problem(mark, text))
                elif name != _NO_KEY:
                    here.values[name] = node
                    here.marks[name] = mark
                key = None
        elif type(here) is Items:
            here.nodes.append(node)
        else:
            tree.root = node

        if opened is not None:
            if len(stack) == MAX_DEPTH:
                _stopped(tree, opened.mark, _TOO_DEEP)
                return
            stack.append((here, key))
            here, key = opened, None


_NO_KEY = ""  # stands in for a key that was refused; its value is dropped


def _refused_key(node: Node, mark: Mark, problems: list[Problem]) -> Text:
    """Notes why a key is refused."""
    if isinstance(node, Text) and node.text:
        problems.append(Problem(mark, f"merge key {quoted(node.text)}: merge keys are refused here"))
    elif isinstance(node, Text):
        problems.append(Problem(mark, "a key is empty: is its name missing before the ':'?"))
    elif node is not None:
        text = "a key must be text: a name that starts with '{' or '[' stands in double quotes"
        problems.append(Problem(mark, text))
    return Text(_NO_KEY, mark)


def _refuse_anchor_or_tag(problems: list[Problem], event: Any) -> None:
    if event.anchor is not None:
        problems.append(Problem(event.start_mark, f"anchor {quoted('&' + event.anchor)}: anchors are refused here"))
    if event.tag is not None:
        text = f"tag {quoted(event.tag)}: tags are refused here; a name that starts with '!' stands in double quotes"
        problems.append(Problem(event.start_mark, text))


def _stray_characters(text: str) -> list[Problem]:
    problems: list[Problem] = []
    line, line_start = 0, 0
    for found in _NOT_YAML.finditer(text):
        at = found.start()
        line += text.count("\n", line_start, at)
        line_start = text.rfind("\n", 0, at) + 1
        if len(problems) == _MOST_STRAY:
            problems.append(Problem(Place(line, at - line_start), "and more such characters from here on"))
            break
        what = "half of a surrogate pair" if "\ud800" <= found[0] <= "\udfff" else "a control character"
        problems.append(Problem(Place(line, at - line_start), f"U+{ord(found[0]):04X} is {what}: take it out"))
    return problems


# What a parser's complaint most often comes from, in the order of how much each phrase says.
_LIKELY_CAUSE = (
    ("nesting depth", _TOO_DEEP),
    ("mapping values are not allowed", "is a line indented wrongly, or is there ': ' inside a name without quotes?"),
    ("cannot start any token", "indent with spaces, not tabs; a name that starts with % @ or ` stands in quotes"),
    ("%TAG", "lines that start with % are refused here"),
    ("anchor", "a name that starts with & or * stands in double quotes"),
    ("alias", "a name that starts with & or * stands in double quotes"),
    ("tag", "a name that starts with '!' stands in double quotes"),
    ("escape", "a backslash inside double quotes is written twice"),
    ("flow mapping", "is a '}' missing, or does a name with a comma or braces need double quotes?"),
    ("flow sequence", "is a ']' missing, or does a name with a comma or brackets need double quotes?"),
    ("quoted scalar", "is a closing quote missing?"),
    ("expected ':'", "a key needs ': ' after it"),
    ("block mapping", "is this line indented otherwise than its neighbours?"),
    ("block collection", "is this line indented otherwise than its neighbours?"),
    ("block sequence", "is this line indented otherwise than its neighbours?"),
    ("node content", "does a name that starts with { } [ ] , or ` need double quotes?"),
)


def _in_plain_words(error: yaml.MarkedYAMLError) -> str:
    said = " ".join(part for part in (error.context, error.problem) if part)
    begun, ended = error.context_mark, error.problem_mark
    if begun is not None and ended is not None and begun.line != ended.line:
        said += f", begun on line {begun.line + 1}"
    likely = next((cause for phrase, cause in _LIKELY_CAUSE if phrase in said), None)
    return f"the file is not YAML from here on ({said})" + (f": {likely}" if likely else "")
