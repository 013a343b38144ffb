"""The record of a job: four forms that say the same, and the card of a run."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from diagnosis.shipped import bench

from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry
from diagnose.model import Finding, State
from diagnose.report import render

FORMS = ("text", "md", "html", "json")


@pytest.fixture
def job(tmp_path: Path) -> Job:
    """Return a job with an answer, a skipped reading, an undone entry and a check."""
    b = bench("four-engine-injection")
    made = Job.open(
        Registry(tmp_path), b, "2026-11-25", "No. 2 low <b>on run-up</b> | & so on",
        aeroplane="<script>X</script>", asked_by="the night shift",
    )  # fmt: skip
    state = State("run-up", {"booster": "off"})
    made.answer(Finding("fuel-pressure", "no2-engine", "low", state, "read", typed="11 psi"))
    made.answer(Finding("fuel-smell", "aeroplane", "none", State(), "seen"))
    made.step_back()
    made.skip(b.planner.catalogue.readings[0])
    made.checked("inspect-strainer-element", "no2-strainer", "plugged", as_found="grey sludge")
    made.keep_ranking(made.step())
    return made


@pytest.mark.parametrize("form", FORMS)
def test_every_form_carries_the_labels_and_the_facts(job: Job, form: str) -> None:
    """UNREVIEWED, no release, the report, the typed figure, as found, and what was undone."""
    page = render(job, form)
    for fact in ("UNREVIEWED", "not a release to service", "11 psi", "grey sludge", "taken back"):
        assert fact in page
    assert job.name in page.replace("\\", "")


def test_typed_text_cannot_become_markup(job: Job) -> None:
    """What a person typed is shown, not interpreted."""
    page = render(job, "html")
    assert "<script>" not in page
    assert "&lt;script&gt;" in page
    assert "\\<script\\>" in render(job, "md")


def test_json_is_one_object_schema_version_first_with_every_section(job: Job) -> None:
    """Machines get ids beside words and the whole log."""
    body = json.loads(render(job, "json"))
    assert next(iter(body)) == "schema_version"
    assert {"findings", "checks", "rankings", "limits", "log"} <= set(body["sections"])
    assert len(body["sections"]["log"]) == len(job.log.events)
    assert body["sections"]["findings"][0]["finding"]["question"] == "fuel-pressure"
