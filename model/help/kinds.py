"""The topic on kinds: of ports with their defaults, and of normals."""

from __future__ import annotations

from model.help.topic import Paragraph, Section, Table, Topic, code, ohms
from model.room.kinds import ANALOGUE_PF_PER_M, DIGITAL_PF_PER_M, FEED_OHM, KINDS, NO_NORMAL, NORMAL_KINDS

# Why a kind has its default. Those that name no standard are common practice, no source.
REASONS: dict[str, str] = {
    "mic line": "a common rating of dynamic microphones",
    "mic in": "preamplifiers are made for five to ten times the microphone's impedance",
    "line out": "a modern line stage has this or less",
    "line in": "a modern line stage has this or more",
    "instrument out": "a common figure for pickups",
    "instrument in": "inputs made for pickups have this",
    "aes3 out": "the line of AES3-4",
    "aes3 in": "the line of AES3-4",
    "coax out": "the line of AES-3id and IEC 60958-3",
    "coax in": "the line of AES-3id and IEC 60958-3",
    "clock out": "word clock's coaxial line",
    "clock in": "word clock's coaxial line",
    "speaker out": "an amplifier is next to no impedance",
    "speaker in": "a common rating of loudspeakers",
}

_BROKEN_BY = {
    (True, True): "a plug in either jack",
    (False, True): "a plug in the bottom jack",
    (True, False): "a plug in the top jack",
    (False, False): "nothing",
}


def kinds_table() -> Table:
    """Every kind of port with its default and the reason for it."""
    return Table(
        ("kind", "way", "default", "digital", "why"),
        tuple(
            (
                code(kind.name),
                kind.way,
                ohms(kind.ohms),
                "" if kind.line_ohms is None else f"{ohms(kind.line_ohms)} line",
                REASONS.get(kind.name, ""),
            )
            for kind in KINDS.values()
        ),
    )


def feeds_table() -> Table:
    """The feed resistor of each phantom voltage."""
    return Table(("supply", "feed, each leg"), tuple((f"{volts:g} V", ohms(feed)) for volts, feed in FEED_OHM.items()))


def normals_table() -> Table:
    """Every kind of normal and what breaks it."""
    rows = [
        (code(kind.name), kind.words, _BROKEN_BY[kind.top_at_normal, kind.bottom_at_normal])
        for kind in NORMAL_KINDS.values()
    ]
    return Table(("kind", "in words", "broken by"), (*rows, (code(NO_NORMAL), "no normal", "it joins nothing")))


def topic() -> Topic:
    """The kinds, and what is taken where a room file states nothing."""
    return Topic(
        "Kinds of port and of normal",
        (
            Section("Ports"),
            Paragraph(
                "A port that states no impedance has its kind's default; wherever a figure rests on one it is marked as "
                "assumed. Reasons that name no standard are common practice, no source."
            ),
            kinds_table(),
            Paragraph(
                f"Cable has {ANALOGUE_PF_PER_M:g} pF/m, digital cable {DIGITAL_PF_PER_M:g} pF/m (common practice, no "
                "source). Cords count with their length where the entry states it."
            ),
            Section("Phantom supplies"),
            Paragraph("The feed resistor of a supply, where the file states none (IEC 61938):"),
            feeds_table(),
            Section("Normals"),
            Paragraph(
                "A jack has a line contact, wired at its rear, and a normal contact that touches the line contact only "
                "while the jack is empty. All connections follow from these contacts. A cross normal is the same between "
                "two jacks that are not one above the other. A cord with one plug in joins nothing and still breaks "
                "normals."
            ),
            normals_table(),
        ),
    )
