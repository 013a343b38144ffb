"""What an answer would tell, worked out fast and held to the plain sum."""

from __future__ import annotations

import numpy as np
import pytest
from diagnosis.shipped import CASES, bench

from diagnose.job.diagnosis import Diagnosis
from diagnose.knowledge_files import load_case
from diagnose.model import CauseAt
from diagnose.planner.outlook import Outlook, check_table, reading_table
from diagnose.planner.worth import entropy_gain


@pytest.mark.parametrize("told", [0, 2, 5])
def test_the_bits_of_a_reading_equal_the_entropy_gain_over_all_hypotheses(told: int) -> None:
    """The short way over the causes that act gives the long sum to 1e-9, strangers included."""
    b = bench("four-engine-injection")
    case = load_case(CASES / "demo-job.yaml", b.library, b.layout)
    diagnosis = Diagnosis(b, case.before, engine=False)
    outlook = Outlook(diagnosis.belief, diagnosis.see(case.findings[:told]).posterior)
    for reading in b.planner.catalogue.readings[::7]:
        table = reading_table(diagnosis.belief, reading)
        long = entropy_gain(outlook.weights, outlook.given(table))
        assert outlook.bits(table) == pytest.approx(long, abs=1e-9)


def test_two_questions_on_one_effect_keep_their_own_instruments() -> None:
    """A master gauge is not bent by what is wrong with the gauge in the panel."""
    b = bench("low-wing-single")
    diagnosis = Diagnosis(b, engine=False)
    gauge = b.net.index[CauseAt("pressure-gauge-reads-low", "pressure-gauge")]
    of = {
        r.question: reading_table(diagnosis.belief, r)
        for r in b.planner.catalogue.readings
        if r.question in ("fuel-pressure", "test-gauge-pressure")
    }
    assert gauge in of["fuel-pressure"].active
    assert gauge not in of["test-gauge-pressure"].active


def test_a_rectified_cause_answers_no_more() -> None:
    """Tables kept for jobs with nothing mended serve none with something mended, nor do theirs."""
    b = bench("low-wing-single")
    at = "inspect-strainer-element", "strainer"
    plugged, stale = (
        CauseAt("strainer-plugged", "strainer"),
        CauseAt("fuel-gone-stale", "fuel-aboard"),
    )

    def rows(mended: CauseAt | None) -> tuple[np.ndarray, np.ndarray]:
        diagnosis = Diagnosis(b, engine=False)
        diagnosis.see((), {mended: 0} if mended else {})
        table = check_table(diagnosis.belief, *at)
        k = table.active.tolist().index(b.net.index[plugged])
        return table.rows[k], table.default

    sound, _ = rows(None)
    assert sound.max() > 0.5
    acts_no_more, default = rows(plugged)
    assert acts_no_more == pytest.approx(default[None, :].repeat(3, axis=0))
    assert rows(stale)[0] == pytest.approx(sound)
    assert rows(None)[0] == pytest.approx(sound)
