"""Jobs drawn from the knowledge: the belief is the inverse of what draws them."""

from __future__ import annotations

from collections import Counter
from random import Random
from typing import Any

import numpy as np
import pytest
from belief.small_models import PLACE, OnePlace, random_library
from diagnosis.shipped import bench

from diagnose.belief import Belief, BeliefNet
from diagnose.casebook.worlds import Worlds
from diagnose.job.diagnosis import Diagnosis
from diagnose.merit.drawn import Drawn, drawn_jobs
from diagnose.merit.isolation import figures
from diagnose.merit.optimum import against_optimum, beyond
from diagnose.merit.standing_on import families
from diagnose.model import Finding, State
from diagnose.planner import Reading
from diagnose.signs import is_normal

SMALL = "header-biplane"
DRAWS = 6000


@pytest.mark.parametrize("seed", [1, 2])
def test_worlds_show_what_the_belief_expects(seed: int) -> None:
    """Frequencies of drawn answers equal the predictions: singles, pairs, strangers, trust."""
    net = BeliefNet(random_library(Random(seed)), OnePlace())
    belief = Belief(net)
    worlds = Worlds(net, belief.prior, np.random.default_rng(seed))
    asked = [Reading("q0", PLACE), Reading("q1", PLACE)]
    seen: Counter[tuple[str, ...]] = Counter()
    for _ in range(DRAWS):
        world = worlds.draw()
        seen[tuple(worlds.find(world, r, "told").value for r in asked)] += 1
    one, two = (net.library.questions[q].classes for q in ("q0", "q1"))
    log = {
        (a, b): belief.update(
            [Finding("q0", PLACE, a, State(), "told"), Finding("q1", PLACE, b, State(), "told")]
        ).evidence
        for a in one
        for b in two
    }
    total = np.exp(np.array(list(log.values()))).sum()
    for answers, evidence in log.items():
        p = float(np.exp(evidence) / total)
        spread = (p * (1.0 - p) / DRAWS) ** 0.5
        assert seen[answers] / DRAWS == pytest.approx(p, abs=4.5 * spread)


def test_drawn_jobs_are_ranked_with_honest_probabilities() -> None:
    """200 jobs of the shipped knowledge: calibration no worse than twice what chance gives."""
    got: Any = drawn_jobs(bench(SMALL), 200, 1)
    for way in ("report", "after_questions"):
        assert got[way]["jobs"] == 200
        assert got[way]["calibration_error"] < 2.0 * got[way]["calibration_error_by_chance"]
    assert got["after_questions"]["log_score"] < got["report"]["log_score"]
    assert got["after_questions"]["top1"] > got["report"]["top1"]


def test_the_same_seed_draws_the_same_jobs_and_another_does_not() -> None:
    """What is measured can be measured again."""
    first, again, other = (
        [drawn.report() for _ in range(5)]
        for drawn in (Drawn(bench(SMALL), 4), Drawn(bench(SMALL), 4), Drawn(bench(SMALL), 5))
    )
    assert first == again
    assert first != other


def test_a_report_holds_one_to_four_findings_and_something_wrong() -> None:
    """Jobs begin with a complaint; one way of reporting tells nothing else."""
    drawn = Drawn(bench(SMALL), 6)
    for _ in range(20):
        _, looked = drawn.report()
        _, wrong = drawn.report(only_wrong=True)
        assert 1 <= len(looked) <= 4
        assert any(not is_normal(f, drawn.bench.library) for f in looked.values())
        assert 1 <= len(wrong) <= 4
        assert all(not is_normal(f, drawn.bench.library) for f in wrong.values())


def test_fewer_pairs_rank_drawn_jobs_like_the_whole_reasoning() -> None:
    """The shortcut of the drawn jobs against a job's own ranking, rules included: within .02."""
    b = bench(SMALL)
    drawn = Drawn(b, 7)
    for _ in range(8):
        world, findings = drawn.report()
        _, marginal = drawn.rank(world, findings)
        step = Diagnosis(b, engine=False).see(list(findings.values()))
        assert np.abs(step.posterior.marginal - marginal).max() < 0.02


def test_readings_isolate_less_than_checks_and_both_together_most() -> None:
    """More to go by never covers less, nor leaves larger groups."""
    got = figures(bench(SMALL))
    assert got["readings"].coverage <= got["both"].coverage <= 1.0 + 1e-9
    assert got["checks"].coverage <= got["both"].coverage + 1e-9
    assert 0.0 < got["readings"].to_one <= got["readings"].to_three <= 1.0 + 1e-9
    assert got["both"].group_size <= got["readings"].group_size


def test_the_planner_is_near_the_optimal_tree() -> None:
    """Never better than the full tree, and within a twentieth of it on four problems."""
    minutes = against_optimum(bench(SMALL), 4, 1)
    assert all(m.best <= m.planned + 1e-9 for m in minutes)
    assert all(m.best <= m.unasked + 1e-9 for m in minutes)
    assert beyond(minutes)["beyond_best"] < 0.05


def test_nobody_has_reviewed_what_says_draft() -> None:
    """Shares are of causes on the layout; reviewed counts only what says so."""
    b = bench(SMALL)
    got = families(b)
    here = {c.cause for c in b.net.instances}
    assert sum(f["causes"] for f in got.values()) == len(here)
    reviewed = sum(b.library.causes[c].status == "reviewed" for c in here)
    assert sum(f["reviewed"] * f["causes"] for f in got.values()) == pytest.approx(reviewed)
    assert all(0.0 <= f["published"] <= 1.0 for f in got.values())
