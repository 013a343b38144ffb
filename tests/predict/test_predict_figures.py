"""Measured figures beside the model's spread of them for each cause."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from diagnosis.shipped import library
from hypothesis import given, settings
from hypothesis import strategies as st
from predict.predict_kit import LAYOUT, places, predictions

from diagnose.fuel.properties import PSI
from diagnose.model import CauseAt
from diagnose.predict import Predictions
from diagnose.predict.figures import SHARED, _density, edges_of, value_of
from diagnose.predict.merge import Evidence

RUN_UP = {"power": "high", "booster": "off", "heat": "cool"}
SHEARED = CauseAt("engine-pump-drive-sheared", "engine-pump")
STRAINER = CauseAt("strainer-plugged", "strainer")
RELIEF = CauseAt("pump-relief-stuck-open", "pump-relief")
WORN = CauseAt("engine-pump-worn", "engine-pump")


def ready(evidence: Evidence = "both") -> Predictions:
    """Return the predictions with what figures are read by."""
    return replace(predictions(evidence), questions=library().questions, layout=places().layout)


def ratio(cause: CauseAt, psi: float, shown: str, grade: int, **known: str) -> float:
    """Return how a pressure gauge's figure fits a cause."""
    fit = ready().fit("fuel-pressure", "engine", RUN_UP | known, shown, psi * PSI)
    assert fit is not None
    return float(fit.ratio.get(cause, np.ones(3))[grade])


@settings(max_examples=60, deadline=None)
@given(st.floats(-5.0, 5.0), st.floats(0.05, 3.0), st.floats(-4.0, 4.0), st.floats(0.2, 6.0))
def test_a_spread_cut_to_its_class_is_a_density_there(
    mean: float, sigma: float, low: float, width: float
) -> None:
    """Over the class it integrates to one, unless next to nothing of it lies inside."""
    bounded = min(max(mean, low), low + width)  # figures of a class lie in it, and so their mean
    x = np.linspace(low, low + width, 4001)
    heights = np.array(
        [_density(v, np.array(bounded), np.array(sigma), low, low + width) for v in x]
    )
    assert float(np.trapezoid(heights, x)) == pytest.approx(1.0, abs=0.05)


def test_how_low_the_pressure_is_tells_a_weak_relief_from_a_sheared_drive() -> None:
    """A relief stuck half open holds some pressure; a drive that turns no more holds none."""
    assert ratio(RELIEF, 2.5, "low", 1) > 2.0 * ratio(SHEARED, 2.5, "low", 2)
    assert ratio(SHEARED, 0.1, "low", 2) > 1.5 * ratio(RELIEF, 0.1, "low", 1)
    assert ratio(STRAINER, 0.1, "low", 2) > 1.0  # a blocked strainer falls late and all at once


def test_a_figure_within_the_band_speaks_against_what_would_move_it() -> None:
    """A sound engine's own pressure fits a half worn pump worse than nothing being wrong."""
    sound = float(ready().tables.blocks["metering-pressure", "engine"].sound[:, 0, 1].max())
    assert ratio(WORN, sound / PSI, "normal", 1) <= 1.0


def test_no_figure_counts_for_more_than_stated_nor_less_than_the_shared_part() -> None:
    """Ratios stay between the shared part and the stated most."""
    fit = ready().fit("fuel-pressure", "engine", RUN_UP, "low", 1.0 * PSI)
    assert fit is not None
    every = np.stack(list(fit.ratio.values()))
    assert every.min() >= SHARED
    assert every.max() <= 10.0


def test_a_figure_is_compared_only_where_the_model_was_asked_for() -> None:
    """Stated evidence, another question or an unknown state give nothing."""
    assert ready("stated").fit("fuel-pressure", "engine", RUN_UP, "low", PSI) is None
    assert ready("model").fit("fuel-pressure", "engine", RUN_UP, "low", PSI) is not None
    assert ready().fit("outside-heat", "engine", RUN_UP, "hot", 300.0) is None
    assert ready().fit("fuel-pressure", "engine", {"attitude": "disturbed"}, "low", PSI) is None
    assert predictions().fit("fuel-pressure", "engine", RUN_UP, "low", PSI) is None


def test_a_class_has_the_edges_of_the_limit_that_cuts_it() -> None:
    """Low ends where the band begins; a swinging needle has no edges."""
    asked, layout = library().questions["fuel-pressure"], places().layout
    limit = layout.limits["fuel-pressure"]
    low, high, size, band = edges_of(asked, layout, "low")
    assert (low, high) == (-math.inf, limit.low)
    assert (size, band) == (limit.high, (limit.high or 0.0) - (limit.low or 0.0))
    assert edges_of(asked, layout, "hunting")[:2] == (-math.inf, math.inf)
    assert value_of(asked, "low") == "low"
    assert layout.id == LAYOUT
