"""Long evenings in the three rooms answer as they did: `rehearse --json` of the scripts in tests/golden, compared by meaning.

What is meant to differ is stated in tests/golden_words.py. `pytest --renew-golden` stores the answers anew; read the
difference before it is committed.
"""

from __future__ import annotations

import contextlib
import io
import json
import re
from pathlib import Path
from typing import Any

import pytest

from tests.golden_words import MEANT, Meant
from tui.cli.main import main

HERE = Path(__file__).parent
GOLDEN = HERE / "golden"
EVENINGS = sorted(path.stem for path in GOLDEN.glob("*.txt"))
_MINUTE = re.compile(r"\d{4}-\d{2}-\d{2} \d{2}:\d{2}")


def rehearsed(name: str) -> list[dict[str, Any]]:
    """What the command line prints for an evening, the clock left out."""
    room, script = HERE.parent / "rooms" / f"{name}.yaml", GOLDEN / f"{name}.txt"
    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        status = main(["rehearse", str(room), str(script), "--house", "--json"])
    assert status == 1  # some entries are refused in each evening
    return [json.loads(line) for line in _MINUTE.sub("MINUTE", said.getvalue()).splitlines()]


def stored(name: str) -> list[dict[str, Any]]:
    """What is stored for an evening."""
    return [json.loads(line) for line in (GOLDEN / f"{name}.jsonl").read_text("utf-8").splitlines()]


def differences(said: list[dict[str, Any]], kept: list[dict[str, Any]], meant: Meant) -> list[str]:
    """Each answer that is not as it was stored: its entry, and the keys that differ with both values."""
    found = [] if len(said) == len(kept) else [f"{len(said)} answers, and {len(kept)} are stored"]
    for now, was in zip(said, kept, strict=False):
        is_now, was_then = meant.as_stored(now), meant.said_now(was)
        keys = [key for key in {**was_then, **is_now} if was_then.get(key) != is_now.get(key)]
        if keys or was_then.keys() != is_now.keys():
            both = [f"  {key}: {was_then.get(key)!r:.600}\n  now: {is_now.get(key)!r:.600}" for key in keys]
            found.append("\n".join([f"entry {now.get('line')}, {now.get('typed')!r}", *both]))
    return found


@pytest.mark.parametrize("name", EVENINGS)
def test_an_evening_is_answered_as_it_was(name: str, request: pytest.FixtureRequest) -> None:
    """Every entry of it, accepted or refused."""
    said = rehearsed(name)
    if request.config.getoption("--renew-golden"):
        text = "".join(json.dumps(answer, ensure_ascii=False) + "\n" for answer in said)
        (GOLDEN / f"{name}.jsonl").write_text(text, "utf-8")
        return
    found = differences(said, stored(name), MEANT)
    assert not found, f"{len(found)} of {len(said)} answers of {name} differ, first of all:\n" + "\n".join(found[:3])


def test_every_command_is_in_an_evening() -> None:
    """What no evening types is not compared."""
    from tests.sessions import commands

    typed = {answer["typed"].partition(" ")[0] for name in EVENINGS for answer in stored(name) if answer["typed"]}
    assert not commands().keys() - typed


def test_what_is_meant_to_differ_is_stored_somewhere() -> None:
    """A phrase or a key that no evening holds any more has no business in the table."""
    text = "".join((GOLDEN / f"{name}.jsonl").read_text("utf-8") for name in EVENINGS)
    assert not [words for words in MEANT.words if words not in text]
    assert not [key for key in MEANT.keys if f'"{key}":' not in text]


def test_differences_are_found_and_meant_ones_are_not() -> None:
    """The comparison itself: a changed word, a lost key, a new key, another shape; with the table and without."""
    was = [{"line": 1, "typed": "guard", "ok": True, "words": ["A > B is kept"], "kept": [{"stands": True}]}]
    now = [
        {
            "line": 1,
            "typed": "guard",
            "ok": True,
            "told": [{"words": "A > B is guarded"}],
            "guarded": [{"stands": True}],
        }
    ]
    meant = Meant(
        {"is kept": "is guarded"},
        {"kept": "guarded", "words": "told"},
        shapes={"told": lambda t: [x["words"] for x in t]},
    )
    assert differences(was, was, Meant()) == []
    assert differences(now, was, meant) == []
    assert len(differences(now, was, Meant())) == 1
    assert len(differences([{**now[0], "fix": None}], was, meant)) == 1
    assert differences([{**now[0], "fix": None}], was, meant._replace(added=frozenset({"fix"}))) == []
    assert len(differences([{**now[0], "guarded": [{"stands": False}]}], was, meant)) == 1
    assert len(differences(now + now, was, meant)) == 1
