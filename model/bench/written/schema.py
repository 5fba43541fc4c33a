"""The JSON Schema of a room file, for editors that check YAML while one types; made from the tables of the file's reader.

It says what a place may hold by itself: keys, kinds, forms of names, numbers and ranges. What two places must agree on (a
port that is named and not there, a jack given two ports, sides of unlike length) a schema cannot say: `check` does.
Written for draft 07, which such editors know best (json-schema.org, draft-07). Values stand in YAML as text or as numbers;
the schema takes both, as the reader does.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from collections.abc import Set as AbstractSet
from typing import Any

from model.room.file.accepted import ACCEPTED_KEYS
from model.room.file.bays import ALL_NORMALS, BAY_KEYS, MAX_ROWS
from model.room.file.gear import MIC_KEYS, PORT_KEYS, SUPPLY_KEYS
from model.room.file.house_patch import MARK_KEYS, MAX_CORDS, PRIOR_KEYS
from model.room.file.jack_texts import JACK_TEXTS
from model.room.file.joins import CROSS_KEYS, MULT_KEYS, TIE_KEYS, WALL_BOX
from model.room.file.reader import TOP_KEYS, UNITS, VERSION
from model.room.file.reading import LARGEST, SMALLEST
from model.room.file.strip_keys import MAX_MM
from model.room.inside import CONDITIONS
from model.room.kinds import KINDS, MAX_CONDUCTORS, NORMALLED_BY, REACHED_FROM, SLEEVES, TIE_KINDS
from model.room.labels import MAX_CHARACTERS
from model.room.wiring import STRIPS
from model.text.ranges import MOST

Schema = dict[str, Any]

# Characters that cannot be seen, or steer the text around them.
_UNSEEN = r"\u0000-\u001f\u007f-\u00a0\u00ad\u1680\u2000-\u200f\u2028-\u202f\u205f-\u206f\u3000\ud800-\udfff\ufeff"
_SHOWN = rf"^(?! )(?!.* $)[^{_UNSEEN}]{{1,{MAX_CHARACTERS}}}$"
# A name that people type, and one with ranges in braces; only without a range is its length known.
_NAME = rf"[^{{}}>,\"{_UNSEEN}]"
_ONE_NAME = rf"^(?![ #])(?!.*(?:  |[ ?]$)){_NAME}{{1,{MAX_CHARACTERS}}}$"
_NAMES = rf"^(?![ #])(?!.*(?:  |[ ?]$))(?=[^{{]{{1,{MAX_CHARACTERS}}}$|.*\{{)(?:{_NAME}|\{{[^{{}}{_UNSEEN}]+\}})+$"
_TOO_MANY = r"\{[^}]*(?:[2-9][0-9]{6}|1[0-9]*[1-9][0-9]*(?<=[0-9]{7})|[0-9]{8})[^}]*\}"
_COUNT = r"0*[1-9][0-9]{0,6}"
_COLUMNS = rf"^ *{_COUNT} *(?:- *{_COUNT} *)?(?:, *{_COUNT} *(?:- *{_COUNT} *)?)*$"
_ROW = rf"(?![ #_])(?!.*  ){_NAME}*[^\W\d_]"
_STRETCH = rf"(?:{_ROW}0*[1-9][0-9]{{0,6}}(?: *- *[0-9]{{1,7}})?)"
_JACKS = rf"^ *{_STRETCH} *(?:, *{_STRETCH} *)*$"


def _backwards() -> str:
    """A range whose last number is lower than its first: it has fewer digits, or the first digit that differs is lower."""
    shorter = "|".join(rf"[1-9][0-9]{{{digits}}} *- *0*[1-9][0-9]{{0,{digits - 1}}}(?![0-9])" for digits in range(1, 7))
    lower = "|".join(
        rf"{digit}[0-9]{{{rest}}} *- *0*\1[0-{digit - 1}][0-9]{{{rest}}}(?![0-9])"
        for rest in range(7)
        for digit in range(1, 10)
    )
    return rf"(?<![0-9])0*(?:{shorter}|([0-9]*)(?:{lower}))"


_BACKWARDS = _backwards()
# Columns of which there are several: from one number to another, or a list.
_SEVERAL_COLUMNS = r"^ *0*([0-9]+) *- *(?!0*\1 *$)[0-9]+ *$|,"
_NUMBER = r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
_ZERO = r"^[+-]?(?:0+(?:\.0*)?|\.0+)(?:[eE][+-]?[0-9]+)?$"


def _texts(pattern: str) -> Schema:
    """Text of a form; YAML may have taken it for a number or for true and false."""
    return {"anyOf": [{"type": "string", "pattern": pattern}, {"type": ["number", "boolean"]}]}


def _number(*, zero: bool = False, most: float = LARGEST) -> Schema:
    least: Schema = {"minimum": 0} if zero else {"minimum": SMALLEST}
    text: Schema = {"type": "string", "pattern": f"^{_NUMBER}$", "not": {"pattern": "^-" if zero else f"^-|{_ZERO}"}}
    return {"anyOf": [{"type": "number", **least, "maximum": most}, text]}


def _whole(most: int, *, zero: bool = False) -> Schema:
    least = 0 if zero else 1
    digits = "^[0-9]{1,15}$" if zero else "^0*[1-9][0-9]*$"
    return {"anyOf": [{"type": "integer", "minimum": least, "maximum": most}, {"type": "string", "pattern": digits}]}


def _words(words: Iterable[str]) -> Schema:
    return {"enum": list(words)}


def _any_case(word: str) -> str:
    return "".join(f"[{letter.upper()}{letter}]" if letter.isalpha() else letter for letter in word)


_YES_NO: Schema = {
    "anyOf": [
        {"type": "boolean"},
        {"type": "string", "pattern": f"^(?:{'|'.join(map(_any_case, ('yes', 'no', 'true', 'false')))})$"},
    ]
}
_YES: Schema = {
    "anyOf": [{"const": True}, {"type": "string", "pattern": f"^(?:{_any_case('yes')}|{_any_case('true')})$"}]
}
_LEVEL: Schema = {"type": "string", "pattern": rf"^{_NUMBER}\s*(?:dBu|dBV)$"}
_RATE: Schema = {"type": "string", "pattern": rf"^{_NUMBER}\s*k?Hz$"}
_MANY: Schema = {
    "not": {"anyOf": [{"type": "string", "pattern": each} for each in (_TOO_MANY, rf"\{{[^}}]*{_BACKWARDS}")]}
}
_LABEL, _NAME_TEXT = _texts(_SHOWN), _texts(_ONE_NAME)
_NAMES_TEXT: Schema = {"allOf": [_texts(_NAMES), _MANY]}
_JACKS_TEXT: Schema = {"type": "string", "pattern": _JACKS, "not": {"pattern": rf"[^\W\d]{_BACKWARDS}"}}
_COLUMNS_KEY: Schema = {"pattern": _COLUMNS, "not": {"pattern": _BACKWARDS}}


def _object(keys: AbstractSet[str], types: Mapping[str, Schema], required: Iterable[str] = (), **more: Any) -> Schema:
    """A table of the keys that the reader allows; a key of which nothing is said here may hold anything."""
    properties = {key: types.get(key, {}) for key in sorted(keys)}
    return {
        "type": "object",
        "properties": properties,
        "additionalProperties": False,
        "required": list(required),
        **more,
    }


def _map(keys: Schema, values: Schema, **more: Any) -> Schema:
    """A table whose keys are of a form."""
    return {"type": ["object", "null"], "propertyNames": keys, "additionalProperties": values, **more}


def _list(members: Schema) -> Schema:
    return {"type": ["array", "null"], "items": members}


PORT_TYPES: dict[str, Schema] = {
    "is": _words(KINDS),
    "ohms": _number(),
    "level": _LEVEL,
    "max": _LEVEL,
    "cable": _number(zero=True),
    "phantom": _number(),
    "feed": _number(),
    "switch": _NAME_TEXT,
    "least ohms": _number(),
    "bridged": _YES_NO,
    "ears": _YES_NO,
    "balanced": _YES_NO,
    "rate": _RATE,
    "switched": _YES_NO,
}
MIC_TYPES: dict[str, Schema] = {
    "ohms": _number(),
    "phantom": _number(),
    "draws": _number(zero=True),
    "harmed": _YES_NO,
    "works from": _number(),
}
BAY_TYPES: dict[str, Schema] = {
    "bay": _LABEL,
    "place": _LABEL,
    "columns": _whole(MOST),
    "rows": {
        "type": "object",
        "minProperties": 1,
        "maxProperties": MAX_ROWS,
        "propertyNames": {"pattern": rf"^(?=[^\W_]){_ROW}$"},
        "additionalProperties": _map(
            _COLUMNS_KEY,
            {},
            # several columns need a name that stands for several ports
            patternProperties={"": {"$ref": "#/definitions/names"}, _SEVERAL_COLUMNS: {"pattern": r"\{"}},
        ),
    },
    "normals": _map(_COLUMNS_KEY, _words(ALL_NORMALS)),
    "normalled by": _words(NORMALLED_BY),
    "reached from": _words(REACHED_FROM),
    "jumper carries": _whole(MAX_CONDUCTORS),
    "sleeve": _words(SLEEVES),
    "pitch": _number(most=MAX_MM),
    "strip height": _number(most=MAX_MM),
    "first": _number(zero=True, most=MAX_MM),
    "groups": _map(_COLUMNS_KEY, _number(most=MAX_MM)),
    "strips": _words(STRIPS),
    **{key: _map({"pattern": _JACKS}, {"type": ["string", "number", "boolean"]}) for key in JACK_TEXTS},
}
# A cross normal or a tie line joins one jack to one, or a range to a range.
_SINGLE = rf"^ *{_ROW}[0-9]+ *$"
_RANGE_OF_SEVERAL: Schema = {
    "type": "string",
    "pattern": r"[0-9] *- *[0-9]",
    "not": {"pattern": r"(?<![0-9])0*([0-9]+)-0*\1$"},
}
_ALIKE: Schema = {
    "not": {
        "anyOf": [
            {
                "required": ["from", "to"],
                "properties": {one: {"type": "string", "pattern": _SINGLE}, other: _RANGE_OF_SEVERAL},
            }
            for one, other in (("from", "to"), ("to", "from"))
        ]
    }
}
CROSS_TYPES: dict[str, Schema] = {"from": _JACKS_TEXT, "to": _JACKS_TEXT, "kind": _words(ALL_NORMALS)}
TIE_TYPES: dict[str, Schema] = {
    "name": _NAMES_TEXT,
    "from": _JACKS_TEXT,
    "to": {"anyOf": [_JACKS_TEXT, {"type": "string", "pattern": f"^{_any_case(WALL_BOX)}$"}]},
    "metres": _number(zero=True),
    "is": _words(TIE_KINDS),
}
_ONE_JACK: Schema = {"type": "string", "pattern": _SINGLE}
MULT_TYPES: dict[str, Schema] = {
    "name": _NAME_TEXT,
    "jacks": {
        "anyOf": [
            {"allOf": [_JACKS_TEXT, {"not": _ONE_JACK}]},
            {"type": "array", "items": _JACKS_TEXT, "not": {"maxItems": 1, "items": _ONE_JACK}},
        ]
    },
}
ACCEPTED_TYPES: dict[str, Schema] = {"at": {"type": ["string", "number"]}, "finding": _LABEL, "because": _LABEL}
_END = r"[^>]*[^> ][^>]*"
# A cord of no length, and one of more than 1000 m or 100000 cm.
_OVER_1000 = r"(?:[1-9][0-9]{4,}|[2-9][0-9]{3}|1[0-9]{3}(?<!1000)|1000\.0*[1-9])[0-9.]*"
_OVER_100000 = r"(?:[1-9][0-9]{6,}|[2-9][0-9]{5}|1[0-9]{5}(?<!100000)|100000\.0*[1-9])[0-9.]*"
_NO_LENGTH = (
    rf"\s[wW][iI][tT][hH]\s+(?:[+-]?(?:0+(?:\.0*)?|\.0+)\s*(?:[cC]?[mM])?|0*{_OVER_1000}\s*[mM]"
    rf"|0*{_OVER_100000}\s*(?:[cC][mM])?)$"
)


def _port() -> Schema:
    """A kind alone, or a table; only a microphone's input can supply phantom."""
    not_a_mic_in = {"properties": {"is": {"not": {"const": "mic in"}}}, "required": ["is"]}
    table = _object(
        PORT_KEYS,
        PORT_TYPES,
        ("is",),
        **{
            "dependencies": {key: ["phantom"] for key in SUPPLY_KEYS if key != "phantom"},
            "if": not_a_mic_in,
            "then": {"not": {"anyOf": [{"required": [key]} for key in SUPPLY_KEYS]}},
        },
    )
    return {"anyOf": [_words(KINDS), table]}


def _gear() -> Schema:
    port = {"$ref": "#/definitions/port"}
    inner: Schema = {"anyOf": [_NAMES_TEXT, {"type": "array", "items": _NAMES_TEXT}, {"type": "object"}]}
    through: Schema = {"anyOf": [*_YES_NO["anyOf"], *_THROUGH_WORDS, {"type": "object", "additionalProperties": inner}]}
    ports: Schema = {
        "type": "object",
        "properties": {"through": through, "own names": _YES_NO},
        "propertyNames": {"pattern": _NAMES},
        "additionalProperties": port,
        "minProperties": 1,
        "not": {
            "anyOf": [
                {"required": ["is"]},
                {"required": ["through"], "maxProperties": 1},
                {"required": ["own names"], "maxProperties": 1},
            ]
        },
    }
    return {"anyOf": [port, ports]}


_THROUGH_WORDS: list[Schema] = [_words(CONDITIONS)]  # conditions that stand alone


def room_schema() -> Schema:
    """The schema of a room file."""
    names: Schema = {"propertyNames": {"pattern": _NAMES, **_MANY}}
    bay = _object(
        BAY_KEYS,
        BAY_TYPES,
        ("bay", "columns", "rows"),
        **{
            "if": {"properties": {"rows": {"maxProperties": 1}}},
            "then": {"properties": {"normals": {"maxProperties": 0}}},
        },
    )
    mic = _object(MIC_KEYS, MIC_TYPES, **{"not": {"required": ["phantom", "harmed"], "properties": {"harmed": _YES}}})
    sections: dict[str, Schema] = {
        "bayhand": {"enum": [int(VERSION), VERSION]},
        "units": {"enum": list(UNITS)},
        "room": _LABEL,
        "gear": {"type": ["object", "null"], **names, "additionalProperties": _gear()},
        "mics": {"type": ["object", "null"], **names, "additionalProperties": {"anyOf": [mic, {"type": "null"}]}},
        "bays": {"type": "array", "minItems": 1, "items": bay},
        "cross normals": _list({**_object(CROSS_KEYS, CROSS_TYPES, ("from", "to", "kind")), **_ALIKE}),
        "ties": _list({**_object(TIE_KEYS, TIE_TYPES, ("name", "from", "to")), **_ALIKE}),
        "mults": _list(_object(MULT_KEYS, MULT_TYPES, ("name", "jacks"))),
        "cords": _map({"pattern": "^[0-9]*[1-9][0-9]*$"}, _whole(MAX_CORDS, zero=True)),
        "house patch": _list({"type": "string", "pattern": rf"^{_END}>{_END}$", "not": {"pattern": _NO_LENGTH}}),
        "marks": {**_object(MARK_KEYS, dict.fromkeys(MARK_KEYS, _LABEL)), "type": ["object", "null"]},
        "accepted": _list(_object(ACCEPTED_KEYS, ACCEPTED_TYPES, ACCEPTED_TYPES)),
        "priors": {**_object(PRIOR_KEYS, {cause: _number() for cause in PRIOR_KEYS}), "type": ["object", "null"]},
    }
    return {
        "$schema": "http://json-schema.org/draft-07/schema#",
        "title": f"A room file, version {VERSION}",
        "definitions": {"names": _NAMES_TEXT, "port": _port()},
        **_object(TOP_KEYS, sections, ("bayhand", "room", "bays")),
    }
