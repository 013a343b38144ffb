"""The YAML reader: text scalars with places; hostile and broken files refused in one line."""

from __future__ import annotations

import time

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.errors import NOWHERE, Problem
from diagnose.knowledge_files import reader
from diagnose.knowledge_files.reader import (
    MAX_BYTES,
    MAX_DEPTH,
    Mapping,
    Node,
    Scalar,
    Sequence,
    UnreadableError,
    read_yaml,
)


@pytest.fixture(params=["libyaml", "pure Python"], autouse=True)
def parser(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Run every test with both parsers: an installation may have only the slow one."""
    if request.param == "libyaml":
        if not hasattr(yaml, "CSafeLoader"):
            pytest.skip("PyYAML was built without libyaml")
        monkeypatch.setattr(reader, "_LOADER", yaml.CSafeLoader)
    else:
        monkeypatch.setattr(reader, "_LOADER", yaml.SafeLoader)


def problem(data: bytes | str) -> str:
    """Return the one problem of a file that cannot be read."""
    with pytest.raises(UnreadableError) as caught:
        read_yaml(data if isinstance(data, bytes) else data.encode(), "x.yaml")
    (only,) = caught.value.problems
    return str(only)


def plain(node: Node) -> object:
    """Return a node as plain Python, for comparison."""
    if isinstance(node, Scalar):
        return node.text
    if isinstance(node, Sequence):
        return [plain(item) for item in node.items]
    return {key: plain(child) for key, (_, child) in node.entries.items()}


def test_scalars_stay_text() -> None:
    """on, no, 010, 12:30 and null are words of the trade, not booleans, octals or times."""
    node = read_yaml(b"{pump: on, flow: no, n: 010, at: 12:30, x: null, y: , z: ~}", "x.yaml")

    assert plain(node) == {
        "pump": "on",
        "flow": "no",
        "n": "010",
        "at": "12:30",
        "x": "null",
        "y": "",
        "z": "~",
    }


def test_every_node_knows_its_line_and_column() -> None:
    """Lines and columns count from one, keys and values apart."""
    node = read_yaml("a: 1\nb:\n  - {c: é, d: e}\n".encode(), "k/x.yaml")

    assert isinstance(node, Mapping)
    key, rows = node.entries["b"]
    assert str(key) == "k/x.yaml:2:1"
    assert isinstance(rows, Sequence)
    row = rows.items[0]
    assert isinstance(row, Mapping)
    assert str(row.origin) == "k/x.yaml:3:5"
    assert str(row.entries["d"][1].origin) == "k/x.yaml:3:15"


def test_an_alias_shares_its_node() -> None:
    """A plain use of anchors is allowed."""
    node = read_yaml(b"a: &x [1, 2]\nb: *x\n", "x.yaml")

    assert plain(node) == {"a": ["1", "2"], "b": ["1", "2"]}


def test_a_byte_order_mark_is_let_be() -> None:
    """Some editors write one; it is no part of the first key."""
    assert plain(read_yaml(b"\xef\xbb\xbfa: 1\n", "x.yaml")) == {"a": "1"}


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "x.yaml:1:1: the file is empty"),
        (b"# only a comment\n", "x.yaml:1:1: the file is empty"),
        (b"a: 1\na: 2\n", "x.yaml:2:1: 'a' stands twice here (first on line 1); keep one"),
        (b"a: {b: 1, b: 2}\n", "x.yaml:1:11: 'b' stands twice"),
        (b"a: 1\nb: caf\xe9\n", "x.yaml:2:7: byte 0xe9 is not UTF-8"),
        (b"a: 1\nb: x\x00y\n", "x.yaml:2:5: control character U+0000"),
        ("é: x\x07y".encode(), "x.yaml:1:5: control character U+0007"),
        (b"a:\n\t- 1\n", "x.yaml:2:1: a tab stands here; indent with spaces"),
        (b"a: [1, 2\n", "x.yaml:2:1: not readable as YAML"),
        (b'a: "open\n', "not readable as YAML"),
        (b"a: b: c\n", "x.yaml:1:5: not readable as YAML"),
        (b"a: !!python/object/apply:os.system [ls]\n", "x.yaml:1:4: the tag"),
        (b"a: !int 3\n", "x.yaml:1:4: the tag '!int' is not used here"),
        (b"a: 1\n---\nb: 2\n", "x.yaml:2:1: a second document"),
        (b"a: *x\n", "x.yaml:1:4: "),
        (b"a: &x [*x]\n", "x.yaml:1:8: the alias '*x' stands inside itself"),
        (b"[1, 2]: a\n", "x.yaml:1:1: a list or mapping cannot be a key"),
    ],
)
def test_a_broken_file_is_one_clear_line(data: bytes, says: str) -> None:
    """What is wrong, where, and what to do, without a traceback."""
    text = problem(data)

    assert says in text
    assert "\n" not in text


def test_all_duplicate_keys_are_told_at_once() -> None:
    """Mending one must not uncover the next."""
    with pytest.raises(UnreadableError) as caught:
        read_yaml(b"a: 1\na: 2\nb: 3\nb: 4\n", "x.yaml")

    assert [p.origin.line for p in caught.value.problems] == [2, 4]


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"a: " + b"[" * 100_000, f"nested more than {MAX_DEPTH} deep"),
        (b"{a: " * 100_000, f"nested more than {MAX_DEPTH} deep"),
        (b"- " * 100_000 + b"a", f"nested more than {MAX_DEPTH} deep"),
        (b"a: " + b"x" * (MAX_BYTES + 1), "is larger than"),
        (b"a: [" + b"1, " * 60_000 + b"1]", "more than 50000 pieces"),
    ],
    ids=["flow lists", "flow maps", "block lists", "huge", "many"],
)
def test_a_hostile_file_is_refused_quickly(data: bytes, says: str) -> None:
    """Depth and size are counted while reading, before anything is built."""
    start = time.process_time()

    assert says in problem(data)
    assert time.process_time() - start < 10.0


def test_exploding_aliases_are_counted_before_they_explode() -> None:
    """Nine levels of nine aliases would be half a thousand million nodes."""
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    for level in range(1, 10):
        lines.append(f"a{level}: &a{level} [{', '.join([f'*a{level - 1}'] * 9)}]")
    start = time.process_time()

    assert "aliases counted each time" in problem("\n".join(lines))
    assert time.process_time() - start < 3.0


def test_aliases_cannot_nest_past_the_depth_limit() -> None:
    """Each level looks shallow; together they would be deep."""
    lines = ["a0: &a0 [x]"] + [f"a{n}: &a{n} [*a{n - 1}]" for n in range(1, 40)]

    assert "deep by aliases" in problem("\n".join(lines))


@settings(max_examples=150)
@given(st.one_of(st.binary(max_size=200), st.text("ab:-[]{}&*!|>'\"#?,\n\t %@`", max_size=80)))
def test_no_bytes_whatever_break_the_reader(data: bytes | str) -> None:
    """Any bytes give a tree or problems with a line, never another exception."""
    problems: tuple[Problem, ...] = ()
    try:
        read_yaml(data if isinstance(data, bytes) else data.encode(), "x.yaml")
    except UnreadableError as error:
        problems = error.problems or (Problem(NOWHERE, "raised without a problem"),)

    assert all(p.origin.line > 0 and "\n" not in str(p) for p in problems)
