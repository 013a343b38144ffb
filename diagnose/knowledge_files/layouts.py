"""A layout file to a frozen ``Layout``, or every problem in it at once."""

from __future__ import annotations

import dataclasses
import hashlib
from collections.abc import Iterable, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import TypeVar

from diagnose.by_key import by_key
from diagnose.errors import KnowledgeError
from diagnose.knowledge_files import layout_checks
from diagnose.knowledge_files.fields import Fields
from diagnose.knowledge_files.gather import Gather, shorten
from diagnose.knowledge_files.layout_schema import (
    PartFields,
    layout_traits,
    limits,
    line,
    run_state,
)
from diagnose.knowledge_files.reader import Node
from diagnose.knowledge_files.schema.common import head
from diagnose.knowledge_files.whole_file import read_file, tree
from diagnose.model import AEROPLANE, Layout, Line, Part, RunState

Item = TypeVar("Item", Part, Line, RunState)


def list_layouts(root: Path) -> Mapping[str, Path]:
    """Return layout id -> file for every layout of the knowledge folder ``root``, in order."""
    return {path.stem: path for path in sorted((root / "layouts").glob("[!.]*.yaml"))}


def load_layout(path: Path) -> Layout:
    """Load one layout file, its stem the layout's id, and check it through.

    The place ``aeroplane`` is added, figures are in SI.

    Raises:
        KnowledgeError: With every problem found, each with file, line and column.
    """
    place = _place(path)
    gather = Gather()
    return _loaded(read_file(path, place, gather), path.stem, place, gather)


def read_layout(text: str, file: str) -> Layout:
    """Return the layout that ``text`` is, as ``load_layout`` does; ``file`` is its name.

    Raises:
        KnowledgeError: With every problem found.
    """
    return _loaded(text.encode(), Path(file).stem, file, Gather())


def _loaded(data: bytes | None, stem: str, place: str, gather: Gather) -> Layout:
    node = None if data is None else tree(data, place, gather)
    layout = None if node is None or data is None else _layout(node, gather, stem, data)
    if gather.problems or layout is None:
        raise KnowledgeError(gather.problems)
    return layout


def _place(path: Path) -> str:
    """Name the file for messages: with its folders when it lies in a knowledge folder."""
    parts = path.resolve().parts
    return "/".join(parts[-3:] if len(parts) > 3 and parts[-2] == "layouts" else parts[-1:])


def _layout(node: Node, gather: Gather, stem: str, data: bytes) -> Layout:
    fields = Fields(node, gather, "layout")
    head(fields, "layout", stem)
    read = [PartFields(one) for one in fields.tables("parts", "a part", required=True)]
    aeroplane = Part(AEROPLANE, AEROPLANE, AEROPLANE, origin=node.origin)
    # findings such as a smell in the cabin belong to no part, so the whole is a place too
    parts = {AEROPLANE: aeroplane, **_by_id([one.part for one in read], "part", gather)}
    lines = tuple(line(one) for one in fields.tables("lines", "a line", required=True))
    _by_id(lines, "line", gather)
    layout_checks.owners(read, parts, gather)
    layout_checks.vents(parts, gather)
    layout_checks.labels(parts, gather)
    layout_checks.ports(lines, parts, gather)
    layout_checks.reach(lines, parts, gather)
    fills = layout_checks.destinations(read, lines, parts, gather)
    states = tuple(run_state(one, parts) for one in fields.tables("run-states", "a run state"))
    _by_id(states, "run state", gather)
    return fields.build(
        Layout,
        id=stem,
        title=fields.text("title", required=True),
        invented=fields.flag("invented", required=True),
        notes=fields.text("notes"),
        traits=layout_traits(fields),
        parts={name: _filling(part, fills.get(name)) for name, part in _by_number(parts).items()},
        lines=lines,
        limits=limits(fields.table("limits"), gather),
        run_states=states,
        edition=hashlib.sha256(data).hexdigest()[:16],
    )


def _by_number(parts: Mapping[str, Part]) -> dict[str, Part]:
    """Return the parts in file order, but like ones by the number of what they belong to.

    Wherever they are listed, '2' is then no. 2: an engine written last may stand in the middle.
    """

    def number(name: str) -> int | None:
        seen: set[str] = set()
        while name in parts and name not in seen:
            if parts[name].number is not None:
                return parts[name].number
            seen.add(name)
            name = parts[name].of
        return None

    alike = by_key((part.kind, (number(name), name)) for name, part in parts.items())
    for named in alike.values():
        if all(n is not None for n, _ in named):
            named.sort(key=lambda n: n[0] or 0)
    turn = {kind: iter(named) for kind, named in alike.items()}
    order = (next(turn[part.kind])[1] for part in parts.values())
    return {name: parts[name] for name in order}


def _filling(part: Part, fills: str | None) -> Part:
    """Return a part with the tank that a transfer fills as ``to``."""
    if fills is None:
        return part
    return dataclasses.replace(part, traits=MappingProxyType({**part.traits, "to": fills}))


def _by_id(items: Iterable[Item], what: str, gather: Gather) -> dict[str, Item]:
    """Return id -> item, noting ids used twice."""
    out: dict[str, Item] = {}
    for item in items:
        first = out.setdefault(item.id, item)
        if first is not item and item.id:
            text = f"{what} '{shorten(item.id)}' stands twice, first on line {first.origin.line}"
            gather.add(item.origin, text)
    return out
