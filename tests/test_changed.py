"""A standing warning whose figures or severity change is told, once: neither raised nor cleared beside it. About 2 s."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from model.signal.warning import Alert
from tests.random_rooms import random_room
from tests.test_answers import play, read_answer
from tests.test_no_harm import busy, found_in

CROSS = (Path(__file__).with_name("answers") / "cross-parallel.txt").read_text(encoding="utf-8")
TOLD = "changed: danger joined-outputs: Keys, Organ [joined_loss_db 5.977] was danger [joined_loss_db 5.935]"


@pytest.mark.parametrize("seed", range(10))
def test_what_changed_is_what_two_looks_at_the_whole_room_find(seed: int) -> None:
    """Raised, cleared and changed are told of an entry as they are found from scratch before and after it."""
    rng = Random(seed)
    room = random_room(rng)
    session = busy(room, rng, 8)
    supplied = [port.name for port in room.ports if port.supply is not None]
    lines = [port.name for port in room.ports if port.kind.is_mic_line]
    for _ in range(12):
        entries = [" > ".join(rng.sample([jack.address for jack in room.jacks], 2))]
        entries += [f"phantom {rng.choice(supplied)} {rng.choice(('on', 'off'))}"] if supplied else []
        entries += [f"put {rng.choice(room.mics).name} on {rng.choice(lines)}"] if lines else []
        entries += [f"pull #{rng.choice(list(session.patch.state.cords))}"] if session.patch.state.cords else []
        before = found_in(session.patch.state)
        change = session.enter(rng.choice(entries)).change
        after = found_in(session.patch.state)
        told = [w.identity for w in (*change.raised, *change.cleared) if w.rule != "short-of-cords"]
        moved = {now.identity: (was, now) for was, now in change.changed if now.rule != "short-of-cords"}
        assert set(told) == before.keys() ^ after.keys()
        same = {identity for identity in before.keys() & after.keys() if _same(before[identity], after[identity])}
        assert moved == {i: (before[i], after[i]) for i in before.keys() & after.keys() if i not in same}


def _same(was: Alert, now: Alert) -> bool:
    """Whether two warnings have one severity, and figures alike to a billionth."""
    return was.severity == now.severity and dict(was.figures) == pytest.approx(dict(now.figures), abs=1e-9)


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        (TOLD, TOLD.replace("5.935", "5.934")),
        (TOLD, TOLD.replace("5.977", "5.978")),
        (TOLD, TOLD.replace("was danger", "was warning")),
        (TOLD, ""),
        (TOLD, f"{TOLD}\n{TOLD}"),
    ],
)
def test_a_wrong_change_is_told(right: str, wrong: str) -> None:
    assert CROSS.count(right) == 1
    assert play(read_answer(CROSS)) == []
    assert play(read_answer(CROSS.replace(right, wrong))) != []
