"""The record as Markdown tables."""

from __future__ import annotations

import re

from diagnose.report.plain import NOT_A_RELEASE, Report, shown, shown_lines, utc


def as_markdown(report: Report) -> str:
    """Return the record as Markdown; typed text cannot become markup."""
    lines = [f"# Record of job {_safe(report.job)}", ""]
    lines += [_safe(" · ".join(report.labels)), ""]
    lines += [f"- {_safe(w)}" for w in report.warnings]
    lines += [
        f"- layout {_safe(report.layout)}; printed {utc(report.made_at)}",
        "",
        "Reported:",
        "",
    ]
    lines += [f"> {_safe(x)}" for x in shown_lines(report.reported)]
    lines += ["", f"State: {report.phase}. Outcome: {_safe(shown(report.outcome))}", ""]
    for section in report.sections:
        lines += [f"## {section.title}", ""]
        if section.note:
            lines += [_safe(section.note), ""]
        if section.rows:
            lines.append("| " + " | ".join(h for _, h in section.columns) + " |")
            lines.append("|" + "---|" * len(section.columns))
            lines += ["| " + " | ".join(map(_safe, section.cells(r))) + " |" for r in section.rows]
        else:
            lines.append(section.none)
        lines.append("")
    lines += ["| Signature |", "|---|", f"|   ({NOT_A_RELEASE}) |"]
    return "\n".join(lines)


def _safe(text: str) -> str:
    return re.sub(r"([\\`*_{}\[\]<>#|~])", r"\\\1", text)
