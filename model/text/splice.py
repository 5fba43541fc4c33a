"""Changing a YAML text here and there by the marks of its nodes, so that every other character stays as it was."""

from __future__ import annotations

import re
from typing import Any

import yaml

_Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_LINE_END = re.compile("\r\n|[\n\r\x85\u2028\u2029]")  # what ends a line of YAML 1.1
_PLAIN = re.compile(r"[A-Za-z0-9][A-Za-z0-9 -]*[A-Za-z0-9]|[A-Za-z0-9]", re.ASCII)
_MARK = "\ufeff"  # with which some editors begin a file


def start_of(node: Any) -> int:
    """Where a node begins in the text."""
    return int(node.start_mark.index)


def end_of(node: Any) -> int:
    """Where what a node says ends: without the line ends and comments that YAML counts to it."""
    if isinstance(node, yaml.ScalarNode) or node.flow_style or not node.value:
        return int(node.end_mark.index)
    last = node.value[-1]
    return end_of(last[1] if isinstance(node, yaml.MappingNode) else last)


def entry_of(node: Any, key: str) -> tuple[Any, Any] | None:
    """The key and the value of a mapping's entry, or None where it has none."""
    return next((entry for entry in node.value if entry[0].value == key), None)


def is_empty(node: Any) -> bool:
    """Whether nothing is written in a node's place."""
    return not node.value


def scalar(text: str) -> str:
    """A text as a YAML scalar: plain where that is safe everywhere, else in double quotes."""
    if _PLAIN.fullmatch(text):
        return text
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


class Splice:
    """A text, its nodes, and the changes to it, which are made all at once. Positions are those of the text as it was."""

    def __init__(self, text: str) -> None:
        self._lead = _MARK if text.startswith(_MARK) else ""
        self.text = text.removeprefix(_MARK)
        self.root = yaml.compose(self.text, Loader=_Loader)
        found = _LINE_END.search(self.text)
        self.newline = found[0] if found is not None else "\n"
        self._edits: list[tuple[int, int, str]] = []

    def replace(self, node: Any, new: str) -> None:
        """Write something else in a scalar's place."""
        start, end = start_of(node), end_of(node)
        written = self.text[start:end]
        self._edits.append((start, start + len(written.rstrip()) if node.style in ("|", ">") else end, new))

    def insert(self, at: int, new: str) -> None:
        """Write something at a place; of two at one place, the one that came first stands first."""
        self._edits.append((at, at, new))

    def insert_lines(self, after: Any, column: int, lines: list[str]) -> None:
        """Write lines of their own after the line on which a node ends, so far from the left."""
        at = end_of(after)
        found = _LINE_END.search(self.text, max(at - 1, 0) if self._ends_a_line(after) else at)
        at = found.start() if found is not None else len(self.text)
        self.insert(at, "".join(f"{self.newline}{' ' * column}{line}" if line else self.newline for line in lines))

    @staticmethod
    def _ends_a_line(node: Any) -> bool:
        while not isinstance(node, yaml.ScalarNode) and not node.flow_style and node.value:
            last = node.value[-1]
            node = last[1] if isinstance(node, yaml.MappingNode) else last
        return isinstance(node, yaml.ScalarNode) and node.style in ("|", ">")

    def spliced(self) -> str:
        """The text with all changes made."""
        parts, here = [self._lead], 0
        for start, end, new in sorted(self._edits, key=lambda edit: edit[:2]):
            parts += [self.text[here:start], new]
            here = end
        return "".join([*parts, self.text[here:]])
