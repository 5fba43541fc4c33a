"""Random rooms as a careful technician would write them: `check` has nothing to say of them.

Runs of microphone lines to preamplifiers, often over two families whose numbers run on; desk channels with inserts, a
recorder, stereo buses, tie lines to a live room, outboard that waits for cords, mults, digital lines, a house patch.
"""

from __future__ import annotations

from random import Random

PLACES = ("Cellar", "Hall", "Gallery", "Workshop", "Parlour", "Stage", "Chapel")


def right_room_text(rng: Random) -> str:
    """A room file in which nothing is wrong."""
    mics = rng.choice((8, 12, 16, 24))
    first_pres = rng.choice((mics, mics // 2))  # then the other family takes over
    stereo = rng.choice(("half", "full"))
    line = rng.choice(("half", "half", "full"))
    insert = rng.choice(("half", "full"))
    control, live = rng.sample(PLACES, 2)
    ties = rng.choice((4, 6, 8))
    digital = rng.choice((2, 4))
    outboard = rng.randint(2, 4)
    switch = "" if rng.random() < 0.5 else ", switch: Bank"
    pres = [f"Tarn {{1-{first_pres}}}"] + ([f"Gorse {{1-{mics - first_pres}}}"] if first_pres < mics else [])
    places = [f"1-{first_pres}"] + ([f"{first_pres + 1}-{mics}"] if first_pres < mics else [])
    lines = ["bayhand: 1", "room: Right room", "gear:", f"  Mic {{1-{mics}}}: mic line"]
    for pre in pres:
        lines += [
            f"  {pre}:",
            f"    in: {{is: mic in, ohms: 2400, phantom: 48{switch}}}",
            "    out: {is: line out, ohms: 60, level: +4 dBu, max: +24 dBu}",
        ]
    lines += [
        f"  Channel {{1-{mics}}}:",
        "    line: {is: line in, level: +4 dBu, max: +22 dBu}",
        "    send: line out",
        "    return: line in",
        "    direct: {is: line out, level: +4 dBu, max: +22 dBu}",
        "    through: {line: [send], return: [direct]}",
        f"  Tape {{1-{mics}}}:",
        "    through: no",
        "    in: {is: line in, level: +4 dBu, max: +20 dBu}",
        "    out: line out",
        "  Mix {L,R}: line out",
        "  Deck {L,R}: {through: no, in: line in, out: line out}",
        "  Monitor {L,R}: line in",
        f"  Cue {{1-{ties}}}: line out",
        f"  Phones {{1-{ties}}}: line in",
        f"  Squash {{1-{outboard}}}: {{in: line in, out: line out}}",
        f"  AD {{1-{digital}}}: aes3 out",
        f"  Store {{1-{digital}}}: aes3 in",
        "  Guitar {1-2}: instrument out",
        "  Amp {1-2}: instrument in",
        "bays:",
        "  - bay: Mic bay",
        f"    place: {control}",
        f"    columns: {mics}",
        "    rows:",
        f"      A: {{1-{mics}: 'Mic {{1-{mics}}}'}}",
        "      B: {" + ", ".join(f"{at}: '{pre} in'" for at, pre in zip(places, pres, strict=True)) + "}",
        f"    normals: {{1-{mics}: full}}",
        "  - bay: Line bay",
        f"    place: {control}",
        f"    columns: {mics}",
        "    rows:",
        "      C: {" + ", ".join(f"{at}: '{pre} out'" for at, pre in zip(places, pres, strict=True)) + "}",
        f"      D: {{1-{mics}: 'Channel {{1-{mics}}} line'}}",
        f"    normals: {{1-{mics}: {line}}}",
        "  - bay: Insert bay",
        f"    place: {control}",
        f"    columns: {mics + 6}",
        "    rows:",
        f"      E: {{1-{mics}: 'Channel {{1-{mics}}} send'}}",
        f"      F: {{1-{mics}: 'Channel {{1-{mics}}} return'}}",
        f"    normals: {{1-{mics}: {insert}}}",
        "  - bay: Tape bay",
        f"    place: {control}",
        f"    columns: {mics + 4}",
        "    rows:",
        f"      G: {{1-{mics}: 'Channel {{1-{mics}}} direct', {mics + 1}-{mics + 2}: 'Mix {{L,R}}', "
        f"{mics + 3}-{mics + 4}: 'Deck {{L,R}} out'}}",
        f"      H: {{1-{mics}: 'Tape {{1-{mics}}} in', {mics + 1}-{mics + 2}: 'Deck {{L,R}} in', "
        f"{mics + 3}-{mics + 4}: 'Monitor {{L,R}}'}}",
        f"    normals: {{1-{mics}: half, {mics + 1}-{mics + 2}: {stereo}, {mics + 3}-{mics + 4}: half}}",
        "  - bay: Outboard bay",
        f"    place: {control}",
        f"    columns: {mics + 24}",
        "    rows:",
        f"      I: {{1-{ties}: 'Cue {{1-{ties}}}', 9-{8 + outboard}: 'Squash {{1-{outboard}}} out', "
        f"13-14: 'Guitar {{1-2}}', 15-{14 + digital}: 'AD {{1-{digital}}}', 25-{24 + mics}: 'Tape {{1-{mics}}} out'}}",
        f"      J: {{9-{8 + outboard}: 'Squash {{1-{outboard}}} in', 13-14: 'Amp {{1-2}}', "
        f"15-{14 + digital}: 'Store {{1-{digital}}}'}}",
        f"    normals: {{1-{ties}: half, 13-14: full, 15-{14 + digital}: full}}",
        "  - bay: Live panel",
        f"    place: {live}",
        "    columns: 12",
        "    rows:",
        "      K: {}",
        f"      L: {{1-{ties}: 'Phones {{1-{ties}}}'}}",
        f"    normals: {{1-{ties}: half}}",
        "ties:",
        f"  - {{name: 'Line {{1-{ties}}}', from: J1-{ties}, to: K1-{ties}, metres: 20}}",
        "  - {name: 'Spare {1-2}', from: J20-21, to: K11-12, metres: 20}",
        "mults:",
        f"  - {{name: Mult 1, jacks: E{mics + 1}-{mics + 3}}}",
        f"  - {{name: Mult 2, jacks: F{mics + 4}-{mics + 6}}}",
        "cords: {30: 20, 60: 20}",
        "house patch:",
        "  - Channel 1 send > Squash 1 in with 60 cm",
        "  - Squash 1 out > Channel 1 return",
    ]
    return "\n".join(lines) + "\n"
