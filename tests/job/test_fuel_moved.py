"""Fuel that left one tank and is in another: what moved it is looked for, not read off the dips."""

from __future__ import annotations

from diagnosis.shipped import bench

from diagnose.job.confirming import found
from diagnose.job.diagnosis import Diagnosis
from diagnose.model import CauseAt, Finding, State

PASSES = CauseAt("transfer-valve-passes", "port-outer-transfer-valve")


def dip(tank: str, value: str) -> Finding:
    """Return what the stick said of a tank."""
    return Finding("dip-every-tank", tank, value, State(), "seen", check=True)


def test_dips_that_show_fuel_moved_confirm_nothing_and_leave_what_moves_it() -> None:
    """The outer tank short, the middle one brim full: the transfer valve is not cleared by it."""
    diagnosis = Diagnosis(bench("four-engine-float"), engine=False)
    drips = Finding("vent-discharge", "port-middle-tank", "drips-in-heat", State("parked"), "told")
    tanks = bench("four-engine-float").places.tanks
    said = {"port-outer-tank": "other-tank-has-it", "port-middle-tank": "gained"}
    step = diagnosis.see([drips, *(dip(t, said.get(t, "as-booked")) for t in tanks)])
    assert found(bench("four-engine-float"), step, set()) is None
    order = [c for c, _ in step.posterior.ranking()]
    assert PASSES in order[:2]
