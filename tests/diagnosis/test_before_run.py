"""What was found asks for before an engine runs again, in the shipped knowledge."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.job.diagnosis import Diagnosis
from diagnose.model import Finding, State

AT_REST = State("static", {"booster": "off"})


@pytest.mark.parametrize(
    ("finding", "asked"),
    [
        (Finding("primer-locked", "primer", "not-locked"), "primer pushed home and locked"),
        (Finding("engine-start", "engine", "floods"), "no cylinder holding fuel"),
        (Finding("carburettor-drips", "engine", "drips", AT_REST), "no cylinder holding fuel"),
    ],
)
def test_no_engine_runs_with_the_primer_open_or_fuel_in_a_cylinder(
    finding: Finding, asked: str
) -> None:
    """A primer seen open is locked before the run, and a flooded engine is known free of fuel."""
    outcome = Diagnosis(bench("header-biplane"), engine=False).see([finding]).outcome
    assert any(asked in c.text for c in outcome.before_run)


def test_an_engine_that_does_not_fire_after_storage_waits_for_its_list() -> None:
    """Years of standing ask for the return-to-service list before the first run."""
    findings = [
        Finding("days-parked", "aeroplane", "long"),
        Finding("engine-start", "engine", "no-start"),
    ]
    outcome = Diagnosis(bench("header-biplane"), engine=False).see(findings).outcome
    assert any("return-to-service list" in c.text for c in outcome.before_run)
