"""A room file with everything in it, and all the ways in which a small change to it must be refused."""

from __future__ import annotations

import pytest

from model.room.file import FileError, RoomFileErrors, parse_room

ROOM = """\
bayhand: 1
room: Saltmarsh, Studio B
gear:
  Live {1-12}: mic line
  Pre {1-12}:
    in:  {is: mic in, ohms: 2400, phantom: 48}
    out: {is: line out, ohms: 60, level: +4 dBu, max: 24 dBu, cable: 12}
  Group {1-2}:
    in:  {is: mic in, phantom: 24, feed: 1000, switch: Bank A}
    out: line out
  Tape {1-12}:
    through: no
    in:  line in
    out: {is: line out, level: -10 dBV}
  Channel {1-2}:
    through: {line in: [insert send], insert return: direct out}
    line in: line in
    insert send: line out
    insert return: line in
    direct out: line out
  Converter A:
    through: no
    out: aes3 out
  Mix {L,R}: line out
  Wedge: {is: line in, ohms: 20000}
mics:
  dynamic: {ohms: 200}
  condenser:   {ohms: 150, phantom: 48, draws: 4}
  ribbon:      {ohms: 300, harmed: yes}
bays:
  - bay: Mic bay
    place: control room
    columns: 24
    rows:
      A:
        1-12: Live {1-12}
        13-24: Pre {1-12} out
      B:
        1-12: Pre {1-12} in
        13-24: Tape {1-12} in
    normals:
      1-12: full
      13-22: half
      23: half top
      24: none
  - bay: Desk bay
    columns: 8
    rows:
      MR-C:
        1, 8: Channel {1-2} line in
        3: Mix L
      D:
        1: Wedge
        2: Converter A out
  - bay: Wall
    columns: 4
    rows: {E: {}}
cross normals:
  - {from: MR-C3, to: D1, kind: half}
ties:
  - {name: "Tie {1-2}", from: D3-4, to: E1-2, metres: 30}
mults:
  - {name: Mult 1, jacks: D5-7}
cords:
  30: 40
  60: 0
house patch:
  - Mix L > tape 1 in
  - A13 > D5 and D8 with 60 cm
marks:
  full: white
priors:
  cord: 10
"""

# Each refusal: what is replaced in the room above, by what, the place of the error that
# follows (at the |), and its words.
REFUSED: dict[str, tuple[str, str, str, str]] = {
    "unknown version": (
        "bayhand: 1",
        "bayhand: 2",
        "bayhand: |2",
        "version '2' of the format is unknown: this program reads 1",
    ),
    "no version": ("bayhand: 1\n", "", "|room: Saltmars", "'bayhand' is missing"),
    "no room": ("room: Saltmarsh, Studio B\n", "", "|bayhand: 1", "key 'room' is missing in the file"),
    "unknown key": (
        "priors:",
        "prior:",
        "|prior:",
        "unknown key 'prior' at the top of the file: did you mean 'priors'?",
    ),
    "unknown key of a port": (
        "ohms: 2400",
        "ohm: 2400",
        " |ohm: 2400, pha",
        "unknown key 'ohm' of port 'Pre {1-12} in': did you mean 'ohms'",
    ),
    "unknown key of a bay": (
        "place:",
        "plaec:",
        " |plaec: control",
        "unknown key 'plaec' in 'bays': did you mean 'place'",
    ),
    "unknown key of a mic": ("draws: 4", "drawn: 4", " |drawn: 4}", "unknown key 'drawn' of microphone 'condenser'"),
    "unknown key of a tie": ("metres: 30", "meters: 30", " |meters: 30}", "did you mean 'metres'"),
    "unknown kind": (
        "is: mic in, ohms",
        "is: mic inn, ohms",
        " |mic inn, ohms:",
        "unknown kind 'mic inn' for port 'Pre {1-12} in': did you mean 'mic in'",
    ),
    "no kind": ("{is: mic in, ohms: 2400, phantom: 48}", "{ohms: 2400}", " |{ohms: 2400}", "key 'is' is missing"),
    "kind forgotten": ("Wedge: {is: line in, ohms", "Wedge: {ohms", "{|ohms: 20000}", "is 'is: KIND' missing here?"),
    "gear without ports": ("Wedge: {is: line in, ohms: 20000}", "Wedge: {}", " Wedge: |{}", "has no port"),
    "gear as a list": (
        "Wedge: {is: line in, ohms: 20000}",
        "Wedge: [line in]",
        " |[line in]",
        "must be a kind of port",
    ),
    "unknown port": ("3: Mix L", "3: Mix LL", " |Mix LL", "unknown port 'Mix LL': did you mean 'Mix L' or 'Mix R'?"),
    "unknown ports": (
        "1-12: Live {1-12}",
        "1-12: Life {1-12}",
        " |Life {1-12}",
        "unknown ports 'Life 1', 'Life 2', 'Life 3', 'Life 4' and 8 more: did you mean 'Live 1'",
    ),
    "gear for a port": (
        "3: Mix L",
        "3: Pre 1",
        " |Pre 1",
        "unknown port 'Pre 1': did you mean 'Pre 1 in' or 'Pre 1 out'?",
    ),
    "words turned": ("3: Mix L", "3: L Mix", " |L Mix", "did you mean 'Mix L'?"),
    "unknown row": (
        "from: MR-C3",
        "from: MRC3",
        " |MRC3, to: D1, ",
        "there is no row 'MRC' for 'MRC3': did you mean 'MR-C'?",
    ),
    "address with two rows": ("jacks: D5-7", "jacks: D5-D7", " |D5-D7}", "'D5-D7': did you mean 'D5-7'"),
    "not an address": ("jacks: D5-7", "jacks: Mix L", " |Mix L}", "'Mix L' is not a jack or a range of jacks"),
    "sides differ, row": (
        "1-12: Live {1-12}",
        "1-12: Live {1-11}",
        " |1-12: Live {1-",
        "1-12 is 12 jacks, 'Live {1-11}' is 11 ports",
    ),
    "sides differ, one port": ("1-12: Live {1-12}", "1-12: Live 1", " |1-12: Live 1", "'Live 1' is 1 port"),
    "sides differ, cross normal": ("to: D1, kind", "to: D1-2, kind", " |to: D1-2, kind", "'MR-C3' is 1, 'D1-2' is 2"),
    "sides differ, tie": ("to: E1-2", "to: E1-3", " |to: E1-3, metr", "'D3-4' is 2, 'E1-3' is 3"),
    "sides differ, tie names": ("Tie {1-2}", "Tie {1-3}", ' |"Tie {1-3}", f', "'Tie {1-3}' is 3"),
    "sides differ, house patch": ("- Mix L >", "- E{1,2} >", " |E{1,2} > tape ", "'E{1,2}' is 2, 'tape 1 in' is 1"),
    "two ports": (
        "13-24: Pre",
        "12-23: Pre",
        " |12-23: Pre {1-",
        "jack A12 is given two ports: 'Live 12' on line 36 and 'Pre 1 out' here",
    ),
    "past the bay": (
        "13-24: Tape {1-12}",
        "13-25: Tape {1-13}",
        " |13-25: Tape {1",
        "columns '13-25': row 'B' has 24 columns",
    ),
    "normal past the bay": ("24: none", "25: none", " |25: none", "columns '25'"),
    "jack past the bay": (
        "jacks: D5-7",
        "jacks: D5-9",
        " |D5-9}",
        "'D5-9' goes past row 'D', whose columns are 1 to 8",
    ),
    "point 0": ("3: Mix L", "0: Mix L", " |0: Mix L", "points are counted from 1"),
    "address for a point": ("3: Mix L", "C3: Mix L", " |C3: Mix L", "points are written such as 5, 1-12"),
    "backwards": ("1-12: Live", "12-1: Live", " |12-1: Live {1-", "did you mean 1-12?"),
    "backwards, jacks": ("jacks: D5-7", "jacks: D7-5", " |D7-5}", "did you mean 'D5-7'?"),
    "row twice": ("      D:\n", "      mr-c:\n", " |mr-c:", "row 'mr-c' is named twice: this bay has row 'MR-C'"),
    "row twice, other bay": (
        "rows: {E:",
        "rows: {a:",
        "{|a: {}}",
        "row 'a' is named twice: bay 'Mic bay' has row 'A' already",
    ),
    "row ends with a digit": ("rows: {E:", "rows: {E1:", "{|E1: {}}", "end with a letter"),
    "row starts with a sign": ("rows: {E:", "rows: {-E:", "{|-E: {}}", "start with a letter or a digit"),
    "three rows": ("rows: {E: {}}", "rows: {E: {}, F: {}, G: {}}", " |G: {}}", "has 3 rows"),
    "no rows": ("rows: {E: {}}", "rows: {}", " |{}", "has no row"),
    "bay twice": (
        "- bay: Wall",
        "- bay: MIC BAY",
        " |bay: MIC BAY",
        "bay 'MIC BAY' is named twice: line 31 has 'Mic bay'",
    ),
    "no points": ("    columns: 4\n", "", " |bay: Wall", "key 'columns' is missing in bay 'Wall'"),
    "points not whole": ("columns: 4\n", "columns: 4.5\n", " |4.5", "must be a whole number from 1"),
    "cell without a port": ("3: Mix L", "3:", " 3:|", "need the name of a port"),
    "key twice": ("13-24: Tape {1-12} in", "1-12: Tape {1-12} in", " |1-12: Tape {1-", "key '1-12' is given twice"),
    "gear twice": ("Wedge:", "mix l:", " |mix l: {is: li", "gear 'mix l' is named twice: line 24 has 'Mix L'"),
    "port twice": ("Wedge:", "PRE 4 IN:", " |PRE 4 IN: {is:", "port 'PRE 4 IN' is named twice: line 6 has 'Pre 4 in'"),
    "port twice in gear": (
        "    out: {is: line out, level",
        "    IN: {is: line out, level",
        " |IN: {is: line ",
        "port 'IN' of gear 'Tape {1-12}' is named twice",
    ),
    "mic twice": ("ribbon:  ", "Condenser:  ", " |Condenser:    ", "microphone 'Condenser' is named twice"),
    "mic contradicts itself": ("ohms: 300", "phantom: 48", " |ribbon:      {", "needs phantom and is harmed by it"),
    "anchor": ("room: S", "room: &x S", " |&x Saltmarsh, ", "anchor '&x'"),
    "alias": ("room: Saltmarsh, Studio B", "room: *x", " |*x", "alias '*x'"),
    "merge key": ("      D:\n        1: Wedge", "      D:\n        <<: Wedge", " |<<: Wedge", "merge key"),
    "tag": ("room: S", "room: !!str S", " |!!str Saltmars", "tag"),
    "too many jacks in a range": ("1-12: Live {1-12}", "1-12: Live {1-1000001}", " |Live {1-100000", "at most"),
    "too much gear": ("Live {1-12}: mic", "Live {1-2000000}: mic", " |Live {1-200000", "at most 1,000,000"),
    "too many points": ("columns: 4\n", "columns: 1000001\n", " |1000001", "from 1 to 1,000,000"),
    "too many jacks in all": ("columns: 4\n", "columns: 1000000\n", " |bay: Wall", "more than 1,000,000 jacks"),
    "control character": ("Wedge:", '"We\\edge":', ' |"We\\edge": {is', "character 3 is a control character (U+001B)"),
    "override of direction": ("Wedge:", '"We\\u202edge":', ' |"We\\u202edge":', "(U+202E)"),
    "zero width": ("room: Salt", "room: Salt\u200b", " |Salt\u200bmarsh, St", "(U+200B)"),
    "lone surrogate": ("room: Salt", "room: Salt\ud800", " Salt|\ud800marsh, Studio", "half of a surrogate pair"),
    "long name": ("Wedge:", "W" * 201 + ":", " |WWWWWWWWWWWWWW", "it has 201 characters"),
    "long full name": ("Pre {1-12}:", "P" * 195 + " {1-12}:", " |PPPPPPPPPPPPPP", "over 200 characters"),
    "name with >": ("Wedge:", "We>dge:", " |We>dge: {is: l", "'>' joins the two ends"),
    "name with a comma": ("Wedge:", '"We,dge":', ' |"We,dge": {is:', "','"),
    "name with a quote": ("Wedge:", "'We\"dge':", " |'We\"dge': {is:", "double quote"),
    "name like a cord": ("Wedge:", '"#7":', ' |"#7": {is: lin', "'#' at the start"),
    "name that asks": ("Wedge:", '"Wedge?":', ' |"Wedge?": {is:', "'?' at the end"),
    "open range": ("Wedge:", '"Wedge {1-2":', ' |"Wedge {1-2": ', "no '}' closes it"),
    "gear like a jack": ("Wedge:", "a5:", " |a5: {is: line ", "'a5' could not be told from a jack of row 'a'"),
    "switch in two cases": (
        "Pre {1-12}:\n    in:  {is: mic in,",
        "Pre {1-12}:\n    in:  {is: mic in, switch: bank a,",
        " |Group {1-2}:",
        "switch 'Bank A' is written 'bank a' elsewhere",
    ),
    "ohms 0": ("ohms: 2400", "ohms: 0", " |0, phantom: 48", "must be more than 0, not '0'"),
    "ohms negative": ("ohms: 2400", "ohms: -5", " |-5, phantom: 4", "must be more than 0"),
    "ohms infinite": ("ohms: 2400", "ohms: .inf", " |.inf, phantom:", "must be a number"),
    "ohms nan": ("ohms: 2400", "ohms: nan", " |nan, phantom: ", "must be a number"),
    "ohms overflow": ("ohms: 2400", "ohms: 1e999", " |1e999, phantom", "too large"),
    "ohms with k": ("ohms: 2400", "ohms: 2.4k", " |2.4k, phantom:", "must be a number such as 2400, not '2.4k'"),
    "ohms with a comma": ("ohms: 2400", "ohms: '2,4'", " |'2,4', phantom", "a number such as 2.4, not"),
    "ohms with an underscore": ("ohms: 2400", "ohms: 2_400", " |2_400, phantom", "must be a number"),
    "ohms as a list": ("ohms: 2400", "ohms: [1]", " |[1], phantom: ", "must be text, not a list"),
    "cable negative": ("cable: 12", "cable: -1", " |-1}", "must be 0 or more"),
    "metres negative": ("metres: 30", "metres: -1", " |-1}", "must be 0 or more"),
    "level without a unit": (
        "level: +4 dBu",
        "level: 4",
        " |4, max: 24 dBu",
        "must be a level such as +4 dBu or -10 dBV",
    ),
    "level in another unit": (
        "level: +4 dBu",
        "level: +4 dbv",
        " |+4 dbv, max: 2",
        "did you mean '+4 dBu' or '+4 dBV'?",
    ),
    "phantom of a line in": (
        "Wedge: {is: line in,",
        "Wedge: {is: line in, phantom: 48,",
        " |phantom: 48, o",
        "'phantom' of gear 'Wedge', which is 'line in': only a 'mic in'",
    ),
    "feed without phantom": (
        "ohms: 2400, phantom: 48",
        "ohms: 2400, feed: 6800",
        " |feed: 6800}",
        "'feed' of port 'Pre {1-12} in' needs 'phantom'",
    ),
    "switch of a line out": (
        "Converter A:\n    through: no\n    out: aes3 out",
        "Converter A:\n    through: no\n    out: {is: aes3 out, switch: X}",
        " |switch: X}",
        "'switch'",
    ),
    "through neither": (
        "    through: no\n    in:",
        "    through: nope\n    in:",
        " |nope",
        "must be yes or no, not 'nope'",
    ),
    "through unknown": (
        "[insert send]",
        "[insert sent]",
        " [|insert sent], ",
        "unknown port 'insert sent': did you mean 'insert send'?",
    ),
    "through from an output": (
        "{line in: [insert",
        "{direct out: [insert",
        "{|direct out: [i",
        "port 'direct out' is an output",
    ),
    "through to an input": ("return: direct out}", "return: line in}", " |line in}", "port 'line in' is an input"),
    "unknown normal": (
        "1-12: full",
        "1-12: fall",
        " |fall",
        "unknown kind of normal 'fall' for columns '1-12' of bay 'Mic bay': did you mean 'full'",
    ),
    "normal twice": (
        "13-22: half",
        "12-22: half",
        " |12-22: half",
        "the normal of point 12 of bay 'Mic bay' is given twice: line 42",
    ),
    "normal twice, crossed": (
        "from: MR-C3, to: D1",
        "from: B12, to: A12",
        " |{from: B12, to",
        "the normal between B12 and A12 is given twice: line 42",
    ),
    "normal to itself": (
        "from: MR-C3, to: D1",
        "from: D1, to: D1",
        " |{from: D1, to:",
        "cannot join jack D1 to itself",
    ),
    "normals of one row": ("rows: {E: {}}", "rows: {E: {}}\n    normals: {1: full}", " |normals: {1: f", "has one row"),
    "tie to itself": ("from: D3-4, to: E1-2", "from: D3-4, to: D3-4", ' |{name: "Tie {1', "joins jack D3 to itself"),
    "jacks joined twice": (
        '"Tie {1-2}"',
        'X, from: E1, to: D3}\n  - {name: "Tie {1-2}"',
        ' |{name: "Tie {1',
        "D3 and E1 are joined twice: line 61",
    ),
    "tie named twice": (
        '"Tie {1-2}"',
        '"tie {2-3}", from: D7-8, to: E3-4}\n  - {name: "Tie {1-2}"',
        ' |"Tie {1-2}", f',
        "'Tie 2' is named twice: line 61",
    ),
    "two mults": (
        "jacks: D5-7}",
        "jacks: D5-7}\n  - {name: Mult 2, jacks: 'E1, D7'}",
        " |'E1, D7'}",
        "jack D7 is in two mults, 'Mult 1' and 'Mult 2'",
    ),
    "mult twice": (
        "jacks: D5-7}",
        "jacks: D5-7}\n  - {name: mult 1, jacks: E1-2}",
        "{|name: mult 1, ",
        "mult 'mult 1' is named twice",
    ),
    "mult named as a port": (
        "{name: Mult 1,",
        "{name: mix l,",
        "{|name: mix l,",
        "mult 'mix l' has the name of a port",
    ),
    "mult named as a tie line": (
        "{name: Mult 1,",
        "{name: tie 2,",
        "{|name: tie 2,",
        "mult 'tie 2' has the name of a tie line",
    ),
    "mult named as a jack": (
        "{name: Mult 1,",
        "{name: a5,",
        "{|name: a5,",
        "'a5' could not be told from a jack of row 'a'",
    ),
    "twice in a mult": ("jacks: D5-7", "jacks: [D5-7, D6]", " |D6]}", "jack D6 is in mult 'Mult 1' twice"),
    "mult of one": ("jacks: D5-7", "jacks: D5", " |{name: Mult 1,", "one jack alone"),
    "tie without an end": (", to: E1-2", "", ' |{name: "Tie {1', "key 'to' is missing in a tie line"),
    "cords half": ("  60: 0", "  60: 1.5", " |1.5", "must be a whole number from 0"),
    "cords of no length": ("  60: 0", "  long: 3", " |long: 3", "length (cm) of a cord must be a whole number"),
    "cords twice": ("  60: 0", "  030: 1", " |030: 1", "cords of 30 cm are given twice"),
    "house patch unknown": (
        "> tape 1 in",
        "> tap 1 in",
        " |Mix L > tap 1 ",
        "unknown jack or port 'tap 1 in' in 'house patch': did you mean 'Tape 1 in'",
    ),
    "house patch unwired": (
        "> tape 1 in",
        "> Mix R",
        " |Mix L > Mix R",
        "port 'Mix R' in 'house patch' is wired to no jack",
    ),
    "house patch several": (
        "        2: Converter A out",
        "        2: Mix L",
        " |Mix L > tape 1",
        "'Mix L' in 'house patch' is wired to several jacks: say 'MR-C3' or 'D2'",
    ),
    "house patch of one end": ("- Mix L > tape 1 in", "- Mix L", " - |Mix L", "a cord joins two names"),
    "house patch open end": ("- Mix L > tape 1 in", "- Mix L >", " |Mix L >", "a cord joins two names"),
    "house patch past the row": ("- A13 >", "- A99 >", " |A99 > D5 and D8 ", "'A99' goes past row 'A'"),
    "house patch, jack twice": (
        "- A13 > D5",
        "- MR-C3 > D5",
        " |MR-C3 > D5 and D",
        "jack MR-C3 holds a plug of a cord of line 68 already",
    ),
    "house patch, cord of 0 cm": (
        "with 60 cm",
        "with 0 cm",
        " |A13 > D5 and D8 ",
        "a cord's length is from 0.1 cm to 1000 m, not 0 cm",
    ),
    "house patch, cord too long": (
        "with 60 cm",
        "with 1001 m",
        " |A13 > D5 and D8 ",
        "a cord's length is from 0.1 cm to 1000 m, not 1001 m",
    ),
    "pin of an unknown kind": (
        "full: white",
        "ful: white",
        " |ful: white",
        "unknown key 'ful' in 'marks': did you mean 'full'",
    ),
    "prior 0": ("cord: 10", "cord: 0", " cord: |0", "prior of 'cord' must be more than 0"),
    "prior unknown": ("cord: 10", "chord: 10", " |chord: 10", "unknown key 'chord' in 'priors': did you mean 'cord'"),
    "section of another shape": (
        "mults:\n  - {name: Mult 1, jacks: D5-7}",
        "mults: {name: Mult 1}",
        " |{name: Mult 1}",
        "'mults' must be a list",
    ),
    "not YAML": ("room: S", "room: a: S", " a|: Saltmarsh, S", "the file is not YAML from here on"),
}


def errors_of(text: str) -> tuple[FileError, ...]:
    """The errors for which a room file's text must be refused."""
    with pytest.raises(RoomFileErrors) as caught:
        parse_room(text, "rooms/x.yaml")
    assert caught.value.errors
    return caught.value.errors


def assert_refused(room: str, old: str, new: str, at: str, words: str) -> None:
    """One change of a room file is refused in some words, at the place before which '|' stands in ``at``."""
    assert old in room
    text = room.replace(old, new, 1)
    errors = errors_of(text)
    met = [error for error in errors if words in error.text]
    assert met, errors
    assert text.count(at.replace("|", "")) == 1
    before = text[: text.index(at.replace("|", "")) + at.index("|")]
    assert met[0][:2] == (before.count("\n") + 1, len(before) - before.rfind("\n"))
