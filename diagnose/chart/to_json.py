"""Charts as plain data for machines: ids beside labels, units in keys."""

from __future__ import annotations

from typing import Any

from diagnose.chart.start import Start
from diagnose.chart.table import Entry, FaultTable, Likely
from diagnose.chart.tree import Chart, ChartStep
from diagnose.job.diagnosis import Bench
from diagnose.job.ranking import cause_row
from diagnose.model import Layout, Library
from diagnose.paper.words import UNREVIEWED
from diagnose.planner import Reading


def head(library: Library, layout: Layout) -> dict[str, Any]:
    """Return what every chart says of itself."""
    return {
        "review": UNREVIEWED,
        "certifies": "nothing",
        "layout": {"id": layout.id, "title": layout.title, "invented": layout.invented},
        "knowledge_edition": library.edition,
    }


def start_object(start: Start) -> dict[str, Any]:
    """Return where a chart starts."""
    return {"start": start.name, "title": start.title, "at": start.place, "found": list(start.says)}


def table_object(table: FaultTable) -> dict[str, Any]:
    """Return the entries of a fault-finding table."""
    return {
        "findings": [_entry(e) for e in table.findings],
        "symptoms": [_entry(e) for e in table.symptoms],
    }


def _entry(entry: Entry) -> dict[str, Any]:
    return {
        "start": entry.name,
        "title": entry.title,
        "places": list(entry.places),
        "found": list(entry.says),
        "limits": list(entry.limits),
        "stops": list(entry.stops),
        "cautions": list(entry.warns),
        "causes": [_likely(c) for c in entry.causes],
        "seldom": [_likely(c) for c in entry.seldom],
    }


def _likely(c: Likely) -> dict[str, Any]:
    return {
        "cause": c.cause,
        "label": c.title,
        "where": list(c.where),
        "only_at": list(c.only),
        "word": c.word,
        "probability": c.probability,
        "check": c.check,
        "check_minutes": c.minutes,
        "remedy": c.remedy,
    }


def chart_object(bench: Bench, chart: Chart) -> dict[str, Any]:
    """Return the steps of a decision chart."""
    return {**start_object(chart.start), "steps": [_step(bench, s) for s in chart.steps]}


def _step(bench: Bench, s: ChartStep) -> dict[str, Any]:
    return {
        "step": s.number,
        "kind": s.kind,
        "share_of_reports": s.mass,
        "minutes": s.minutes,
        "needs": s.need,
        "stops": list(s.stops),
        "warnings": list(s.warns),
        "readings": [_reading(bench, r) for r in s.readings],
        "check": s.check,
        "at": s.at,
        "ways": [{"answers": list(w.values), "share": w.share, "to": w.to} for w in s.ways],
        "found": cause_row(bench, s.cause) if s.cause else None,
        "suspects": [
            {
                "check": x.check,
                "at": list(x.at),
                "step": x.step,
                "minutes": x.minutes,
                "causes": [{**cause_row(bench, c), "probability": p} for c, p in x.causes],
            }
            for x in s.suspects
        ],
        "seldom_answers": [
            {
                "answer": x.value,
                "likeliest": cause_row(bench, x.cause),
                "confirmed": x.confirmed,
                "step": x.step,
            }
            for x in s.seldom
        ],
        "results": [
            {"result": m.result, "confirms": [cause_row(bench, c) for c in m.causes]}
            for m in s.meanings
        ],
        "dangers": [{"found": list(d.found), "do_at_once": d.do} for d in s.dangers],
        "danger_to": s.danger,
        "otherwise": s.otherwise,
    }


def _reading(bench: Bench, r: Reading) -> dict[str, str]:
    question, place, state = r.key
    return {
        "question": question,
        "label": bench.library.questions[question].title,
        "at": place,
        "place_label": bench.places.label(place),
        "run_state": state,
    }
