"""The strict subset of YAML: scalars stay text, refusals know their place, no text at all raises."""

import pytest
import yaml

from model.text import strictyaml
from model.text.strictyaml import MAX_DEPTH, Items, Node, Table, Text, build


def plain(node: Node) -> object:
    """The tree without its places."""
    if isinstance(node, Text):
        return node.text
    if isinstance(node, Table):
        return {key: plain(value) for key, value in node.values.items()}
    return [plain(member) for member in node.nodes] if isinstance(node, Items) else None


@pytest.fixture(params=["libyaml", "pure Python"])
def loader(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    if request.param == "libyaml":
        assert yaml.__with_libyaml__, "these tests compare the two parsers"
    else:
        monkeypatch.setattr(strictyaml, "_Loader", yaml.SafeLoader)


# What YAML 1.1 would make of them (section "Schema" of its type repository): sexagesimal, boolean, octal, date, null.
@pytest.mark.usefixtures("loader")
@pytest.mark.parametrize("scalar", ["12:30", "no", "on", "014", "1-12", "2024-01-02", "~", "1_000", "1e3", ".inf", "y"])
def test_scalars_stay_text(scalar: str) -> None:
    tree = build(f"{scalar}: {scalar}")
    assert (plain(tree.root), tree.problems) == ({scalar: scalar}, [])


@pytest.mark.usefixtures("loader")
def test_a_tree_and_its_places() -> None:
    tree = build("a: {b: 1, c: [x, 'y']}\r\nd:\r\n  - e\r\n  -\r\n")
    assert plain(tree.root) == {"a": {"b": "1", "c": ["x", "y"]}, "d": ["e", ""]}
    assert isinstance(tree.root, Table)
    inner = tree.root.values["a"]
    assert isinstance(inner, Table) and isinstance(inner.values["c"], Items)
    last = inner.values["c"].nodes[1]
    assert last is not None
    assert (inner.marks["c"].line, inner.marks["c"].column) == (0, 10)
    assert (last.mark.line, last.mark.column) == (0, 17)
    assert (tree.root.marks["d"].line, tree.root.marks["d"].column) == (1, 0)


REFUSED = {
    "key twice": ("a: 1\nb: 2\na: 3", 3, 1, "'a' is given twice: it is on line 1"),
    "key twice, inner": ("a: {b: 1, b: 2}", 1, 11, "'b' is given twice"),
    "anchor": ("a: &x 1", 1, 4, "anchor '&x'"),
    "anchor on a table": ("a: &x {b: 1}", 1, 4, "anchor '&x'"),
    "anchor on a key": ("&x a: 1", 1, 1, "anchor '&x'"),
    "alias": ("a: *x", 1, 4, "alias '*x'"),
    "alias as a key": ("*x : 1", 1, 1, "alias '*x'"),
    "merge key": ("<<: {a: 1}", 1, 1, "merge key"),
    "merge key in quotes": ("'<<': {a: 1}", 1, 1, "merge key"),
    "tag": ("a: !!str 1", 1, 4, "tag 'tag:yaml.org,2002:str'"),
    "Python's tag": ("a: !!python/name:os.system x", 1, 4, "tag"),
    "tag on a list": ("a: !!set [1]", 1, 4, "tag"),
    "bare tag": ("a: ! x", 1, 4, "tag '!'"),
    "table as a key": ("{L,R} Mix: line out", 1, 1, "a key must be text"),
    "empty key": ("'': 1", 1, 1, "a key is empty"),
    "two documents": ("a: 1\n---\nb: 2", 2, 1, "second document"),
    "too deep": ("[" * 30, 1, MAX_DEPTH + 1, f"more than {MAX_DEPTH} deep"),
    "escape character": ("a: 1\nb: x\x1b[31m", 2, 5, "U+001B is a control character"),
    "lone surrogate": ("a: \ud800", 1, 4, "U+D800 is half of a surrogate pair"),
    "NUL": ("a\x00", 1, 2, "U+0000"),
    "tab": ("a:\n\tb: 1", 2, 1, "spaces, not tabs"),
    "colon in a name": ("a: b: c", 1, 5, "': ' inside a name"),
    "open quote": ("a: 'x", 1, 6, "closing quote missing"),
    "open brace": ("a: {b: 1\nc: 2\n", 2, 2, "is a '}' missing"),
    "indentation": ("a:\n  b: 1\n c: 2", 3, 2, "indented otherwise"),
}


@pytest.mark.usefixtures("loader")
@pytest.mark.parametrize(("text", "line", "column", "words"), REFUSED.values(), ids=REFUSED)
def test_refused(text: str, line: int, column: int, words: str) -> None:
    problems = build(text).problems
    assert any(words in problem.text for problem in problems), problems
    assert (line, column) in [(problem.mark.line + 1, problem.mark.column + 1) for problem in problems]


@pytest.mark.usefixtures("loader")
def test_a_bottomless_text_is_refused() -> None:
    """libyaml looks ahead to where it gives up itself, hence the place is its own."""
    (problem,) = build("[" * 20_000).problems
    assert f"more than {MAX_DEPTH} deep" in problem.text


@pytest.mark.usefixtures("loader")
def test_all_is_reported_together() -> None:
    tree = build("a: &x 1\nb: *x\na: !t 2\n<<: c\nd: e: f")
    assert [problem.mark.line + 1 for problem in tree.problems] == [1, 2, 3, 3, 4, 5]
    assert not tree.whole


def test_what_stands_before_an_error_is_kept() -> None:
    tree = build("a: 1\nb:\n  c: [1, 2\n  d: 3\n")
    assert not tree.whole
    assert isinstance(tree.root, Table)
    assert tree.root.values["a"] == Text("1", tree.root.values["a"].mark)  # type: ignore[union-attr]
    assert "b" in tree.root.values


def test_an_alias_bomb_is_never_walked() -> None:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 12)]
    tree = build("\n".join(lines))
    assert len(tree.problems) == 12 + 11 * 10


def test_an_empty_text_has_no_root() -> None:
    for text in ("", "# nothing\n", "\n\n"):
        assert build(text) == strictyaml.Tree()


def test_too_many_nodes_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(strictyaml, "MAX_NODES", 100)
    tree = build("- a\n" * 200)
    assert "more than 100 keys and values" in tree.problems[0].text
