"""The handover on paper: every line with a box for the initials of who takes it over."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape

from diagnose.job.day.handover import HEADS, Line
from diagnose.job.job import Job
from diagnose.paper.page import page
from diagnose.paper.words import NOT_A_RELEASE, page_labels, shown
from diagnose.report.text import in_fewer_pages, wrapped

NOTE = (
    "The next person confirms each line by initials, or writes what is otherwise. "
    "No run card is printed while a line is open. This page certifies nothing."
)

_STYLE = """td.init { width: 22mm; } td.nr { width: 8mm; } table.data td { height: 6.5mm; }
h2 { margin-top: 2mm; }"""


def as_text(job: Job, lines: Sequence[Line]) -> str:
    """Return the handover as text, a blank for initials before each line."""
    blocks = [
        [f"HANDOVER OF JOB {shown(job.name)}"],
        wrapped(NOTE),
        wrapped(_report(job), "  ", ""),
    ]
    number = 0
    for title, within in _grouped(lines).items():
        head = ["", title.upper()]
        for x in within:
            number += 1
            blocks.append([*head, *wrapped(shown(x.text), " " * 14, f"[______] {number:>3}  ")])
            head = []
        if not within:
            blocks.append([*head, "  none"])
    # who signs has the last of what is signed for on the same page
    by = _giver(job)
    blocks[-1] += ["", f"Handed over by: {by}   Taken over by: ____________   UTC: ________"]
    return in_fewer_pages(_labels(job), blocks)


def as_html(job: Job, lines: Sequence[Line]) -> str:
    """Return the handover as one HTML document for the printer."""
    parts = [f"<h1>Handover of job {escape(shown(job.name))}</h1><p>{escape(NOTE)}</p>"]
    parts.append(f"<p>{escape(shown(_report(job)))}</p>")
    number = 0
    for title, within in _grouped(lines).items():
        rows = []
        for x in within:
            number += 1
            rows.append(
                f'<tr><td class="nr">{number}</td><td>{escape(shown(x.text))}</td>'
                '<td class="init"></td></tr>'
            )
        body = "".join(rows)
        head = '<thead><tr><th scope="col">No.</th><th scope="col">What</th>'
        head += '<th scope="col">Initials</th></tr></thead>'
        cols = '<colgroup><col style="width: 6%"><col><col style="width: 14%"></colgroup>'
        table = f'<table class="data">{cols}{head}<tbody>{body}</tbody></table>'
        parts.append(f"<h2>{escape(title)}</h2>{table if rows else '<p>none</p>'}")
    parts.append(
        f'<div class="box">Handed over by: {escape(_giver(job))} &nbsp; '
        "Taken over by: ____________ &nbsp; "
        f"UTC: ____________<br>{escape(NOT_A_RELEASE)}</div>"
    )
    labels = _labels(job)
    return page(f"Handover of job {shown(job.name)}", labels, parts, _STYLE)


def _giver(job: Job) -> str:
    """Return who handed over what is on the page, a blank while nobody has."""
    return job.state.giver if job.state.handover else "____________"


def as_data(job: Job, lines: Sequence[Line]) -> Mapping[str, object]:
    """Return the handover as plain data."""
    return {
        "job": job.name,
        "phase": job.state.phase,
        "labels": list(_labels(job)),
        "unconfirmed": list(job.state.handover),
        "lines": [{"key": x.key, "kind": x.kind, "text": x.text} for x in lines],
    }


def _grouped(lines: Sequence[Line]) -> Mapping[str, list[Line]]:
    return {title: [x for x in lines if x.kind == kind] for kind, title in HEADS.items()}


def _report(job: Job) -> str:
    return f"Reported: {job.state.opened.get('reported', '')}"


def _labels(job: Job) -> tuple[str, ...]:
    layout = job.bench.layout
    return page_labels(job.name, job.aeroplane, layout.id, layout.invented, job.state_edition())
