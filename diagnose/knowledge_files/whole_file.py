"""One file by itself: its bytes, its tree, and where a value stands in it.

The model keeps the origin of items and rows only; where a single text stands is asked for by the
few messages that need it, of the file read again.
"""

from __future__ import annotations

import contextlib
from pathlib import Path

from diagnose.errors import KnowledgeError, Origin, Problem
from diagnose.knowledge_files.fields import Fields
from diagnose.knowledge_files.gather import Gather
from diagnose.knowledge_files.reader import (
    MAX_BYTES,
    Mapping,
    Node,
    Scalar,
    Sequence,
    UnreadableError,
    read_yaml,
)


def read_file(path: Path, place: str, gather: Gather) -> bytes | None:
    """Return a file's bytes, or note why they cannot be had."""
    try:
        with path.open("rb") as file:
            return file.read(MAX_BYTES + 1)  # one more tells that it is too large
    except OSError as error:
        gather.extend([Problem(Origin(place, 1, 1), f"cannot be read: {error.strerror or error}")])
    return None


def tree(data: bytes, file: str, gather: Gather) -> Node | None:
    """Return the tree of a file, named ``file`` in messages, or note why it cannot be read."""
    try:
        return read_yaml(data, file)
    except UnreadableError as error:
        gather.extend(error.problems)
    return None


def list_beside(root: Path, file: str, what: str) -> Fields | None:
    """Return what a file of a knowledge folder holds beside its items; None if there is none.

    ``what`` it is, for messages.

    Raises:
        KnowledgeError: If it cannot be read as YAML.
    """
    path, gather = root / file, Gather()
    if not path.is_file():
        return None
    place = f"{root.resolve().name}/{file}"
    data = read_file(path, place, gather)
    node = None if data is None else tree(data, place, gather)
    if node is None:
        raise KnowledgeError(gather.problems)
    return Fields(node, gather, what)


class Locator:
    """Looks up values in the files of one knowledge folder, each read once."""

    def __init__(self, root: str) -> None:
        """Look in the knowledge folder ``root``, whose name starts every origin."""
        self._root = Path(root)
        self._nodes: dict[str, Node | None] = {}

    def where(self, origin: Origin, *keys: str | int) -> Origin:
        """Return where the value under ``keys`` stands in the file of ``origin``.

        ``keys`` lead down from the top: names of mappings, places in lists.  What cannot be found
        (a library changed in memory, a file gone) stands where the nearest part of it stands, or
        at ``origin``.
        """
        node = self._node(origin.file)
        found = origin
        for key in keys:
            node = _child(node, key)
            if node is None:
                break  # one bare text stands for a list of one, or the file is not as it was
            found = node.origin
        return found

    def is_spelt_out(self, origin: Origin, *keys: str | int) -> bool:
        """Return whether the text under ``keys`` stands there itself and names no shared step."""
        node = self._node(origin.file)
        for key in keys:
            node = _child(node, key)
        return node is None or isinstance(node, Scalar)

    def _node(self, file: str) -> Node | None:
        if file not in self._nodes:
            name, _, relative = file.partition("/")
            path = self._root / relative
            self._nodes[file] = None
            if relative and name == self._root.resolve().name and path.is_file():
                # what cannot be read again stands at the item itself
                with contextlib.suppress(UnreadableError, OSError):
                    self._nodes[file] = read_yaml(path.read_bytes(), file)
        return self._nodes[file]


def _child(node: Node | None, key: str | int) -> Node | None:
    if isinstance(node, Mapping):
        return node.entries.get(str(key), (None, None))[1]
    if isinstance(node, Sequence) and isinstance(key, int) and key < len(node.items):
        return node.items[key]
    return None
