"""What came with one delivery, or one cold night, is in several tanks at once: one cause."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench, library

from diagnose.job.diagnosis import Diagnosis
from diagnose.model import Finding, State

TWIN = "low-wing-twin"


def ranked(layout: str, *findings: Finding) -> list[tuple[str, float]]:
    """Return (cause@part, chance), best first."""
    step = Diagnosis(bench(layout), engine=False).see(findings)
    return [(str(c), p) for c, p in step.posterior.ranking()]


def runs(engine: str, value: str) -> Finding:
    """Return how an engine ran at take-off."""
    return Finding("engine-behaviour", engine, value, State("take-off"), "told")


def drained(tank: str, value: str) -> Finding:
    """Return what the drain of a tank gave, parked."""
    return Finding("tank-drain-sample", tank, value, State("parked"), "seen")


def test_trouble_at_both_engines_points_to_the_fuel_they_share() -> None:
    """Two engines on tanks of their own fade together: what was put into all tanks comes first."""
    both = ranked(TWIN, runs("no1-engine", "fades"), runs("no2-engine", "fades"))
    one = ranked(TWIN, runs("no1-engine", "fades"), runs("no2-engine", "normal"))

    assert both[0][0].endswith("@fuel-aboard")
    assert not any(name.endswith("@fuel-aboard") for name, _ in one[:3])
    place = [name for name, _ in both].index("turbine-fuel-in-tank@fuel-aboard")
    assert place < [name for name, _ in one].index("turbine-fuel-in-tank@fuel-aboard")


def test_water_in_every_drain_points_to_a_common_source() -> None:
    """Water in both tanks is a delivery or a damp winter; in one of them it is that tank."""
    both = ranked("high-wing-single", drained("left-tank", "water"), drained("right-tank", "water"))
    one = ranked("high-wing-single", drained("left-tank", "water"), drained("right-tank", "clean"))

    assert {name for name, _ in both[:2]} == {
        "water-with-uplift@fuel-aboard",
        "condensation-part-full@fuel-aboard",
    }
    assert one[0][0] == "water-in-fuel@left-fuel"


@pytest.mark.parametrize("layout", ["high-wing-single", TWIN, "four-engine-injection"])
def test_the_fuel_aboard_is_one_part_however_many_tanks_there_are(layout: str) -> None:
    """A cause of the fuel aboard is one line of the ranking, as common on any layout."""
    kinds = {c.id for c in library().causes.values() if "fuel-aboard" in c.part_kinds}
    places = [c.at for c in bench(layout).net.instances if c.cause in kinds]

    assert len(kinds) >= 6
    assert places == ["fuel-aboard"] * len(kinds)
