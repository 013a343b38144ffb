"""Faults that hide: tries counted, conditions reached or not, and how long to watch."""

from __future__ import annotations

import math

import numpy as np
import pytest
from diagnosis.shipped import bench, library
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.errors import UsageError
from diagnose.job.answers import read_answer
from diagnose.job.diagnosis import Diagnosis
from diagnose.job.hidden import hiding, highest_rate, tries_for, tries_of, watch_plan
from diagnose.job.keeping.finding_data import finding_as_json, finding_of
from diagnose.model import CauseAt, Finding, State, shows_each_try

SINGLE = "low-wing-single"
RUN_UP = State("run-up", {"booster": "off"})
FLAP = CauseAt("hose-lining-flap", "hose")  # random, half of the tries
STRAINER = CauseAt("strainer-plugged", "strainer")  # steady
PRESSURE = library().questions["fuel-pressure"]


def low(seen: int, tries: int, *, reached: bool = True, value: str = "low") -> Finding:
    """Return the pressure gauge at run-up, so many times in so many tries."""
    return Finding(
        "fuel-pressure", "engine", value, RUN_UP, "read", tries=tries, seen=seen, reached=reached
    )


def odds(*findings: Finding) -> float:
    """Return the odds of the flap, which comes and goes, against the strainer, which stays."""
    p = Diagnosis(bench(SINGLE), engine=False).see(findings).posterior
    return float(p.single[p.causes.index(FLAP)] / p.single[p.causes.index(STRAINER)])


def test_low_now_and_then_points_to_what_comes_and_goes() -> None:
    """Twice in six tries speaks for the flap; six in six speaks for the strainer."""
    once = odds(low(1, 1))
    assert odds(low(2, 6)) > 50.0 * once
    assert odds(low(6, 6)) < once / 20.0


def test_one_in_one_is_a_plain_answer() -> None:
    """A count of one changes nothing."""
    plain = Finding("fuel-pressure", "engine", "low", RUN_UP, "read")
    assert odds(low(1, 1)) == odds(plain)


def test_absence_speaks_only_where_the_condition_was_reached() -> None:
    """Normal five times in the condition clears; outside it nothing is learned, to the digit."""
    normal = low(5, 5, value="normal")
    outside = low(5, 5, value="normal", reached=False)
    before = Diagnosis(bench(SINGLE), engine=False).see([]).posterior
    silent = Diagnosis(bench(SINGLE), engine=False).see([outside]).posterior
    spoken = Diagnosis(bench(SINGLE), engine=False).see([normal]).posterior
    assert np.array_equal(before.marginal, silent.marginal)
    i = before.causes.index(STRAINER)
    assert spoken.marginal[i] < 0.7 * before.marginal[i]


def test_what_was_seen_outside_the_condition_still_counts() -> None:
    """Low twice in six tries that missed the condition counts as low twice, not as four misses."""
    assert odds(low(2, 6, reached=False)) == odds(low(2, 2))


def test_more_clean_tries_clear_a_steady_fault_more_than_one_that_comes_and_goes() -> None:
    """The longer it stays away in its condition, the more it is one that hides."""
    one, five = odds(low(1, 1, value="normal")), odds(low(5, 5, value="normal"))
    assert five > one


@settings(max_examples=15)
@given(tries=st.integers(2, 6))
def test_the_counts_of_all_outcomes_share_out_the_belief(tries: int) -> None:
    """Over low k times of n, each with its number of orders, the belief moves by nothing.

    Classes other than low and normal are left out; what they would take is small and checked.
    """
    diagnosis = Diagnosis(bench(SINGLE), engine=False)
    base = diagnosis.see([]).posterior
    total = np.zeros_like(base.marginal)
    mass = 0.0
    for seen in range(tries + 1):
        f = low(seen, tries) if seen else low(tries, tries, value="normal")
        after = diagnosis.see([f]).posterior
        weight = math.comb(tries, seen) * math.exp(after.evidence - base.evidence)
        total += weight * after.marginal
        mass += weight
    assert 0.8 < mass <= 1.0 + 1e-9
    assert np.abs(total - base.marginal).max() <= 1.0 - mass + 1e-9


@pytest.mark.parametrize(
    ("typed", "value", "seen", "tries", "reached"),
    [
        ("low 2 of 5", "low", 2, 5, True),
        ("1 2 of 5 tries read", "low", 2, 5, True),
        ("normal, 3 of 3 not reached", "normal", 3, 3, False),
        ("normal 3 of 3 condition not reached told", "normal", 3, 3, False),
        ("2 psi 4 of 4", "low", 4, 4, True),
    ],
)
def test_tries_are_typed_behind_the_answer(
    typed: str, value: str, seen: int, tries: int, reached: bool
) -> None:
    """Number, name or figure, then the count, then whether the condition was reached."""
    answer = read_answer(typed, PRESSURE, bench(SINGLE).layout)
    assert (answer.value, answer.seen, answer.tries, answer.reached) == (
        value,
        seen,
        tries,
        reached,
    )


@pytest.mark.parametrize("typed", ["low 6 of 5", "low 0 of 5", "low 1 of 0", "odd 1 of 2"])
def test_counts_that_cannot_be_are_refused(typed: str) -> None:
    """One clear line; 'not seen' is answered by what was seen instead."""
    with pytest.raises(UsageError):
        read_answer(typed, PRESSURE, bench(SINGLE).layout)


def test_counts_survive_the_log_and_older_logs_have_none() -> None:
    """Plain data and back is the same finding; a log kept before tries were counted is one try."""
    finding = low(2, 5, reached=False)
    data = finding_as_json(finding)
    assert finding_of(data) == finding
    for key in ("tries", "seen", "reached", "chances"):
        del data[key]
    assert finding_of(data) == Finding("fuel-pressure", "engine", "low", RUN_UP, "read")


def test_patterns_of_the_knowledge_say_what_each_try_shows() -> None:
    """'random .5' shows half the time; what is steady or bound to a condition shows in it."""
    causes = library().causes
    assert shows_each_try(causes["hose-lining-flap"]) == 0.5
    assert shows_each_try(causes["strainer-plugged"]) == 1.0
    assert shows_each_try(causes["hot-soak-vapour"]) == 1.0


@pytest.mark.parametrize(
    ("chance", "each", "tries"), [(0.9, 0.5, 4), (0.5, 0.5, 1), (0.95, 0.1, 29)]
)
def test_tries_needed_are_the_fewest_that_reach_the_chance(
    chance: float, each: float, tries: int
) -> None:
    """One fewer would fall short."""
    assert tries_for(chance, each) == tries
    assert 1 - (1 - each) ** tries >= chance
    assert tries == 1 or 1 - (1 - each) ** (tries - 1) < chance


@pytest.mark.outside
def test_nothing_seen_leaves_the_rate_of_the_rule_of_three() -> None:
    """Hanley and Lippman-Hand (1983): 3/n is the upper 95 % limit when nothing was seen in n."""
    for n in (30, 100, 1000):
        assert highest_rate(n) == pytest.approx(3 / n, rel=0.06)


def test_tries_are_summed_and_rated_with_care() -> None:
    """Two in six and none in four: three of twelve by Laplace's rule; outside ones stand apart."""
    tries = tries_of(
        bench(SINGLE),
        [low(2, 6), low(4, 4, value="normal"), low(3, 3, value="normal", reached=False)],
    )
    assert (tries.reached, tries.seen, tries.outside) == (10, 2, 3)
    assert tries.each == pytest.approx(3 / 12)


def test_what_hides_is_listed_with_how_to_reach_it() -> None:
    """After a pressure that comes and goes, causes that come and go are named, none steady."""
    step = Diagnosis(bench(SINGLE), engine=False).see([low(2, 6)])
    rows = hiding(bench(SINGLE), step)
    assert rows
    assert all(r.pattern != "steady" and r.reach for r in rows)
    assert "hose" in rows[0].label or rows[0].pattern.startswith("random")


def test_the_watch_plan_names_gauge_condition_and_flights() -> None:
    """The gauge of the complaint, its state, and the flights for the chance asked."""
    step = Diagnosis(bench(SINGLE), engine=False).see([low(2, 6)])
    plan = watch_plan(bench(SINGLE), step, step.findings, 0.9)
    assert plan.gauges == ("fuel pressure gauge, engine",)
    assert "run-up" in plan.condition
    assert plan.flights == tries_for(0.9, 3 / 8)
