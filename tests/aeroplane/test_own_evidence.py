"""What an aeroplane's file does to belief: known defects explain, suspected ones and work lift."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest
from aeroplane.own_kit import FOUR, GAUGE_LOW, HEAD, RUN_UP, own_bench, pressure
from diagnosis.shipped import bench
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.belief.hypotheses import KNOWN_ALONE
from diagnose.job.diagnosis import Bench, Diagnosis
from diagnose.job.measured.beside import beside_others
from diagnose.model import CauseAt, Finding, Work
from diagnose.planner import Reading
from diagnose.planner.outlook import Outlook, reading_table

GAUGE = CauseAt("pressure-gauge-reads-low", "no3-pressure-gauge")
BOOSTER_DEAD = """\
deferred:
  - {defect: D2, what: pump dead, cause: booster-dead, at: port-middle-booster,
     since: 2026-11-01, limit: 30 days, reference: list item 2, known-by: seen}
"""


@lru_cache(maxsize=4)
def made(text: str) -> Bench:
    """Return the bench of a file, compiled once."""
    return own_bench(text)


def fresh(text: str = "", before: tuple[Work, ...] = ()) -> Diagnosis:
    """Return a diagnosis on the layout, with a file laid over it or without."""
    return Diagnosis(made(HEAD + text) if text else bench(FOUR), before, engine=False)


def odds(diagnosis: Diagnosis, findings: list[Finding], one: CauseAt, other: CauseAt) -> float:
    """Return the odds of one single cause against another."""
    p = diagnosis.see(findings).posterior
    return float(p.single[p.causes.index(one)] / p.single[p.causes.index(other)])


STRAINER3 = CauseAt("strainer-plugged", "no3-strainer")
STRAINER2 = CauseAt("strainer-plugged", "no2-strainer")


def test_a_gauge_known_to_read_low_says_nothing_by_reading_low() -> None:
    """Its low reading is expected of every cause; the same reading on a sound gauge points."""
    low = [pressure("no3-engine", "low")]
    plain = odds(fresh(), low, STRAINER3, STRAINER2) / odds(fresh(), [], STRAINER3, STRAINER2)
    known = fresh(GAUGE_LOW)
    lying = odds(known, low, STRAINER3, STRAINER2) / odds(known, [], STRAINER3, STRAINER2)
    assert plain > 20.0
    assert 0.9 < lying < 1.6


def test_the_other_gauges_speak_as_before() -> None:
    """A known defect on no. 3 changes nothing of what no. 2 says."""
    low = [pressure("no2-engine", "low")]
    plain, known = fresh(), fresh(GAUGE_LOW)
    assert odds(known, low, STRAINER2, STRAINER3) == pytest.approx(
        odds(plain, low, STRAINER2, STRAINER3), rel=1e-9
    )


def test_nothing_but_the_known_defect_is_a_hypothesis_of_its_own() -> None:
    """Its prior share is the stated one; a fading engine, which a gauge cannot do, lowers it."""
    diagnosis = fresh(GAUGE_LOW)
    index = diagnosis.belief.prior.index[GAUGE]
    assert diagnosis.belief.prior.prior[index] == pytest.approx(KNOWN_ALONE)
    factor, entry = diagnosis.belief.prior.lifted[index]
    assert "D1" in entry
    unlisted = fresh().belief.prior.prior[index]
    assert factor == pytest.approx(KNOWN_ALONE / unlisted, rel=0.2), "against not being listed"
    alone = dict(diagnosis.see([pressure("no3-engine", "low")]).posterior.ranking())[GAUGE]
    fades = Finding("engine-behaviour", "no3-engine", "fades", RUN_UP)
    worse = dict(diagnosis.see([pressure("no3-engine", "low"), fades]).posterior.ranking())[GAUGE]
    assert alone > 0.09
    assert worse < alone / 3


def test_a_known_dead_pump_explains_its_silence() -> None:
    """'Silent' of the deferred pump tells nothing new; without the entry it tells its supply."""
    silent = [Finding("booster-noise", "port-middle-booster", "silent")]
    supply = CauseAt("booster-supply-lost", "port-middle-booster-circuit")
    plain, known = fresh(), fresh(BOOSTER_DEAD)
    gain = odds(plain, silent, supply, STRAINER2) / odds(plain, [], supply, STRAINER2)
    explained = odds(known, silent, supply, STRAINER2) / odds(known, [], supply, STRAINER2)
    assert gain > 20.0
    assert explained < 2.0


def test_a_check_that_does_not_find_it_ends_its_being_known() -> None:
    """A master gauge that agrees: the entry is doubted, and the gauge's readings count again."""
    agrees = Finding("compare-master-gauge", "no3-pressure-gauge", "agrees", check=True)
    low = pressure("no3-engine", "low")
    diagnosis = fresh(GAUGE_LOW)
    assert diagnosis.bench.net.known
    shift = odds(diagnosis, [agrees, low], STRAINER3, STRAINER2) / odds(
        diagnosis, [agrees], STRAINER3, STRAINER2
    )
    assert shift > 20.0
    diagnosis.see([low])
    assert diagnosis.belief.net is diagnosis.bench.net  # the check withdrawn, it is known again


def test_a_defect_only_told_lifts_its_cause_and_no_more() -> None:
    """Told or assumed, it is a cause like any other with odds lifted as by work done."""
    told = fresh(GAUGE_LOW.replace("known-by: measured", "known-by: told"))
    assert not told.belief.net.known
    ratio = odds(told, [], GAUGE, STRAINER2) / odds(fresh(), [], GAUGE, STRAINER2)
    assert ratio == pytest.approx(told.bench.library.words.work_lift)


def test_recent_work_lifts_by_the_stated_factor() -> None:
    """Work from the file goes the way all work goes."""
    work = (Work("element renewed (2026-11-16)", "no2-strainer"),)
    ratio = odds(fresh(before=work), [], STRAINER2, STRAINER3) / odds(
        fresh(), [], STRAINER2, STRAINER3
    )
    assert ratio == pytest.approx(bench(FOUR).library.words.work_lift)


@settings(max_examples=10)
@given(
    engine=st.sampled_from(["no2-engine", "no3-engine"]),
    value=st.sampled_from(["low", "normal", "high", "hunting"]),
    first=st.booleans(),
)
def test_expected_posterior_is_the_prior_with_known_defects(
    engine: str, value: str, first: bool
) -> None:
    """Over the answers to come the belief moves by nothing on the whole, lying gauge or not."""
    diagnosis = fresh(GAUGE_LOW)
    findings = [pressure("no3-engine", "low")] if first else []
    step = diagnosis.see(findings)
    state = next(s for s in diagnosis.bench.layout.run_states if s.id == "run-up-booster-on")
    outlook = Outlook(diagnosis.belief, step.posterior)
    table = reading_table(diagnosis.belief, Reading("fuel-pressure", engine, state))
    given_ = outlook.given(table)
    assert np.allclose(given_.sum(axis=1), 1.0, atol=1e-12)
    joint = outlook.weights[:, None] * given_
    assert np.allclose(joint.sum(axis=1), outlook.weights, atol=1e-12)
    # what the outlook foretells of a class is what the belief then does with it
    k = list(table.classes).index(value)
    after = diagnosis.see([*findings, pressure_on(engine, value)]).posterior
    before = step.posterior
    i, j = before.causes.index(STRAINER2), before.causes.index(STRAINER3)
    rows = given_.reshape(-1, 3, given_.shape[1])
    at = {int(c): r for r, c in enumerate(outlook.causes)}
    told = [before.single[c] * float(before.grades[c] @ rows[at[c], :, k]) for c in (i, j)]
    assert after.single[i] / after.single[j] == pytest.approx(told[0] / told[1], rel=1e-6)


def pressure_on(engine: str, value: str) -> Finding:
    """Return a pressure finding at run-up, booster on, measured so that trust takes nothing."""
    from diagnose.model import State

    state = State("run-up", {"booster": "on", "crossfeed": "shut"})
    return Finding("fuel-pressure", engine, value, state, "measured")


def test_figures_are_laid_side_by_side_without_a_verdict() -> None:
    """Each engine's figure with its distance from the mean of the others."""
    found = [
        pressure("no1-engine", "", number=103421.0, typed="15 psi"),
        pressure("no2-engine", "", number=75842.0, typed="11 psi"),
        pressure("no3-engine", "", number=103421.0, typed="15 psi"),
    ]
    state = next(s for s in bench(FOUR).layout.run_states if s.id == "run-up-booster-off")
    rows = beside_others(bench(FOUR), found, Reading("fuel-pressure", "no2-engine", state))
    assert [r[0] for r in rows] == [
        "no. 1 engine (port outer)", "no. 2 engine (port inner)", "no. 3 engine (starboard inner)"
    ]  # fmt: skip
    assert rows[1][1] == "11 psi, 4 psi below the mean of the others"
    assert rows[0][1] == "15 psi, 2 psi above the mean of the others"
    own = made(HEAD + "fitted:\n  - {at: no2-pressure-gauge, serial: '2231'}\n")
    with_serial = beside_others(own, found, Reading("fuel-pressure", "no2-engine", state))
    assert with_serial[1][1].endswith("(fuel pressure gauge serial 2231)")
