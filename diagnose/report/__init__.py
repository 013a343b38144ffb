"""The record of a job on paper and for machines, and the card of an engine run.

The record is made from the log alone, printed in four forms that say the same, and certifies
nothing: no form of it has a place where it could be taken for a release.
"""

from __future__ import annotations

from diagnose.errors import UsageError
from diagnose.job.job import Job
from diagnose.report.build import build
from diagnose.report.html import as_html
from diagnose.report.markdown import as_markdown
from diagnose.report.plain import Report, Section
from diagnose.report.text import as_text
from diagnose.report.to_json import as_json

__all__ = ["Report", "Section", "build", "render"]

_FORMS = {"text": as_text, "md": as_markdown, "html": as_html, "json": as_json}


def render(report: Report | Job, fmt: str) -> str:
    """Return the record as ``text``, ``md``, ``html`` or ``json``; a job is built first.

    Raises:
        UsageError: If there is no such form.
    """
    if fmt not in _FORMS:
        raise UsageError(f"'{fmt}' is not a form of the record; say {', '.join(_FORMS)}.")
    return _FORMS[fmt](build(report) if isinstance(report, Job) else report)
