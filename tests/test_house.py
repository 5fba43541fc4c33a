"""The wall between engine and screen, and other things about the house itself."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
MODEL = sorted(path for path in (ROOT / "model").rglob("*.py") if path.stem != "__init__")
MODULES = [".".join(path.relative_to(ROOT).with_suffix("").parts) for path in MODEL]
SOURCES = sorted([*(ROOT / "model").rglob("*.py"), *(ROOT / "tui").rglob("*.py")])


def loaded_after(code: str) -> set[str]:
    """The modules that a fresh interpreter has loaded after some code."""
    code += "\nimport sys; print('\\n'.join(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    return set(done.stdout.splitlines())


def test_the_engine_knows_no_terminal() -> None:
    """All of `model`, loaded, brings neither Textual nor the screen."""
    loaded = loaded_after("\n".join(f"import {name}" for name in MODULES))
    assert set(MODULES) <= loaded
    assert len(MODULES) > 50
    assert not [name for name in loaded if name.partition(".")[0] in ("textual", "rich", "tui")]


def test_a_room_is_read_and_played_without_networkx() -> None:
    """networkx takes a tenth of a second to load: not before something asks for the flow of signal."""
    loaded = loaded_after(
        "from model.room.file import read_room\nfrom model.session import Session\nfrom pathlib import Path\n"
        "session = Session(read_room(Path('rooms/kelpfield.yaml')))\n"
        "assert session.enter('hall 3 > tallow 5').ok\nassert session.enter('undo').ok"
    )
    assert "model.session" in loaded
    assert "networkx" not in loaded


@pytest.mark.parametrize("arguments", [["check", "rooms/attic.yaml"], ["rehearse", "rooms/attic.yaml", "/dev/null"]])
def test_commands_without_a_screen_do_not_load_textual(arguments: list[str]) -> None:
    """They start at once."""
    code = "import contextlib, io\nfrom tui.cli.main import main\nwith contextlib.redirect_stdout(io.StringIO()):"
    loaded = loaded_after(f"{code}\n    assert main({arguments!r}) == 0")
    assert f"tui.cli.run_{arguments[0]}" in loaded
    assert not [name for name in loaded if name.partition(".")[0] == "textual"]


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_public_things_have_docstrings(path: Path) -> None:
    """Every module, public class and public function says what it is."""
    tree = ast.parse(path.read_text("utf-8"))
    if path.name != "__init__.py":
        assert ast.get_docstring(tree), "the module"
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef) and not node.name.startswith("_"):
            inside = any(
                node in getattr(outer, "body", ()) for outer in ast.walk(tree) if isinstance(outer, ast.FunctionDef)
            )
            assert inside or ast.get_docstring(node), node.name


def test_arrows_point_one_way() -> None:
    """`tui` imports `model`; nothing in `model` names `tui`."""
    for path in MODEL:
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            assert not [name for name in names if name.partition(".")[0] in ("tui", "textual", "rich")], path
