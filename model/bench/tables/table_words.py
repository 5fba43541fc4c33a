"""What people write in the cells of a table of jacks: numbers, levels, normals, and words from which kinds are guessed."""

from __future__ import annotations

import re
from typing import NamedTuple

from model.room.kinds import KINDS, NO_NORMAL, NORMAL_KINDS
from model.text.ranges import MOST, RangeError, expand
from model.text.yaml_words import decimal

# Cells that say that nothing is there.
NOTHING = frozenset(
    (
        "-",
        "--",
        "---",
        "\u2013",
        "\u2014",
        "n/a",
        "na",
        "none",
        "nil",
        "spare",
        "empty",
        "unused",
        "blank",
        "nc",
        "n.c.",
        "free",
        "x",
    )
)
TOP, BOTTOM = "top", "bottom"
SIDE_WORDS = {
    **dict.fromkeys(("top", "t", "upper", "up", "u"), TOP),
    **dict.fromkeys(("bottom", "b", "lower", "low", "bot", "l"), BOTTOM),
}
# Kinds of normal as people write them (common practice, no source).
NORMAL_WORDS: dict[str, str] = {
    **{kind: kind for kind in (*NORMAL_KINDS, NO_NORMAL)},
    **dict.fromkeys(
        ("f", "fn", "full normal", "full-normal", "fully normalled", "full normalled", "normalled full"), "full"
    ),
    **dict.fromkeys(("h", "hn", "half normal", "half-normal", "half normalled", "half-normalled", "semi"), "half"),
    **dict.fromkeys(("ht", "half-top", "half normal top", "half top normal", "reverse half"), "half top"),
    **dict.fromkeys(("p", "par", "para", "paralleled", "parallel normal"), "parallel"),
    **dict.fromkeys(
        ("", "n", "no", "nn", "open", "iso", "isolated", "non-normalled", "non normalled", "denormalled"), NO_NORMAL
    ),
}
NORMAL_WORDS |= {word: NO_NORMAL for word in NOTHING if word != "x"}
SOME_NORMAL = frozenset(
    ("normal", "normalled", "normaled", "yes", "y", "x", "1", "true")
)  # a normal, of a kind not said
_BROKEN_BY_EITHER = frozenset(("mic", "instrument", "aes3", "coax", "clock"))  # sources that must see one load


class Guess(NamedTuple):
    """A kind that was guessed, and from what."""

    kind: str
    why: str


# Words that say of what family a port is, the first found wins; and words that say which way its signal runs.
FAMILY_WORDS: tuple[tuple[str, str], ...] = (
    (r"word ?cl(?:oc)?k|wclk|clock|sync|genlock", "clock"),
    (r"spdif|s/pdif|coax\w*", "coax"),
    (r"aes3?|ebu|digital|dig", "aes3"),
    (r"speaker|spkr|loudspeaker", "speaker"),
    (r"guitar|gtr|bass|instr?|instrument|di", "instrument"),
    (r"mics?|microphones?", "mic"),
)
_PREAMP = re.compile(r"(?<![A-Za-z])(?:mic ?pres?|preamps?|preamplifiers?|pres?)(?![A-Za-z])", re.IGNORECASE)
WAY_WORDS: tuple[tuple[str, str], ...] = (
    (r"out|outs|outputs?|o/p|direct|tx", "out"),
    (r"in|ins|inputs?|i/p|rx|key|sidechain", "in"),
)
# A desk's send is an output, and what an effect is sent is its input: the row decides, and the word where no row is known.
SEND_WORDS: tuple[tuple[str, str], ...] = ((r"sends?|snd", "out"), (r"returns?|rtn|ret", "in"))
# The last words of a name that are a port's own, where several names share what stands before them.
_OWN = re.compile(
    r"(?P<stem>.+?)\s+(?P<own>(?:(?:line|mic|insert|direct|mon|key|aux)\s+)?(?:out|in|output|input|send|return|rtn|ret))",
    re.I,
)


def split_name(name: str) -> tuple[str, str] | None:
    """The gear and the port of a name that ends in a word such as 'in'.

    >>> split_name("Pre 4 in"), split_name("Desk 3 insert send"), split_name("Mix L")
    (('Pre 4', 'in'), ('Desk 3', 'insert send'), None)
    """
    found = _OWN.fullmatch(name)
    return (found["stem"], found["own"]) if found else None


def _word(table: tuple[tuple[str, str], ...], text: str) -> tuple[str, str] | None:
    """The first entry of a table whose words stand in a text, and the word that stands there."""
    for words, meant in table:
        found = re.search(rf"(?<![A-Za-z])(?:{words})(?![A-Za-z])", text, re.IGNORECASE)
        if found:
            return meant, found[0]
    return None


def guess_kind(said: str, names: str, side: str) -> Guess:
    """The kind of a port from what its cell says, from its names, and from the row of the bay that it is in.

    Outputs are on top and inputs at the bottom (common practice, no source); what nothing tells is a line.

    >>> guess_kind("", "Pre 4 out", "top")
    Guess(kind='line out', why="'out', 'Pre'")
    >>> guess_kind("", "Hall mic 3", "top")
    Guess(kind='mic line', why="'mic', the top row")
    """
    whys: list[str] = []
    family, way = "", ""
    for text in (said, names):
        found = _word(FAMILY_WORDS, text) if not family else None
        if found is not None:
            family = found[0]
            whys.append(f"'{found[1]}'")
        found = _word(WAY_WORDS, text) if not way else None
        if found is not None:
            way = found[0]
            whys.append(f"'{found[1]}'")
    sent = _word(SEND_WORDS, f"{said} {names}") if not way and not side else None
    if sent is not None:
        way = sent[0]
        whys.append(f"'{sent[1]}'")
    if not way:
        way = "in" if side == BOTTOM else "out"
        whys.append(f"the {side or TOP} row")
    preamp = _PREAMP.search(names)
    if preamp is not None and family in ("", "mic"):  # a preamplifier takes a microphone and sends a line
        family = "mic" if way == "in" else "line"
        whys.append(f"'{preamp[0]}'")
    family = family or "line"
    kind = "mic line" if (family, way) == ("mic", "out") else f"{family} {way}"
    return Guess(kind if kind in KINDS else f"line {way}", ", ".join(dict.fromkeys(whys)))


def guess_normal(top: str) -> Guess:
    """The kind of a normal of which it is only said that it is there, by the kind of the port on top.

    >>> guess_normal("mic line").kind, guess_normal("line out").kind
    ('full', 'half')
    """
    family = KINDS[top].family if top in KINDS else "line"
    return Guess("full" if family in _BROKEN_BY_EITHER else "half", f"{top or 'nothing'} on top")


class Odd(ValueError):
    """A cell that cannot be read; the text says why, and what to write."""


_NUMBER = re.compile(
    r"(?P<digits>[+-]?[\d.,' \u2019]*\d(?:[eE][+-]?\d+)?)\s*(?P<times>[kM](?![a-z])|k(?=ohm))?\s*(?P<unit>.*)"
)
_UNITS = {
    "ohms": ("ohm", "ohms", "\u03a9", "\u2126", "r"),
    "metres": ("m", "metre", "metres", "meter", "meters"),
    "phantom": ("v", "volt", "volts", "vdc"),
    "feed": ("ohm", "ohms", "\u03a9", "\u2126", "r"),
}
_UNITS["least ohms"] = _UNITS["ohms"]
_MOST_KHZ = 1000  # a rate without a unit that is less is in kHz
# What a column of yes and no says by saying nothing.
_YES_OR_NO = {"switched": "no", "bridged": "no", "ears": "no", "balanced": "yes"}
_YES = frozenset(("yes", "y", "x", "on", "true", "1", "\u2713", "\u2714"))
_NO = frozenset(("no", "off", "false", "0")) | NOTHING - {"x"}


def number_text(text: str) -> str:
    """A number as the room file writes it: a decimal comma becomes a point, marks of thousands go.

    >>> number_text("2,4"), number_text("1.234,5"), number_text("10 000")
    ('2.4', '1234.5', '10000')
    """
    bare = re.sub(r"[ '\u2019]", "", text)
    if "," in bare and "." in bare:
        point = "," if bare.rindex(",") > bare.rindex(".") else "."
        bare = bare.replace("." if point == "," else ",", "")
        return bare.replace(",", ".")
    if re.fullmatch(r"[+-]?[1-9]\d{0,2},\d{3}", bare):
        raise Odd(f"'{text}' may be {bare.replace(',', '')} or {bare.replace(',', '.')}: write it without the comma")
    if re.fullmatch(
        r"[+-]?[1-9]\d{0,2}\.\d\d0", bare
    ):  # nobody writes a last nought after a point, but after thousands
        raise Odd(
            f"'{text}' may be {bare.replace('.', '')} or {bare.rstrip('0').rstrip('.')}: write it without the point"
        )
    if bare.count(",") > 1:
        return bare.replace(",", "")
    return bare.replace(",", ".")


def figure_text(column: str, text: str) -> tuple[str, str]:
    """A figure as the room file writes it, and what was made of the cell where that is more than taking it; '' for none.

    Raises :class:`Odd`.

    >>> figure_text("ohms", "2,4k"), figure_text("level", "+4dBu"), figure_text("phantom", "yes")
    (('2400', '2,4k is 2400'), ('+4 dBu', ''), ('48', 'yes is 48 V'))
    """
    low = text.lower()
    if column == "switch":
        return text, ""
    if column in _YES_OR_NO:
        said = "yes" if low in _YES else "no" if low in _NO else text
        return ("" if said == _YES_OR_NO[column] or low in NOTHING else said), ""
    if column == "phantom" and low in _YES:
        return "48", f"{text} is 48 V"
    if low in NOTHING or (column == "phantom" and low in _NO):
        return "", ""
    found = _NUMBER.fullmatch(text)
    if found is None:
        return text, ""  # the reader of the room file says what is wrong with it
    number = number_text(found["digits"])
    unit = found["unit"].strip()
    if column in ("level", "max"):
        if found["times"]:
            return text, ""
        return (f"{number} {unit}", "") if unit else (f"{number} dBu", f"{text} is {number} dBu")
    if column == "rate":
        if unit.lower() == "hz":
            return f"{number} {'kHz' if found['times'] else 'Hz'}", ""
        if unit or found["times"]:
            return text, ""
        rate = f"{number} {'kHz' if float(number) < _MOST_KHZ else 'Hz'}"
        return rate, f"{text} is {rate}"
    if unit and unit.lower() not in _UNITS.get(column, ()):
        return text, ""
    if found["times"]:
        number = decimal(round(float(number) * {"k": 1e3, "M": 1e6}[found["times"]], 6))
        return number, f"{text} is {number}"
    return number, ""


_DATE = re.compile(
    r"\d{1,2}[-./ ]\s?(?:jan|feb|mar|m\u00e4r|apr|may|mai|jun|jul|aug|sep|oct|okt|nov|dec|dez)\w*\.?"
    r"|(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)\w*[-./ ]\d{1,4}|\d{1,4}[-./]\d{1,2}[-./]\d{2,4}|\d{1,2}\.\d{1,2}\.",
    re.IGNORECASE,
)


def is_date(text: str) -> bool:
    """Whether a cell is what a spreadsheet makes of a range such as 1-8.

    >>> is_date("08. Jan"), is_date("Aug-01"), is_date("1-8")
    (True, True, False)
    """
    return _DATE.fullmatch(text) is not None


_RANGE = re.compile(r"(?<![\d{,-])(\d{1,6})\s*[-\u2013]\s*(\d{1,6})(?![\d},-])")


def spread(text: str, count: int) -> list[str] | None:
    """The texts for which one cell stands that is said of several jacks: a list, by a range in it, or the same for each.

    None where a range in it stands for another number of texts.

    >>> spread("Live 1-3", 3), spread("Live {1-3}", 3), spread("Keys, Drum", 2), spread("full", 2)
    (['Live 1', 'Live 2', 'Live 3'], ['Live 1', 'Live 2', 'Live 3'], ['Keys', 'Drum'], ['full', 'full'])
    """
    if count == 1:
        return [text]
    if "{" in text:
        try:
            texts = expand(text, MOST)
        except RangeError:
            return None
        return texts if len(texts) == count else None
    parts = [part.strip() for part in text.split(",")]
    if len(parts) == count and all(parts):
        return parts
    found = _RANGE.search(text)
    if found is None:
        return [text] * count
    first, last = int(found[1]), int(found[2])
    if last - first + 1 != count:
        return None
    return [f"{text[: found.start()]}{number}{text[found.end() :]}" for number in range(first, last + 1)]
