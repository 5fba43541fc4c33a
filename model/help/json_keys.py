"""Every key of the JSON that the commands print, and what it holds. A test plays entries and compares."""

from __future__ import annotations

from model.help.topic import Table, code

Keys = dict[str, str]

# Of each object that `rehearse --json` prints.
ENTRY: Keys = {
    "line": "the number of the script's line, comments counted; 0 for the room at rest and for the house patch",
    "house": "with `--house`, for the cords of the house patch: their number, from 1",
    "typed": "the entry",
    "ok": "whether it was taken",
    "error": "the reason where it was refused (all lists are empty then), or null",
    "asked": "true where the entry only asked: the rest says what would happen",
    "made": "connections, `[output, input]`",
    "broken": "connections, `[output, input]`",
    "split": "`{source, loads}` whose loads this entry changed: one output feeds several inputs",
    "joined": "`{load, sources}` whose sources this entry changed: several outputs meet at one input",
    "raised": "warnings that came",
    "cleared": "warnings that went",
    "changed": "warnings that stand on with other figures or another severity; `was` holds those of before",
    "cautions": "what must be seen to before hands do it, in the order of the hand, written as warnings are",
    "passing": "dangers that stand only on the way, between two of its actions",
    "cord": "the number of the cord that the entry handled; null where there is none, or several",
    "cords": "the numbers of all cords that it handled",
    "told": "what else was said: `{kind, severity, words, jacks, ports, figures, fix, indent}`, where anything was",
}

WARNING: Keys = {
    "rule": "its rule: `bayhand help rules`",
    "severity": "`danger`, `warning` or `note`",
    "ports": "the ports it is about",
    "jacks": "the jacks it is about, or those of its ports",
    "figures": "its figures, by name",
    "assumed": "the ports whose default impedance a figure rests on",
    "text": "what is wrong, in words",
    "fix": "what would help, in words",
}


# What some entries add: the name of the added key, the entries that add it, and what it holds.
ADDED: dict[str, tuple[str, Keys]] = {
    "figures_of": (
        "figures",
        {
            "asked": "the jack that was asked about",
            "jacks": "the jacks of the net",
            "sources": "its outputs, each with its figures",
            "loads": "its inputs, each with its figures",
            "load_ohm": "all loads in parallel",
            "phantom": "supplies and the line's voltage and current, or null",
            "cable": "its length, corner, and loss at 20 kHz",
            "bounds": "each figure beside the bound of its rule",
            "warnings": "what is on this net",
        },
    ),
    "trace": (
        "trace",
        {
            "of": "what was asked about",
            "sources": "where the signal begins",
            "loads": "where it ends",
            "loops": "each loop's ports, in the order of the signal",
            "steps": "each with `number`, `after` (the step before it on its way), `way` (`upstream`, `downstream`), `kind` "
            "(`joint`, `port`, `gear`, `open`, `again`, `loop`), `text`, and by kind `from`, `to`, `joint`, `name`, "
            "`cord`, `contacts`; `port`, `end`; `gear`, `condition`; `opened_by`",
        },
    ),
    "why": (
        "why",
        {
            "of": "what was asked about",
            "findings": "each with `finding` (`fed`, `silent`, `more than one source`, `split`, `feeds nothing`, `warning`), "
            "`text`, `fix`, and by kind `sources`, `possible`; `breaks`; `loads`; `rule`, `ports`, `jacks`",
            "fix": "the shortest entry that would fix it, or null",
        },
    ),
    "proposals": (
        "route, around",
        {
            "number": "from 1, best first: what `use` takes",
            "about": "the gear that it uses, or null",
            "entries": "its entries by jack",
            "named": "the same by name",
            "cords": "how many cords it takes",
            "reach": "how far they reach along the rows, in columns",
            "change": "what it would do, with the keys of an entry from `made` to `cords`",
        },
    ),
    "guarded": (
        "guard, unguard",
        {
            "source": "the output of a guarded connection",
            "load": "its input",
            "stands": "whether it stands now",
        },
    ),
    "suspects": (
        "dead, heard, fault",
        {
            "element": "what can be at fault, likeliest first",
            "kind": "its kind, as in `bayhand help rooms`, the priors",
            "jacks": "the jacks it touches",
            "likelihood": "from 0 to 1",
        },
    ),
    "faults": ("dead, heard, fault", {}),
    "found": ("dead, heard, fault", {}),
    "next_test": (
        "dead, heard, fault",
        {
            "kind": "how to try",
            "at": "where",
            "line": "the entry that sets it up, or null",
            "breaks": "connections that it breaks meanwhile",
            "caution": "what to mind first, or nothing",
            "gain_bits": "how much it tells",
        },
    ),
    "other_tests": ("dead, heard, fault", {}),
    "heard": (
        "dead, heard, fault",
        {"place": "where it was listened", "works": "whether the signal was there", "source": "which source played"},
    ),
    "doubts": (
        "dead, heard, fault",
        {"dead": "a place that is dead although what leads there is sound", "heard": "the places that say so"},
    ),
}

# What an added key holds that is no object, or that is like another's.
ADDED_PLAIN: Keys = {
    "faults": "how few faults explain what was heard",
    "found": "whether the culprit is known",
    "other_tests": "further tests, with the keys of `next_test`",
}

CHECK: Keys = {
    "room": "the room's name; null where the file has errors",
    "errors": "`{line, column, text}` of each error of the file",
    "accepted": "findings that the room file accepts, as findings are, with `because`; they do not count",
    "findings": "`{rule, severity, jacks, text, line}` of each finding",
    "counts": "how many there are of everything, and findings of each severity",
}

LOG: Keys = {
    "number": "from 1, in the order in which things were done",
    "at": "the time, UTC; null where none can be read",
    "seat": "who did it",
    "kind": "`entry`; `remark` for what the program noted itself; `damaged` for what is missing or cannot be trusted",
    "typed": "as it was typed",
    "entry": "as the program wrote it down",
    "told": "what was told of it: `{kind, severity, words, jacks, ports, figures, fix, indent}`",
}

# Of `compare-rooms`.
COMPARISON: Keys = {
    "ports": "ports that are at other jacks",
    "normals": "normals of another kind",
    "gear": "gear, and ports of gear, that is new, gone, or under another name",
    "figures": "whatever else is stated of one thing",
    "made": "pairs of an output and an input that are connected at rest in the new room alone",
    "broken": "pairs that are connected at rest in the old room alone",
    "house_patch": "cords of the house patch that one of the rooms has alone",
    "patches_lost": "patches that no longer do what they did",
}
COMPARISON_PARTS: dict[str, Keys] = {
    "ports": {"port": "its name", "was": "addresses", "becomes": "addresses"},
    "normals": {
        "top": "an address",
        "bottom": "an address",
        "was": "a kind; `none` where there was no normal",
        "becomes": "a kind; `none` where there is no normal",
    },
    "gear": {
        "gear": "its name; of gear that is gone the old one",
        "was": "the old name of the gear or of its port; null where it is new",
        "becomes": "the new name; null where it is gone",
        "guess": "true where gear is only taken for the same, by its place and its ports",
        "jacks": "addresses of its ports",
    },
    "figures": {
        "of": "of what it is stated, in words",
        "what": "the key of the room file, or what else it is",
        "was": "its value, or null where the old file states none",
        "becomes": "its value, or null where the new file states none",
    },
    "house_patch": {"cord": "the cord in words", "was": "true where the old room has it alone"},
    "patches_lost": {"patch": "its name, or `house`", "unplaced": "what of it finds no place, in words"},
}

# Of `from-table`.
TABLE_READ: Keys = {
    "errors": "what is wrong with the table; nothing is written then",
    "guesses": "what had to be guessed",
    "written": "the file that was written, or null",
}
FAULT_IN_TABLE: Keys = {
    "row": "from 1, as a spreadsheet counts; null where the whole table is meant",
    "column": "the letters of the column, or null where the whole row is meant",
    "heading": "what the column is headed",
    "text": "in words",
}

# Of each strip of `strips`, each bay of `draw`, and of `graph`.
STRIP: Keys = {
    "bay": "its bay",
    "rows": "the rows that it is for: both where it stands between them",
    "where": "`above`, `below` or `between` the rows",
    "pitch": "from jack to jack",
    "height": "of the strip",
    "length": "of the strip",
    "assumed": "the keys of the bay that its room file does not state",
    "pieces": "`{columns, mm}` of each piece: its first and last column, its length",
    "shortened": "`{jack, name, printed, cut}` of each name that does not fit; `cut` where letters are cut off",
}
DRAWN_BAY: Keys = {
    "bay": "its name",
    "place": "where it is; empty where the room file does not say",
    "columns": "how many jacks stand in a row",
    "rows": "from top to bottom; of each jack `{jack, behind, sign}`, where `sign` is `wired`, `tie`, `mult` or `bare`",
    "normals": "by column, the kind of the normal of the pair",
}
GRAPH: Keys = {
    "directed": "true",
    "multigraph": "true",
    "graph": "`{room}`, its name",
    "nodes": "gear, ports, jacks and mults: `id`, `is_a`, and what is stated of each",
    "edges": "`{source, target, key, joins}`, where `joins` is `part`, `rear`, `through`, `normal`, `tie` or `mult`",
}

# Exit statuses of every command.
STATUSES: dict[int, str] = {
    0: "all is well",
    1: "findings, differences, failed proofs, or a refused entry",
    2: "wrong usage, or a file that cannot be used",
    3: "a fault of the program",
    130: "interrupted from the keyboard",
    141: "whoever read the output has gone",
}


def keys_table(keys: Keys) -> Table:
    """To read."""
    return Table(("key", "holds"), tuple((code(key), holds) for key, holds in keys.items()))


def added_table() -> Table:
    """What some entries add, key by key."""
    rows: list[tuple[str, str, str]] = []
    for key, (entries, inner) in ADDED.items():
        if key in ADDED_PLAIN:
            rows.append((code(key), code(*entries.split(", ")), ADDED_PLAIN[key]))
        rows += [(code(f"{key}: {name}"), code(*entries.split(", ")), holds) for name, holds in inner.items()]
    return Table(("key", "added by", "holds"), tuple(rows))


def statuses_table() -> Table:
    """What a command's exit status says."""
    return Table(("status", "says"), tuple((str(number), says) for number, says in STATUSES.items()))
