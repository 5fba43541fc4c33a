"""The tables of README, made from the code. `python -m tests.readme_tables` writes them into README.

Each stands between `<!-- NAME -->` and `<!-- / -->`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from pathlib import Path

from model.check import WIRING_CHECKS
from model.commands.table import GROUPS
from model.fault.reasoning import PRIORS
from model.room.kinds import FEED_OHM, KINDS, NORMAL_KINDS
from model.signal.rules import ALL_RULES

README = Path(__file__).parent.parent / "README.md"
_BLOCK = re.compile(r"(<!-- ([a-z ]+) -->\n).*?(<!-- / -->)", re.DOTALL)


def table(head: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> str:
    """A table in Markdown."""
    lines = [head, ("---",) * len(head), *rows]
    return "".join("| " + " | ".join(cell.replace("|", "\\|") for cell in line) + " |\n" for line in lines)


def commands() -> str:
    """Every form of every command."""
    rows = []
    for group, members in GROUPS:
        rows.append((f"**{group}**", ""))
        rows += [(f"`{form.usage}`", form.does) for command in members for form in command.forms]
    return table(("typed", "does"), rows)


def rules() -> str:
    """Every standing rule, and the caution."""
    return table(
        ("rule", "severity", "raised when", "figures"),
        [(f"`{r.name}`", r.severity, r.says, ", ".join(f"`{f}`" for f in r.figures)) for r in ALL_RULES],
    )


def findings() -> str:
    """What `check` finds in the wiring itself."""
    rows = []
    for check in WIRING_CHECKS:
        says = (check.finds.__doc__ or "").strip().split("\n\n")[0].replace("\n", " ")
        rows.append(
            (
                ", ".join(f"`{name}`" for name, _ in check.rules),
                ", ".join(s for _, s in check.rules),
                " ".join(says.split()),
            )
        )
    return table(("finding", "severity", "when"), rows)


def kinds() -> str:
    """Every kind of port with its default."""
    rows = []
    for kind in KINDS.values():
        line = "" if kind.line_ohms is None else f"{kind.line_ohms:g} ohm line"
        rows.append((f"`{kind.name}`", kind.way, f"{kind.ohms:,.10g} ohm".replace(",", " "), line))
    return table(("kind", "way", "default impedance", "digital"), rows)


def normals() -> str:
    """Every kind of normal and what breaks it."""
    breaks = {(True, True): "a plug in either jack", (False, True): "a plug in the bottom jack",
              (True, False): "a plug in the top jack", (False, False): "nothing"}  # fmt: skip
    rows = [(f"`{k.name}`", k.words, breaks[k.top_at_normal, k.bottom_at_normal]) for k in NORMAL_KINDS.values()]
    return table(("kind", "in words", "broken by"), [*rows, ("`none`", "no normal", "it joins nothing")])


def feeds() -> str:
    """The feed resistor of each phantom voltage."""
    return table(
        ("supply", "feed, each leg"), [(f"{v:g} V", f"{o:,g} ohm".replace(",", " ")) for v, o in FEED_OHM.items()]
    )


def priors() -> str:
    """How likely each thing is to be at fault, against the others."""
    return table(("element", "weight"), [(name, f"{weight:g}") for name, weight in PRIORS.items()])


def keys() -> str:
    """Every key of the screen."""
    from tui.screen.keys import KEYS, PLACES

    rows = [(PLACES[key.where.split(",")[0]], key.shown, key.does) for key in KEYS]
    return table(("where", "key", "does"), rows)


TABLES: dict[str, Callable[[], str]] = {
    made.__name__: made for made in (commands, rules, findings, kinds, normals, feeds, priors, keys)
}


def renewed(text: str) -> str:
    """README with its tables made anew."""
    return _BLOCK.sub(lambda block: f"{block[1]}{TABLES[block[2]]()}{block[3]}", text)


if __name__ == "__main__":
    README.write_text(renewed(README.read_text("utf-8")), "utf-8")
