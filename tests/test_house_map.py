"""The map of DEVELOPERS.md against the tree: every room has its row, and nothing is named that is not there."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PAGE = ROOT / "DEVELOPERS.md"
TEXT = PAGE.read_text("utf-8")


def named_in_map(text: str) -> list[str]:
    """The folders that the map's rows begin with."""
    page_map = text.partition("## The map")[2].partition("\n## ")[0]
    return re.findall(r"^\| `([\w/]+/)` \|", page_map, re.MULTILINE)


def folders(root: Path) -> set[str]:
    """The folders of the program, as the map writes them."""
    return {f"{path.parent.relative_to(root)}/" for top in ("model", "tui") for path in (root / top).rglob("*.py")}


def faults_of(text: str, root: Path) -> list[str]:
    """What is wrong with the map, and what to do about it."""
    named = Counter(named_in_map(text))
    faults = [f"add a row for `{folder}` to the map" for folder in sorted(folders(root) - set(named))]
    faults += [f"`{folder}` stands {count} times in the map: leave one" for folder, count in named.items() if count > 1]
    faults += [f"take `{folder}` out of the map: it is not there" for folder in named if not (root / folder).is_dir()]
    return faults


def test_the_map_names_every_room_once() -> None:
    assert faults_of(TEXT, ROOT) == []


def test_the_map_test_can_fail(tmp_path: Path) -> None:
    """A room too many, one too few, one twice: each is told, with what to do."""
    for folder in ("model/a", "model/b", "tui"):
        (tmp_path / folder).mkdir(parents=True)
        (tmp_path / folder / "code.py").touch()
    text = "## The map\n\n| `model/a/` | x |\n| `tui/` | x |\n| `tui/` | y |\n| `model/gone/` | z |\n\n## Further\n| `no/` |"
    assert faults_of(text, tmp_path) == [
        "add a row for `model/b/` to the map",
        "`tui/` stands 2 times in the map: leave one",
        "take `model/gone/` out of the map: it is not there",
    ]


@pytest.mark.parametrize("path", sorted(set(re.findall(r"`((?:model|tui|tests|rooms)/[\w./]*)`", TEXT))))
def test_what_the_page_names_is_there(path: str) -> None:
    assert (ROOT / path.replace("run_NAME", "run_check")).exists(), (
        f"DEVELOPERS.md names `{path}`: write where it is now"
    )


def test_the_page_names_files_enough() -> None:
    """So that the test above looks at something."""
    assert len(named_in_map(TEXT)) > 15
    assert len(re.findall(r"`(?:model|tui)/[\w/]+\.py`", TEXT)) > 15
