"""All checks of the wiring in one table, and all findings of a room."""

from __future__ import annotations

from typing import NamedTuple

from model.check import ends_of_normal, house, inserts, jacks, kinds_of_normal, out_of_step, places, sleeve
from model.check.accepted import Acceptance, set_apart
from model.check.finding import Finding, WiringCheck, in_runs
from model.room.wiring import Room
from model.signal.warning import DANGER, NOTE, WARNING

WIRING_CHECKS: tuple[WiringCheck, ...] = (
    WiringCheck((("half-normalled-mic", WARNING),), kinds_of_normal.half_normalled_mic),
    WiringCheck((("half-normalled-digital", WARNING),), kinds_of_normal.half_normalled_digital),
    WiringCheck((("half-normalled-amplifier", WARNING), ("amplifier-on-bay", NOTE)), kinds_of_normal.amplifier_on_bay),
    WiringCheck((("departs-from-advice", NOTE),), kinds_of_normal.departs_from_advice),
    WiringCheck(
        (("normal-between-outputs", DANGER), ("normal-between-inputs", NOTE)), ends_of_normal.normal_between_alike
    ),
    WiringCheck((("upside-down", NOTE),), ends_of_normal.upside_down),
    WiringCheck((("own-loop", WARNING),), ends_of_normal.own_loop),
    WiringCheck(
        (("pointless-normal", NOTE), ("nothing-feeds", NOTE), ("goes-nowhere", NOTE)), ends_of_normal.pointless_normal
    ),
    WiringCheck((("out-of-step", WARNING),), out_of_step.out_of_step),
    WiringCheck((("open-at-rest", NOTE),), inserts.open_at_rest),
    WiringCheck((("wired-twice", NOTE),), jacks.wired_twice),
    WiringCheck((("never-wired", NOTE),), jacks.never_wired),
    WiringCheck((("occupied-twice", WARNING),), jacks.occupied_twice),
    WiringCheck((("tie-in-one-place", NOTE),), jacks.tie_in_one_place),
    WiringCheck((("feed-unknown", WARNING),), jacks.feeds_unknown),
    WiringCheck((("place-like-another", WARNING),), places.place_like_another),
    WiringCheck((("sleeve-open", WARNING),), sleeve.sleeve_open),
    WiringCheck((("length-not-owned", WARNING),), house.length_not_owned),
)


class Checked(NamedTuple):
    """What came of a check: the findings, and apart from them those that the room file accepts."""

    findings: list[Finding]
    accepted: list[Acceptance]


def check_whole(room: Room) -> Checked:
    """All findings of a room: of its wiring, of the room at rest, and of its house patch; by their line."""
    found = {finding for check in WIRING_CHECKS for finding in check.finds(room)}
    found.update(house.at_rest(room))
    left, accepted, stale = set_apart(room, sorted(found))
    return Checked(sorted([*in_runs(room, left), *stale]), accepted)


def check_room(room: Room) -> list[Finding]:
    """The findings of a room that its file does not accept."""
    return check_whole(room).findings
