"""A job made into its record: every fact of the log in a section, and the labels of every page."""

from __future__ import annotations

from datetime import UTC, datetime

from diagnose.job.job import Job
from diagnose.job.wording import EVIDENCE_WORDS
from diagnose.knowledge_files.cutting import NO_FIGURE
from diagnose.paper.words import UNREVIEWED
from diagnose.report import findings, safety, work
from diagnose.report.entries import WHEN, Entries, section
from diagnose.report.own import own_file
from diagnose.report.plain import Report, Row, Section, utc
from diagnose.report.still import still_to_do
from diagnose.report.story import in_short

_TYPED = {
    "aeroplane": "Aeroplane",
    "serial": "Serial number",
    "hours": "Hours",
    "asked_by": "Asked by",
    "place": "Place",
    "wind": "Wind",
    "outside_air": "Outside air temperature",
    "pressure": "Atmospheric pressure",
    "weather": "Wind, outside air, pressure",
}
"""Particulars every record has a line for, said or not."""

_WEATHER = ("wind", "outside_air", "pressure")
_OWN = (
    *("n", "at", "event", "layout", "layout_edition", "layout_text", "edition", "evidence"),
    *("reported", "part"),
)


def build(job: Job, now: datetime | None = None) -> Report:
    """Return the record of ``job`` as plain data; ``now`` is the time of printing (UTC now)."""
    entries = Entries(job.log.events, job.bench)
    made_at = (now or datetime.now(UTC)).astimezone(UTC).isoformat(timespec="seconds")
    opened = job.state.opened
    own, owed = own_file(job), still_to_do(job, entries)
    concluded = findings.rules(job.bench, job.state)
    return Report(
        job=job.name,
        aeroplane=job.aeroplane,
        layout=job.bench.layout.id,
        edition=job.state_edition(),
        edition_in_use=job.bench.library.edition,
        phase=job.state.phase,
        outcome=job.state.outcome,
        reported=str(opened.get("reported", "")),
        made_at=made_at,
        warnings=_warnings(job),
        invented=job.bench.layout.invented,
        # in the order in which it is read: the whole story, what is owed, then the proof of each
        sections=(
            in_short(job, entries, own, concluded, owed),
            owed,
            _particulars(job, made_at),
            work.before(entries),
            findings.answers(entries),
            findings.checks(entries),
            work.rectification(entries),
            work.disturbed(entries, job.state),
            work.followed(entries),
            work.closing(entries),
            work.notes(entries),
            safety.cautions(entries),
            safety.gates(job, entries),
            _ranked(entries),
            concluded,
            own,
            work.handed_over(entries),
            work.at_hand(entries),
            work.past(entries),
            _limits(job),
            _log(entries),
        ),
    )


def _warnings(job: Job) -> tuple[str, ...]:
    """Return what a reader must know before the first line."""
    layout = job.bench.layout
    out = [
        f"{UNREVIEWED}: the knowledge behind this record has been reviewed by no licensed person.",
        "The aeroplane's approved data and licensed practice rule. This record certifies nothing.",
    ]
    if layout.invented:
        out.append(f"The layout '{layout.title}' and its figures are invented.")
    if job.edition_differs():
        out.append(
            f"The job was begun with knowledge edition {job.state_edition()}; this record was "
            f"printed with {job.bench.library.edition}. The rankings are those kept at the time."
        )
    if job.log.set_aside:
        out.append(job.log.set_aside)
    return tuple(out)


def _particulars(job: Job, made_at: str) -> Section:
    opened, layout = job.state.opened, job.bench.layout
    # typed in one go or one by one; the way not used has no line
    unused = _WEATHER if opened.get("weather") else ("weather",)
    lined = [k for k in _TYPED if opened.get(k) or k not in unused]
    typed = {k: k.replace("_", " ").capitalize() for k in opened if k not in (*_OWN, *_TYPED)}
    typed = {k: _TYPED[k] for k in lined} | typed
    lines = [
        ("job", "Job", job.name),
        ("opened", "Opened", utc(opened.get("at", ""))),
        *((k, words, opened.get(k) or "not stated") for k, words in typed.items()),
        ("layout", "Layout", f"{layout.title} ({layout.id})"),
        ("layout_edition", "Layout edition", opened.get("layout_edition", "")),
        ("layout_notes", "About the layout", layout.notes or "nothing noted"),
        ("edition", "Knowledge edition", job.state_edition()),
        ("evidence", "Ranked on", EVIDENCE_WORDS[job.bench.evidence]),
        ("phase", "Phase", job.state.phase),
        ("outcome", "Outcome", job.state.outcome or "none yet"),
        ("engine_runs", "Engine runs", job.state.engine_runs),
        ("printed", "Printed", utc(made_at)),
    ]
    rows = tuple({"key": k, "label": label, "value": v} for k, label, v in lines)
    columns = (("label", "Particular"), ("value", "As typed or kept"))
    return Section("job", "Job", columns, rows)


def _ranked(entries: Entries) -> Section:
    rows: list[Row] = []
    for e in entries.of("ranked"):
        for r in e["ranking"]:
            rows.append(
                entries.base(e)
                | {
                    "rank": r["rank"],
                    "cause": r["cause"],
                    "label": entries.cause(r["cause"]),
                    "at": r["at"],
                    "place": entries.place(r["at"]),
                    "word": r["word"],
                    "probability": r["probability"],
                }
            )
    columns = (
        *WHEN,
        ("rank", "Rank"),
        ("label", "Cause"),
        ("place", "Where"),
        ("word", "Belief"),
    )
    note = (
        "What stood first at each step, as kept then. The words rest on expert estimates, not on "
        "counted defects; the JSON form gives the numbers."
    )
    return Section("rankings", "Ranking after each step", columns, tuple(rows), note)


def _limits(job: Job) -> Section:
    """Return the approved-data reference of every limit, and the limits that have none."""
    library, layout = job.bench.library, job.bench.layout
    rows: list[Row] = [
        {
            "limit": x.name,
            "label": x.name.replace("-", " "),
            "figure": x.shown,
            "reference": x.reference,
        }
        for x in layout.limits.values()
    ]
    kinds = {p.kind for p in layout.parts.values()}
    cut = {q.cut for q in library.questions.values() if q.cut and kinds & set(q.at)}
    rows += [
        {"limit": name, "label": name.replace("-", " "), "figure": NO_FIGURE, "reference": ""}
        for name in sorted(cut - set(layout.limits))
    ]
    columns = (("label", "Limit"), ("figure", "Figure"), ("reference", "Approved-data reference"))
    return Section("limits", "Approved data behind the limits", columns, tuple(rows), "", NO_FIGURE)


def _log(entries: Entries) -> Section:
    rows = ({**entries.base(e), "what": entries.words(e)} for e in entries.events)
    columns = (("event", "Kind"), ("what", "What it says"))
    note = "The log only grows: a correction is an entry of its own."
    return section("log", "All entries in order", columns, rows, note)
