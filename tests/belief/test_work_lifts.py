"""Which causes work done since the last good run lifts, on the shipped layouts, and by how much."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.belief.belief import Belief
from diagnose.model import Work

TWIN = bench("low-wing-twin")
FUELLED = TWIN.library.words.fuelling_lift
WORKED = TWIN.library.words.work_lift


def lifts(*works: Work) -> dict[str, float]:
    """Return the factor on each cause that ``works`` lift, by its name and part."""
    belief = Belief(TWIN.net, works)
    return {str(belief.prior.causes[i]): factor for i, (factor, _) in belief.prior.lifted.items()}


def test_fuelling_told_of_no_tank_lifts_what_comes_with_fuel_everywhere() -> None:
    """Bad fuel, and the cap of every tank, are likelier after fuelling, by the factor for it."""
    lifted = lifts(Work("refuelled", "fuel-aboard"))
    assert lifted["water-with-uplift@fuel-aboard"] == FUELLED
    assert lifted["turbine-fuel-in-tank@fuel-aboard"] == FUELLED
    assert lifted["cap-not-seated@port-main-cap"] == FUELLED
    assert lifted["cap-not-seated@starboard-aux-cap"] == FUELLED
    assert "rag-in-tank@port-main-tank" not in lifted


def test_fuelling_one_tank_lifts_the_cap_of_that_tank_alone() -> None:
    """Nobody had the other caps off."""
    lifted = lifts(Work("topped up", "port-main-fuel"))
    assert lifted["cap-not-seated@port-main-cap"] == FUELLED
    assert "cap-not-seated@starboard-main-cap" not in lifted


@pytest.mark.parametrize("first", [0, 1])
def test_work_on_a_part_counts_before_the_fuelling_that_followed(first: int) -> None:
    """A cap changed and a tank filled: the cap is lifted once, as work on it lifts it."""
    works = [Work("cap changed", "port-main-cap"), Work("filled", "port-main-fuel")]
    lifted = lifts(*(works if first == 0 else works[::-1]))
    assert lifted["cap-not-seated@port-main-cap"] == WORKED


def test_work_on_one_of_several_like_parts_lifts_what_belongs_to_it_and_no_other() -> None:
    """A cap changed on a twin: that cap and its tank, not the other tanks of the same side."""
    lifted = lifts(Work("cap changed", "port-main-cap"))
    assert lifted["cap-not-seated@port-main-cap"] == WORKED
    assert not [cause for cause in lifted if "aux" in cause or "starboard" in cause]


def test_work_lifts_what_is_not_of_the_fuel_system_as_it_lifts_our_causes() -> None:
    """After an air filter the intake gains twentyfold on a cause that work left alone."""

    def odds(*works: Work) -> float:
        prior = Belief(TWIN.net, works).prior
        number = {str(cause): i for i, cause in enumerate(prior.causes)}
        intake, water = number["intake-blocked@no1-engine"], number["water-in-fuel@port-main-fuel"]
        return float(prior.prior[intake] / prior.prior[water])

    assert odds(Work("new air filter", "no1-engine")) == pytest.approx(WORKED * odds(), rel=0.01)


def test_what_is_not_in_the_knowledge_keeps_its_odds_beside_our_causes_after_work() -> None:
    """A failure that nobody listed may come of the work like any that is listed."""

    def share(*works: Work) -> float:
        prior = Belief(TWIN.net, works).prior
        ours = sum(p for p, kind in zip(prior.prior, prior.outside, strict=True) if not kind)
        return float(prior.prior[-1] / ours)

    assert share(Work("strainer cleaned", "no1-strainer")) == pytest.approx(share(), rel=0.02)
