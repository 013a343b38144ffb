"""The section of the record about this very aeroplane: what its file said at the time."""

from __future__ import annotations

from datetime import date

from diagnose.aeroplane import warnings
from diagnose.job.job import Job
from diagnose.report.plain import Row, Section


def own_file(job: Job) -> Section:
    """Return warnings, deferred defects, error cards, modifications and habits, as kept.

    Dates are held against the day the job was opened.
    """
    own, label = job.bench.layout.aeroplane, job.bench.places.label
    rows: list[Row] = []
    note = ""
    if own is not None:
        opened = date.fromisoformat(str(job.state.opened["at"])[:10])
        note = (
            f"From the file of {own.registration}, edition {own.edition}, kept in the log. Whether "
            "a defect may stay open is not decided here."
        )
        rows += [{"kind": "warning", "what": w} for w in warnings(job.bench.layout, opened)]
        rows += [
            {
                "kind": "deferred defect",
                "id": d.id,
                "what": f"{d.id}: {d.what}",
                "at": d.cause.at,
                "place": label(d.cause.at),
                "dates": f"since {d.since}" + (f", until {d.until}" if d.until else ""),
                "reference": f"{d.limit}; {d.reference}",
                "counted": "taken to be there" if d.is_proved else "odds lifted",
            }
            for d in own.deferred
        ]
        rows += [
            {
                "kind": "error card",
                "what": "; ".join(c.shown),
                "at": c.part,
                "place": label(c.part),
                "dates": f"of {c.on or 'no date'}" + (f", due {c.due}" if c.due else ""),
                "reference": c.reference,
            }
            for c in own.cards.values()
        ]
        rows += [
            {
                "kind": "modification",
                "id": m.id,
                "what": f"{m.id} {m.title}: {'embodied' if m.embodied else 'not embodied'}",
                "dates": m.on,
                "reference": m.reference,
            }
            for m in own.modifications
        ]
        rows += [
            {"kind": "habit", "what": q.text, "at": q.at, "place": label(q.at)} for q in own.quirks
        ]
    columns = (
        ("kind", "Kind"),
        ("what", "What the file says"),
        ("place", "Where"),
        ("dates", "Dates"),
        ("reference", "Reference"),
        ("counted", "Counted as"),
    )
    none = "no file of this aeroplane"
    return Section("aeroplane", "This very aeroplane", columns, tuple(rows), note, none)
