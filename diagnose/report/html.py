"""The record as one HTML page for the printer: no scripts, no links, nothing loaded."""

from __future__ import annotations

from html import escape

from diagnose.paper.page import page
from diagnose.paper.words import NOT_A_RELEASE, shown, shown_lines
from diagnose.report.plain import Report, Section

_PAIRS = ("job", "ranked", "empty")
"""Sections of short pairs, told two abreast."""

_STYLE = """ul.pairs { columns: 2; column-gap: 6mm; list-style: none; padding: 0; font-size: 8pt; }
ul.pairs li { break-inside: avoid; }
ul.small { font-size: 8pt; padding-left: 4mm; }
table.story { font-size: 9pt; }
table.data.handovers tr { break-inside: auto; }"""

_NARROW = {"n": 7, "rank": 7, "time": 14, "hands": 8}
_WIDE = {
    "findings": {
        "n": 6,
        "time": 8,
        "what": 12,
        "place": 12,
        "answer": 12,
        "figure": 12,
        "conditions": 11,
        "known_by": 7,
        "note": 11,
    },
    "cautions": {"n": 7, "time": 9, "level": 9, "title": 18},
    "checks": {"n": 6, "time": 9},
    "story": {"step": 13},
    "still": {"step": 13, "about": 24},
    "rules": {"label": 24, "place_label": 18, "verdict": 8, "rule": 20},
    "gates": {"n": 7, "time": 8, "what": 42, "for_run": 10, "by": 9},
    "limits": {"label": 60},
    "aeroplane": {"kind": 11, "what": 34, "place": 20, "counted": 10},
    "rankings": {"time": 18},
    "closing": {"n": 6, "time": 11, "kind": 10},
    "log": {"n": 6, "time": 11, "event": 10, "status": 13},
    "handovers": {"n": 6, "time": 8, "kind": 10, "status": 13},
    "followed": {"n": 6, "time": 8, "kind": 10, "status": 13},
    "rectification": {"n": 6, "time": 8, "kind": 11, "what": 48},
    "disturbed": {"item": 6, "label": 13, "restore": 20, "status": 10},
}
"""Widths of columns in percent; the others share what is left."""


def as_html(report: Report) -> str:
    """Return the record as a whole HTML document that prints on A4."""
    parts = [_opening(report)]
    parts += [_section(s) for s in report.sections]
    parts.append(
        f'<div class="box"><strong>{escape(NOT_A_RELEASE)}</strong><div class="blank"></div></div>'
    )
    return page(f"Record of job {shown(report.job)}", report.labels, parts, _STYLE)


def _opening(report: Report) -> str:
    warnings = "".join(f"<li>{escape(shown(w))}</li>" for w in report.warnings)
    said = escape("\n".join(shown_lines(report.reported)))
    return (
        f"<h1>Record of job {escape(shown(report.job))}</h1>"
        f'<ul class="small">{warnings}</ul>'
        f"<h2>Reported, verbatim</h2><pre>{said}</pre>"
    )


def _section(section: Section) -> str:
    note = f"<p>{escape(shown(section.note))}</p>" if section.note else ""
    head = f"<h2>{escape(section.title)}</h2>{note}"
    if not section.rows:
        return f"{head}<p>{escape(shown(section.none))}</p>"
    if section.id in _PAIRS:
        pairs = (section.cells(row) for row in section.rows)
        listed = "".join(f"<li><b>{escape(a)}</b>: {escape(b)}</li>" for a, b in pairs)
        return f'{head}<ul class="pairs">{listed}</ul>'
    headings = "".join(f'<th scope="col">{escape(h)}</th>' for _, h in section.columns)
    rows = "".join(
        "<tr>" + "".join(f"<td>{escape(c)}</td>" for c in section.cells(row)) + "</tr>"
        for row in section.rows
    )
    return (
        f'{head}<table class="data {section.id}">{_columns(section)}'
        f"<thead><tr>{headings}</tr></thead><tbody>{rows}</tbody></table>"
    )


def _columns(section: Section) -> str:
    widths = _NARROW | _WIDE.get(section.id, {})
    cols = (
        f'<col style="width: {widths[key]}%">' if key in widths else "<col>"
        for key, _ in section.columns
    )
    return f"<colgroup>{''.join(cols)}</colgroup>"
