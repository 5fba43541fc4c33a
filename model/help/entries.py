"""The topic on entries: all commands, how names are typed, and what the larger commands do; and each command's own help."""

from __future__ import annotations

from collections.abc import Iterable

from model.commands.command import Command
from model.commands.table import COMMANDS, GROUPS
from model.help.topic import Block, Paragraph, Points, Section, Table, Topic, code
from model.text.caution import CAUTION


def forms_table(commands: Iterable[Command]) -> Table:
    """Every form of some commands."""
    rows = [(code(form.usage), form.does) for command in commands for form in command.forms]
    return Table(("typed", "does"), tuple(rows))


def brief_table() -> Table:
    """The commands in brief: one row a group, with the first form of each command."""
    return Table(
        ("", "typed"), tuple((title, code(*(one.forms[0].usage for one in commands))) for title, commands in GROUPS)
    )


def cautions(commands: Iterable[Command]) -> Points:
    """What must be minded before which commands."""
    words: dict[str, list[str]] = {}
    for command in commands:
        if command.caution:
            words.setdefault(command.caution, []).append(command.word)
    return Points(tuple(f"{code(*which)}: {caution}" for caution, which in words.items()))


def topic_of_command(word: str) -> Topic | None:
    """The forms of one command, and what must be minded before it; None where there is no such command."""
    command = COMMANDS.get(word)
    if command is None:
        return None
    blocks: list[Block] = [forms_table([command])]
    if command.caution:
        blocks.append(Paragraph(f"Caution: {command.caution}"))
    if command.waits:
        blocks.append(Paragraph(f"{command.waits}."))
    blocks.append(Paragraph("With ` ?` at its end an entry only asks, and changes nothing."))
    return Topic(word, tuple(blocks))


def topic() -> Topic:
    """All that can be typed at the bay."""
    tables = [block for title, commands in GROUPS for block in (Section(_heading(title)), forms_table(commands))]
    return Topic(
        "Entries",
        (
            Paragraph(
                "An entry is what is typed at the foot of the screen, or is on a line of a script that "
                "`bayhand rehearse` plays. What it would do is shown while it is typed; Enter does it, or it is refused "
                "with the reason, and nothing is lost."
            ),
            Section("Names"),
            Points(
                (
                    "A name is typed in any case, in any order of its words, and as short as leaves it unique. `pre 4` to "
                    "the left of `>` means its output, to the right its input.",
                    "Numbers are met whole: 4 never means 40.",
                    "A jack's address (`A28`) always serves.",
                    "What fits several things is refused with them all; what fits nothing, with the nearest names. "
                    "Nothing is guessed.",
                    "An entry whose first word is no command plugs a cord.",
                    "Several at once: `hall 1-8 > tallow 1-8`, `hall 2, 3, 7 > rec 1-3`, `mix send l, r > rec 1, 2`; a "
                    "number, a range, L or R goes on from the name before it. Both sides count alike. A name that fits one "
                    "L and one R means the pair. A list is at most 96 names.",
                    "`;` parts entries at the bay on one line; each is read as the bay stands after the one before. Lists, "
                    "chains and `;` are one step: one preview, all or nothing, one undo, and the cautions of every moment.",
                    "A bare number where a cord can stand is that cord: `pull 8`, `why 8`.",
                    "By names, `move X > Y` means that X goes to Y from now on: the plug at the far end moves. An address is "
                    "that very plug.",
                    "What can be read in several ways is refused with each. A name in double quotes is a name and nothing "
                    'else: `"Cue 1-2" > rec 1`.',
                    "A refusal tells an entry that would be done instead, where one is found.",
                    "With ` ?` at its end an entry only asks: it says what would happen, and changes nothing.",
                    "A cord takes the lowest free number: the number on its tag. With one plug in it joins nothing and "
                    "still breaks normals.",
                )
            ),
            *tables,
            Section("Cautions"),
            cautions(COMMANDS.values()),
            Paragraph(CAUTION),
            Section("About finding the way"),
            Paragraph(
                "`trace` shows each step with its jack and its contact (`A5 > B5, full normal, closed`); the way is lit in "
                "the bay. Loops are shown once and named. `why` tells the first break on the way, by which plug of which "
                "cord, and the shortest entry that would fix it, which Enter takes up."
            ),
            Paragraph(
                "Cords join jacks of one place. `route` looks for chains of three cords and more along the fewest places "
                "only, up to eight cords. It does not propose to pull what is in the way: it names it."
            ),
            Section("About whole patches"),
            Paragraph(
                "`recall` and `reset` make a work list in the order in which hands should do it: monitors down and phantom "
                "off first, pulls before plugs, moves in place of pull and plug, the fewest plugs handled, the input list, "
                "phantom on last. `done` ticks a step when it was done in the room, and the state follows. What is left is "
                "worked out from the bay as it is. A reset ends in a report: what was put back, what stays and why, cords "
                "counted back by length, warnings that remain."
            ),
            Paragraph(
                "A patch travels as a small file: `bayhand sheet ROOM --as yaml` writes it, `recall FILE.yaml` reads it, by "
                "the names of ports. It survives a rewired bay where it can, and says where it cannot."
            ),
            Section("About finding a fault"),
            Paragraph(
                "`dead X` and `heard X` record what was heard where. The program keeps what the signal must pass, weighs it "
                "by how often such a thing fails, says which single test halves the rest, and names the culprit, or the "
                "fewest faults that explain what was heard. The weights are in `bayhand help rooms`, the priors. "
                "A plug in the lower jack of a normal takes the signal away from the input behind it: `dead B5` counts as "
                "heard at that input."
            ),
        ),
    )


def _heading(title: str) -> str:
    return title[:1].upper() + title[1:]
