"""The JSON Schema of a room file: `jsonschema` accepts what the reader accepts, and refuses what one place shows to be wrong.

Judge: jsonschema, a general-purpose library, after json-schema.org's draft 07. Takes about 2 s.
"""

import os
from pathlib import Path
from random import Random

import jsonschema
import pytest
import yaml

from model.bench.written import schema
from model.bench.written.room_writer import write_room
from model.room.file.accepted import ACCEPTED_KEYS
from model.room.file.bays import BAY_KEYS
from model.room.file.gear import MIC_KEYS, PORT_KEYS
from model.room.file.joins import CROSS_KEYS, MULT_KEYS, TIE_KEYS
from model.room.file.reader import TOP_KEYS
from tests.bench.generated_text import generated_text
from tests.roomfile_refusals import REFUSED, ROOM
from tests.writable_rooms import writable_room
from tests.yaml_for_schema import as_an_editor_reads

SHIPPED = sorted(Path("rooms").glob("*.yaml"))
RANDOM = int(os.environ.get("BAYHAND_SCHEMA_ROOMS", "20"))
VALIDATOR = jsonschema.Draft7Validator(schema.room_schema())

# Broken files whose fault is a relation of two places, which no schema can state: a name used and not there, a place given
# twice under two spellings, two sides of unlike length.
OF_TWO_PLACES = frozenset(
    (
        "unknown port", "unknown ports", "gear for a port", "words turned", "unknown row",
        "sides differ, row", "sides differ, tie", "sides differ, tie names", "sides differ, house patch", "two ports",
        "past the bay", "normal past the bay", "jack past the bay", "row twice", "row twice, other bay", "bay twice",
        "gear twice", "port twice", "port twice in gear", "mic twice", "too many jacks in all", "long full name",
        "gear like a jack", "switch in two cases", "through unknown", "through from an output", "through to an input",
        "normal twice", "normal twice, crossed", "normal to itself", "tie to itself", "jacks joined twice",
        "tie named twice", "two mults", "mult twice", "mult named as a port", "mult named as a tie line",
        "mult named as a jack", "twice in a mult", "cords twice", "house patch unknown", "house patch unwired",
        "house patch several", "house patch past the row", "house patch, jack twice",
    )
)  # fmt: skip


def refused(text: str) -> bool:
    """Whether an editor shows an error: from its YAML parser or by the schema."""
    try:
        data = as_an_editor_reads(text)
    except yaml.YAMLError:
        return True
    return not VALIDATOR.is_valid(data)


def broken(name: str) -> str:
    what, by, _, _ = REFUSED[name]
    assert what in ROOM
    return ROOM.replace(what, by, 1)


def test_the_schema_is_one() -> None:
    jsonschema.Draft7Validator.check_schema(schema.room_schema())


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_shipped_rooms_are_accepted(path: Path) -> None:
    VALIDATOR.validate(as_an_editor_reads(path.read_text("utf-8")))


@pytest.mark.parametrize("seed", range(RANDOM))
def test_random_rooms_are_accepted(seed: int) -> None:
    VALIDATOR.validate(as_an_editor_reads(write_room(writable_room(Random(seed), points=4))))


@pytest.mark.parametrize(
    "text",
    [
        ROOM,
        generated_text(192, one_line_each=True),
        ROOM.replace("mults:\n  - {name: Mult 1, jacks: D5-7}", "mults:"),
        ROOM.replace("ohms: 2400", "ohms: '2400'").replace("columns: 24", "columns: '024'"),
        ROOM.replace("1-12: Live {1-12}", "' 1 - 12 ': Live {1-12}").replace("3: Mix L", "3-3: Mix L"),
        ROOM.replace("from: MR-C3, to: D1", "from: MR-C3-3, to: D1"),
        ROOM.replace("harmed: yes", "harmed: true").replace("through: no", "through: No"),
    ],
    ids=[
        "everything",
        "one line each",
        "an empty section",
        "numbers as text",
        "spaces",
        "a range of one",
        "yes and no",
    ],
)
def test_what_the_reader_accepts_is_accepted(text: str) -> None:
    from model.room.file import parse_room

    parse_room(text)
    VALIDATOR.validate(as_an_editor_reads(text))


def test_nine_of_ten_broken_files_of_one_place_are_refused() -> None:
    """Of all broken files, and of those whose fault one place shows; whatever is not refused is named."""
    assert REFUSED.keys() >= OF_TWO_PLACES
    accepted = {name for name in REFUSED if not refused(broken(name))}
    assert not OF_TWO_PLACES - accepted  # none of them stands there to make the figure better
    of_one_place = REFUSED.keys() - OF_TWO_PLACES
    # an anchor and a tag are gone once the YAML is read
    assert accepted - OF_TWO_PLACES == {"anchor", "tag"}
    assert len(of_one_place - accepted) >= 0.9 * len(of_one_place)


def test_every_key_of_the_reader_has_its_form() -> None:
    """A key that joins the reader is let through by the schema at once; here it is asked for its form."""
    for keys, types in (
        (PORT_KEYS, schema.PORT_TYPES),
        (MIC_KEYS, schema.MIC_TYPES),
        (BAY_KEYS, schema.BAY_TYPES),
        (CROSS_KEYS, schema.CROSS_TYPES),
        (TIE_KEYS, schema.TIE_TYPES),
        (MULT_KEYS, schema.MULT_TYPES),
        (ACCEPTED_KEYS, schema.ACCEPTED_TYPES),
        (TOP_KEYS, schema.room_schema()["properties"]),
    ):
        assert keys == types.keys()
    assert all(schema.room_schema()["properties"].values())
