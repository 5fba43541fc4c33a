"""A room file as an editor's YAML parser gives it to a JSON Schema: the core schema of YAML 1.2, keys as text, no key twice."""

from __future__ import annotations

import re
from typing import Any

import yaml


class EditorLoader(yaml.SafeLoader):
    """YAML 1.2's core schema (yaml.org, version 1.2.2, chapter 10.3): no and 12:30 are text, 1e3 a number."""

    yaml_implicit_resolvers: dict[str, Any] = {}  # noqa: RUF012  # as its base declares it

    def construct_mapping(self, node: Any, deep: bool = False) -> dict[Any, Any]:
        """A mapping whose keys are the texts that stand there; one that stands twice is an error (YAML 1.2.2, 3.2.1.3)."""
        found: dict[str, Any] = {}
        for key, value in node.value:
            if key.tag == "tag:yaml.org,2002:merge" or key.value == "<<":
                raise yaml.constructor.ConstructorError(None, None, "a merge key", key.start_mark)
            if key.value in found:
                raise yaml.constructor.ConstructorError(None, None, f"{key.value} stands twice", key.start_mark)
            found[key.value] = self.construct_object(value, deep=True)
        return found


for tag, pattern, first in (
    ("null", r"~|null|Null|NULL|", ["~", "n", "N", ""]),
    ("bool", r"true|True|TRUE|false|False|FALSE", list("tTfF")),
    ("int", r"[-+]?[0-9]+|0o[0-7]+|0x[0-9a-fA-F]+", list("-+0123456789")),
    (
        "float",
        r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?|[-+]?\.(inf|Inf|INF)|\.(nan|NaN|NAN)",
        list("-+.0123456789"),
    ),
):
    EditorLoader.add_implicit_resolver(f"tag:yaml.org,2002:{tag}", re.compile(f"^(?:{pattern})$"), first)


def _int(loader: EditorLoader, node: Any) -> int:
    text = str(loader.construct_scalar(node))
    return int(text, 0) if text[:2] in ("0o", "0x") else int(text)


def _float(loader: EditorLoader, node: Any) -> float:
    return float(str(loader.construct_scalar(node)).lower().replace(".inf", "inf").replace(".nan", "nan"))


def _map(loader: EditorLoader, node: Any) -> Any:
    return loader.construct_mapping(node)


EditorLoader.add_constructor("tag:yaml.org,2002:int", _int)
EditorLoader.add_constructor("tag:yaml.org,2002:float", _float)
EditorLoader.add_constructor("tag:yaml.org,2002:map", _map)


def as_an_editor_reads(text: str) -> Any:
    """The plain data of a text; raises yaml.YAMLError where it is not YAML."""
    return yaml.load(text, Loader=EditorLoader)
