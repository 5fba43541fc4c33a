"""The commands: one table, from which reading, completion, help and README are made.

A command's reader is named as 'module:function' and loaded when the command is first typed, so that what a session never
asks for costs its start nothing.
"""

from __future__ import annotations

from model.commands.command import Command, Form

BECAUSE = r"(?:^|\s)because\s+\S"
PLUGS_CAUTION = "Before a plug meets a microphone line: monitors and headphones down, phantom off."
LISTEN_CAUTION = (
    "To listen at a jack is to plug there. Monitors and headphones down first; on a microphone line phantom off too."
)

BAY_COMMANDS: tuple[Command, ...] = (
    Command(
        "plug",
        (
            Form("X > Y", "plug a cord from X to Y; a jack (A28) or a name (pre 4 out), either way round"),
            Form(
                "X 1-8 > Y 1-8",
                "eight cords as one step; a list (hall 2, 3, 7) and a pair's name (squash) are several too",
            ),
            Form(
                "X > Y with 60 cm as #12", "the same, with the cord's length (cm, m, ft, in) and the number on its tag"
            ),
            Form("X > Y and Z", "a cord with three plugs"),
            Form("X > GEAR > Y", "a chain: a cord to the gear's input and one from its output"),
            Form("ENTRY; ENTRY", "several entries at the bay as one step: all of it or nothing, and one undo"),
            Form("plug X", "plug one end: a loose end"),
            Form("#7 > X", "plug the loose end of cord 7"),
        ),
        "commands.cords:read_plug",
        "ends",
        PLUGS_CAUTION,
        also=("patch", "connect"),
    ),
    Command(
        "insert",
        (Form("insert GEAR on X", "the gear between X's send and its return"),),
        "commands.cords:read_insert",
        "ends",
        PLUGS_CAUTION,
    ),
    Command(
        "unplug",
        (
            Form(
                "unplug X, unplug #7", "take that one plug out; the cord's other plugs stay. By number: the whole cord"
            ),
        ),
        "commands.pulling:read_unplug",
        "held jack",
        PLUGS_CAUTION,
        also=("remove",),
    ),
    Command(
        "pull",
        (Form("pull X, pull #7, pull 7, pull all", "take the whole cord out; a list or a range: several"),),
        "commands.pulling:read_pull",
        "held",
        PLUGS_CAUTION,
    ),
    Command(
        "move",
        (
            Form("move A5 > B9", "the plug in that jack, to another"),
            Form("move X > Y", "by names: what X is plugged to is Y from now on"),
        ),
        "commands.moving:read_move",
        "move",
        PLUGS_CAUTION,
    ),
    Command(
        "exchange",
        (
            Form("exchange X, Y", "what is in X and what is in Y change places"),
            Form("exchange mics X, Y", "the microphones on two lines"),
        ),
        "commands.moving:read_exchange",
        "held jack",
        PLUGS_CAUTION,
    ),
    Command(
        "phantom",
        (
            Form(
                "phantom X on, phantom X off",
                "switch a supply, or a group that shares a switch; a microphone line's own",
            ),
            Form("phantom all off", "switch all that are on"),
            Form("phantom X, phantom", "what is on, and what it is at; nothing is switched"),
        ),
        "commands.supplies:read_phantom",
        "supplies",
        "Monitors and headphones down first: switching phantom thumps. Switched off, give it half a minute to bleed down.",
        also=("48v",),
    ),
    Command(
        "put",
        (Form("put MICROPHONE on X", "the input list: a microphone on a line, or on several"),),
        "commands.bay:read_put",
        "put",
    ),
    Command(
        "clear",
        (Form("clear X", "the input list: no microphone on that line"),),
        "commands.bay:read_clear",
        "with mic",
    ),
    Command(
        "label",
        (
            Form("label X = kick", "tonight's name of X, which serves in entries beside its own"),
            Form("label X =", "no label any more"),
            Form("label", "all labels"),
        ),
        "commands.labels:read_label",
        "name",
    ),
    Command("find", (Form("find X", "where it is: its jacks, lit in the bay"),), "commands.looks:read_find", "name"),
    Command("cords", (Form("cords", "the cords that are in"),), "commands.looks:read_cords"),
    Command(
        "mics",
        (Form("mics", "the input list: which microphone is on which line, and what the line reaches"),),
        "commands.looks:read_mics",
    ),
    Command("history", (Form("history", "the latest steps, which undo takes back"),), "commands.looks:read_history"),
    Command(
        "undo",
        (
            Form("undo", "take the last step back"),
            Form("undo 3", "three steps, each an entry of its own"),
        ),
        "commands.bay:read_undo",
        also=("u",),
    ),
    Command("redo", (Form("redo", "do it again"),), "commands.bay:read_redo"),
    Command("note", (Form("note TEXT", "goes into the record"),), "commands.bay:read_note", free_text=r"\S"),
    Command(
        "figures",
        (Form("figures X", "the net's circuit: sources, loads, levels, phantom, cable, and how close to its bounds"),),
        "way.figures:read_figures",
        "name",
    ),
)


PATCH_COMMANDS: tuple[Command, ...] = (
    Command("save", (Form("save NAME", "keep the present patch under a name"),), "patches.commands:read_save"),
    Command("forget", (Form("forget NAME", "take a saved patch away"),), "patches.commands:read_forget", "own saved"),
    Command("patches", (Form("patches", "the saved patches"),), "patches.commands:read_patches"),
    Command(
        "compare",
        (
            Form("compare NAME", "what differs from the present patch: keep, pull, plug, move"),
            Form("compare NAME > NAME", "what differs between two; 'house' is the house patch"),
        ),
        "patches.commands:read_compare",
        "saved",
    ),
    Command(
        "recall",
        (Form("recall NAME, recall FILE.yaml", "the work list that leads back to a saved patch"),),
        "patches.commands:read_recall",
        "saved",
        caution=PLUGS_CAUTION,
        waits="Enter makes the work list",
    ),
    Command(
        "reset",
        (Form("reset", "the work list that leads to the house patch"),),
        "patches.commands:read_reset",
        caution=PLUGS_CAUTION,
        waits="Enter makes the work list",
    ),
    Command("worklist", (Form("worklist", "what is left to do"),), "patches.work_commands:read_worklist"),
    Command(
        "done",
        (
            Form(
                "done", "tick the next step: it has been done in the room; 'done LINE' ticks it only if it is that one"
            ),
        ),
        "patches.work_commands:read_done",
        caution=PLUGS_CAUTION,
    ),
    Command(
        "skip",
        (Form("skip because TEXT", "leave the next step out"),),
        "patches.work_commands:read_skip",
        free_text=BECAUSE,
    ),
    Command(
        "leave",
        (Form("leave", "put the work list away; a reset ends in its report"),),
        "patches.work_commands:read_leave",
    ),
    Command("report", (Form("report", "the report of the last reset"),), "patches.work_commands:read_report"),
    Command(
        "hold",
        (Form("hold #7 because TEXT", "that cord stays through recall and reset"),),
        "patches.work_commands:read_hold",
        "held",
        free_text=BECAUSE,
    ),
    Command("release", (Form("release #7", "it is free again"),), "patches.work_commands:read_release", "on hold"),
)


WAY_COMMANDS: tuple[Command, ...] = (
    Command(
        "trace",
        (Form("trace X, trace #7", "the whole way of the signal, up to its sources and down to every load"),),
        "way.trace_line:read_trace",
        "name",
    ),
    Command(
        "why",
        (
            Form(
                "why X, why #7",
                "why it is silent, has more than one source, is split, or is warned of; and what fixes it",
            ),
            Form("why RULE", "why that rule's warnings stand: why joined-outputs"),
        ),
        "way.why:read_why",
        "name",
    ),
    Command(
        "route",
        (
            Form("route X > Y", "up to three ways to take X to Y with cords, over tie lines and mults, the best first"),
            Form("route X > Y via Z, W", "the same, through gear, tie lines or mults on the way"),
        ),
        "way.route:read_route",
        "ends",
        waits="Enter looks for up to three ways, and shows what each would do",
    ),
    Command(
        "around",
        (Form("around X", "X is dead: free gear of its kind in its place, with all before and after it as it was"),),
        "way.around:read_around",
        "name",
        waits="Enter looks for gear to take its place, and shows what that would do",
    ),
    Command("use", (Form("use 1", "do that proposal, as one step"),), "way.proposals:read_use", "proposed"),
    Command(
        "guard",
        (
            Form("guard X > Y", "this connection must stand: an entry that would break it is refused"),
            Form("ENTRY anyway", "the entry all the same"),
            Form("guard", "what is guarded"),
        ),
        "way.guard:read_guard",
        "ends",
    ),
    Command("unguard", (Form("unguard X > Y", "it need not stand any more"),), "way.guard:read_unguard", "guarded"),
)


FAULT_COMMANDS: tuple[Command, ...] = (
    Command(
        "dead",
        (
            Form("dead X", "the signal is not at X while its source plays; says what to try next"),
            Form("dead X from Y", "the same, where several sources lead to X"),
        ),
        "fault.commands:read_dead",
        "name",
        LISTEN_CAUTION,
    ),
    Command(
        "heard",
        (Form("heard X, heard X from Y", "the signal is at X"),),
        "fault.commands:read_good",
        "name",
        LISTEN_CAUTION,
    ),
    Command(
        "swap",
        (Form("swap #7", "another cord in the place of cord 7, as one step"),),
        "fault.commands:read_swap",
        "held",
        PLUGS_CAUTION,
    ),
    Command(
        "fault",
        (
            Form("fault", "what was heard, what can be at fault, and what to try next"),
            Form("fault without X", "what was heard at X does not count any more"),
            Form("fault over", "the search is over"),
        ),
        "fault.commands:read_fault",
        "fault",
    ),
)


RECORD_COMMANDS: tuple[Command, ...] = (
    Command(
        "unrecorded",
        (Form("unrecorded", "go on without the record, while it cannot be kept"),),
        "record.commands:read_unrecorded",
    ),
)


# Groups of commands, as the help shows them.
GROUPS: tuple[tuple[str, tuple[Command, ...]], ...] = (
    ("at the bay", BAY_COMMANDS),
    ("whole patches", PATCH_COMMANDS),
    ("finding the way", WAY_COMMANDS),
    ("finding a fault", FAULT_COMMANDS),
    ("the record", RECORD_COMMANDS),
)

COMMANDS: dict[str, Command] = {command.word: command for _, group in GROUPS for command in group}

# Every word that a command answers to.
WORDS: dict[str, Command] = {word: command for command in COMMANDS.values() for word in (command.word, *command.also)}
