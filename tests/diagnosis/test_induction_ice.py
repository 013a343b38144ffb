"""Carburettor ice and heat belong to engines with a carburettor."""

from __future__ import annotations

import pytest
from diagnosis.shipped import LAYOUTS, bench

from diagnose.job.diagnosis import Diagnosis
from diagnose.model import Finding, State


@pytest.mark.parametrize("layout", LAYOUTS)
def test_only_an_engine_with_a_venturi_ices_there_and_is_asked_about_its_heat(layout: str) -> None:
    """A pressure carburettor has a throat that fuel cools; nozzles at the ports have none."""
    b = bench(layout)
    throat = b.layout.traits["carburettor"] != "nozzles"
    asked = any(r.question == "carburettor-heat" for r in b.planner.catalogue.readings)
    listed = any(c.cause == "induction-ice" for c in b.net.instances)
    assert (asked, listed) == (throat, throat)


def test_warm_air_that_helps_an_injected_engine_points_to_its_filter() -> None:
    """What was told of alternate air all the same is not lost: the filter is blocked or iced."""
    cruise = State("cruise")
    told = [
        Finding("engine-behaviour", "engine", "fades", cruise, "told"),
        Finding("carburettor-heat", "engine", "clears-it", cruise, "told"),
    ]
    step = Diagnosis(bench("low-wing-single-injected"), engine=False).see(told)
    assert step.posterior.ranking()[0][0].cause == "intake-blocked"
