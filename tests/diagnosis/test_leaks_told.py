"""A leak told by whatever question stops the work, or must be answered for before a run."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.job.diagnosis import Diagnosis, Step
from diagnose.model import Finding, State


def told(question: str, at: str, value: str) -> Step:
    """Return what the shipped single's rules and belief make of one finding."""
    finding = Finding(question, at, value, State("static"), "seen")
    return Diagnosis(bench("low-wing-single")).see([finding])


@pytest.mark.parametrize("where", ["panel", "cock", "primer", "floor", "overhead"])
def test_fuel_wet_anywhere_in_the_cabin_stops_the_work(where: str) -> None:
    """A primer that drips in the cockpit is fuel in the cabin, smelt or not."""
    (stop,) = told("cabin-wet-where", "aeroplane", where).outcome.stops
    assert "If an engine runs, stop it by the approved drill. Then leave every switch" in stop.text


@pytest.mark.parametrize(
    ("question", "at", "value", "words"),
    [
        ("strainer-drip", "strainer", "drips", "the drip at the strainer mended"),
        ("pump-drain-wet", "engine", "wet", "the pump drain looked at"),
    ],
)
def test_a_drip_is_answered_for_before_a_run(
    question: str, at: str, value: str, words: str
) -> None:
    """What drips at rest runs under pressure."""
    (caution,) = told(question, at, value).outcome.before_run
    assert caution.text.startswith(words)
