"""Where the search for a fault stands, in sentences and as JSON: what can be at fault, and what to try next."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from model.fault import reasoning as fault
from model.fault.reasoning import Doubt, Element, Finding, Observation
from model.fault.trials import (
    CORD_END,
    GO_ROUND,
    LISTEN,
    LISTEN_BREAKING,
    LOOK,
    MIC,
    SWAP,
    Scored,
    Trial,
    is_mic_level,
)
from model.language.names import Names
from model.language.targets import jack_words
from model.signal.cautions import BLEED_DOWN, MONITORS_DOWN
from model.text.listing import list_words

MAX_SUSPECTS = 5  # named in a sentence; the JSON names all
MAX_OTHERS = 2  # trials beside the best

DOWN_FIRST = f"First: {MONITORS_DOWN.lower()}."
MIC_FIRST = f"First: {MONITORS_DOWN.lower()}, phantom off at whatever is on this microphone line, and {BLEED_DOWN}."
MIC_LEVEL = "It is at microphone level: listen through a preamplifier that is free."
LISTEN_AGAIN = "listen again"


class Advice(NamedTuple):
    """What to do: what must be cautioned first, the sentence itself, and the lines that could be typed next."""

    caution: str
    text: str
    offers: tuple[str, ...]


class Standing(NamedTuple):
    """A finding with what can be tried now."""

    finding: Finding
    trials: list[Scored]
    unfed: tuple[Observation, ...]  # dead places that their source does not lead to now
    names: Names


# What to try


def advice(trial: Trial, names: Names) -> Advice:
    """A trial in words."""
    jacks = [trial.jack] if trial.jack is not None else []
    if not jacks and trial.element is not None:
        jacks = [
            jack for address in trial.element.jacks if (jack := names.jack_by_address_or_none(address)) is not None
        ]
    caution = (
        "" if trial.kind == LOOK else MIC_FIRST if any(is_mic_level(names.state, j) for j in jacks) else DOWN_FIRST
    )
    what, means = _TRY[trial.kind](trial, names)
    lines = (trial.line,) if trial.line else ()
    return Advice(caution, f"{what} {means}", (*lines, f"heard {trial.at}", f"dead {trial.at}"))


def _before_or_after(trial: Trial) -> str:
    at = trial.at
    return f"If it is there, the fault is after it: 'heard {at}'. If it is not, the fault is before it: 'dead {at}'."


def _comes_back(trial: Trial, culprit: str) -> str:
    at = trial.at
    return f"If the signal is at {at} again, it was {culprit}: 'heard {at}'. If not: 'dead {at}'."


def _listen(trial: Trial, names: Names) -> tuple[str, str]:
    assert trial.jack is not None
    where = jack_words(names.room, trial.jack)
    held = names.state.plugs.get(trial.jack)
    what = f"Listen at {where}" if held is None else f"Take the plug of cord {held} out of {where} and listen there"
    cut = f"nothing reaches {list_words(trial.breaks)} meanwhile" if trial.breaks else "that breaks nothing"
    level = f" {MIC_LEVEL}" if is_mic_level(names.state, trial.jack) else ""
    return f"{what}; {cut}.{level}", _before_or_after(trial)


def _swap(trial: Trial, names: Names) -> tuple[str, str]:
    assert trial.element is not None
    return f"Swap {trial.element.name} for another: '{trial.line}'.", _comes_back(trial, trial.element.name)


def _other_mic(trial: Trial, names: Names) -> tuple[str, str]:
    assert trial.element is not None
    what = f"Put another microphone, with another cable, on {trial.element.of}: '{trial.line}'."
    return what, _comes_back(trial, f"the {trial.element.name} or its cable")


def _go_round(trial: Trial, names: Names) -> tuple[str, str]:
    what = f"Take a cord that you trust in place of the normal: '{trial.line}'."
    return what, _comes_back(trial, "a dirty normal contact")


def _cord_end(trial: Trial, names: Names) -> tuple[str, str]:
    assert trial.element is not None and trial.jack is not None
    level = f" {MIC_LEVEL}" if is_mic_level(names.state, trial.jack) else ""
    what = (
        f"Take the plug of {trial.element.name} out of {jack_words(names.room, trial.jack)} and listen to that.{level}"
    )
    return what, _before_or_after(trial)


def _look(trial: Trial, names: Names) -> tuple[str, str]:
    return f"See whether the signal comes into {trial.at}, where the gear shows its input.", _before_or_after(trial)


_TRY: Mapping[str, Callable[[Trial, Names], tuple[str, str]]] = {
    LISTEN: _listen,
    LISTEN_BREAKING: _listen,
    SWAP: _swap,
    MIC: _other_mic,
    GO_ROUND: _go_round,
    CORD_END: _cord_end,
    LOOK: _look,
}


def again(doubt: Doubt, observations: tuple[Observation, ...]) -> Observation:
    """Of the observations that do not go together, the oldest: it is the one to make again."""
    return min((doubt.dead, *doubt.good), key=observations.index)


# What to do about a culprit


def fix(element: Element, names: Names) -> Advice:
    """How to go on with the session in spite of a culprit."""
    return _FIXES[element.kind](element, names)


def _fix_cord(element: Element, names: Names) -> Advice:
    number = names.cord(element.of)
    if number is None or number not in names.state.cords:
        return Advice("", f"{element.name} is out of the bay: put it aside for repair.", ())
    level = any(is_mic_level(names.state, jack) for jack in names.state.cords[number].plugs)
    text = f"Put {element.name} aside for repair, and another in its place: 'swap {element.of}'."
    return Advice(MIC_FIRST if level else DOWN_FIRST, text, (f"swap {element.of}",))


def _fix_contact(element: Element, names: Names) -> Advice:
    room, state = names.room, names.state
    jack = names.jack_by_address_or_none(element.of)
    text = f"Work a plug in and out of {element.of} a few times: that wipes the contact."
    if jack is None:
        return Advice(DOWN_FIRST, text, ())
    caution = MIC_FIRST if is_mic_level(state, jack) else DOWN_FIRST
    for normal in room.normals_at.get(jack, ()):
        if normal.top not in state.plugs and normal.bottom not in state.plugs:
            line = f"{room.jacks[normal.top].address} > {room.jacks[normal.bottom].address}"
            return Advice(
                caution,
                f"{text} If it stays dead, a cord does the normal's work until it is cleaned: '{line}'.",
                (line,),
            )
    return Advice(caution, text, ())


def _fix_around(words: str) -> Callable[[Element, Names], Advice]:
    return lambda element, names: Advice(
        "", f"{words.format(element.name)} For now, go around it: 'around {element.of}'.", (f"around {element.of}",)
    )


def _fix_plain(words: str) -> Callable[[Element, Names], Advice]:
    return lambda element, names: Advice("", words.format(element.name, element.of), ())


_FIXES: Mapping[str, Callable[[Element, Names], Advice]] = {
    fault.CORD: _fix_cord,
    fault.CONTACT: _fix_contact,
    fault.LEAD: _fix_around("The {}, at the back, is for the technician to repair."),
    fault.GEAR: _fix_around("Note it against {}."),
    fault.TIE: _fix_plain("Take another tie line, and note {0} for the technician."),
    fault.MULT: _fix_plain("Take another mult, and note {0} for the technician."),
    fault.MICROPHONE: _fix_plain("Try another cable under the {0} first, then another microphone."),
    fault.MIC_LINE: _fix_plain("Move the microphone to another line, and note {0} for the technician."),
}


# Where it stands


def heard_words(heard: Observation) -> str:
    """An observation in words."""
    return f"{'heard' if heard.works else 'dead'}: {heard.place}, while {heard.source} plays"


def suspects_words(finding: Finding) -> str:
    """The likeliest suspects with their likelihoods."""
    shown = [f"{element.name} ({percent(chance)})" for element, chance in finding.suspects[:MAX_SUSPECTS]]
    more = len(finding.suspects) - len(shown)
    return f"{', '.join(shown)}{f', and {more} more' if more else ''}"


def percent(chance: float) -> str:
    """A likelihood for the eye.

    >>> percent(0.314), percent(0.001)
    ('31 %', 'under 1 %')
    """
    return "under 1 %" if chance < 0.01 else f"{chance:.0%}".replace("%", " %")


def standing_words(standing: Standing) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Where the search stands: lines to read, and lines that could be typed next."""
    finding, names = standing.finding, standing.names
    if not any(not heard.works for heard in finding.observations):
        return ("By what was heard nothing is dead: 'dead X' says where it is.",), ()
    words: list[str] = []
    for doubt in finding.doubts:
        words.append(_doubt_words(doubt))
    if finding.faults > 1:
        words.append(f"One fault does not explain all that is dead: at least {finding.faults} things are at fault.")
    if finding.is_found:
        culprits = [element for element, _ in finding.suspects]
        words.append(f"That leaves {list_words([element.name for element in culprits])}.")
        return _advise(words, [fix(element, names) for element in culprits])
    words.append(f"{len(finding.suspects)} things can be at fault, the likeliest first: {suspects_words(finding)}.")
    if finding.comes_and_goes:
        heard = again(finding.doubts[-1], finding.observations)
        words.append(
            f"Next: hear {heard.place} again: 'heard {heard.place}' or 'dead {heard.place}'. If what was heard stands, move "
            f"the cords on the way and turn their plugs while you listen at {finding.doubts[-1].dead.place}."
        )
        return tuple(words), (f"heard {heard.place}", f"dead {heard.place}")
    if not standing.trials:
        return _nothing_to_try(words, standing)
    best, *others = (advice(scored.trial, names) for scored in standing.trials[: MAX_OTHERS + 1])
    words += [*([best.caution] if best.caution else []), f"Next: {best.text}"]
    words += [
        f"Or: {f'{other.caution} ' if other.caution not in ('', best.caution) else ''}{other.text}" for other in others
    ]
    return tuple(words), best.offers


def _advise(words: list[str], found: list[Advice]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    cautions = [MIC_FIRST] if any(each.caution == MIC_FIRST for each in found) else []
    cautions = cautions or ([DOWN_FIRST] if any(each.caution for each in found) else [])
    words += [*cautions, *(each.text for each in found), "'fault over' ends the search."]
    return tuple(words), (*(offer for each in found for offer in each.offers), "fault over")


def _nothing_to_try(words: list[str], standing: Standing) -> tuple[tuple[str, ...], tuple[str, ...]]:
    finding = standing.finding
    if standing.unfed:
        heard = standing.unfed[-1]
        words.append(
            f"{heard.source} does not lead to {heard.place} as the bay is now, so nothing can be tried there: put the cords "
            "back as they were, or hear it where the signal goes now."
        )
        return tuple(words), () if heard.place.startswith("#") else (f"why {heard.place}",)
    words.append("No test at the bay tells these apart. In the order of their likelihood:")
    return _advise(words, [fix(element, standing.names) for element, _ in finding.suspects[:MAX_SUSPECTS]])


def _doubt_words(doubt: Doubt) -> str:
    good = list_words(list(dict.fromkeys(heard.place for heard in doubt.good)))
    return (
        f"{doubt.dead.place} is dead, and yet all that leads there is sound, by what was heard at {good}: "
        "something was heard wrong, or the fault comes and goes."
    )


def as_json(standing: Standing) -> dict[str, Any]:
    """The further keys of the JSON."""
    finding, names = standing.finding, standing.names
    return {
        "suspects": [
            {"element": element.name, "kind": element.kind, "jacks": list(element.jacks), "likelihood": chance}
            for element, chance in finding.suspects
        ],
        "faults": finding.faults,
        "found": finding.is_found,
        "next_test": _next_json(standing),
        "other_tests": [_trial_json(scored, names) for scored in standing.trials[1 : MAX_OTHERS + 1]],
        "heard": [
            {"place": heard.place, "works": heard.works, "source": heard.source} for heard in finding.observations
        ],
        "doubts": [
            {"dead": doubt.dead.place, "heard": [heard.place for heard in doubt.good]} for doubt in finding.doubts
        ],
    }


def _next_json(standing: Standing) -> dict[str, Any] | None:
    finding = standing.finding
    if finding.comes_and_goes:
        heard = again(finding.doubts[-1], finding.observations)
        return {"kind": LISTEN_AGAIN, "at": heard.place, "line": None, "breaks": [], "caution": "", "gain_bits": 0.0}
    return _trial_json(standing.trials[0], standing.names) if standing.trials else None


def _trial_json(scored: Scored, names: Names) -> dict[str, Any]:
    trial = scored.trial
    return {
        "kind": trial.kind,
        "at": trial.at,
        "line": trial.line or None,
        "breaks": list(trial.breaks),
        "caution": advice(trial, names).caution,
        "gain_bits": scored.gain,
    }
