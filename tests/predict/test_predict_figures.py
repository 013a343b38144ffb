"""Measured figures beside the model's spread of them for each cause."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from diagnosis.shipped import library
from hypothesis import given, settings
from hypothesis import strategies as st
from predict.predict_kit import LAYOUT, only_few, places, predictions

from diagnose.cli.cases.ranking_view import cause_why, why_text
from diagnose.fuel.properties import DENSITY_15C, GRAVITY, PSI
from diagnose.job.diagnosis import Bench, Diagnosis
from diagnose.model import Aeroplane, Card, CauseAt, Evidence, Finding, Layout, State
from diagnose.predict import Predictions
from diagnose.predict.figures import SHARED, _density, edges_of
from diagnose.predict.gauges import gauge_of, heights_above
from diagnose.signs import value_of

RUN_UP = {"power": "high", "booster": "off", "heat": "cool"}
SHEARED = CauseAt("engine-pump-drive-sheared", "engine-pump")
STRAINER = CauseAt("strainer-plugged", "strainer")
WORN = CauseAt("engine-pump-worn", "engine-pump")


def ready(evidence: Evidence = "both") -> Predictions:
    """Return the predictions with what figures are read by."""
    return replace(predictions(evidence), questions=library().questions, layout=places().layout)


def ratio(cause: CauseAt, psi: float, shown: str, grade: int, **known: str) -> float:
    """Return how a pressure gauge's figure fits a cause."""
    fit = ready().fit("fuel-pressure", "engine", RUN_UP | known, shown, psi * PSI)
    assert fit is not None
    return float(fit.ratio.get(cause, np.ones(3))[grade])


@settings(max_examples=60)
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


def test_how_low_the_pressure_is_tells_a_worn_pump_from_a_sheared_drive() -> None:
    """A half worn pump holds some pressure; a drive that turns no more holds none."""
    assert ratio(WORN, 2.5, "low", 1) > 2.0 * ratio(SHEARED, 2.5, "low", 2)
    assert ratio(SHEARED, 0.1, "low", 2) > 1.5 * ratio(WORN, 0.1, "low", 1)
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


# ---------------------------------------------------------------------- gauge and error card


CARD = Card(
    "pressure-gauge", "pressure", ((2 * PSI, 2.5 * PSI), (6 * PSI, 6.5 * PSI)), ("", ""),
    reference="card 1", error=1.0 * PSI,
)  # fmt: skip


def with_card() -> Layout:
    """Return the test layout as one aeroplane whose pressure gauge reads half a psi low."""
    own = Aeroplane("X-TEST", LAYOUT, "", invented=True, cards={"pressure-gauge": CARD})
    return replace(places().layout, aeroplane=own)


def test_a_gauge_above_its_tapping_reads_less_by_the_fuel_between() -> None:
    """The column is added, after the error card has put the gauge itself right."""
    asked, layout = library().questions["fuel-pressure"], places().layout
    heights = heights_above(layout)
    parts = layout.parts
    above = parts["pressure-gauge"].numbers["height"] - parts["carburettor"].numbers["height"]
    column = DENSITY_15C * GRAVITY * above

    assert heights == {"pressure-gauge": pytest.approx(above)}
    assert gauge_of(asked, "engine", layout, heights).true(2 * PSI) == pytest.approx(
        2 * PSI + column
    )
    carded = gauge_of(asked, "engine", with_card(), heights)
    assert carded.true(2 * PSI) == pytest.approx(2.5 * PSI + column)
    assert carded.sigma == 0.5 * PSI
    # a master gauge's own form has its height in it already
    master = library().questions["test-gauge-pressure"]
    assert gauge_of(master, "engine", layout, heights).true(2 * PSI) == 2 * PSI


def test_a_figure_is_held_against_the_model_as_its_card_puts_it_right() -> None:
    """2.5 psi on a gauge half a psi low fits as 3 psi does, but for what the card may be out by."""
    carded = replace(ready(), layout=with_card())
    exact = replace(CARD, error=None)
    own = replace(with_card().aeroplane, cards={"pressure-gauge": exact})  # type: ignore[type-var]  # it has one
    sure = replace(ready(), layout=replace(with_card(), aeroplane=own))

    def worn(p: Predictions, psi: float) -> float:
        fit = p.fit("fuel-pressure", "engine", RUN_UP, "low", psi * PSI)
        assert fit is not None
        return float(fit.ratio[WORN][2])

    assert worn(sure, 1.5) == pytest.approx(worn(ready(), 2.0))
    assert worn(carded, 1.5) != pytest.approx(worn(sure, 1.5))


# ---------------------------------------------------------------------- why


def why_of(cause: CauseAt, found: Predictions | None) -> dict[str, Any]:
    """Return why a cause stands where it does after one pressure read at the run-up."""
    bench = Bench(only_few(), found.layout if found and found.layout else places().layout, found)
    diagnosis = Diagnosis(bench, engine=False)
    at = State("run-up", {"booster": "off"})
    figure = Finding(
        "fuel-pressure", "engine", "low", at, "read", number=2.5 * PSI, typed="2.5 psi"
    )
    return cause_why(bench, diagnosis, diagnosis.see([figure]), cause)


@pytest.mark.parametrize(
    ("cause", "fits"), [(WORN, "fits this cause better than"), (SHEARED, "less well than")]
)
def test_why_says_how_a_figure_fitted_and_where_the_spread_comes_from(
    cause: CauseAt, fits: str
) -> None:
    """In words and as data: the figure, its column of fuel, what the model shows for the cause."""
    body = why_of(cause, ready())
    said = body["speaks"][0]["figure"]
    text = why_text(body)

    assert fits in said["fits"]
    assert f"figure 2.5 psi: {said['fits']}" in text
    assert "for the gauge 0.18 m above its tapping" in text
    assert said["at_the_tapping_Pa"] > 2.5 * PSI
    assert {"grade", "from_Pa", "to_Pa"} == set(said["two_in_three"][0])
    assert "the fuel-system model solved on this layout" in said["spread_from"]
    assert "common practice, no source" in text


def test_the_part_of_the_figure_is_what_leaving_it_out_would_change() -> None:
    """The factor without the figure, times its part, is the factor with it."""
    with_it = why_of(WORN, ready())["speaks"][0]
    bare = why_of(WORN, replace(ready(), questions={}))["speaks"][0]

    assert bare["figure"] is None
    assert with_it["factor_on_odds"] == pytest.approx(
        bare["factor_on_odds"] * with_it["figure"]["part_of_the_factor"]
    )


def test_why_names_the_error_card_that_put_the_figure_right() -> None:
    """What the gauge showed and what its card makes of it stand side by side."""
    moved = why_of(WORN, replace(ready(), layout=with_card()))["speaks"][0]["figure"]["moved"]

    assert moved.startswith("2.5 psi read, 3 psi by its error card (card 1), 0.184 psi for the")


def test_without_the_model_why_says_nothing_of_figures() -> None:
    """Stated evidence alone weighs the class, and says no more."""
    assert why_of(WORN, None)["speaks"][0]["figure"] is None
