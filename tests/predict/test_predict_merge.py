"""What is stated and what is predicted, brought together: weights, silence and modes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from diagnosis.shipped import library
from hypothesis import given
from hypothesis import strategies as st
from predict.predict_kit import only_few, places, predictions

from diagnose.belief import Belief, BeliefNet
from diagnose.job.diagnosis import Bench, Diagnosis
from diagnose.job.explain import explain_cause
from diagnose.model import CauseAt, Finding, State
from diagnose.predict.merge import LEAST, MOST, standing, weighed

GIVES = np.array([True, True, False])
RUN_UP = State("run-up", {"booster": "off"})
RUN_UP_ON = State("run-up", {"booster": "on"})
KEY = ("metering-pressure", "engine", (("booster", "off"), ("power", "high")), 0)
rates = st.lists(st.floats(0.0, 1.0), min_size=9, max_size=9).map(
    lambda x: np.array(x).reshape(3, 3)
)


def test_a_word_weighs_five_times_the_model() -> None:
    """Often (.70) against a model that gives .10: (10 x .70 + 2 x .10) / 12 = .60."""
    out = weighed(np.full((3, 3), 0.7), np.full((3, 3), 0.1), GIVES, "both")
    assert out[:, :2] == pytest.approx(0.6)
    assert out[:, 2] == pytest.approx(0.7)  # a value the model cannot give stays as stated


@given(rates, rates)
def test_the_merged_rate_lies_between_the_two(stated: np.ndarray, model: np.ndarray) -> None:
    """No merging makes a value likelier or rarer than both say, the model bounded to .02-.98."""
    bounded = np.clip(model, LEAST, MOST)
    out = weighed(stated, model, np.ones(3, dtype=bool), "both")
    assert (out <= np.maximum(stated, bounded) + 1e-12).all()
    assert (out >= np.minimum(stated, np.where(bounded > LEAST, bounded, 0.0)) - 1e-12).all()


@given(rates)
def test_no_say_and_one_sided_silence_leave_the_word(stated: np.ndarray) -> None:
    """NaN changes nothing, nor does a model that shows nothing where its silence does not count."""
    same = weighed(stated, np.full((3, 3), np.nan), GIVES, "both")
    assert same == pytest.approx(stated)
    silent = weighed(stated, np.zeros((3, 3)), GIVES, "both", np.ones(3, dtype=bool))
    assert silent == pytest.approx(stated)


def test_what_nobody_stated_and_the_model_does_not_show_stays_nothing() -> None:
    """'Never' is for what was stated: the model's floor makes no new evidence."""
    nothing = np.zeros((3, 3))
    assert not weighed(nothing, np.full((3, 3), 0.01), GIVES, "both").any()
    assert not weighed(nothing, np.full((3, 3), 0.01), GIVES, "model").any()


def test_model_mode_ignores_rows_where_the_model_reads() -> None:
    """Only values it cannot give keep their word."""
    out = weighed(np.full((3, 3), 0.9), np.full((3, 3), 0.3), GIVES, "model")
    assert out[:, :2] == pytest.approx(0.3)
    assert out[:, 2] == pytest.approx(0.9)


def test_stated_mode_is_the_knowledge_alone() -> None:
    """With predictions in 'stated' mode every table is what it is without any."""
    plain = BeliefNet(only_few(), places()).table(KEY)
    same = BeliefNet(only_few(), places(), predictions("stated").merge).table(KEY)
    assert np.array_equal(plain.active, same.active)
    assert np.array_equal(plain.net, same.net)


def test_both_mode_puts_the_weighted_mean_in_the_table() -> None:
    """The belief's table holds what 'numbers' tells of a row: stated, model and merged."""
    net = BeliefNet(only_few(), places(), predictions().merge)
    table = net.table(KEY)
    cause = CauseAt("strainer-plugged", "strainer")
    i = net.index[cause]
    stated = net.stated(KEY[0], KEY[1], dict(KEY[2]))[i]
    three = predictions().numbers(KEY[0], KEY[1], dict(KEY[2]), cause, stated)
    assert three.model is not None
    assert table.net[table.row_of(i)] == pytest.approx(three.merged)
    low = [x[2, 0] for x in (three.stated, np.clip(three.model, LEAST, MOST), three.merged)]
    assert low[2] == pytest.approx((10 * low[0] + 5 * low[1]) / 15)


@pytest.mark.parametrize("evidence", ["stated", "model", "both"])
def test_probabilities_sum_to_one_in_every_mode(evidence: str) -> None:
    """Classes of a sign still exhaust what can be seen: expected posterior equals prior."""
    hook = predictions(evidence).merge  # type: ignore[arg-type]
    net = BeliefNet(only_few(), places(), hook)
    question = only_few().questions["fuel-pressure"]
    prior = Belief(net).update([])
    total = 0.0
    mean = np.zeros_like(prior.marginal)
    for answer in question.classes:
        after = Belief(net).update([Finding(question.id, "engine", answer, RUN_UP)])
        p = float(np.exp(after.evidence - prior.evidence))
        total += p
        mean += p * after.marginal
    assert total == pytest.approx(1.0, abs=1e-9)
    assert mean == pytest.approx(prior.marginal, abs=1e-9)


def test_model_mode_ranks_where_nobody_wrote_rows() -> None:
    """With every row struck out, low at run-up and no better with the booster is the strainer.

    Of the causes that act on the fuel: a gauge that reads low is told by its own table as before.
    """
    bare = {k: replace(c, produces=()) for k, c in only_few().causes.items()}
    library = replace(only_few(), causes=bare)
    findings = [
        Finding("fuel-pressure", "engine", "low", RUN_UP, "measured"),
        Finding("fuel-pressure", "engine", "low", RUN_UP_ON, "measured"),
    ]
    net = BeliefNet(library, places(), predictions("model").merge)
    ranked = [
        c
        for c, _ in Belief(net).update(findings).ranking()
        if c.cause in bare and not bare[c.cause].distorts
    ]
    assert ranked[0] == CauseAt("strainer-plugged", "strainer")
    alone = BeliefNet(library, places())
    before, after = (dict(Belief(alone).update(f).ranking()) for f in ([], findings))
    pump = CauseAt("engine-pump-worn", "engine-pump")
    # without predictions nothing tells the two apart, but for what second faults they go with
    assert after[ranked[0]] / after[pump] == pytest.approx(
        before[ranked[0]] / before[pump], rel=0.05
    )


def test_why_tells_all_three_numbers() -> None:
    """A reason names the rate as stated, by the model and as weighed; without them, none."""
    cause = CauseAt("strainer-plugged", "strainer")
    findings = [Finding("fuel-pressure", "engine", "low", RUN_UP, "read")]
    for found, wanted in ((predictions(), True), (None, False)):
        bench = Bench(only_few(), places().layout, found)
        diagnosis = Diagnosis(bench, engine=False)
        why = explain_cause(diagnosis, diagnosis.see(findings), cause)
        lines = [w for s in why.speaks for w in s.weighed]
        assert bool(lines) is wanted
        assert all("stated" in w and "model" in w and "weighed" in w for w in lines)


def test_where_a_difference_is_listed_the_word_stands() -> None:
    """The model has no say on a value it is said to be unable to show, and keeps it on others."""
    cause = CauseAt("engine-pump-drive-sheared", "engine-pump")
    known = dict(KEY[2])
    stated = {cause: np.full((3, 3), 0.3)}
    free = predictions().merge("metering-pressure", "engine", known, stated)
    listed = {("engine-pump-drive-sheared", "metering-pressure"): frozenset({"low"})}
    held = replace(predictions(), stands=listed)
    bound = held.merge("metering-pressure", "engine", known, stated)
    assert free is not None
    assert bound is not None
    assert np.array_equal(bound[cause][:, 0], stated[cause][:, 0])
    assert not np.array_equal(free[cause][:, 0], stated[cause][:, 0])
    assert np.array_equal(bound[cause][:, 1:], free[cause][:, 1:])
    others = [c for c in free if c != cause]
    assert others
    assert all(np.array_equal(free[c], bound[c]) for c in others)


def test_the_library_says_where_the_word_stands() -> None:
    """Entries on one cause and effect are taken together."""
    found = standing(library())
    assert found["air-locked-after-draining", "delivery"] >= {"none", "with-bubbles"}
    assert all(values for values in found.values())
