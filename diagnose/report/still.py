"""Section of the record: what is still to be done before the job is finished, and how."""

from __future__ import annotations

from collections import Counter

from diagnose.job.day.closeout import outstanding
from diagnose.job.job import Job
from diagnose.job.wording import after_finding, cause_words, cautions_first
from diagnose.model import CauseAt
from diagnose.report.entries import Entries
from diagnose.report.plain import Row, Section

_IN_THE_LIST = {
    "restore": "not restored yet",
    "inspect": "not looked at by a second person yet",
}
"""What is owed to the things on the list of what is disturbed; that list names each."""


def still_to_do(job: Job, entries: Entries) -> Section:
    """Return what is owed: to the aeroplane, to the part found, and to the proof that it was it."""
    rows: list[Row] = []
    if job.state.phase == "open":
        more = " of the trouble that stayed" if job.state.rectified else ""
        rows.append({"step": "isolate", "what": f"no check has confirmed a cause{more} yet"})
    if job.state.phase == "part-found":
        e = list(entries.of("part-found"))[-1]
        found = CauseAt(e["cause"], e["place"])
        where, cause = cause_words(job.bench, found), job.bench.library.causes[found.cause]
        if named := cautions_first(job.bench, cause):
            rows.append({"step": "cautions first", "what": named, "about": where})
        rows += [
            {"step": name.lower(), "what": text, "about": where}
            for name, text in after_finding(job.bench, found)
        ]
    owed = outstanding(job) if job.state.phase != "finished" else ()
    listed = Counter(x.step for x in owed if x.step in _IN_THE_LIST)
    rows += [
        {"step": step, "what": f"{listed[step]} on the list of what is disturbed: {words}"}
        for step, words in _IN_THE_LIST.items()
        if listed[step]
    ]
    rows += [{"step": x.step, "what": x.text} for x in owed if x.step not in _IN_THE_LIST]
    columns = (("step", "Step"), ("what", "What"), ("about", "Of"))
    note = "By the aeroplane's approved data and licensed practice."
    return Section(
        "still",
        "Still to be done",
        columns,
        tuple(rows),
        note if rows else "",
        "nothing known here",
    )
