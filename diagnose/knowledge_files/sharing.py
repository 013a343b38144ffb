"""Steps that several items share: written once in ``steps.yaml``, named where they are used.

    verify: {shared: run-as-reported}
    verify: [{shared: stand-full}, Look again after the next flight.]

A named step is put in its place before the items are read, so that nothing else knows of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from diagnose.knowledge_files import reader
from diagnose.knowledge_files.fields import Fields, is_id
from diagnose.knowledge_files.gather import Gather, Text
from diagnose.knowledge_files.reader import Node, Scalar, Sequence

FILE: Final = "steps.yaml"

SHARED: Final = "shared"

MAY_SHARE: Final = MappingProxyType(
    {"causes": ("rectify", "verify"), "checks": ("aim", "close-out")}
)
"""Folder -> the texts in which a step may be named."""


def steps(node: Node, gather: Gather) -> dict[str, str]:
    """Read steps.yaml: id -> text."""
    fields = Fields(node, gather, FILE)
    out: dict[str, str] = {}
    for one in fields.tables("steps", "a step", required=True):
        name = one.id("step")
        text = one.text("text", required=True)
        one.finish()
        if name in out:
            gather.add(name.origin, f"step '{name}' stands twice; keep one")
        out[str(name)] = str(text)
    fields.finish()
    return out


def with_steps(folder: str, node: Node, known: Mapping[str, str], gather: Gather) -> Node:
    """Return the item ``node`` with every step it names put in its place."""
    wanted = MAY_SHARE.get(folder, ())
    if not isinstance(node, reader.Mapping) or not any(k in node.entries for k in wanted):
        return node
    entries = dict(node.entries)
    for key in wanted:
        if key in entries and not isinstance(entries[key][1], Scalar):
            at, value = entries[key]
            entries[key] = (at, _joined(value, known, gather))
    return reader.Mapping(entries, node.origin, node.size, node.depth)


def _joined(node: Node, known: Mapping[str, str], gather: Gather) -> Node:
    """Return the pieces of a text as one text; what is no piece of text is left as it is."""
    pieces = node.items if isinstance(node, Sequence) else (node,)
    texts: list[str] = []
    for piece in pieces:
        if isinstance(piece, Scalar):
            texts.append(piece.text.strip())
        elif isinstance(piece, reader.Mapping) and list(piece.entries) == [SHARED]:
            texts.append(_step(piece.entries[SHARED][1], known, gather))
        else:
            return node
    return Scalar(" ".join(texts), node.origin)


def _step(node: Node, known: Mapping[str, str], gather: Gather) -> str:
    name = Text(node.text.strip() if isinstance(node, Scalar) else "", node.origin)
    if name not in known:
        remedy = f"Correct the name or add it to {FILE}."
        if is_id(name):
            gather.unknown(name, "shared step", known, remedy)
        else:
            gather.add(name.origin, f"'{SHARED}' names one step by its id. {remedy}")
    return known.get(name, str(name) or "?")
