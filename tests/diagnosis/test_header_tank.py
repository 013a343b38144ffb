"""A header tank that ran low below a full tank: what holds its fuel back, and not fuel used up."""

from __future__ import annotations

from diagnosis.shipped import bench

from diagnose.job.diagnosis import Diagnosis
from diagnose.model import CauseAt, Finding, State

CUT = Finding("engine-behaviour", "engine", "stops", State("approach"), known_by="told")
LOW = Finding("tank-dipped", "header-tank", "low", known_by="told")
FULL = Finding("tank-dipped", "upper-tank", "plenty", known_by="told")
BLOCKED = CauseAt("cock-linkage-misrigged", "upper-cock")
BEHIND = CauseAt("cock-linkage-misrigged", "shut-off-cock")
USED_UP = CauseAt("fuel-used-up", "header-fuel")


def chances(*findings: Finding) -> dict[CauseAt, float]:
    """Return how likely each cause is by what was told."""
    return dict(Diagnosis(bench("header-biplane"), engine=False).see(findings).posterior.ranking())


def test_a_cock_above_the_header_tank_holds_back_what_is_missing_in_it() -> None:
    """The cock that fills it is lifted by a low header tank; the one behind it is not."""
    before, after = chances(CUT), chances(CUT, LOW)
    assert after[BLOCKED] > 2 * before[BLOCKED]
    assert after[BEHIND] < before[BEHIND]


def test_a_header_tank_is_not_used_up_below_a_full_one() -> None:
    """What it burns runs in from above, so fuel that is there was held back."""
    before, after = chances(CUT, LOW), chances(CUT, LOW, FULL)
    assert after[USED_UP] < before[USED_UP] / 2
    assert after[BLOCKED] > before[BLOCKED]
