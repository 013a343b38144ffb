"""What the knowledge of a layout stands on: published sources, and persons who reviewed it."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.job.diagnosis import Bench

PUBLISHED = frozenset({"regulation", "circular", "handbook", "report", "paper", "standard"})
"""Kinds of source that can be looked up; practice, memory and the model are not."""


def families(bench: Bench) -> Mapping[str, Mapping[str, float]]:
    """Return for each family on the layout: causes, and the shares published and reviewed."""
    library = bench.library
    mine = {c.cause for c in bench.net.instances}
    out: dict[str, dict[str, float]] = {}
    for name in sorted(mine):
        cause = library.causes[name]
        row = out.setdefault(cause.family, {"causes": 0, "published": 0, "reviewed": 0})
        row["causes"] += 1
        row["published"] += any(library.sources[s.id].kind in PUBLISHED for s in cause.sources)
        row["reviewed"] += cause.status.startswith("reviewed")
    for row in out.values():
        row["published"] /= row["causes"]
        row["reviewed"] /= row["causes"]
    return dict(sorted(out.items()))
