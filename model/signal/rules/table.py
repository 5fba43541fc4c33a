"""The table of rules: every standing rule about a net, each with its function; and the words of those beyond one net."""

from __future__ import annotations

from model.signal import cautions
from model.signal.rules import digital, levels, loads, loudspeakers, meetings, phantom
from model.signal.rules.making import Rule, RuleWords
from model.signal.warning import DANGER, NOTE, WARNING

# The rules about a net, each with its function.
RULES: tuple[Rule, ...] = (
    Rule(
        RuleWords(
            "double-load",
            WARNING,
            "a microphone line feeds two or more microphone inputs",
            ("load_ohm", "extra_loss_db"),
        ),
        loads.double_load,
    ),
    Rule(
        RuleWords(
            "shared-phantom",
            DANGER,
            "a phantom supply is on, on a line that two or more microphone inputs share: a warning, and a danger where "
            "supplies of unlike class are on",
            ("supplies", "line_v", "feed_ohm", "circulating_ma"),
        ),
        phantom.shared_phantom,
    ),
    Rule(
        RuleWords(
            "stray-phantom",
            DANGER,
            "phantom reaches an output, a microphone that it harms, an input not made for microphones, or an unbalanced line",
            ("line_v",),
        ),
        phantom.stray_phantom,
    ),
    Rule(
        RuleWords(
            "no-phantom",
            WARNING,
            "a microphone gets less phantom than it works from; a note where no supply is on",
            ("line_v", "needs_v"),
        ),
        phantom.no_phantom,
    ),
    Rule(
        RuleWords(
            "digital-split",
            WARNING,
            "digital audio goes to two or more inputs, or a clock line does not end in one termination",
            ("load_ohm", "reflection", "return_loss_db", "split_loss_db"),
        ),
        digital.digital_split,
    ),
    Rule(
        RuleWords(
            "digital-branch",
            WARNING,
            "an open branch of a quarter of a wave or more hangs on a digital audio line; a note from a tenth of a wave",
            ("branch_m", "quarter_wave_m"),
        ),
        digital.digital_branch,
    ),
    Rule(
        RuleWords("long-digital", NOTE, "AES3 runs over more than 100 m of cable", ("cable_m",)),
        digital.long_digital,
    ),
    Rule(
        RuleWords("digital-tie", NOTE, "digital audio or clock runs over a tie line of another kind"),
        digital.digital_tie,
    ),
    Rule(
        RuleWords(
            "joined-outputs",
            DANGER,
            "two or more outputs meet; a warning where all are microphones or all are digital",
            ("joined_loss_db", "current_ma"),
        ),
        meetings.joined_outputs,
    ),
    Rule(
        RuleWords(
            "type-mismatch",
            DANGER,
            "a power amplifier drives what is no loudspeaker; a warning where digital meets analogue, 110 Ω meets 75 Ω, clock "
            "meets anything else, or an output that is no power amplifier drives a loudspeaker",
            ("reflection",),
        ),
        meetings.type_mismatch,
    ),
    Rule(
        RuleWords(
            "input-to-input",
            NOTE,
            "a cord joins inputs alone, and its plugs hold normals open",
        ),
        meetings.input_to_input,
    ),
    Rule(
        RuleWords(
            "level-mismatch",
            WARNING,
            "stated levels of a source and a load differ by 6 dB or more; a line output into a microphone input; "
            "a microphone into a line input",
            ("step_db",),
        ),
        levels.level_mismatch,
    ),
    Rule(
        RuleWords(
            "low-headroom", NOTE, "a load clips less than 12 dB over the source's nominal level", ("headroom_db",)
        ),
        levels.low_headroom,
    ),
    Rule(
        RuleWords(
            "at-the-ears",
            WARNING,
            "a source that does not feed them at rest goes straight to monitors, headphones or cues",
        ),
        levels.at_the_ears,
    ),
    Rule(
        RuleWords(
            "amplifier-load",
            DANGER,
            "a power amplifier drives less than its least load; a warning under 4 Ω where none is stated",
            ("load_ohm", "least_ohm"),
        ),
        loudspeakers.amplifier_load,
    ),
    Rule(
        RuleWords("bridged-output", DANGER, "a bridged power amplifier meets a common sleeve or another output"),
        loudspeakers.bridged_output,
    ),
    Rule(
        RuleWords(
            "heavy-load",
            WARNING,
            "all loads together are under 5 times the impedance of the one analogue source (a note under 10 times, "
            "microphones left out)",
            ("ratio", "loss_db"),
        ),
        loads.heavy_load,
    ),
    Rule(
        RuleWords(
            "dull-line", NOTE, "the net's cable costs over 1 dB at 20 kHz", ("corner_hz", "loss_20k_db", "cable_m")
        ),
        loads.dull_line,
    ),
)

# The rules that look beyond one net: at the way of the signal, at a cord, at all cords; and the cautions of an action.
OTHER_RULES: tuple[RuleWords, ...] = (
    RuleWords(
        "feedback-loop",
        DANGER,
        "signal can run from an output through nets and gear back to that output; a warning where all of it is digital, or it "
        "hangs on what is selected or armed; a note where it hangs on an assignment",
    ),
    RuleWords("loose-end", NOTE, "a cord has one plug in"),
    RuleWords("short-of-cords", NOTE, "more cords are out than the room owns", ("cords_out", "cords_owned")),
    *(
        RuleWords(occasion.rule, occasion.severity, f"a caution: {occasion.says}", occasion.figures)
        for occasion in cautions.OCCASIONS
    ),
)

ALL_RULES: tuple[RuleWords, ...] = (*(rule.words for rule in RULES), *OTHER_RULES)
