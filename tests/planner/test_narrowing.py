"""A check that says where to look on and not what it is: weighed as a test, never a find."""

from __future__ import annotations

import math

import pytest
from diagnosis.shipped import bench, library

from diagnose.job.confirming import FOUND, confirmed, found, what_is_confirmed
from diagnose.job.diagnosis import Diagnosis
from diagnose.model import CauseAt, Finding, State
from diagnose.planner import Planner, Situation

LAYOUT = "high-wing-single"
LOW = [
    Finding("contents-gauge", "left-tank", "reads-low", known_by="read"),
    Finding("contents-gauge", "right-tank", "agree", known_by="read"),
    Finding("stick-repeats", "left-tank", "repeats", State("static"), "seen"),
]
STAYS = Finding("swap-contents-gauges", "left-gauge", "stays-with-tank", check=True)


def test_a_result_that_names_no_part_confirms_no_cause() -> None:
    """'The error stays with the tank' may be any fault of the sender: none of them is found."""
    b = bench(LAYOUT)
    step = Diagnosis(b, engine=False).see([*LOW, STAYS])
    assert found(b, step) is None
    assert not confirmed(b, CauseAt("sender-float-sunk", "left-sender"), [STAYS])


@pytest.mark.parametrize("cause", ["sender-float-soaked", "sender-arm-bent", "sender-track-worn"])
def test_a_result_that_names_no_part_speaks_for_all_it_may_be(cause: str) -> None:
    """No fault of the sender becomes unlikely because the error stayed with its tank."""
    diagnosis = Diagnosis(bench(LAYOUT), engine=False)
    at = CauseAt(cause, "left-sender")
    before = dict(diagnosis.see(LOW).posterior.ranking())[at]
    assert dict(diagnosis.see([*LOW, STAYS]).posterior.ranking())[at] > before


def test_a_cause_a_check_confirms_is_found_only_when_likelier_than_not() -> None:
    """Gallons mixed up in the ledger and nothing else told: it may be a slip of the audit."""
    b = bench("low-wing-single")
    mixed_up = CauseAt("ledger-gallons-mixed", "ledger")
    audit = Finding("audit-ledger", "ledger", "gallons-mixed", check=True)
    step = Diagnosis(b, engine=False).see([audit])
    assert confirmed(b, mixed_up, step.findings)
    assert dict(step.posterior.ranking())[mixed_up] < 0.5
    assert found(b, step) is None


def test_what_a_check_confirms_at_one_part_counts_together() -> None:
    """The error goes with the gauge: stuck, zero or scale, none likelier than not, it is found."""
    b = bench(LAYOUT)
    goes = Finding("swap-contents-gauges", "left-gauge", "follows-gauge", check=True)
    step = Diagnosis(b, engine=False).see([LOW[0], goes])
    first = found(b, step)
    assert first is not None
    assert first.at == "left-gauge"
    assert dict(step.posterior.ranking())[first] < FOUND
    told = what_is_confirmed(b, step, first)
    assert told.startswith("left tank contents gauge; how it failed is not told apart yet")


def test_what_narrows_settles_no_cause_in_the_plain_plan() -> None:
    """However cheap, changing the gauges over is not what settles a sender."""
    planner = bench(LAYOUT).planner
    settled = planner.settles(CauseAt("sender-float-sunk", "left-sender"), Situation())
    assert settled is not None
    check, _ = settled
    assert check != "swap-contents-gauges"
    listed = library().causes["sender-float-sunk"].checks
    assert any(c.check == "swap-contents-gauges" for c in listed)


def test_a_check_that_narrows_goes_before_the_dear_one_that_settles() -> None:
    """Two gauges are changed over before a sender is taken out of a tank."""
    diagnosis = Diagnosis(bench(LAYOUT), engine=False)
    step = diagnosis.see(LOW)
    asked: set[tuple[str, str, str]] = set()
    for _ in range(30):
        action = diagnosis.plan(step, Situation(asked=frozenset(asked)), math.inf).action
        if action is None or action.is_check:
            break
        asked |= {r.key for r in action.readings}
    assert action is not None
    assert (action.check, action.at) == ("swap-contents-gauges", "left-gauge")
    assert library().checks[action.check].narrows == ("stays-with-tank",)
    done = frozenset({(action.check, action.at)})
    then = diagnosis.plan(step, Situation(frozenset(asked), done), math.inf).action
    assert then is None or (then.check, then.at) != (action.check, action.at)


def test_the_time_to_make_the_tables_is_not_taken_from_the_plan(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The first plan on a cold machine weighs its readings, and opens nothing for want of time."""
    now = [0.0]
    planner = Planner(bench(LAYOUT).planner.catalogue, clock=lambda: now[0])
    diagnosis = Diagnosis(bench(LAYOUT), engine=False)
    step = diagnosis.see(LOW)
    sifted = planner._sifted

    def slowly(*given: object) -> object:
        now[0] += 5.0
        return sifted(*given)  # type: ignore[arg-type]  # handed on as it came

    monkeypatch.setattr(planner, "_sifted", slowly)
    plan = planner.next(diagnosis.belief, step.posterior, Situation(), deadline=1.0)
    assert not plan.greedy


def test_a_tank_that_gained_says_that_something_fills_it_and_not_what() -> None:
    """A return tank found brim full clears no stuck vapour float, and finds no full-tank drill."""
    rises = Finding("contents-trend-running", "starboard-inner-tank", "rises", known_by="told")
    gained = Finding("dip-every-tank", "starboard-inner-tank", "gained", check=True)
    b = bench("four-engine-injection")
    before = dict(Diagnosis(b, engine=False).see([rises]).posterior.ranking())
    step = Diagnosis(b, engine=False).see([rises, gained])
    after = dict(step.posterior.ranking())
    stuck, drill = (
        CauseAt("vapour-float-stuck-open", "no4-carburettor"),
        CauseAt("return-into-full-tank", "no4-vapour-return"),
    )
    assert found(b, step) is None
    assert not confirmed(b, drill, [gained])
    assert after[stuck] > before[stuck]
