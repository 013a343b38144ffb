"""The record of a job as plain frozen data: what every form of it is printed from, and as JSON."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime

from diagnose.paper.words import page_labels, shown

Row = Mapping[str, object]
"""One row: ids and labels side by side, numbers with their unit in the key."""
Columns = tuple[tuple[str, str], ...]
"""(key, heading) of what people see of a row; it may carry more, which JSON gives as well."""


@dataclass(frozen=True)
class Section:
    """One table of the record; ``none``: what is said when there are no rows."""

    id: str
    title: str
    columns: Columns
    rows: tuple[Row, ...]
    note: str = ""
    none: str = "none"

    def cells(self, row: Row) -> tuple[str, ...]:
        """Return what people see of ``row``, one text a column, '' where nothing was said."""
        return tuple(shown(row.get(key, "")) for key, _ in self.columns)


@dataclass(frozen=True)
class Report:
    """The record of one job.

    labels: what stands on every page.  sections: its tables in printing order.  made_at: UTC.
    """

    job: str
    aeroplane: str
    layout: str
    edition: str
    edition_in_use: str
    phase: str
    outcome: str
    reported: str
    made_at: str
    warnings: tuple[str, ...]
    sections: tuple[Section, ...]
    invented: bool

    @property
    def labels(self) -> tuple[str, ...]:
        """Return the labels that stand on every page."""
        return page_labels(self.job, self.aeroplane, self.layout, self.invented, self.edition)


def utc(at: object) -> str:
    """Return a logged time in UTC for people; a time that cannot be read is given as it stands."""
    try:
        time = datetime.fromisoformat(str(at))
    except ValueError:
        return str(at)
    if time.tzinfo is None:
        return f"{time:%Y-%m-%d %H:%M:%S} (zone not stated)"
    return f"{time.astimezone(UTC):%Y-%m-%d %H:%M:%S} UTC"


SCHEMA_VERSION = 1


def as_json(report: Report) -> str:
    """Return the record as JSON: ``schema_version`` first, every row with all it carries."""
    body = {
        "schema_version": SCHEMA_VERSION,
        "job": report.job,
        "aeroplane": report.aeroplane,
        "layout": report.layout,
        "knowledge_edition": report.edition,
        "knowledge_edition_in_use": report.edition_in_use,
        "phase": report.phase,
        "outcome": report.outcome,
        "reported": report.reported,
        "made_at_utc": report.made_at,
        "warnings": list(report.warnings),
        "labels": list(report.labels),
        "sections": {s.id: [dict(r) for r in s.rows] for s in report.sections},
    }
    return json.dumps(body, ensure_ascii=False, indent=1)
