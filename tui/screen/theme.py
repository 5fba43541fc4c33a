"""Colours: for each role one on dark ground and one on light, and attributes that repeat it where there is no colour.

No pair that must be told apart is red against green; what makes and what breaks is blue against orange. Each colour
keeps a contrast of 4.5 to 1 or more to its ground (WCAG 2.2, 1.4.3), except what is meant to stand back.
"""

from __future__ import annotations

from typing import NamedTuple

from rich.style import Style


class Role(NamedTuple):
    """One role: its colour on dark ground, on light ground, and its attributes."""

    dark: str
    light: str
    attributes: str = ""


GROUNDS: dict[str, Role] = {
    "ground": Role("#11161b", "#f7f3ea"),
    "band": Role("#243039", "#e0d9c8"),  # of the top line, the entry and the line of keys
}

ROLES: dict[str, Role] = {
    "text": Role("#d9d5ca", "#22262b"),
    "strong": Role("#f4efe2", "#0c0e10", "bold"),
    "faint": Role("#79838c", "#6d6a63"),
    "title": Role("#e6cfa0", "#5c4208", "bold"),
    "key": Role("#a9d3f5", "#0c4a7c", "bold"),
    "name": Role("#b9c4b8", "#3f4a3e"),
    "empty": Role("#9aa5ae", "#575b60"),
    "plugged": Role("#ffc974", "#7c4700", "bold"),
    "normal": Role("#93a1ad", "#54585c"),
    "open": Role("#ffb27a", "#984100", "bold"),
    "cursor": Role("#ffffff", "#000000", "bold reverse"),
    "wanted": Role("#8fd6ff", "#004f86", "bold underline"),
    "lit": Role("#cdb8ff", "#56289b", "bold underline"),
    "danger": Role("#ff9573", "#a02200", "bold reverse"),
    "alarm": Role("#ff9573", "#a02200", "bold"),  # the word beside the mark of a danger
    "warning": Role("#ffe06b", "#6e5200", "bold"),
    "note": Role("#a7cfe2", "#27566d"),
    "changed": Role("#e9e2ff", "#45276f", "bold"),
    "made": Role("#93c5ff", "#14498f"),
    "broken": Role("#ffb27a", "#984100"),
}


def colour(role: Role, light: bool) -> str:
    """A role's colour on dark or on light ground."""
    return role.light if light else role.dark


def styles(light: bool) -> dict[str, dict[str, Style]]:
    """For each ground, the style of each role on it."""
    return {
        name: {
            of: Style.parse(f"{role.attributes} {colour(role, light)} on {colour(ground, light)}".strip())
            for of, role in ROLES.items()
        }
        for name, ground in GROUNDS.items()
    }
