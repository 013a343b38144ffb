"""One figure beside others: of like places in a job, and of the jobs before; no conclusion.

What the approved data do not class, the tool does not class either; it lays the figures side by
side and says how far each stands from the others.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Final

from diagnose.aeroplane.history import KINDS, Point, corrected
from diagnose.errors import CaseError
from diagnose.job.diagnosis import Bench
from diagnose.job.keeping.events import fold
from diagnose.job.keeping.log import JobLog
from diagnose.job.keeping.registry import Registry
from diagnose.job.measured.exchange import serial_of
from diagnose.job.wording import state_words
from diagnose.model import Finding
from diagnose.planner import Reading
from diagnose.units import UnitError, show, unit_of


def beside_others(
    bench: Bench, findings: Sequence[Finding], reading: Reading
) -> tuple[tuple[str, str], ...]:
    """Return (place, figure in words) for each place with a figure in the state of ``reading``.

    Only figures of the epoch of the last one are laid side by side, in the order of the layout;
    each but a lone one with its distance from the mean of the others, in the unit it was typed in.
    """
    state = reading.state.known()
    same = [
        f
        for f in findings
        if f.question == reading.question and f.number is not None and f.state.known() == state
    ]
    now = max((f.epoch for f in same), default=0)
    last = {f.at: f for f in same if f.epoch == now}
    out = []
    for place in bench.layout.parts:
        f = last.get(place)
        if f is None or f.number is None:
            continue
        others = [g.number for g in last.values() if g is not f and g.number is not None]
        words = f.typed or f"{f.number:g}"
        if others and f.typed:
            off = f.number - sum(others) / len(others)
            side = "above" if off >= 0 else "below"
            words += f", {show(abs(off), unit_of(f.typed))} {side} the mean of the others"
        gauges = read_on(bench, reading.question, place)
        out.append((bench.places.label(place), words + (f" ({gauges})" if gauges else "")))
    return tuple(out)


def read_on(bench: Bench, question: str, place: str) -> str:
    """Return the instruments a question is read on at ``place``, with serials the file gives."""
    kinds = bench.library.questions[question].instruments
    parts = [p for k in kinds for p in bench.places.instrument_for(k, place)]
    known = [(p, serial_of(bench.layout, p)) for p in parts]
    return "; ".join(f"{bench.layout.parts[p].name} serial {s}" for p, s in known if s)


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
