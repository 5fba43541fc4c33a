"""The help: every topic against the tables it describes, in both renderings, at every width; which word means which topic."""

from __future__ import annotations

import ast
import re
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from model.check import WIRING_CHECKS
from model.commands.table import COMMANDS, GROUPS
from model.fault.reasoning import PRIORS
from model.help import plain, topics
from model.help.example_room import EXAMPLE_ROOM
from model.help.kinds import REASONS
from model.help.markdown import as_markdown
from model.help.plain import as_plain, column_widths
from model.help.room_keys import KEY_TABLES, TOP, KeyTable
from model.help.rules import SEVERITY_MEANS
from model.help.topic import Block, Example, Paragraph, Points, Section, Table, Topic, split_code
from model.room.file import parse_room
from model.room.kinds import FEED_OHM, KINDS, NORMAL_KINDS
from model.signal.rules import ALL_RULES
from model.signal.warning import SEVERITIES
from tui.cli.run_help import list_of_topics
from tui.help.topics import TOPICS, help_for, not_found
from tui.screen.keys import KEYS, WORDS

ROOT = Path(__file__).parent.parent
ALL: dict[str, Topic] = {
    "": list_of_topics(),
    **{name: listed.made() for name, listed in TOPICS.items()},
    **{f"command {word}": found for word in COMMANDS if (found := help_for(word)) is not None},
}
EVERY_TOPIC = pytest.mark.parametrize("topic", ALL.values(), ids=ALL)


def first_column(topic: Topic) -> list[str]:
    """What stands in the first cell of each row of each table, as typed words."""
    cells = [row[0] for block in topic.blocks if isinstance(block, Table) for row in block.rows]
    return [word for cell in cells for word in re.split(r"`, `", cell.strip("`"))]


def words_of(block: Block) -> list[str]:
    """All that a block says, without its signs."""
    match block:
        case Points():
            texts: Sequence[str] = block.items
        case Table():
            texts = [cell for row in (block.head, *block.rows) for cell in row]
        case Section():
            texts = [block.title]
        case Paragraph() | Example():
            texts = [block.text]
    return [word for text in texts for part, _ in split_code(text) for word in part.split()]


# What the topics say


def test_the_topics_are_those_of_the_tables() -> None:
    assert set(TOPICS) == {
        "rooms",
        "kinds",
        "rules",
        "findings",
        "entries",
        "bench",
        "papers",
        "keys",
        "json",
        "record",
    }
    assert set(ALL) == {"", *TOPICS, *(f"command {word}" for word in COMMANDS)}


@pytest.mark.parametrize("of", KEY_TABLES, ids=lambda of: of.title)
def test_every_key_of_the_room_file_is_told(of: KeyTable) -> None:
    """What the reader takes and what the help says of it are the same keys."""
    title, taken, means = of
    assert not taken - set(means), f"say what these keys mean, in model/help/room_keys.py, '{title}'"
    assert not set(means) - taken, f"the reader takes these keys no more: model/help/room_keys.py, '{title}'"
    assert set(means) <= set(first_column(ALL["rooms"]))


def test_no_table_of_keys_of_the_reader_is_left_out() -> None:
    """Whatever the reader calls KEYS is in a table of the help."""
    found = {
        target.id
        for path in (ROOT / "model" / "room" / "file").glob("*.py")
        for node in ast.parse(path.read_text("utf-8")).body
        if isinstance(node, ast.Assign)
        for target in node.targets
        if isinstance(target, ast.Name) and target.id.endswith("_KEYS")
    }
    told = (ROOT / "model" / "help" / "room_keys.py").read_text("utf-8")
    # the keys of a supply are keys of a port
    assert [name for name in sorted(found) if name not in told and name != "SUPPLY_KEYS"] == []
    assert len(found) >= 9


def test_the_example_room_is_one_and_has_every_section() -> None:
    room = parse_room(EXAMPLE_ROOM)
    assert len(room.house_patch) == 1
    assert set(re.findall(r"^([a-z][a-z ]*):", EXAMPLE_ROOM, re.MULTILINE)) == TOP.taken
    assert max(map(len, EXAMPLE_ROOM.splitlines())) <= plain.WIDTH - 4, "it is shown four columns in"


def test_every_kind_rule_finding_command_and_key_is_told() -> None:
    assert set(KINDS) | set(NORMAL_KINDS) | {"none"} <= set(first_column(ALL["kinds"]))
    assert {f"{volts:g} V" for volts in FEED_OHM} <= set(first_column(ALL["kinds"]))
    assert set(REASONS) == set(KINDS), "say in model/help/kinds.py why a kind has its default"
    assert first_column(ALL["rules"]) == [rule.name for rule in ALL_RULES]
    assert set(SEVERITY_MEANS) == set(SEVERITIES)
    assert set(first_column(ALL["findings"])) == {name for check in WIRING_CHECKS for name, _ in check.rules}
    assert set(PRIORS) <= set(first_column(ALL["rooms"]))
    forms = [form for _, group in GROUPS for command in group for form in command.forms]
    rows = [row for block in ALL["entries"].blocks if isinstance(block, Table) for row in block.rows]
    assert rows == [(f"`{form.usage}`", form.does) for form in forms]
    shown = as_plain(ALL["keys"], 200)
    for key in KEYS:
        assert any(line.split("  ")[0] == key.shown and line.endswith(key.does) for line in shown), key
    assert all(f"'{word}'" in " ".join(shown) for word in WORDS)


def test_what_every_check_finds_is_said() -> None:
    """The table takes its words from the checks' docstrings."""
    table = next(block for block in ALL["findings"].blocks if isinstance(block, Table))
    assert all(len(says) > 20 and says.endswith(".") for _, _, says in table.rows)


@pytest.mark.parametrize("word", COMMANDS)
def test_a_command_has_its_own_page(word: str) -> None:
    topic = ALL[f"command {word}"]
    text = " ".join(" ".join(as_plain(topic, 200)).split())
    command = COMMANDS[word]
    for words in (*(form.usage for form in command.forms), *(form.does for form in command.forms), command.caution):
        assert words in text


# Both renderings


@EVERY_TOPIC
@pytest.mark.parametrize("width", [40, 59, 80, 133])
def test_it_fits_and_loses_no_word(topic: Topic, width: int) -> None:
    lines = as_plain(topic, width)
    examples = {f"    {line}".rstrip() for b in topic.blocks if isinstance(b, Example) for line in b.text.split("\n")}
    for line in lines:
        assert len(line) <= width or (width < plain.WIDTH and line in examples)
        assert line.isprintable()
        assert line == line.rstrip()
    # a narrow column cuts words, and a wide table's rows are interleaved: compared is every letter and figure
    meant = "".join((*topic.title.split(), *(word for block in topic.blocks for word in words_of(block))))
    assert letters("".join(lines)) == letters(meant)


def letters(text: str) -> Counter[str]:
    """How often each character stands in a text, but for those that a rendering adds."""
    return Counter(character for character in text if character not in " -='")


@EVERY_TOPIC
def test_markdown_reads_back_as_the_topic(topic: Topic) -> None:
    """Judged by markdown-it-py, a general reader of CommonMark, with its tables switched on."""
    tokens = MarkdownIt("commonmark").enable("table").parse(as_markdown(topic))
    tables = [block for block in topic.blocks if isinstance(block, Table)]
    kinds = [token.type for token in tokens]
    assert kinds.count("table_open") == len(tables)
    assert kinds.count("fence") == sum(isinstance(block, Example) for block in topic.blocks)
    assert kinds.count("heading_open") == 1 + sum(isinstance(block, Section) for block in topic.blocks)
    read = [
        "".join(child.content for child in token.children or ())
        for before, token in zip(kinds, tokens[1:], strict=False)
        if before in ("th_open", "td_open")
    ]
    meant = ["".join(part for part, _ in split_code(cell)) for t in tables for row in (t.head, *t.rows) for cell in row]
    assert read == meant
    assert not [
        t for t in tokens for child in t.children or () if child.type in ("html_inline", "em_open", "link_open")
    ]


@pytest.mark.parametrize(
    "text", ["a | b", "<b>bold</b>", "*a* _b_ **c**", "[x](y)", "`a | b` | c", "back\\slash", "load_ohm_x"]
)
def test_markdown_takes_no_sign_for_its_own(text: str) -> None:
    topic = Topic("T", (Table(("head",), ((text,),)), Paragraph(text)))
    tokens = MarkdownIt("commonmark").enable("table").parse(as_markdown(topic))
    read = ["".join(child.content for child in token.children or ()) for token in tokens if token.type == "inline"]
    bare = "".join(part for part, _ in split_code(text))
    assert read == ["T", "head", bare, bare]


@settings(max_examples=60, deadline=None)
@given(
    st.integers(1, 5).flatmap(
        lambda columns: st.lists(
            st.lists(st.text("ab _", max_size=90), min_size=columns, max_size=columns), min_size=1, max_size=4
        )
    ),
    st.integers(plain.NARROWEST, 120),
)
def test_any_table_fits(rows: list[list[str]], width: int) -> None:
    head, *rest = (tuple(row) for row in rows)
    lines = as_plain(Topic("T", (Table(head, tuple(rest)),)), width)
    assert max(map(len, lines)) <= width
    assert sum(column_widths(rows, width)) + 2 * (len(head) - 1) <= width
    assert sorted("".join(lines[3:]).replace(" ", "").replace("-", "")) == sorted(
        "".join(cell for row in rows for cell in row).replace(" ", "")
    )


def test_nothing_in_a_topic_steers_the_terminal() -> None:
    lines = as_plain(Topic("T\x1b[2J", (Paragraph("a\x1bc"), Example("\x9b1m"), Table(("h",), (("\u202e",),)))))
    assert all(line.isprintable() for line in lines)


# Which word means which topic


def test_a_command_comes_before_a_topic_and_case_does_not_matter() -> None:
    listed = topics.Listed("", lambda: Topic("a topic", ()))
    assert topics.help_for("undo", {"undo": listed}) == ALL["command undo"]
    assert topics.help_for("UNDO ") == ALL["command undo"]
    assert help_for("Rooms") == ALL["rooms"]
    assert help_for("") is None


@pytest.mark.parametrize(
    ("typed", "meant"), [("rume", "rules"), ("kind", "kinds"), ("unplugg", "unplug"), ("jsn", "json")]
)
def test_an_unknown_word_is_told_the_nearest(typed: str, meant: str) -> None:
    assert help_for(typed) is None
    assert f"did you mean '{meant}'" in not_found(typed)


@pytest.mark.parametrize("typed", ["", "\x1b[2J", "x" * 5000, "漢字", "zzzz"])
def test_any_word_is_answered(typed: str) -> None:
    said = not_found(typed)
    assert all(f"'{name}'" in said for name in TOPICS)
    assert said.isprintable()
    assert len(said) < 400
