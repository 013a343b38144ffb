"""What a check shows beside the cause it is made for: it speaks for that and confirms nothing."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.job.confirming import confirmed, fits_also, found
from diagnose.job.diagnosis import Diagnosis
from diagnose.job.explain import explain_cause
from diagnose.job.ranking import in_short
from diagnose.model import CauseAt, Finding, State

SINGLE = bench("low-wing-single")
NO_ANSWER = Finding("check-relief-setting", "pump-relief", "no-answer", check=True)
WORN = CauseAt("engine-pump-worn", "engine-pump")
PLUGGED = CauseAt("strainer-plugged", "strainer")
UNFED = CauseAt("booster-supply-lost", "booster-circuit")
HELD_OPEN = CauseAt("pump-relief-stuck-open", "pump-relief")


@pytest.mark.parametrize(
    ("check", "at", "result", "cause"),
    [
        ("check-relief-setting", "pump-relief", "no-answer", WORN),
        ("measure-pump-inlet", "engine-pump", "deep-suction", PLUGGED),
        ("look-for-flooding", "carburettor", "wet", CauseAt("needle-held-open", "carburettor")),
        ("drain-carburettor-bowl", "carburettor", "water", CauseAt("water-in-fuel", "left-fuel")),
        ("compare-booster-current", "booster", "none", UNFED),
    ],
)
def test_what_a_fault_shows_at_a_check_for_another_speaks_for_it(
    check: str, at: str, result: str, cause: CauseAt
) -> None:
    """A worn pump cannot answer the relief adjuster either, so that is no sign against it."""
    before = dict(Diagnosis(SINGLE).see(()).posterior.ranking())[cause]
    shown = Finding(check, at, result, check=True)
    after = dict(Diagnosis(SINGLE).see((shown,)).posterior.ranking())[cause]
    assert after > 3 * before


def test_what_only_speaks_for_a_cause_confirms_nothing_of_it() -> None:
    """Only the relief valve is confirmed by its adjuster, and it is not found while less likely."""
    step = Diagnosis(SINGLE).see((NO_ANSWER,))
    assert confirmed(SINGLE, HELD_OPEN, [NO_ANSWER])
    assert not confirmed(SINGLE, WORN, [NO_ANSWER])
    assert found(SINGLE, step) is None


def test_why_leads_to_the_line_that_says_what_the_check_shows() -> None:
    """The reason for a cause after a check is its own row, not only its file."""
    job = Diagnosis(SINGLE)
    step = job.see((NO_ANSWER,))
    line = next(k.origin for k in SINGLE.library.causes[WORN.cause].also_shows
                if k.check == NO_ANSWER.question)  # fmt: skip
    rows = [row for one in explain_cause(job, step, WORN).speaks for row in one.rows]
    assert (line, "check check-relief-setting shows 'no-answer' with it 40% of the time") in rows


def test_what_shows_the_same_result_is_told_beside_what_a_check_confirmed() -> None:
    """Air bled from the line came in by a union, or by the strainer bowl that was opened."""
    b = bench("low-wing-single-electric")
    climb = State(stage="climb")
    findings = (
        Finding("fuel-pressure", "engine", "hunting", climb, "told"),
        Finding("engine-behaviour", "engine", "surges", climb, "told"),
        Finding("bleed-and-repeat", "supply-line", "air", check=True),
    )
    step = Diagnosis(b).see(findings)
    cause = found(b, step)
    assert cause == CauseAt("suction-draws-air", "supply-line")
    also = fits_also(b, step, cause, ())
    assert CauseAt("strainer-seal-draws-air", "strainer") in also
    assert not confirmed(b, CauseAt("strainer-seal-draws-air", "strainer"), findings)


def test_a_mode_that_may_be_at_several_parts_is_told_once() -> None:
    """'Paint in any tank' is read in a glance, three lines of it hide what else there is."""
    b = bench("radial-single-hand-pump")
    tanks = [c for c in b.net.instances if c.cause == "work-debris-in-tank"]
    told = in_short(b, [*tanks, CauseAt("engine-pump-worn", "engine-pump")], 3)
    assert told.count(b.library.causes["work-debris-in-tank"].title) == 1
    assert "engine pump worn" in told
    assert in_short(b, [*tanks, CauseAt("engine-pump-worn", "engine-pump")], 1) in told
