"""The record as plain text, one fact a line."""

from __future__ import annotations

from diagnose.report.plain import NOT_A_RELEASE, Report, shown, shown_lines, utc


def as_text(report: Report) -> str:
    """Return the record as lines of text."""
    lines = [f"RECORD OF JOB {shown(report.job)}", *report.labels[2:]]
    lines += [f"layout {report.layout}; printed {utc(report.made_at)}", *report.warnings, ""]
    lines += ["Reported, verbatim:", *(f"  {x}" for x in shown_lines(report.reported)), ""]
    lines += [f"State: {report.phase}. Outcome: {shown(report.outcome)}", ""]
    for section in report.sections:
        lines.append(section.title.upper())
        if section.note:
            lines.append(f"  ({section.note})")
        for row in section.rows:
            cells = zip(section.columns, section.cells(row), strict=True)
            said = [f"{heading}: {cell}" for (_, heading), cell in cells if cell]
            lines.append("  " + " | ".join(said))
        if not section.rows:
            lines.append(f"  {section.none}")
        lines.append("")
    lines += ["Signature: ______________________________", f"  {NOT_A_RELEASE}."]
    return "\n".join(lines)
