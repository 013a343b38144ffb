"""What a look into a float chamber says of the faults that it cannot tell apart."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.job.diagnosis import Diagnosis
from diagnose.model import CauseAt, Finding, State

DRIPS = Finding("carburettor-drips", "engine", "drips", State("static"), "seen")


@pytest.mark.parametrize(
    ("result", "stands", "cleared"),
    [
        ("level-high", ("float-sunk", "needle-held-open"), "float-level-low"),
        ("level-low", ("needle-sticks-shut",), "float-level-high"),
        ("needle-dirty", ("needle-sticks-shut",), "float-level-low"),
    ],
)
def test_a_look_into_the_chamber_clears_only_what_it_can_see(
    result: str, stands: tuple[str, ...], cleared: str
) -> None:
    """A level found high may be set so, or come of a float or needle nobody looked at closely."""
    diagnosis = Diagnosis(bench("low-wing-single"), engine=False)
    before = dict(diagnosis.see([DRIPS]).posterior.ranking())
    look = Finding("inspect-float-and-needle", "carburettor", result, check=True)
    after = dict(diagnosis.see([DRIPS, look]).posterior.ranking())

    def kept(cause: str) -> float:
        at = CauseAt(cause, "carburettor")
        return after[at] / before[at]

    assert all(kept(cause) > 1.3 * kept(cleared) for cause in stands)
