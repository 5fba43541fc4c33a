"""Rooms compared by meaning: each random edit of a random room is told as what it is, and nothing else is (takes 3 s).

Judge of the connections at rest: tests/slow_model.py, with scipy's connected_components.
"""

import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest

from model.bench.compared.compare_rooms import (
    Comparison,
    FigureChanged,
    GearChanged,
    NormalChanged,
    PortMoved,
    compare_rooms,
    comparison_lines,
)
from model.bench.compared.connections import at_rest
from model.bench.compared.renamed_gear import with_names
from model.patches.saved_patch import End, SavedCord, SavedPatch
from model.room.file import parse_room, read_room
from model.room.kinds import NORMAL_KINDS
from model.room.wiring import NO_PORT, HouseCord, Normal, Room
from tests.generated import generated_room
from tests.slow_model import SlowBay
from tests.writable_rooms import as_read, writable_room

SHIPPED = sorted(Path("rooms").glob("*.yaml"))
RANDOM = int(os.environ.get("BAYHAND_COMPARISONS", "15"))
NOTHING = Comparison((), (), (), (), (), (), (), ())

# An edit answers the changed room and what must be told of it beside connections and patches; None: it cannot be done here.
Edited = tuple[Room, Comparison] | None


def other_normal(rng: Random, room: Room) -> Edited:
    """Another kind between the jacks of one normal."""
    if not room.normals:
        return None
    at = rng.randrange(len(room.normals))
    normal = room.normals[at]
    kind = rng.choice([kind for kind in NORMAL_KINDS if kind != normal.kind])
    normals = (*room.normals[:at], normal._replace(kind=kind), *room.normals[at + 1 :])
    ends = (room.jacks[normal.top].address, room.jacks[normal.bottom].address)
    return replace(room, normals=normals), NOTHING._replace(normals=(NormalChanged(*ends, normal.kind, kind),))


def no_normal(rng: Random, room: Room) -> Edited:
    """One normal less."""
    if not room.normals:
        return None
    gone = rng.choice(room.normals)
    ends = (room.jacks[gone.top].address, room.jacks[gone.bottom].address)
    changed = replace(room, normals=tuple(normal for normal in room.normals if normal is not gone))
    return changed, NOTHING._replace(normals=(NormalChanged(*ends, gone.kind, "none"),))


def new_cross_normal(rng: Random, room: Room) -> Edited:
    """One cross normal more."""
    top, bottom = rng.sample(range(len(room.jacks)), 2)
    taken = {frozenset((normal.top, normal.bottom)) for normal in room.normals}
    if frozenset((top, bottom)) in taken or room.jacks[top].point == room.jacks[bottom].point:
        return None
    ends = (room.jacks[top].address, room.jacks[bottom].address)
    changed = replace(room, normals=(*room.normals, Normal(top, bottom, "half", True, 0)))
    return changed, NOTHING._replace(normals=(NormalChanged(*ends, "none", "half"),))


def moved_port(rng: Random, room: Room) -> Edited:
    """A port at a spare jack instead of its own."""
    wired = [jack for jack in room.jacks if jack.port != NO_PORT and len(room.jacks_of_port[jack.port]) == 1]
    spare = [jack for jack in room.jacks if jack.port == NO_PORT]
    held = {jack for cord in room.house_patch for jack in cord.jacks}
    wired = [jack for jack in wired if jack.index not in held]
    if not wired or not spare:
        return None
    old, new = rng.choice(wired), rng.choice(spare)
    jacks = list(room.jacks)
    jacks[old.index] = old._replace(port=NO_PORT)
    jacks[new.index] = new._replace(port=old.port)
    told = PortMoved(room.ports[old.port].name, (old.address,), (new.address,))
    if new.index in held:
        return None
    return replace(room, jacks=tuple(jacks)), NOTHING._replace(ports=(told,))


def other_ohms(rng: Random, room: Room) -> Edited:
    """A port of another impedance."""
    port = rng.choice(room.ports)
    ports = list(room.ports)
    ports[port.index] = port._replace(ohms=4321.0, ohms_assumed=False)
    was = None if port.ohms_assumed else repr(port.ohms).removesuffix(".0")
    told = FigureChanged(f"port {port.name}", "ohms", was, "4321")
    return replace(room, ports=tuple(ports)), NOTHING._replace(figures=(told,))


def renamed(rng: Random, room: Room) -> Edited:
    """Gear under another name, at the same jacks."""
    at_jacks = [gear for gear in room.gear if any(room.jacks_of_port[port] for port in gear.ports)]
    gear = rng.choice(at_jacks)
    jacks = tuple(room.jacks[jack].address for port in gear.ports for jack in room.jacks_of_port[port])
    told = GearChanged("Thunderer", gear.name, "Thunderer", True, jacks)
    return with_names(room, {gear.name: "Thunderer"}), NOTHING._replace(gear=(told,))


def other_metres(rng: Random, room: Room) -> Edited:
    """A tie line of another length."""
    if not room.ties:
        return None
    tie = rng.choice(room.ties)
    ties = tuple(each._replace(metres=77.0) if each is tie else each for each in room.ties)
    told = FigureChanged(f"tie line {tie.name}", "metres", f"{tie.metres:g}", "77")
    return replace(room, ties=ties), NOTHING._replace(figures=(told,))


def other_pitch(rng: Random, room: Room) -> Edited:
    """A bay that states another pitch."""
    bay = rng.choice(room.bays)
    bays = tuple(each._replace(pitch_mm=7.5) if each is bay else each for each in room.bays)
    was = None if bay.pitch_mm is None else f"{bay.pitch_mm:g}"
    return replace(room, bays=bays), NOTHING._replace(figures=(FigureChanged(f"bay {bay.name}", "pitch", was, "7.5"),))


EDITS: tuple[Callable[[Random, Room], Edited], ...] = (
    other_normal, no_normal, new_cross_normal, moved_port, other_ohms, renamed, other_metres, other_pitch,
)  # fmt: skip


def slow_at_rest(room: Room) -> set[tuple[str, str]]:
    return SlowBay(room).connections()


@pytest.mark.parametrize("edit", EDITS, ids=lambda edit: edit.__name__)
def test_an_edit_is_told_as_what_it_is(edit: Callable[[Random, Room], Edited]) -> None:
    done = 0
    for seed in range(RANDOM):
        rng = Random(seed)
        room = writable_room(rng, points=4)
        edited = edit(rng, room)
        if edited is None:
            continue
        done += 1
        changed, expected = as_read(edited[0]), edited[1]
        found = compare_rooms(room, changed)
        told = found._replace(made=(), broken=(), patches_lost=())
        if edit is new_cross_normal:  # its ends may have been given the other way round
            told = told._replace(normals=tuple(sorted(told.normals)))
        assert told == expected, seed
        names = {each.was: each.becomes for each in found.gear if each.guess and each.was and each.becomes}
        before, after = slow_at_rest(with_names(room, names)), slow_at_rest(changed)
        assert set(found.made) == after - before
        assert set(found.broken) == before - after
        assert not found.same
        assert comparison_lines(found) != comparison_lines(NOTHING)
    assert done >= RANDOM // 2


@pytest.mark.parametrize("seed", range(RANDOM))
def test_a_room_is_the_same_as_itself_and_as_its_file_written_anew(seed: int) -> None:
    room = writable_room(Random(seed))
    assert compare_rooms(room, room) == NOTHING
    assert compare_rooms(room, as_read(room)).same
    assert at_rest(room) == slow_at_rest(room)


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_shipped_rooms_are_the_same_as_themselves_written_anew(path: Path) -> None:
    assert compare_rooms(read_room(path), as_read(read_room(path))).same


@pytest.mark.parametrize("seed", range(15))
def test_turned_round_what_is_made_is_broken(seed: int) -> None:
    rng = Random(seed)
    one, other = writable_room(rng, points=4), writable_room(rng, points=4)
    there, back = compare_rooms(one, other), compare_rooms(other, one)
    if not any(each.guess for each in (*there.gear, *back.gear)):
        assert (set(there.made), set(there.broken)) == (set(back.broken), set(back.made))
    assert {(each.port, *each[:0:-1]) for each in there.ports} == {tuple(each) for each in back.ports}
    assert len(there.normals) == len(back.normals)


TEXT = """\
bayhand: 1
room: Gull House
gear:
  Squash: {in: line in, out: line out}
  Mix {L,R}: line out
  Deck {L,R}: line in
bays:
  - bay: One
    columns: 4
    rows:
      A: {1-2: "Mix {L,R}", 3: Squash out}
      B: {1-2: "Deck {L,R}", 3: Squash in}
    normals: {1-2: half}
house patch: [Mix L > Squash in]
"""


def test_new_and_gone_gear_is_told_with_its_jacks_and_not_figure_by_figure() -> None:
    old = parse_room(TEXT)
    new = parse_room(
        TEXT.replace("Mix {L,R}: line out", "Mix {L,R}: line out\n  Horn: {is: line out, ohms: 50}").replace(
            "3: Squash out", "3: Squash out, 4: Horn"
        )
    )
    found = compare_rooms(old, new)
    assert found == NOTHING._replace(gear=(GearChanged("Horn", None, "Horn", False, ("A4",)),))
    assert compare_rooms(new, old) == NOTHING._replace(gear=(GearChanged("Horn", "Horn", None, False, ("A4",)),))


def test_two_likenesses_are_no_guess() -> None:
    """Gear of which two pieces may be the old one is told as gone and new."""
    old = parse_room(TEXT)
    new = parse_room(
        TEXT.replace("Squash: {in: line in, out: line out}", "Press: {in: line in}\n  Crush: {out: line out}")
        .replace("Squash out", "Crush")
        .replace("Squash in", "Press")
    )
    found = compare_rooms(old, new)
    assert {(each.was, each.becomes, each.guess) for each in found.gear} == {
        ("Squash", None, False), (None, "Press", False), (None, "Crush", False),
    }  # fmt: skip


def test_the_house_patch_and_saved_patches() -> None:
    old = parse_room(TEXT)
    saved = {
        "drums": SavedPatch(cords=(SavedCord(1, (End("Squash out", "A3"), End("Deck L", "B1"))),)),
        "mix": SavedPatch(cords=(SavedCord(1, (End("Mix L", "A1"), End("Deck R", "B2"))),)),
    }
    assert compare_rooms(old, old, saved) == NOTHING
    gone = parse_room(TEXT.replace(", 3: Squash out", "").replace("house patch: [Mix L > Squash in]", ""))
    found = compare_rooms(old, gone, saved)
    assert [each.cord for each in found.house_patch] == ["Mix L > Squash in"]
    assert found.house_patch[0].was
    assert dict(found.patches_lost) == {
        "house": (),
        "drums": ("cord 1, Squash out (A3) > Deck L (B1): Squash out comes up at no jack any more",),
    }
    assert "drums: cord 1" in "\n".join(comparison_lines(found))


def test_a_house_cord_whose_port_moved_is_the_same_cord() -> None:
    old = parse_room(TEXT)
    new = parse_room(TEXT.replace("3: Squash in", "4: Squash in"))
    found = compare_rooms(old, new)
    assert [each.port for each in found.ports] == ["Squash in"]
    assert not found.house_patch
    assert not found.patches_lost


def test_a_cross_normal_told_from_its_other_end_is_the_same() -> None:
    cross = TEXT + "cross normals: [{from: A3, to: B4, kind: KIND}]\n"
    for kind, turned in (("full", "full"), ("half", "half top"), ("half top", "half"), ("parallel", "parallel")):
        one = parse_room(cross.replace("KIND", kind))
        other = parse_room(cross.replace("from: A3, to: B4, kind: KIND", f"from: B4, to: A3, kind: {turned}"))
        assert compare_rooms(one, other).same
    assert not compare_rooms(one, parse_room(TEXT)).same


def test_large_rooms() -> None:
    found = compare_rooms(generated_room(1_920), generated_room(1_920, seed=2))
    assert found.figures
    assert found == NOTHING._replace(figures=found.figures)


def test_a_cord_of_another_length_is_told() -> None:
    old = parse_room(TEXT)
    new = replace(old, house_patch=(HouseCord(old.house_patch[0].jacks, 60.0, 0),))
    assert [(each.cord, each.was) for each in compare_rooms(old, new).house_patch] == [
        ("Mix L > Squash in", True), ("Mix L > Squash in with 60 cm", False),
    ]  # fmt: skip
