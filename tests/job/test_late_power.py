"""Power that comes on late, or that there is none of."""

from __future__ import annotations

from pathlib import Path

import pytest
from diagnosis.shipped import bench

from diagnose.job.at_hand import barred
from diagnose.job.gates import need_of, need_of_check, need_of_reading
from diagnose.job.job import Job
from diagnose.job.keeping.disturbed import by_check
from diagnose.job.keeping.registry import Registry
from diagnose.job.wording import hazards_of
from diagnose.planner import Action

SINGLE = "low-wing-single"


@pytest.mark.parametrize(
    "check",
    ["swap-contents-gauges", "swap-pressure-gauges", "bleed-and-repeat", "check-gauge-line"],
)
def test_what_is_read_with_power_on_after_the_part_was_open_asks_the_gates(check: str) -> None:
    """Power that comes only at the end of a check is power all the same."""
    known = bench(SINGLE).library.checks[check]
    assert need_of_check(known) == "power"
    assert "no-leak-before-power" in known.hazards


def test_where_nothing_can_be_switched_on_no_gate_of_power_is_asked() -> None:
    """A biplane fed by gravity: its sight gauge and its drain are read like the stick."""
    fitted = bench("header-biplane")
    read = [
        r
        for r in fitted.planner.catalogue.readings
        if r.question in ("contents-gauge", "strainer-flow", "carburettor-drips")
    ]
    assert read
    assert {need_of(fitted, Action((r,))) for r in read} == {""}
    assert not any(fitted.library.hazards[h].gates for h in hazards_of(fitted, Action((read[0],))))
    strainer = fitted.library.checks["inspect-strainer-element"]
    listed = [d["kind"] for d in by_check(strainer, "strainer", fitted.layout, ())]
    assert "line" in listed
    assert "breaker" not in listed, "no power, and none to be put back"
    pumped = by_check(strainer, "strainer", bench(SINGLE).layout, ())
    assert "breaker" in [d["kind"] for d in pumped]


@pytest.mark.parametrize("look", ["engine-bay-leak", "strainer-flow"])
def test_the_caution_of_power_is_read_before_power_and_at_no_look_with_it_off(look: str) -> None:
    """Who looks for a leak with the battery off is told of no switch; with a pump on he is."""
    catalogue = bench(SINGLE).planner.catalogue
    flow = [r for r in catalogue.readings if r.question == look]
    told = {
        need_of_reading(bench(SINGLE), r): "no-leak-before-power"
        in hazards_of(bench(SINGLE), Action((r,)))
        for r in flow
    }
    assert told == {"": False, "power": True}


def test_one_person_alone_is_offered_no_pump_and_no_run(tmp_path: Path) -> None:
    """A fire guard stands in view of the cockpit, and the one in it cannot be both."""
    alone = Job.open(Registry(tmp_path), bench(SINGLE), "2026-11-25", "Fades on the run-up.")
    catalogue = alone.bench.planner.catalogue
    needing = {r.key for r in catalogue.readings if need_of_reading(alone.bench, r)}
    assert not needing <= alone.situation().asked
    alone.record("at-hand", tools=None, hands=1, may_run=True)
    assert needing <= alone.situation().asked
    shut = barred(alone.bench, alone.state)
    assert {shut.readings[k] for k in needing} == {"takes 2 people, one of them the fire guard"}
    assert ("tank-drain-sample", "left-tank") not in {k[:2] for k in shut.readings}
