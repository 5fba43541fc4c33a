"""Random entries over every command of the table, plausible and implausible, in any room and state.

Each command has a writer of its own, by its word; a command without one is tried by its forms, so that a new command is in
the tests of random sessions from its first day. A writer gives what stands after the command's word.
"""

from __future__ import annotations

import re
from collections import Counter, deque
from collections.abc import Callable
from random import Random
from typing import NamedTuple

from model.room.wiring import Room
from tests.sessions import Answer, Sight, commands, forms_of

# How often a command is typed, against 1 of every other.
OFTEN = {
    "plug": 8,
    "pull": 4,
    "unplug": 3,
    "move": 3,
    "phantom": 2,
    "put": 2,
    "undo": 5,
    "redo": 3,
    "guard": 3,
    "done": 3,
}

# What people type one after another; 'anyway' stands after the command's word.
STORIES: tuple[tuple[str, ...], ...] = (
    ("plug", "plug", "exchange", "exchange", "move", "undo", "save", "forget"),
    ("plug", "guard", "pull anyway", "undo", "plug"),
    ("plug", "guard", "pull", "undo", "undo anyway", "redo"),
    ("plug", "guard", "plug anyway", "undo", "redo anyway", "unguard"),
    ("guard", "plug", "plug anyway", "done anyway", "undo", "undo"),
    ("reset", "done", "done", "undo", "skip", "done", "worklist", "leave", "report"),
    ("save", "plug", "pull", "compare", "recall", "done", "done anyway", "undo", "redo", "leave", "forget"),
    ("plug", "hold", "reset", "done", "release", "done", "leave"),
    ("reset", "guard", "done", "done anyway", "undo anyway", "done", "skip", "undo"),
    ("plug", "plug", "reset", "skip", "done", "skip", "worklist"),
    ("save", "plug", "plug", "recall", "skip", "skip", "done", "leave"),
    ("put", "plug", "phantom", "dead", "swap", "heard", "fault", "undo", "fault"),
    ("dead", "heard", "swap", "fault", "dead", "undo", "redo"),
    ("route", "use", "guard", "use anyway", "undo", "redo"),
    ("around", "use", "undo", "around", "use anyway"),
    ("plug", "route", "pull", "use", "undo", "use"),
    ("plug", "move", "unplug", "plug", "swap", "undo", "undo", "undo", "redo", "redo", "redo"),
)
# What has to be typed before a command has anything to do.
NEEDS: dict[str, tuple[str, ...]] = {
    "clear": ("put", "put"),
    "release": ("plug", "plug", "hold"),
    "forget": ("save",),
    "exchange": ("plug", "plug", "plug"),
    "unguard": ("guard",),
}
SAVED = ("dusk", "Second Take", "on the roof", "dusk 2")
REASONS = ("the singer stays", "it hums", "because", "60 cm > 3", "we go on tomorrow, anyway")
NOTES = ("kick mic hums", "tape 2 from here on", "> A1", "anyway", "#1", "what now ?")
NONSENSE = ("", "Nowhere 9", "Z99", "#99", "A0", "A1 >", "> >", "!", "x" * 60, "#", "on", "all", "a b c d", "0")
LABELS = ("zither kick", "tonight", "A1", "#3", "")
RULES = ("loose-end", "joined-outputs", "double-load", "no-phantom", "no-such-rule")
EMPTY_CHANCE = 0.04  # of nonsense in the place of a name


class Scene(NamedTuple):
    """What a writer goes by: chance, the room, and what was seen and heard of it lately."""

    rng: Random
    room: Room
    sight: Sight
    stage: list[int]  # the jacks that the evening mostly is about
    pairs: list[tuple[str, str]]  # connections of late
    proposed: int
    on_hold: list[str]  # cords that were put on hold

    def address(self) -> str:
        """A jack's address, mostly on the stage."""
        jacks = self.stage if self.rng.random() < 0.93 else range(len(self.room.jacks))
        return self.room.jacks[self.rng.choice(jacks)].address

    def port(self, output: bool | None = None) -> str:
        """The full name of a port on the stage; of an output or an input, where it is said which."""
        ports = self.room.ports
        wired = [ports[at] for jack in self.stage if (at := self.room.port_at[jack]) >= 0]
        fitting = [port.name for port in wired if output is None or port.kind.is_output == output]
        return self.rng.choice(fitting or [port.name for port in wired] or [ports[0].name])

    def name(self, output: bool | None = None) -> str:
        """A jack, a port, or a name cut short; sometimes nonsense."""
        chance = self.rng.random()
        if chance < EMPTY_CHANCE:
            return self.rng.choice(NONSENSE)
        if chance < 0.5:
            return self.address()
        if chance < 0.85:
            return self.port(output)
        if chance < 0.95:
            return " ".join(word[: self.rng.randint(1, 9)] for word in self.port(output).lower().split())
        others = [tie.name for tie in self.room.ties] + [mult.name for mult in self.room.mults]
        return self.rng.choice(others or [self.port(output)])

    def free(self, output: bool | None = None) -> str:
        """A jack without a plug, as far as a few tries find one; or any name."""
        held = {address for cord in self.sight.cords.values() for address in cord}
        for _ in range(4):
            address = self.address()
            if address not in held and self.rng.random() < 0.8:
                return address
        return self.name(output)

    def held(self) -> str:
        """A jack with a plug."""
        held = [address for cord in self.sight.cords.values() for address in cord]
        return self.rng.choice(held) if held and self.rng.random() < 0.93 else self.name()

    def cord(self) -> str:
        """A cord by its number."""
        numbers = [f"#{number}" for number in self.sight.cords]
        return self.rng.choice(numbers) if numbers and self.rng.random() < 0.93 else f"#{self.rng.randint(0, 9)}"

    def cord_or_jack(self) -> str:
        """A cord by its number, or by a jack that it is in."""
        return self.rng.choice((self.cord, self.held))()

    def anything(self) -> str:
        """What a question can be about."""
        return self.rng.choice((self.name, self.name, self.cord_or_jack, self.address))()

    def pair(self) -> tuple[str, str]:
        """An output and an input, mostly of a connection that was made of late."""
        if self.pairs and self.rng.random() < 0.8:
            return self.rng.choice(self.pairs)
        return self.name(True), self.name(False)

    def mic_line(self) -> str:
        """A microphone line, on the stage where there is one."""
        ports = self.room.ports
        here = [
            ports[at].name for jack in self.stage if (at := self.room.port_at[jack]) >= 0 and ports[at].kind.is_mic_line
        ]
        here = here or [port.name for port in ports if port.kind.is_mic_line]
        return self.rng.choice(here) if here and self.rng.random() < 0.95 else self.name(True)

    def supply(self) -> str:
        """An input with phantom, on the stage where there is one."""
        ports = self.room.ports
        here = [ports[at].name for jack in self.stage if (at := self.room.port_at[jack]) >= 0 and ports[at].supply]
        here = here or [port.name for port in ports if port.supply]
        return self.rng.choice(here) if here and self.rng.random() < 0.95 else self.name(False)

    def mic(self) -> str:
        """A microphone of the locker."""
        return self.rng.choice(self.room.mics).name if self.room.mics and self.rng.random() < 0.95 else "no such one"

    def saved(self) -> str:
        """A saved patch's name, the house patch, or one that is not there."""
        names = self.sight.saved or SAVED
        return self.rng.choice((*names, *names, *names, "house", "never saved"))

    def heard(self) -> str:
        """A place of the fault that is looked for."""
        return self.rng.choice(self.sight.heard) if self.sight.heard and self.rng.random() < 0.9 else self.anything()

    def listened(self) -> str:
        """A place to listen at: mostly an input that something feeds."""
        return self.pair()[1] if self.rng.random() < 0.6 else self.anything()

    def reason(self) -> str:
        """A reason, or none."""
        return f"because {self.rng.choice(REASONS)}" if self.rng.random() < 0.93 else "because"


Writer = Callable[[Scene], str]


def one_of(*writers: Writer) -> Writer:
    """A writer that is one of several by chance; one that is named twice is as likely again."""
    return lambda scene: scene.rng.choice(writers)(scene)


def said(*texts: str) -> Writer:
    """A writer of fixed texts."""
    return lambda scene: scene.rng.choice(texts)


def _cord_tail(scene: Scene) -> str:
    tails = ("", "", "", "", " with 60 cm", f" as #{scene.rng.randint(1, 12)}", " with 30 cm as #5", " with 9 parsec")
    return scene.rng.choice(tails)


def _ends(scene: Scene) -> str:
    return " > ".join(scene.pair())


def _three(scene: Scene) -> str:
    return f"{scene.free()} > {scene.free()} and {scene.free()}"


def _new_cord(scene: Scene) -> str:
    ends = one_of(
        lambda s: f"{s.free(True)} > {s.free(False)}",
        lambda s: f"{s.free(True)} > {s.free(False)}",
        lambda s: f"{s.name(True)} > {s.name(False)}",
        _three,
    )
    return ends(scene) + _cord_tail(scene)


def _guarded(scene: Scene) -> str:
    guarded = scene.sight.guarded
    return " > ".join(scene.rng.choice(guarded)) if guarded and scene.rng.random() < 0.9 else _ends(scene)


def _switched(scene: Scene) -> str:
    return f"{scene.supply()} {scene.rng.choice(('on', 'on', 'off', 'off', 'maybe'))}"


def _via(scene: Scene) -> str:
    gear = scene.rng.choice(scene.room.gear).name
    return f"{_ends(scene)} via {gear}" if scene.rng.random() < 0.3 else _ends(scene)


def _some(of: Callable[[Scene], str]) -> Writer:
    """A name, or a list of two or three of its kind."""
    return lambda s: ", ".join(of(s) for _ in range(s.rng.choice((1, 1, 1, 2, 3))))


def _ranged(scene: Scene) -> str:
    """Neighbours of two jacks, as ranges."""
    row, point = re.match(r"(.*?)(\d+)$", scene.address()).groups()  # type: ignore[union-attr]
    other, beside = re.match(r"(.*?)(\d+)$", scene.address()).groups()  # type: ignore[union-attr]
    more = scene.rng.randint(1, 3)
    return f"{row}{point}-{int(point) + more} > {other}{beside}-{int(beside) + more}"


def _chain(scene: Scene) -> str:
    gear = scene.rng.choice(scene.room.gear).name
    return f"{scene.free(True)} > {gear} > {scene.free(False)}"


def _insert(scene: Scene) -> str:
    """Gear that carries a signal through, on an output with a normal."""
    ports = scene.room.ports
    gear = [gear.name for gear in scene.room.gear if gear.through and len(gear.ports) == 2]
    ends = [(scene.room.port_at[normal.top], scene.room.port_at[normal.bottom]) for normal in scene.room.normals]
    normalled = [ports[at].name for pair in ends for at in pair if at >= 0 and ports[at].kind.is_output]
    return f"{scene.rng.choice(gear or ['no gear'])} on {scene.rng.choice(normalled or ['nothing'])}"


def _two_cords(scene: Scene) -> str:
    """A plug of one cord and a plug of another."""
    cords = list(scene.sight.cords.values())
    if len(cords) < 2:
        return f"{scene.held()}, {scene.held()}"
    return ", ".join(scene.rng.choice(cord) for cord in scene.rng.sample(cords, 2))


def _several(scene: Scene) -> str:
    parts = (_new_cord, lambda s: f"pull {s.cord_or_jack()}", lambda s: f"move {s.held()} > {s.free()}")
    return "; ".join(scene.rng.choice(parts)(scene) for _ in range(scene.rng.randint(2, 3)))


WRITERS: dict[str, Writer] = {
    "plug": one_of(
        *(_new_cord,) * 5,
        _ranged,
        _chain,
        _several,
        lambda s: s.free(),
        lambda s: f"{s.cord()} > {s.free()}",
        lambda s: f"{_some(lambda t: t.free(True))(s)} > {_some(lambda t: t.free(False))(s)}",
    ),
    "insert": _insert,
    "unplug": _some(Scene.held),
    "pull": one_of(*(_some(Scene.cord_or_jack),) * 4, said("all"), lambda s: s.cord().lstrip("#")),
    "move": one_of(
        lambda s: f"{s.held()} > {s.free()}",
        lambda s: f"{s.port()} > {s.port()}",
        lambda s: "{0}, {1} > {1}, {0}".format(s.held(), s.held()),
    ),
    "exchange": one_of(_two_cords, _two_cords, lambda s: f"mics {s.mic_line()}, {s.mic_line()}"),
    "label": one_of(lambda s: f"{s.port()} = {s.rng.choice(LABELS)}", lambda s: f"{s.port()} kick", said("")),
    "find": Scene.anything,
    "cords": said("", "", "", "now"),
    "mics": said("", "", "", "now"),
    "history": said("", "", "", "now"),
    "phantom": one_of(
        _switched, _switched, lambda s: f"{s.mic_line()} on", lambda s: s.supply(), said("", "all off", "off")
    ),
    "put": lambda s: f"{s.mic()} on {_some(Scene.mic_line)(s)}",
    "clear": lambda s: s.rng.choice(s.sight.miked) if s.sight.miked and s.rng.random() < 0.9 else s.mic_line(),
    "undo": said("", "", "", "", "", "", "now"),
    "redo": said("", "", "", "", "", "", "now"),
    "note": said(*NOTES, ""),
    "figures": Scene.anything,
    "save": said(*SAVED, "house", "a > b", ""),
    "forget": Scene.saved,
    "patches": said("", "", "", "all"),
    "compare": one_of(Scene.saved, lambda s: f"{s.saved()} > {s.saved()}"),
    "recall": one_of(Scene.saved, Scene.saved, Scene.saved, said("missing.yaml", "")),
    "reset": said("", "", "", "", "now"),
    "worklist": said("", "", "", "all"),
    "done": one_of(said(""), said(""), said(""), lambda s: f"pull {s.cord()}"),
    "skip": Scene.reason,
    "leave": said("", "", "", "", "at 2031-04-01 23:40", "at once"),
    "report": said("", "", "", "all"),
    "hold": lambda s: f"{s.cord_or_jack()} {s.reason()}",
    "release": lambda s: s.rng.choice(s.on_hold) if s.on_hold and s.rng.random() < 0.8 else s.cord_or_jack(),
    "trace": Scene.anything,
    "why": one_of(Scene.anything, Scene.anything, Scene.anything, said(*RULES)),
    "route": _via,
    "around": lambda s: s.rng.choice(s.room.gear).name if s.rng.random() < 0.3 else s.anything(),
    "use": lambda s: str(s.rng.randint(1, max(1, s.proposed))) if s.rng.random() < 0.9 else s.rng.choice(NONSENSE),
    "guard": one_of(_ends, _ends, _ends, _ends, said("")),
    "unguard": _guarded,
    "dead": one_of(Scene.listened, Scene.listened, lambda s: f"{s.listened()} from {s.port(True)}"),
    "heard": one_of(Scene.listened, Scene.heard, lambda s: "{1} from {0}".format(*s.pair())),
    "swap": Scene.cord,
    "fault": one_of(said(""), said(""), lambda s: f"without {s.heard()}", said("over")),
    "unrecorded": said("", "", "", "now"),
}

# What the words of a command's form stand for.
PLACES: dict[str, Writer] = {
    "X": Scene.anything,
    "Y": lambda s: s.name(False),
    "Z": Scene.name,
    "W": Scene.name,
    "END": Scene.anything,
    "LIST": Scene.anything,
    "MIC": Scene.mic,
    "MICROPHONE": Scene.mic,
    "NAME": one_of(Scene.saved, lambda s: s.rng.choice(s.room.gear).name),
    "TEXT": said(*NOTES),
    "RULE": said(*RULES),
    "LINE": lambda s: f"pull {s.cord()}",
    "ENTRY": lambda s: f"pull {s.cord()}",
    "FILE.yaml": said("missing.yaml"),
    "NUMBER": lambda s: str(s.rng.randint(1, 60)),
}
_PLACE = re.compile(r"FILE\.yaml|\b[A-Z]+\b|#\d+\b|(?<![\w#])\d+\b")


def from_forms(word: str, scene: Scene) -> str:
    """A whole entry by one of a command's forms, its words filled in."""

    def filled(place: re.Match[str]) -> str:
        if place[0].startswith("#"):
            return scene.cord()
        if place[0].isdigit():
            return place[0] if scene.rng.random() < 0.5 else str(scene.rng.randint(1, 60))
        writer = PLACES.get(place[0], Scene.anything)
        return writer(scene)

    return _PLACE.sub(filled, scene.rng.choice(forms_of(word)))


class Tried(NamedTuple):
    """How often each command was typed, and how often it was taken."""

    times: Counter[str]
    taken: Counter[str]

    def missing(self, at_least: int, never: frozenset[str] = frozenset()) -> list[str]:
        """The commands that were not tried as often, or never taken; ``never`` names those that cannot be taken here."""
        return [
            f"{word}: typed {self.times[word]} times, taken {self.taken[word]}"
            for word in commands()
            if self.times[word] < at_least or (not self.taken[word] and word not in never)
        ]


class Entries:
    """Entries of one evening; tell it each answer, so that what it writes goes on from there.

    ``tried``: what was tried so far, in other evenings as well; what was tried least is typed a little more often.
    """

    def __init__(self, room: Room, rng: Random, at_rest: Answer, tried: Tried | None = None) -> None:
        self.room, self.rng = room, rng
        self.tried = Tried(Counter(), Counter()) if tried is None else tried
        self.stage = _stage(room, rng)
        here = {room.ports[at].name for jack in self.stage if (at := room.port_at[jack]) >= 0}
        rest: list[tuple[str, str]] = [(source, load) for source, load in at_rest["made"]]
        self._pairs = deque([pair for pair in rest if here.issuperset(pair)], maxlen=16)
        self._offers: list[str] = []
        self._proposed = 1
        self._on_hold: list[str] = []
        self._next: deque[str] = deque()  # of the story that is being told

    def hear(self, text: str, word: str, answer: Answer) -> None:
        """What came of an entry."""
        self.tried.times[word] += 1
        if not answer["ok"]:
            return
        self.tried.taken[word] += 1
        self._pairs.extend((source, load) for source, load in answer.get("made", ())[:4])
        self._offers = list(answer.get("offers") or self._offers)[:4]
        self._proposed = len(answer.get("proposals") or "x" * self._proposed)
        if word == "hold":
            self._on_hold.append(text.partition(" ")[2].partition(" because")[0])

    def write(self, sight: Sight) -> tuple[str, str]:
        """An entry, and the word of the command that it tries."""
        rng, table = self.rng, commands()
        scene = self._scene(sight)
        if self._offers and rng.random() < 0.12:
            text = rng.choice(self._offers)
            return text, text.split()[0] if text.split()[0] in table else "plug"
        if not self._next and rng.random() < 0.15:
            self._next.extend(rng.choice(STORIES))
        if self._next and rng.random() < 0.85:
            word, _, anyway = self._next.popleft().partition(" ")
        else:
            words = list(table)
            word = rng.choices(words, [OFTEN.get(word, 1) for word in words])[0]
            if rng.random() < 0.2:
                word = min(words, key=lambda word: (self.tried.times[word], rng.random()))
            anyway = "anyway" if rng.random() < 0.1 else ""
            if word in NEEDS and rng.random() < 0.6:
                self._next.extendleft((word, *NEEDS[word][:0:-1]))
                word = NEEDS[word][0]
        return f"{self._entry(word, scene)} {anyway}".strip(), word

    def questions(self, sight: Sight, each: int) -> list[str]:
        """Entries over every command, some of each, to be asked about."""
        scene = self._scene(sight)
        return [self._entry(word, scene) for word in commands() for _ in range(each)]

    def _scene(self, sight: Sight) -> Scene:
        return Scene(self.rng, self.room, sight, self.stage, list(self._pairs), self._proposed, self._on_hold)

    def _entry(self, word: str, scene: Scene) -> str:
        writer = WRITERS.get(word)
        if writer is None or scene.rng.random() < 0.1:
            return from_forms(word, scene)
        after = writer(scene)
        if word == "plug" and ">" in after and scene.rng.random() < 0.7:
            return after
        return f"{word} {after}".strip()


def _stage(room: Room, rng: Random) -> list[int]:
    """The jacks that an evening mostly is about: a few points with what is above and below them, and a mult or a tie line."""
    if len(room.jacks) <= 40:
        return list(range(len(room.jacks)))
    found: set[int] = set()
    joined = [(normal.top, normal.bottom) for normal in room.normals]
    for at in rng.sample(range(len(joined)), min(3, len(joined))):
        for top, bottom in joined[at : at + 3]:  # and its neighbours
            found |= {top, bottom}
    for cord in rng.sample(room.house_patch, min(2, len(room.house_patch))):
        found.update(cord.jacks)
    for mult in rng.sample(room.mults, min(1, len(room.mults))):
        found.update(mult.jacks)
    for tie in rng.sample(room.ties, min(1, len(room.ties))):
        found |= {tie.a, tie.b}
    return sorted(found)
