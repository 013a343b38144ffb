"""What a measured figure adds to its class: one likelihood, and none where nothing is known."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pytest
from belief.small_models import PLACE, OnePlace, cause, library, row

from diagnose.belief import Belief, BeliefNet, Posterior
from diagnose.model import CauseAt, Effect, Finding, Library, Question, State

COMMON = {1.0: 0.3, 2.0: 0.7}
"""How often each of two figures comes with 'low' under all causes together."""
OWN = {"a": {1.0: 0.9, 2.0: 0.1}, "b": {1.0: 0.2, 2.0: 0.8}}
"""The same under two of the causes."""


@dataclass(frozen=True)
class Given:
    """A fit as the belief takes it."""

    value: str
    ratio: dict[CauseAt, np.ndarray]


def told(question: str, place: str, known: object, shown: str, figure: float) -> Given | None:
    """Return how the two figures fit the two causes."""
    if shown != "low":
        return None
    ratio = {CauseAt(c, PLACE): np.full(3, own[figure] / COMMON[figure]) for c, own in OWN.items()}
    return Given("low", ratio)


def three() -> Library:
    """Return three causes of low pressure and two gauges that read it."""
    effect = Effect("pressure", "", ("engine",), ("normal", "low"), {"low": 0.02})
    shows = {"normal": {"normal": 0.95, "low": 0.05}, "low": {"normal": 0.1, "low": 0.9}}
    classes = {"normal": "normal", "low": "low"}
    questions = [
        Question(q, "", "", "pressure", ("engine",), classes, shows, unit="pressure")
        for q in ("gauge", "test-gauge")
    ]
    often = {"slight": 0.3, "half": 0.6, "severe": 0.9}
    causes = [cause(c, 0.1, [row("pressure", "low", often)]) for c in ("a", "b", "c")]
    return library([effect], questions, causes)


def seen(*findings: Finding, figures: Any = told) -> Posterior:
    """Return the belief after these findings."""
    net = BeliefNet(three(), OnePlace(), figures=figures)
    return Belief(net).update(findings)


def low(question: str = "gauge", figure: float | None = None, known_by: str = "read") -> Finding:
    """Return a low reading."""
    return Finding(question, PLACE, "low", State("run-up", {}), known_by, number=figure)  # type: ignore[arg-type]


def of(posterior: Posterior, name: str) -> float:
    """Return the belief in one cause."""
    return dict(posterior.ranking())[CauseAt(name, PLACE)]


def test_a_figure_moves_the_odds_by_its_ratio_within_the_class() -> None:
    """Two causes that give the class alike are told apart by the figure alone."""
    plain, first, second = seen(low()), seen(low(figure=1.0)), seen(low(figure=2.0))
    assert of(plain, "a") == pytest.approx(of(plain, "b"))
    assert of(first, "a") > of(first, "c") > of(first, "b")
    assert of(second, "b") > of(second, "c") > of(second, "a")


def test_a_figure_enters_once_so_that_all_figures_together_say_what_the_class_says() -> None:
    """Weighed by how often each figure comes, the posteriors average to that of the class."""
    plain = seen(low())
    comes = {x: COMMON[x] * np.exp(seen(low(figure=x)).evidence - plain.evidence) for x in COMMON}
    assert sum(comes.values()) == pytest.approx(1.0, abs=1e-12)
    mean = sum(p * seen(low(figure=x)).marginal for x, p in comes.items())
    assert np.allclose(mean, plain.marginal, atol=1e-12)


def test_two_figures_of_one_effect_in_one_state_count_as_one() -> None:
    """The second gauge adds its class, not the same figure again, in whatever order they come."""
    both = [low("gauge", 1.0, "told"), low("test-gauge", 1.0)]
    classes_too = [low("gauge", None, "told"), low("test-gauge", 1.0)]
    expected = seen(*classes_too)
    assert np.allclose(seen(*both).marginal, expected.marginal, atol=1e-12)
    assert np.allclose(seen(*reversed(both)).marginal, expected.marginal, atol=1e-12)


def test_without_a_figure_or_without_anything_to_compare_the_class_stands_alone() -> None:
    """No figure, no spread or another class: the posterior is that of the class table."""
    plain = seen(low(), figures=None)
    assert np.array_equal(seen(low()).marginal, plain.marginal)
    assert np.array_equal(seen(low(figure=1.0), figures=None).marginal, plain.marginal)
    good = replace(low(figure=1.0), value="normal")
    assert np.array_equal(seen(good).marginal, seen(good, figures=None).marginal)


def test_a_figure_that_was_only_told_moves_less() -> None:
    """Who is trusted less moves the odds less."""
    assert of(seen(low(figure=1.0)), "a") > of(seen(low(figure=1.0, known_by="told")), "a")
