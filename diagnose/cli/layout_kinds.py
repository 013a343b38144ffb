"""What a layout file may hold, kind by kind: what each part hangs on, its ports and its figures."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from diagnose.cli.printing import wrap
from diagnose.knowledge_files.figures import FIGURES, REQUIRED, example_of
from diagnose.knowledge_files.vocabulary import (
    FLOW_KINDS,
    NAMED_PORTS,
    OWNERS,
    PART_KINDS,
    SAID_FOR,
)
from diagnose.model import AEROPLANE, COCKS, Layout


def kinds(layouts: Iterable[Layout]) -> list[dict[str, Any]]:
    """Return every kind of part: owner, figures, ports, traits and where a shipped layout has it.

    ``layouts``: the shipped ones; traits and examples are read off them.
    """
    held = list(layouts)
    return [_kind(kind, held) for kind in PART_KINDS if kind != AEROPLANE]


def _kind(kind: str, layouts: Iterable[Layout]) -> dict[str, Any]:
    having = {x.id: [p for p in x.parts.values() if p.kind == kind] for x in layouts}
    traits: dict[str, set[str]] = {}
    for part in (p for parts in having.values() for p in parts):
        for key, value in part.traits.items():
            traits.setdefault(key, set()).add("TANK" if key in ("to", "with") else value)
    return {
        "kind": kind,
        "also_called": [name for name, meant in SAID_FOR.items() if meant == kind],
        "carries_fuel": kind in FLOW_KINDS,
        "of": list(OWNERS.get(kind, ())),
        "ports": ["by its positions"] if kind in COCKS else list(NAMED_PORTS.get(kind, ())),
        "figures": {
            key: {
                "required": key in REQUIRED.get(kind, ()),
                "example": example_of(key, dimension),
            }
            for key, dimension in FIGURES.get(kind, {}).items()
        },
        "traits": {key: sorted(values) for key, values in sorted(traits.items())},
        "in_layouts": [name for name, parts in having.items() if parts],
    }


def kinds_text(rows: Iterable[dict[str, Any]]) -> str:
    """Return the kinds as a list, what is required first."""
    out: list[str] = []
    for row in rows:
        out.append(f"{row['kind']}" + ("" if row["carries_fuel"] else " (carries no fuel)"))
        for said in _said(row):
            out += wrap(f"  {said}", 6)
    return "\n".join(out)


def _said(row: dict[str, Any]) -> Iterator[str]:
    if row["also_called"]:
        yield f"also called: {', '.join(row['also_called'])}"
    if row["of"]:
        yield f"of: {' or '.join(row['of'])}"
    if row["ports"]:
        yield f"ports: {', '.join(row['ports'])}"
    for needed, word in ((True, "required"), (False, "may have")):
        figures = [
            f"{key} ({one['example']})"
            for key, one in row["figures"].items()
            if one["required"] == needed
        ]
        if figures:
            yield f"{word}: {', '.join(figures)}"
    if row["traits"]:
        told = [f"{key}: {' | '.join(values)}" for key, values in row["traits"].items()]
        yield f"traits: {'; '.join(told)}"
    yield f"in: {', '.join(row['in_layouts']) or 'no shipped layout'}"
