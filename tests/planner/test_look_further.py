"""Which readings are weighed with one more question after them."""

from __future__ import annotations

from diagnosis.shipped import bench

from diagnose.job.diagnosis import Diagnosis
from diagnose.model import Finding, State
from diagnose.planner.actions import NOTHING_DONE

TIPS = "low-wing-single-tip-tanks"


def test_what_tells_most_a_minute_is_weighed_with_the_question_after_it() -> None:
    """A pump listened to saves little alone; beside a sample it is weighed by the same measure."""
    planner = bench(TIPS).planner
    weak = Finding("delivery-test", "engine", "weak", State("static", {"booster": "on"}), "read")
    diagnosis = Diagnosis(bench(TIPS), engine=False)
    step = diagnosis.see([weak])
    plan = diagnosis.plan(step, NOTHING_DONE, deadline=float("inf"))
    weighed = {a.readings[0].question: a for a in plan.others if a.readings}

    outlook, told = planner.sift(diagnosis.belief, step.posterior, NOTHING_DONE)
    purse = planner.purse(outlook, NOTHING_DONE)
    now = float(purse.value(outlook.weights[None, :])[0])
    listened = next(s for s in told if s.reading.question == "booster-noise")
    alone = planner.weigh(outlook, purse, now, (listened,))
    assert weighed["booster-noise"].saves > alone.saves + weighed["booster-noise"].minutes
