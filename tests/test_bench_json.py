"""What the help says that the bench prints for programs, against what it prints."""

from __future__ import annotations

from model.bench.diagnosis import Fault
from model.bench.order import as_json as order_json
from model.bench.order import first_wiring, make_order
from model.bench.plan import as_json as plan_json
from model.bench.plan import make_plan
from model.bench.proof import COLUMNS, as_json, make_proof
from model.bench.survey import as_json as pair_json
from model.bench.survey import survey
from model.help.bench import FAULT, ORDER, PAIR, PLAN, STEP, TEST, contacts_table
from model.room.file import read_room

ROOM = read_room("rooms/attic.yaml")


def test_every_key_is_told() -> None:
    """And no other."""
    order = order_json(make_order(first_wiring(ROOM), ROOM))
    assert set(order) == set(ORDER)
    assert all(set(step) == set(STEP) for page in order["bays"] for step in page["steps"])
    assert set(plan_json(make_plan(ROOM, ["normal A5 full"]), {}, written=False)) == set(PLAN)
    assert all(set(pair_json(ROOM, one)) == set(PAIR) for one in survey(ROOM))
    told = list(as_json(ROOM, make_proof(ROOM)))
    assert all(tuple(test) == COLUMNS == tuple(TEST) for test in told)
    assert set(Fault("short", (), (), None, None, "").as_json(ROOM)) == set(FAULT)


def test_the_table_of_contacts_is_the_field_s() -> None:
    """Common practice, no source."""
    rows = {row[0].strip("`"): row[1:] for row in contacts_table().rows}
    assert rows["half"] == ("line", "normal", "closed", "closed", "open")
    assert rows["none"] == ("", "", "open", "open", "open")
