"""Sections of the record about safety: cautions acknowledged, gates confirmed before a run."""

from __future__ import annotations

from diagnose.job.gates import disturbed_at
from diagnose.job.job import Job
from diagnose.job.keeping.events import disturbs
from diagnose.job.wording import answer_words, finding_line, place_words
from diagnose.report.entries import WHEN, Entries, section
from diagnose.report.plain import Row, Section

NO_RUN = "no engine run"
NOBODY = "none acknowledged; a case played without a terminal has nobody to do it"


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
                "title": known.title if known else entries.stop(e["hazard"]),
                "level": known.level if known else "stop",
                # as it was shown; an edition may have changed the text since
                "text": e.get("text") or (known.text if known else ""),
            }
        )
    columns = (("level", "Level"), ("title", "Caution"), ("text", "Text shown"))
    return section("cautions", "Cautions shown and acknowledged", columns, rows, "", NOBODY)


def _counts(safe: bool, barred: bool, since: int) -> str:
    """Return what an answer says of its gate now.

    ``barred``: the gate is not known safe.  since: the entry that disturbed something after it.
    """
    if not safe:
        return "blocks an engine run" if barred else "answered safe since"
    if since:
        return f"known safe then; entry {since} disturbed something since"
    return "known safe then; answered otherwise since" if barred else "known safe"


def _confirmed(entries: Entries) -> list[Row]:
    """Return what was confirmed, each with the run it was for.

    What work or a break took back before an engine ran was for power or a pump alone, or for a
    run that was not made.
    """
    rows: list[dict[str, object]] = []
    runs, first = 0, 0  # first: the row from which on what is confirmed still holds
    for e in entries.events:
        if e["event"] == "confirmed":
            said = {"item": e["item"], "what": e["item"], "for_run": NO_RUN}
            rows.append({**entries.base(e), **said, "by": e.get("by", "")})
        elif e["event"] == "run":
            runs += 1
            for row in rows[first:]:
                row["for_run"] = f"run {runs}"
        if e["event"] in ("run", "resumed") or disturbs(e):
            first = len(rows)
    return list(rows)


def gates(job: Job, entries: Entries) -> Section:
    """Return what was confirmed for each run, and what is still unknown of the gates."""
    rows = _confirmed(entries)
    unknown = job.open_gates()
    shut = {(r.question, r.place) for r in unknown}
    since = disturbed_at(job.log.events)
    for n, f in sorted(job.state.findings.items()):
        if f.check or not (asked := job.bench.library.questions[f.question]).gate:
            continue
        safe = f.surely(asked.gate) and f.known_by != "assumed"
        barred = any((f.question, at) in shut for at in f.places)
        counts = _counts(safe, barred, since if n <= since else 0)
        rows.append(
            {
                "n": n,
                "question": f.question,
                "at": f.at,
                "what": finding_line(job.bench, f),
                "asked": asked.title,
                "place": place_words(job.bench, f),
                "answer": answer_words(asked.classes, f) or "not checked",
                "status": counts,
            }
        )
    rows += [
        {
            "question": r.question,
            "at": r.place,
            "what": entries.reading(r.key),
            "asked": entries.question(r.question),
            "place": entries.place(r.place),
            "status": "not known safe now: blocks an engine run",
        }
        for r in unknown
    ]
    columns = (
        *WHEN,
        ("what", "Gate"),
        ("for_run", "Confirmed for"),
        ("by", "Answered for by"),
        ("status", "State"),
    )
    return Section("gates", "Safety gates before an engine run", columns, tuple(rows))
