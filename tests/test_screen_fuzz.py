"""Random keys, pastes and movements of the mouse, in bursts, at several sizes: whatever comes, the screen goes on.

A few here, in some three seconds; ``BAYHAND_KEYS=20000 python -m pytest tests/test_screen_fuzz.py -n0`` plays more, and
``BAYHAND_SEED`` others. What is sent goes the way of a terminal's bytes, through the reader of keys.
"""

from __future__ import annotations

import asyncio
import os
import random
from collections import deque

import pytest
from textual import events
from textual.geometry import Size

from model.session import Session
from tests.pictures import screen_text
from tests.screen_room import small_room
from tui.screen.app import BayApp
from tui.screen.key_reader import PASTE_BEGIN, PASTE_END, KeyReader

EVENTS = int(os.environ.get("BAYHAND_KEYS", "160"))  # at each size
SEED = int(os.environ.get("BAYHAND_SEED", "1"))
SIZES = ((80, 24), (120, 36), (200, 60), (30, 8), (3, 2))
LONGEST_BURST = 40

CURSOR = [f"\x1b[{modifier}{key}".encode() for key in "ABCDHF" for modifier in ("", "1;2", "1;3", "1;5", "1;6")]
TILDE = [f"\x1b[{number}~".encode() for number in (2, 3, 5, 6, *range(15, 25))]
FUNCTION = [b"\x1bOP", b"\x1bOQ", b"\x1bOR", b"\x1bOS", b"\x1b[I", b"\x1b[O", b"\x1b[Z", b"\x1b\x1b"]
CONTROL = [bytes([code]) for code in range(0x20)]
# Enter and what edits come more often than what they stand among.
OFTEN = [b"\r"] * 12 + [b"\t", b"\x7f", b"\x1b[27u", b"\x1b[A", b"\x1a"] * 3
ENTRIES = [
    *(
        "a1 > b3",
        "a2 > b4",
        "pull #1",
        "unplug a1",
        "move a1 > b5",
        "undo",
        "redo",
        "trace a1",
        "why b3",
        "route live 1 > pre 4 in",
    ),
    *(
        "fault pre 3 in",
        "save one",
        "recall one",
        "compare one",
        "work",
        "done",
        "skip",
        "help",
        "?",
        "bay",
        "strips",
        "record",
    ),
    *(
        "a1 > b3 ?",
        "note x",
        "note é漢",
        "put condenser on live 1",
        "phantom pre 1 on",
        "a1 > nowhere",
        "a1 >",
        "#",
        "#1 >",
        "read",
    ),
]
BROKEN = [
    b"\xff",
    b"\xc3",
    b"\x1b[M\xe9\xf1",
    b"\x1b[9999999999u",
    b"\x1b[99;99x",
    b"\x1b[48;24;80;0;0t",
    b"\x1b[200~",
    b"\x1b[201~",
]


def some(chance: random.Random, size: tuple[int, int]) -> bytes:
    """What one movement of a hand sends."""
    kind = chance.random()
    if kind < 0.35:
        return chance.choice(OFTEN)
    if kind < 0.55:
        return chance.choice(ENTRIES).encode() + chance.choice([b"\r", b"\t", b""])
    if kind < 0.70:
        return chance.choice([*CURSOR, *TILDE, *FUNCTION])
    if kind < 0.75:
        return chance.choice(CONTROL)
    if kind < 0.93:
        x, y = chance.randint(1, size[0] + 2), chance.randint(1, size[1] + 2)
        button = chance.choice([0, 0, 0, 1, 2, 32, 35, 64, 65])
        press = f"\x1b[<{button};{x};{y}M".encode()
        return press + (f"\x1b[<{button};{x};{y}m".encode() if button < 3 and chance.random() < 0.9 else b"")
    if kind < 0.96:
        lines = [chance.choice(ENTRIES) for _ in range(chance.randint(1, 4))]
        return PASTE_BEGIN + "\n".join(lines).encode() + PASTE_END
    return chance.choice(BROKEN)


async def play(chance: random.Random, size: tuple[int, int], count: int) -> int:
    """Play so many at a new screen; the answer is how many were left when it was left by the keys that leave."""
    app = BayApp(Session(small_room()))
    keys = KeyReader()
    last: deque[bytes] = deque(maxlen=3)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        while count > 0 and not app.leaving:
            burst = b"".join(some(chance, size) for _ in range(chance.randint(1, LONGEST_BURST)))
            last.append(burst)
            count -= LONGEST_BURST // 2
            for message in (*keys.feed(burst), *(message for _ in range(12) for message in keys.tick())):
                app.post_message(message)
            if chance.random() < 0.05:
                size = chance.choice(SIZES)
                app.post_message(events.Resize(Size(*size), Size(*size)))
            await pilot.pause()
            assert not app.fault, (app.fault, last)
            assert screen_text(app)
    return count


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
def test_random_keys_and_clicks_in_bursts(size: tuple[int, int]) -> None:
    chance = random.Random(f"{SEED} {size}")
    left = EVENTS
    while left > 0:
        left = asyncio.run(play(chance, size, left))
