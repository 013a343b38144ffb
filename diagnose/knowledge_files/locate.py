"""Finds the line on which one value of an item stands, by reading its file again.

The model keeps the origin of items and rows only; where a single text stands is asked for by the
few messages that need it.
"""

from __future__ import annotations

import contextlib
from pathlib import Path

from diagnose.errors import Origin
from diagnose.knowledge_files.reader import (
    Mapping,
    Node,
    Scalar,
    Sequence,
    UnreadableError,
    read_yaml,
)


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
