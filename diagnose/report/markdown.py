"""The record as Markdown: the same sections and cells as the text, everything typed escaped."""

from __future__ import annotations

import re
from collections.abc import Sequence

from diagnose.paper.words import NOT_A_RELEASE, shown, shown_lines
from diagnose.report.plain import Report, Section

_SPECIAL = re.compile(r"([\\`*_{}\[\]<>|#~&@!^$])")
_LINE_START = re.compile(r"^(\s*)([-+=]|\d+(?=[.)]))")


def as_markdown(report: Report) -> str:
    """Return the record as Markdown, its labels at the head and at each section's foot."""
    labels = escape(" | ".join(report.labels))
    lines = [f"# Record of job {escape(report.job)}", "", f"**{labels}**", ""]
    lines += [f"- {escape(w)}" for w in report.warnings]
    lines += ["", "## Reported, verbatim", ""]
    # two spaces keep the breaks of what was typed
    lines += [f"> {_start(escape_line(line))}  " for line in shown_lines(report.reported)]
    for section in report.sections:
        lines += ["", f"## {escape(section.title)}", "", *_section(section), "", f"*{labels}*"]
    lines += ["", "## Signature", "", "| " + NOT_A_RELEASE + " |", "|---|", "| &nbsp; |", ""]
    return "\n".join(lines)


def _section(section: Section) -> list[str]:
    lines = [escape(section.note), ""] if section.note else []
    if not section.rows:
        return [*lines, escape(section.none)]
    lines += [_line([heading for _, heading in section.columns])]
    lines += ["|" + "---|" * len(section.columns)]
    return lines + [_line(section.cells(row)) for row in section.rows]


def _line(cells: Sequence[str]) -> str:
    return "| " + " | ".join(escape(c) for c in cells) + " |"


def escape(value: object) -> str:
    """Return ``value`` in one line with everything Markdown or HTML would read made literal."""
    return escape_line(shown(value))


def escape_line(text: str) -> str:
    """Return one line of text made literal; bare addresses do not become links."""
    out = _SPECIAL.sub(r"\\\1", text)
    return re.sub(r"(?i)\b(www)\.", r"\1\\.", out.replace("://", r"\://"))


def _start(line: str) -> str:
    # indented by four, a line would be code; a leading mark or number would make a list
    line = re.sub(r"^ +", lambda m: "&nbsp;" * len(m.group()), line)
    return _LINE_START.sub(
        lambda m: m.group(1) + (m.group(2) + "\\" if m.group(2).isdigit() else "\\" + m.group(2)),
        line,
    )
