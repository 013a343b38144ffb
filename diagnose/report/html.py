"""The record as a page that prints on A4: black on white, nothing told by colour."""

from __future__ import annotations

from html import escape

from diagnose.report.plain import NOT_A_RELEASE, Report, Section, shown, shown_lines, utc

STYLE = """
@page { size: A4; margin: 15mm 15mm 20mm;
  @bottom-left { content: LABEL; font: 8pt sans-serif }
  @bottom-right { content: "page " counter(page) " of " counter(pages); font: 8pt sans-serif } }
body { font: 10pt sans-serif; color: #000; background: #fff; max-width: 180mm; margin: auto }
table { border-collapse: collapse; width: 100%; margin-bottom: 4mm }
th, td { border: 1px solid #000; padding: 1mm 1.5mm; text-align: left; vertical-align: top;
  overflow-wrap: anywhere }
thead { display: table-header-group } tr { break-inside: avoid } h2 { break-after: avoid }
.labels { font-size: 8pt; font-weight: normal } .sign { height: 25mm }
"""


def as_html(report: Report) -> str:
    """Return one self-contained page: no script, no link, everything typed escaped."""
    label = " · ".join(report.labels)
    style = STYLE.replace("LABEL", _css(label))
    parts = [
        '<!doctype html><html lang="en"><head><meta charset="utf-8">',
        f"<title>Record of job {escape(report.job)}</title><style>{style}</style></head><body>",
        f"<h1>Record of job {escape(shown(report.job))}</h1>",
        f"<p>{escape(label)}</p><ul>",
        *(f"<li>{escape(w)}</li>" for w in report.warnings),
        f"<li>layout {escape(report.layout)}; printed {utc(report.made_at)}</li></ul>",
        "<h2>Reported, verbatim</h2><p>",
        "<br>".join(escape(x) for x in shown_lines(report.reported)),
        f"</p><p>State: {escape(report.phase)}. Outcome: {escape(shown(report.outcome))}</p>",
        *(_table(s, label) for s in report.sections),
        "<table><thead><tr><th>Signature</th></tr></thead>",
        f'<tbody><tr><td class="sign"><em>{NOT_A_RELEASE}.</em></td></tr></tbody></table>',
        "</body></html>",
    ]
    return "\n".join(parts)


def _table(section: Section, label: str) -> str:
    note = f"<p>{escape(section.note)}</p>" if section.note else ""
    if not section.rows:
        return f"<h2>{escape(section.title)}</h2>{note}<p>{escape(section.none)}</p>"
    heads = "".join(f"<th>{escape(h)}</th>" for _, h in section.columns)
    rows = "".join(
        "<tr>" + "".join(f"<td>{escape(c)}</td>" for c in section.cells(r)) + "</tr>"
        for r in section.rows
    )
    # the labels repeat with the table's head on every page, margin boxes or not
    span = len(section.columns)
    return (
        f"<h2>{escape(section.title)}</h2>{note}<table><thead>"
        f'<tr><th colspan="{span}" class="labels">{escape(label)}</th></tr><tr>{heads}</tr></thead>'
        f"<tbody>{rows}</tbody></table>"
    )


def _css(text: str) -> str:
    safe = "".join(c if c.isalnum() or c in " .,:;()·-" else " " for c in text)
    return f'"{safe}"'
