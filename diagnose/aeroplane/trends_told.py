"""The history of an aeroplane's readings told: each series in a line, as plots and as data."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from diagnose.aeroplane.drift import FEWEST
from diagnose.aeroplane.history import KINDS
from diagnose.aeroplane.trends import Trend, stretch
from diagnose.knowledge_files.cutting import NO_FIGURE
from diagnose.model import Layout
from diagnose.paper import svg
from diagnose.places import Places
from diagnose.units import SI_UNIT, show, to

METHOD = (
    "Straight line by least squares; drift: slope by Student's t, step: the newest reading outside "
    "the interval of those before it; 1 % false alarms over all series together (NIST/SEMATECH "
    "e-Handbook of Statistical Methods 4.5.1, section from memory). It calls for a look, no more."
)


def said(s: Trend, layout: Layout) -> str:
    """Return what a series says, in one line."""
    j = s.judged
    start, end = stretch(s.series)
    span = f", since the part fitted on {start}" if start else ""
    span += f", up to the part fitted on {end}" if end else ""
    if j.word == "too few" or j.line is None:
        count = len(s.series.within(start, end))
        return f"too few readings to tell: {count}, {FEWEST} are needed{span}"
    condition = KINDS[s.series.what].condition
    along = f", corrected for {condition}" if j.corrected else ""
    along += span
    pace = f"{show(j.line.slope * 30.0, s.unit)} in 30 days{along}"
    if j.word == "steady":
        return f"steady ({pace}, within what such scatter gives)"
    if j.word == "step":
        return f"STEP: the newest reading lies outside the interval of those before it{span}"
    limit = layout.limits.get(KINDS[s.series.what].limit)
    if j.reaches is None or j.earliest is None or j.limit is None or limit is None:
        end = f"; limit: {NO_FIGURE}" if KINDS[s.series.what].limit and limit is None else ""
        return f"DRIFT: {pace}{end}"
    edge = "low" if j.line.slope < 0 else "high"
    shown = show(j.limit, s.unit)
    when = f"about {_day(j.reaches)}, single readings perhaps from {_day(j.earliest)} on"
    return f"DRIFT: {pace}; reaches the {edge} limit {shown} ({limit.reference}) {when}"


def _day(ordinal: float) -> str:
    # a pace that meets its limit beyond the calendar meets it in nobody's time
    return date.fromordinal(min(int(ordinal), date.max.toordinal() - 1)).isoformat()


def title(s: Trend, layout: Layout) -> str:
    """Return what a series is of: the kind of reading, its place and its run state."""
    states = {x.id: x.title for x in layout.run_states}
    state = f" [{states.get(s.series.state, s.series.state)}]" if s.series.state else ""
    return f"{KINDS[s.series.what].title}, {Places(layout).label(s.series.at)}{state}"


def drawing(shown: Sequence[Trend], layout: Layout) -> str:
    """Return one plot a kind, a line a place; the limits as levels, the newest day at the right."""
    own = layout.its_aeroplane
    first = min(date.fromisoformat(p.on).toordinal() for s in shown for p in s.series.points)
    start = date.fromordinal(first).isoformat()
    plots: list[list[str]] = []
    for what in dict.fromkeys(s.series.what for s in shown):
        mine = [s for s in shown if s.series.what == what]
        unit = mine[0].unit
        rows = []
        for s in mine:
            days = [date.fromisoformat(p.on).toordinal() - first for p in s.series.points]
            flag = {"drift": " DRIFT", "step": " STEP"}.get(s.judged.word, "")
            name = f"{_short(s, layout)}{flag}"
            rows.append(svg.Series(name, days, [to(p.value, unit) for p in s.series.points]))
        limit = layout.limits.get(KINDS[what].limit)
        edges = (("low", limit.low), ("high", limit.high)) if limit else ()
        levels = [svg.Level(f"limit {w}", to(v, unit)) for w, v in edges if v is not None]
        axes = (f"days since {start}", unit)
        top = 10.0 + svg.HEIGHT * len(plots)
        plots.append(svg.plot(KINDS[what].title, axes, rows, levels, top, zero=False))
    notes = ["A copy of readings; the approved data rule."]
    if own.invented:
        notes.append("INVENTED for demonstration.")
    told = "; ".join(f"{title(s, layout)}: {said(s, layout)}" for s in shown)
    return svg.page(f"Trend of {own.registration}", notes, told, plots)


def _short(s: Trend, layout: Layout) -> str:
    part = layout.parts[s.series.at]
    owner = layout.parts[part.of] if part.of in layout.parts and part.number is None else part
    where = " ".join(w for w in (owner.side, owner.position) if w)
    number = f"no. {owner.number} " if owner.number is not None else ""
    kind = "" if owner.kind == "engine" else "tank "
    return f"{number}{kind}{where}".strip() if number or where else part.name


def as_object(shown: Sequence[Trend], layout: Layout, unread: Sequence[str]) -> dict[str, Any]:
    """Return the history as plain data, SI with the unit in each key."""
    own = layout.its_aeroplane
    rows = []
    for s in shown:
        unit = SI_UNIT[KINDS[s.series.what].dimension].replace("/", "_per_")
        j = s.judged
        rows.append(
            {
                "what": s.series.what,
                "at": s.series.at,
                "place_label": Places(layout).label(s.series.at),
                "state": s.series.state,
                "parts_fitted_on": list(s.series.breaks),
                "judged_from": stretch(s.series)[0],
                "judged_before": stretch(s.series)[1],
                "points": [{"on": p.on, f"value_{unit}": p.value} for p in s.series.points],
                "verdict": j.word,
                "p": j.p,
                f"slope_{unit}_per_day": j.line.slope if j.line else None,
                "corrected_for": KINDS[s.series.what].condition if j.corrected else "",
                "reaches_limit_on": _day(j.reaches) if j.reaches is not None else None,
                "single_readings_from": _day(j.earliest) if j.earliest is not None else None,
            }
        )
    return {
        "registration": own.registration,
        "layout": layout.id,
        "invented": own.invented,
        "method": METHOD,
        "series": rows,
        "jobs_not_read": list(unread),
    }
