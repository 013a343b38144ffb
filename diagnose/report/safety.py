"""Sections of the record about safety: cautions acknowledged, gates confirmed before a run."""

from __future__ import annotations

from diagnose.job.gates import still_open
from diagnose.job.job import Job
from diagnose.report.entries import Entries
from diagnose.report.plain import Row, Section


def cautions(entries: Entries) -> Section:
    """Return every caution shown and acknowledged, with the text as it was shown."""
    hazards = entries.bench.library.hazards
    rows: list[Row] = []
    for e in entries.of("acknowledged"):
        known = hazards.get(e["hazard"])
        rows.append(
            entries.base(e)
            | {
                "hazard": e["hazard"],
                "title": known.title if known else e["hazard"],
                "level": known.level if known else "stop",
                # as it was shown; an edition may have changed the text since
                "text": e.get("text") or (known.text if known else ""),
            }
        )
    columns = (
        ("n", "Entry"),
        ("time", "Time"),
        ("level", "Level"),
        ("title", "Caution"),
        ("text", "Text shown"),
        ("status", "State of the entry"),
    )
    return Section("cautions", "Cautions shown and acknowledged", columns, tuple(rows))


def gates(job: Job, entries: Entries) -> Section:
    """Return what was confirmed for each run, and what is still unknown of the gates."""
    rows: list[Row] = []
    run = 1
    for e in entries.of("confirmed", "run"):
        if e["event"] == "run":
            run += 1
            continue
        rows.append(
            entries.base(e) | {"item": e["item"], "what": e["item"], "for_run": f"run {run}"}
        )
    unknown = still_open(job.bench, job.state.findings, job.log.events)
    shut = {(r.question, r.place) for r in unknown}
    for n, f in sorted(job.state.findings.items()):
        known = job.bench.library.questions.get(f.question)
        if known is None or f.check or not known.gate:
            continue
        # a safe answer may have been overtaken: disturbed since, or answered again
        barred = any((f.question, at) in shut for at in f.places)
        counts = "does not open the gate" if barred else "known safe"
        rows.append(
            {
                "n": n,
                "question": f.question,
                "at": f.at,
                "what": entries.finding(f),
                "status": counts,
            }
        )
    rows += [
        {
            "question": r.question,
            "at": r.place,
            "what": entries.reading(r.key),
            "status": "not known safe now: blocks an engine run",
        }
        for r in unknown
    ]
    columns = (
        ("n", "Entry"),
        ("time", "Time"),
        ("what", "Gate"),
        ("for_run", "Confirmed for"),
        ("status", "State"),
    )
    return Section("gates", "Safety gates before an engine run", columns, tuple(rows))
