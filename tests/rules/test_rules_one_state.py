"""Lamp and gauge contradict each other only where both were seen in one run state."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.job.diagnosis import Diagnosis
from diagnose.model import Finding, State

ENGINE = "no2-engine"
OFF, ON = State("run-up", {"booster": "off"}), State("run-up", {"booster": "on"})
IDLE = State("idle", {"booster": "off"})
LIT = Finding("pressure-lamp", ENGINE, "lit", OFF, "seen")


def concluded(*findings: Finding, engine: bool) -> set[str]:
    """Return the symptoms true at the engine."""
    outcome = Diagnosis(bench("four-engine-injection"), engine=engine).see(findings).outcome
    return {s.symptom for s in outcome.symptoms.values() if s.verdict == "true" and s.at == ENGINE}


@pytest.mark.parametrize("engine", [True, False])
@pytest.mark.parametrize(
    ("gauge", "against"),
    [
        (Finding("fuel-pressure", ENGINE, "normal", OFF, "read"), True),
        (Finding("fuel-pressure", ENGINE, "normal", ON, "read"), False),
        (Finding("fuel-pressure", ENGINE, "normal", IDLE, "read"), False),
    ],
)
def test_a_lamp_in_one_state_says_nothing_of_the_gauge_in_another(
    gauge: Finding, against: bool, engine: bool
) -> None:
    """Lit with the booster off and normal with it on is a weak supply, not a false lamp."""
    assert ("lamp-against-gauge" in concluded(LIT, gauge, engine=engine)) is against
