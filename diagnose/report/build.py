"""The log of a job made into its record: tables of what was asked, found, warned of and done."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime

from diagnose.job.events import finding_of
from diagnose.job.job import Job
from diagnose.job.log import Event
from diagnose.report.entries import Entries
from diagnose.report.plain import NO_FIGURE, UNREVIEWED, Report, Row, Section

TYPED = (
    ("aeroplane", "Aeroplane as typed"),
    ("asked_by", "Worked by"),
    ("place", "Place"),
    ("weather", "Wind, outside air, pressure"),
)
"""What the person typed when the job was opened; printed, never interpreted."""


def build(job: Job) -> Report:
    """Return the record of ``job`` as it stands."""
    entries = Entries(job.log.events, job.bench)
    opened = job.state.opened
    return Report(
        job=job.name,
        aeroplane=str(opened.get("aeroplane") or "aeroplane not named"),
        layout=job.bench.layout.id,
        edition=job.state_edition(),
        edition_in_use=job.bench.library.edition,
        phase=job.state.phase,
        outcome=job.state.outcome or "none yet",
        reported=str(opened.get("reported", "")),
        made_at=datetime.now(UTC).isoformat(timespec="seconds"),
        warnings=_warnings(job),
        sections=tuple(_sections(job, entries)),
    )


def _warnings(job: Job) -> tuple[str, ...]:
    out = [
        f"{UNREVIEWED}: no licensed person has reviewed the knowledge this rests on.",
        "The aeroplane's approved data, local codes and licensed practice come first.",
    ]
    if job.bench.layout.invented:
        out.append("The layout and its figures are invented.")
    if job.edition_differs():
        out.append("The job was begun with another edition of the knowledge than is in use now.")
    return tuple(out)


def _sections(job: Job, entries: Entries) -> Iterable[Section]:
    opened = job.state.opened
    yield Section(
        "job",
        "Job",
        (("what", "What"), ("typed", "As typed")),
        tuple({"what": title, "typed": opened.get(key) or "not stated"} for key, title in TYPED),
    )  # fmt: skip
    yield Section(
        "work", "Work since the last good run",
        (("time", "Time"), ("what", "Work"), ("status", "Entry")),
        tuple({**entries.base(e), "what": entries.words(e)} for e in entries.of("work")),
    )  # fmt: skip
    yield Section(
        "findings", "What was found",
        (("n", "No."), ("time", "Time"), ("what", "Finding, state, how known"),
         ("typed", "As typed"), ("status", "Entry")),
        tuple(_finding(entries, e) for e in entries.of("answered", "changed", "withdrawn")),
    )  # fmt: skip
    yield Section(
        "not-checked",
        "Not checked",
        (("n", "No."), ("time", "Time"), ("what", "What")),
        tuple({**entries.base(e), "what": entries.words(e)} for e in entries.of("not-checked")),
    )
    yield Section(
        "checks", "Checks",
        (("n", "No."), ("time", "Time"), ("what", "Check and result"), ("as_found", "As found"),
         ("as_left", "As left"), ("status", "Entry")),
        tuple(
            {**entries.base(e), "what": entries.words(e), "as_found": e.get("as_found", ""),
             "as_left": e.get("as_left", ""), "finding": e["finding"]}
            for e in entries.of("checked")
        ),
    )  # fmt: skip
    yield Section(
        "cautions", "Cautions shown and acknowledged, and what was confirmed for runs",
        (("n", "No."), ("time", "Time"), ("what", "What"), ("text", "Text shown")),
        tuple(
            {**entries.base(e), "what": entries.words(e), "text": e.get("text", "")}
            for e in entries.of("acknowledged", "confirmed")
        ),
    )  # fmt: skip
    yield Section(
        "rankings", "Ranking after each step",
        (("n", "No."), ("time", "Time"), ("ranking", "First causes, with the word for each")),
        tuple(_ranking(entries, e) for e in entries.of("ranked")),
        note="No published base rates stand behind the order.",
    )  # fmt: skip
    yield _rules(job)
    yield Section(
        "rectification", "Rectification and verification",
        (("n", "No."), ("time", "Time"), ("what", "What"), ("done", "Done"), ("off", "Part off"),
         ("on", "Part on")),
        tuple(
            {**entries.base(e), "what": entries.words(e), "done": e.get("what", ""),
             "off": e.get("off", ""), "on": e.get("on", "")}
            for e in entries.of("part-found", "rectified", "run", "verified", "finished", "stopped")
        ),
    )  # fmt: skip
    yield _limits(job)
    yield Section(
        "log", "The whole log, nothing left out",
        (("n", "No."), ("time", "Time"), ("event", "Event"), ("what", "What"), ("status", "Entry")),
        entries.log_rows(),
    )  # fmt: skip


def _finding(entries: Entries, e: Event) -> Row:
    if e["event"] == "withdrawn":
        return {**entries.base(e), "what": entries.words(e), "typed": ""}
    finding = finding_of(e["finding"])
    return {
        **entries.base(e),
        "what": entries.finding(finding),
        "typed": finding.typed,
        "finding": e["finding"],
    }


def _ranking(entries: Entries, e: Event) -> Row:
    said = [
        f"{r['rank']}. {entries.cause(r['cause'])}, {entries.place(r['at'])}: {r['word']}"
        for r in e["ranking"]
    ]
    return {**entries.base(e), "ranking": said, "causes": e["ranking"]}


def _rules(job: Job) -> Section:
    symptoms = job.step().outcome.symptoms.values()
    rows = tuple(
        {
            "symptom": s.symptom,
            "at": s.at,
            "what": job.bench.library.symptoms[s.symptom].title,
            "place": job.bench.places.label(s.at),
            "verdict": s.verdict,
            "rule": str(job.bench.library.symptoms[s.symptom].origin),
        }
        for s in symptoms
        if s.verdict != "false"
    )
    columns = (("what", "Rule"), ("place", "Place"), ("verdict", "Verdict"), ("rule", "File"))
    return Section("rules", "What the rules conclude now", columns, rows)


def _limits(job: Job) -> Section:
    rows = tuple(
        {"limit": x.name, "shown": x.shown, "reference": x.reference or NO_FIGURE}
        for x in job.bench.layout.limits.values()
    )
    columns = (("limit", "Limit"), ("shown", "Figure"), ("reference", "Approved-data reference"))
    return Section("limits", "Limits consulted", columns, rows, none=NO_FIGURE)
