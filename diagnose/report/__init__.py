"""The record of a job on paper and for machines, and the card of an engine run.

The record is made from the log alone, in forms that say the same (JSON with every row as it is,
paper with nothing twice), and certifies nothing: no form has a place to take for a release.
"""

from __future__ import annotations

from diagnose.errors import UsageError
from diagnose.job.job import Job
from diagnose.report.build import build
from diagnose.report.html import as_html
from diagnose.report.markdown import as_markdown
from diagnose.report.plain import Report, Section, as_json
from diagnose.report.short import shorten
from diagnose.report.text import as_text

__all__ = ["Report", "Section", "build", "check_form", "render", "shorten"]

_FORMS = {"text": as_text, "md": as_markdown, "html": as_html, "json": as_json}


def check_form(fmt: str) -> None:
    """Say which forms there are, before a job is read for one that there is not.

    Raises:
        UsageError: If there is no such form.
    """
    if fmt not in _FORMS:
        near = " (Markdown is 'md')" if fmt.lower() == "markdown" else ""
        raise UsageError(f"'{fmt}' is not a form of the record; say {', '.join(_FORMS)}{near}.")


def render(report: Report | Job, fmt: str) -> str:
    """Return the record as ``text``, ``md``, ``html`` or ``json``; a job is built first.

    Raises:
        UsageError: If there is no such form.
    """
    check_form(fmt)
    whole = build(report) if isinstance(report, Job) else report
    return _FORMS[fmt](whole if fmt == "json" else shorten(whole))
