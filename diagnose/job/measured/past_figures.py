"""The figures that jobs of one aeroplane have kept, for the history of its readings."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from diagnose.aeroplane.history import KINDS, Point, corrected
from diagnose.errors import CaseError
from diagnose.job.diagnosis import Bench
from diagnose.job.keeping.events import fold
from diagnose.job.keeping.log import JobLog
from diagnose.job.keeping.registry import Registry
from diagnose.job.wording import state_words
from diagnose.model import Finding
from diagnose.units import UnitError, unit_of

FOLLOWED: Final[Mapping[str, str]] = MappingProxyType(
    {
        "fuel-pressure": "fuel-pressure",
        "booster-amps": "booster-amps",
        "vapour-return-flow": "return-rate",
    }
)
"""Question -> kind of reading whose figures are followed over jobs."""


def figures_of(registry: Registry, bench: Bench) -> tuple[tuple[Point, ...], tuple[str, ...]]:
    """Return the followed figures of every job of the aeroplane of ``bench``, and what was unread.

    Figures are corrected by the error cards the aeroplane has now.
    """
    layout = bench.layout
    own = layout.aeroplane
    points: list[Point] = []
    unread: list[str] = []
    for entry in registry.entries():
        if own is None or entry.aeroplane != own.registration or entry.layout != layout.id:
            continue
        try:
            events = JobLog(registry.path(entry.id)).events
        except CaseError:
            unread.append(entry.id)
            continue
        days = {e["n"]: str(e["at"])[:10] for e in events}
        for number, f in fold(events).findings.items():
            point = _point(f, days[number], entry.id, bench)
            if point is not None:
                points.append(point)
    return corrected(points, layout), tuple(unread)


def _point(f: Finding, day: str, job: str, bench: Bench) -> Point | None:
    layout = bench.layout
    what = FOLLOWED.get(f.question)
    if what is None or f.number is None or f.at not in layout.parts:
        return None
    if layout.parts[f.at].kind not in KINDS[what].at:
        return None
    try:
        unit = unit_of(f.typed)
    except UnitError:
        return None  # typed beside something else, as a test keeps it
    same = (
        s.id
        for s in layout.run_states
        if s.stage == f.state.stage and dict(s.settings) == dict(f.state.settings)
    )
    state = next(same, state_words(bench, f.state))
    return Point(day, what, f.at, state, f.number, unit, note=f"job {job}") if unit else None
