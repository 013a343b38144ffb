"""YAML text to a small tree in which every scalar is text and every node knows its line and column.

Scalars stay text because YAML 1.1 turns ``on``, ``off`` and ``no`` into booleans, and those are
our daily words.  The tree is built from parser events with a stack of our own instead of PyYAML's
composed nodes: so nesting cannot exhaust the interpreter's stack, an alias shares its node instead
of multiplying it, and both are counted before anything is built.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import yaml

from diagnose.errors import Origin, Problem
from diagnose.knowledge_files.gather import one_line

MAX_BYTES: Final = 500_000
"""Largest file read; our longest layout is under a tenth of it."""
MAX_DEPTH: Final = 24
"""Deepest nesting; the deepest file of the knowledge needs nine levels."""
MAX_NODES: Final = 50_000
"""Most nodes of one file, aliases counted each time they are used."""


@dataclass(frozen=True, slots=True)
class Scalar:
    """A single piece of text."""

    text: str
    origin: Origin
    size: int = 1
    depth: int = 0


@dataclass(frozen=True, slots=True)
class Sequence:
    """A list of nodes; ``size`` counts nodes and ``depth`` levels, itself included."""

    items: tuple[Node, ...]
    origin: Origin
    size: int
    depth: int


@dataclass(frozen=True, slots=True)
class Mapping:
    """Keys (with their own origins) and nodes, in file order."""

    entries: dict[str, tuple[Origin, Node]]
    origin: Origin
    size: int
    depth: int


Node = Scalar | Sequence | Mapping
_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)  # libyaml where it was built in


class UnreadableError(Exception):
    """Carries the problems that keep a file from being read at all."""

    def __init__(self, *problems: Problem) -> None:
        """Keep the problems."""
        self.problems = problems
        super().__init__("; ".join(map(str, problems)))


class _Open:
    """A list or mapping still being read."""

    __slots__ = ("anchor", "depth", "entries", "is_map", "items", "key", "origin", "size")

    def __init__(self, origin: Origin, anchor: str | None, *, is_map: bool) -> None:
        self.origin, self.anchor, self.is_map = origin, anchor, is_map
        self.items: list[Node] = []
        self.entries: dict[str, tuple[Origin, Node]] = {}
        self.key: tuple[str, Origin] | None = None
        self.size = 1
        self.depth = 0


def read_yaml(data: bytes, file: str) -> Node:
    """Return the tree of one YAML document; ``file`` is its name in messages.

    Raises:
        UnreadableError: With every problem found before reading had to stop.
    """
    if len(data) > MAX_BYTES:
        text = f"the file is larger than {MAX_BYTES} bytes and is not read; split it"
        raise UnreadableError(Problem(Origin(file, 1, 1), text))
    text = _decode(data, file)
    builder = _Builder(file)
    try:
        for event in yaml.parse(text, Loader=_LOADER):
            builder.take(event)
    except yaml.YAMLError as error:
        raise UnreadableError(*builder.problems, _not_yaml(error, text, file)) from None
    return builder.result()


def _decode(data: bytes, file: str) -> str:
    """Return the text, refusing what is not UTF-8 and control characters, at their place."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        bad = f"byte 0x{data[error.start]:02x} is not UTF-8 text; save the file as UTF-8"
        before = data[: error.start].decode("utf-8-sig", "replace")
        raise UnreadableError(Problem(_end_of(before, file), bad)) from None
    control = yaml.reader.Reader.NON_PRINTABLE.search(text)
    if control is not None:
        bad = f"control character U+{ord(control[0]):04X}, which YAML does not allow; delete it"
        raise UnreadableError(Problem(_end_of(text[: control.start()], file), bad))
    return text


def _end_of(before: str, file: str) -> Origin:
    """Return the place just after the text ``before``."""
    return Origin(file, before.count("\n") + 1, len(before) - before.rfind("\n"))


def _not_yaml(error: yaml.YAMLError, text: str, file: str) -> Problem:
    """Say in one line where the YAML breaks off, and what to look for."""
    if not isinstance(error, yaml.MarkedYAMLError):
        return Problem(Origin(file, 1, 1), f"not readable as YAML: {' '.join(str(error).split())}")
    mark = error.problem_mark or error.context_mark
    origin = Origin(file, mark.line + 1, mark.column + 1) if mark else Origin(file, 1, 1)
    what = " ".join(str(error.problem or error.context or "unreadable").split())
    lines = text.splitlines()
    line = lines[origin.line - 1] if origin.line <= len(lines) else ""
    if "\t" in line[: len(line) - len(line.lstrip())] or line[origin.col - 1 :].startswith("\t"):
        return Problem(origin, "a tab stands here; indent with spaces")
    if "nesting depth" in what:  # the parser's own limit, met before ours
        return Problem(origin, f"nested more than {MAX_DEPTH} deep; flatten it")
    where = ""
    if error.context_mark is not None and error.context_mark.line + 1 != origin.line:
        where = f" (in the part that begins on line {error.context_mark.line + 1})"
    return Problem(
        origin,
        f"not readable as YAML: {what}{where}; look for a missing quote, "
        "bracket, colon or the end of the file",
    )


class _Builder:
    """Builds the tree event by event and gathers what is wrong on the way."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.problems: list[Problem] = []
        self.stack: list[_Open] = []
        self.anchors: dict[str, Node] = {}
        self.root: Node | None = None
        self.documents = 0
        self.nodes = 0

    def take(self, event: yaml.Event) -> None:
        """Take one parser event."""
        if isinstance(event, yaml.ScalarEvent):
            self._place(Scalar(event.value, self._start(event)), event.anchor)
        elif isinstance(event, yaml.CollectionStartEvent):
            is_map = isinstance(event, yaml.MappingStartEvent)
            self.stack.append(_Open(self._start(event), event.anchor, is_map=is_map))
            if len(self.stack) > MAX_DEPTH:
                self._stop(self.stack[-1].origin, f"nested more than {MAX_DEPTH} deep; flatten it")
        elif isinstance(event, yaml.CollectionEndEvent):
            done = self.stack.pop()
            node: Node = (
                Mapping(done.entries, done.origin, done.size, done.depth + 1)
                if done.is_map
                else Sequence(tuple(done.items), done.origin, done.size, done.depth + 1)
            )
            self._place(node, done.anchor)
        elif isinstance(event, yaml.AliasEvent):
            self._place(self._alias(event), None)
        elif isinstance(event, yaml.DocumentStartEvent):
            self.documents += 1
            if self.documents > 1:
                self._stop(self._at(event), "a second document ('---'); one item, one file")

    def result(self) -> Node:
        """Return the finished tree."""
        if self.root is None:
            self.problems.append(Problem(Origin(self.file, 1, 1), "the file is empty"))
        if self.problems or self.root is None:
            raise UnreadableError(*self.problems)
        return self.root

    def _at(self, event: yaml.Event) -> Origin:
        mark: Any = event.start_mark  # typed as optional, but both parsers always set it
        return Origin(self.file, mark.line + 1, mark.column + 1)

    def _start(self, event: yaml.NodeEvent) -> Origin:
        """Return where a node starts, refusing an explicit tag (it would run a constructor)."""
        origin = self._at(event)
        self.nodes += 1
        tag = getattr(event, "tag", None)
        if tag not in (None, "!"):
            self._add(origin, f"the tag '{tag[:40]}' is not used here; write the text alone")
        return origin

    def _alias(self, event: yaml.AliasEvent) -> Node:
        origin = self._at(event)
        if any(part.anchor == event.anchor for part in self.stack):
            self._stop(origin, f"the alias '*{event.anchor}' stands inside itself")
        node = self.anchors.get(str(event.anchor))
        if node is None:
            self._stop(origin, f"the alias '*{event.anchor}' has no anchor before it")
        assert node is not None  # _stop always raises; this tells the type checker
        self.nodes += node.size
        if len(self.stack) + node.depth > MAX_DEPTH:
            self._stop(origin, f"nested more than {MAX_DEPTH} deep by aliases; write it out")
        return node

    def _place(self, node: Node, anchor: str | None) -> None:
        """Put a finished node where it belongs: a key, a value, an item, or the root."""
        if self.nodes > MAX_NODES:
            text = f"more than {MAX_NODES} pieces (aliases counted each time); split the file"
            self._stop(node.origin, text)
        if anchor is not None:
            self.anchors[anchor] = node
        if not self.stack:
            self.root = node
            return
        parent = self.stack[-1]
        parent.size += node.size
        parent.depth = max(parent.depth, node.depth)
        if not parent.is_map:
            parent.items.append(node)
        elif parent.key is None:
            if not isinstance(node, Scalar):
                self._stop(node.origin, "a list or mapping cannot be a key; quote it or close it")
            parent.key = (getattr(node, "text", ""), node.origin)
        else:
            (key, origin), parent.key = parent.key, None
            if key in parent.entries:
                first = parent.entries[key][0].line
                text = f"'{key[:60]}' stands twice here (first on line {first}); keep one"
                self._add(origin, text)
            else:
                parent.entries[key] = (origin, node)

    def _add(self, origin: Origin, text: str) -> None:
        if len(self.problems) < 50:  # a broken file need not list thousands
            self.problems.append(Problem(origin, one_line(text)))

    def _stop(self, origin: Origin, text: str) -> None:
        raise UnreadableError(*self.problems, Problem(origin, one_line(text)))
