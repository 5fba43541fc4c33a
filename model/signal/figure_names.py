"""The names of figures: one name, one meaning, with its unit, wherever the program gives it out as data."""

from __future__ import annotations

from typing import NamedTuple


class FigureName(NamedTuple):
    """What a figure of this name is: its unit ('' where it has none) and its meaning."""

    unit: str
    meaning: str


FIGURE_NAMES: dict[str, FigureName] = {
    # Levels
    "level_dbu": FigureName("dBu", "the nominal level of a port, or that of a source where it comes into a load"),
    "level_on_line_dbu": FigureName("dBu", "a source's nominal level less what it loses on its line"),
    "max_dbu": FigureName("dBu", "the level at which a port clips"),
    "headroom_db": FigureName("dB", "how far the level at which a port clips lies over the level that is there"),
    "step_db": FigureName("dB", "a source's nominal level less a load's: positive where the source is the hotter"),
    "loss_db": FigureName("dB", "a source's level into no load less its level into all its loads, positive"),
    "extra_loss_db": FigureName(
        "dB", "a source's level into the lightest of its loads alone less its level into all of them, positive"
    ),
    "joined_loss_db": FigureName(
        "dB", "an output's level on the loads alone less its level with the other outputs across it, positive"
    ),
    "split_loss_db": FigureName(
        "dB", "a digital output's level into its line's own impedance less its level into what is on the line now"
    ),
    # Impedances and currents
    "source_ohm": FigureName("ohm", "the impedance of an output; of a microphone line, of the microphone on it"),
    "ohm": FigureName("ohm", "the impedance of one load"),
    "load_ohm": FigureName("ohm", "all loads in parallel"),
    "least_ohm": FigureName("ohm", "the least load that a power amplifier may drive"),
    "ratio": FigureName("", "all loads in parallel over a source's impedance"),
    "current_ma": FigureName(
        "mA", "rms, at nominal level, of the worst pair of joined outputs in opposition, no loads counted"
    ),
    # Phantom
    "supply_v": FigureName("V", "what a phantom supply gives with nothing on the line"),
    "leg_ohm": FigureName("ohm", "the feed resistor in each leg of one phantom supply"),
    "feed_ohm": FigureName("ohm", "the legs of all phantom supplies that are on, in parallel"),
    "line_v": FigureName("V", "what a line stands at under phantom, with what the microphones on it draw"),
    "needs_v": FigureName("V", "the least on its line from which a microphone works"),
    "draw_ma": FigureName("mA", "what the microphones on a line draw from phantom"),
    "supplies": FigureName("", "how many phantom supplies are on, on one line"),
    "circulating_ma": FigureName(
        "mA", "the largest current out of or into one of several phantom supplies on a line, with no microphone on it"
    ),
    # Digital lines
    "reflection": FigureName("", "the share of the wave that comes back, signed: -1 a short, 0 a match, 1 an open end"),
    "return_loss_db": FigureName("dB", "how far the wave that comes back lies under the wave sent"),
    "branch_m": FigureName("m", "the longest open branch of a digital line, as far as lengths are known"),
    "quarter_wave_m": FigureName("m", "a quarter of the wavelength of a digital line's highest frequency, in cable"),
    # Cable and cords
    "cable_m": FigureName("m", "all cable on a line, as far as lengths are known"),
    "corner_hz": FigureName("Hz", "where the cable on an analogue line has cost 3 dB"),
    "loss_20k_db": FigureName("dB", "what the cable on an analogue line costs at 20 kHz"),
    "cords_out": FigureName("", "patch cords in the bay"),
    "cords_owned": FigureName("", "patch cords that the room owns"),
}
