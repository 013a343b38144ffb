"""The record as one JSON object."""

from __future__ import annotations

import json

from diagnose.report.plain import Report

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
