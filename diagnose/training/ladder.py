"""What is practised in which order: the commonest trouble first, on the simplest aeroplane first.

An instructor begins with what is met most often, on a system that can be kept in the head, and
takes a larger one when the last was done well.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from diagnose.model import Layout, Library
from diagnose.places import Places


def families_by_commonness(library: Library) -> tuple[str, ...]:
    """Return the families of fuel failures, the commonest first by the words of the knowledge."""
    common: dict[str, float] = {}
    for cause in library.causes.values():
        if not cause.outside:
            common[cause.family] = common.get(cause.family, 0.0) + cause.how_common
    return tuple(sorted(common, key=lambda f: (-common[f], f)))


def layouts_by_family(library: Library, layouts: Iterable[Layout]) -> Mapping[str, tuple[str, ...]]:
    """Return for each family the layouts that can have it, fewest engines and parts first."""
    out: dict[str, list[str]] = {}
    for layout in sorted(layouts, key=_size):
        causes = Places(layout, library.words.unstated).cause_instances(library)
        for family in sorted({library.causes[c.cause].family for c in causes}):
            out.setdefault(family, []).append(layout.id)
    return {family: tuple(ids) for family, ids in out.items()}


def layout_for(layouts: Sequence[str], rung: int) -> str:
    """Return the layout to practise on after ``rung`` exercises done well in a row, '' of none."""
    return layouts[min(rung, len(layouts) - 1)] if layouts else ""


def _size(layout: Layout) -> tuple[int, int, str]:
    engines = sum(p.kind == "engine" for p in layout.parts.values())
    return engines, len(layout.parts), layout.id
