"""The topic on warnings: the rules, and what they rest on."""

from __future__ import annotations

from model.help.topic import Paragraph, Points, Section, Table, Topic, code
from model.signal.rules import ALL_RULES
from model.signal.warning import DANGER, NOTE, WARNING

SEVERITY_MEANS: dict[str, str] = {
    DANGER: "can hurt gear or ears",
    WARNING: "spoils the signal",
    NOTE: "worth knowing",
}


def rules_table() -> Table:
    """Every rule, at its worst."""
    return Table(
        ("rule", "severity", "raised when", "figures"),
        tuple((code(rule.name), rule.severity, rule.says, code(*rule.figures)) for rule in ALL_RULES),
    )


def severities() -> Points:
    """What each severity means."""
    return Points(tuple(f"{code(name)}: {means}" for name, means in SEVERITY_MEANS.items()))


def topic() -> Topic:
    """The rules by which the program warns."""
    return Topic(
        "Warnings",
        (
            Paragraph("A warning names the ports, says what is wrong, gives figures, and offers a fix. It is one of:"),
            severities(),
            rules_table(),
            Paragraph(
                "The severity is that of the worst case. A caution is said before hands do something. "
                "`why RULE` tells why a rule's warnings stand."
            ),
            Section("Figures"),
            Paragraph(
                "They come from the net's circuit: each output a voltage behind its impedance, each input an impedance to "
                "common, cable a capacitance, all in parallel; for phantom each supply a voltage behind half its feed "
                "resistor, each microphone a current. `figures X` shows the whole circuit of a net: every source and "
                "load, the level at each load, headroom where `max` is stated, phantom's operating point, reflection, the "
                "cable's corner, and how close each figure is to its bound."
            ),
            Paragraph(
                "Not modelled: transformers, the inductance of pickups, the length of a stub in a digital line, and a "
                "phantom supply that is off but pulls its feed to ground (it counts as open)."
            ),
        ),
    )
