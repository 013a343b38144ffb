"""The answers of one simulated aeroplane fit one another, as those of a real one do."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench
from training.training_kit import PRESSURE_LOW, SINGLE, STRAINER, plane, reading

from diagnose.model import CauseAt, Finding
from diagnose.training.simulated import Simulated

SLIPPED = CauseAt("cock-handle-slipped", "selector")
BLANKED = CauseAt("selector-port-blanked", "selector")
SEEDS = range(25)


def shown(p: Simulated, question: str, state: str = "", place: str = "engine") -> str:
    """Return what ``p`` shows."""
    return p.reading(reading(question, place, state)).value


@pytest.mark.parametrize("cause", [SLIPPED, CauseAt("burn-figure-wrong", "ledger")])
def test_what_is_lost_at_idle_is_lost_at_power_too(cause: CauseAt) -> None:
    """A fault of the supply without a physical form is no better where more fuel is drawn."""
    lost = 0
    for seed in SEEDS:
        p = plane(cause, "severe", seed)
        for question, bad in (("fuel-pressure", {"low"}), ("engine-behaviour", {"fades", "stops"})):
            if shown(p, question, "idle-booster-off") in bad:
                lost += 1
                assert shown(p, question, "run-up-booster-off") != "normal"
            if shown(p, question, "run-up-booster-on") in bad:
                assert shown(p, question, "run-up-booster-off") != "normal"
    assert lost > 5


def test_no_engine_that_idles_well_dies_after_the_start() -> None:
    """Whoever starts it and lets it idle sees one thing."""
    causes = (SLIPPED, STRAINER, CauseAt("cap-seal-perished", "left-cap"))
    died = 0
    for p in (plane(c, "severe", seed) for c in causes for seed in SEEDS):
        if shown(p, "engine-start", "cranking") == "fires-then-dies":
            died += 1
            assert shown(p, "engine-behaviour", "idle-booster-off") != "normal"
    assert died


def test_what_is_in_one_position_of_a_cock_shows_on_one_tank() -> None:
    """A blanked port starves the engine on its tank, and the other feeds it, in every run."""
    on = set()
    for seed in SEEDS:
        p = plane(BLANKED, "severe", seed)
        bad = {s for s in ("run-up-left", "run-up-right")
               if shown(p, "engine-behaviour", s) != "normal"}  # fmt: skip
        assert len(bad) <= 1
        usual = shown(p, "engine-behaviour", "run-up-booster-off")
        assert usual == shown(p, "engine-behaviour", "run-up-left")
        on |= bad
    assert on == {"run-up-left", "run-up-right"}


def test_the_fuel_that_is_burned_comes_from_some_tank() -> None:
    """What holds a tank back holds one of two: both never stay as they were."""
    stays = 0
    for seed in SEEDS:
        p = plane(SLIPPED, "severe", seed)
        each = [shown(p, "contents-trend-running", "", t) for t in ("left-tank", "right-tank")]
        assert each != ["stays", "stays"]
        stays += "stays" in each
    assert stays


def test_a_tank_that_a_false_gauge_let_run_dry_feeds_no_engine() -> None:
    """The stick and the run agree, though the fault itself is only the gauge's."""
    dry = 0
    for seed in SEEDS:
        p = plane(CauseAt("contents-gauge-zero-error", "right-gauge"), "severe", seed)
        if shown(p, "tank-dipped", "static", "right-tank") == "empty":
            dry += 1
            assert shown(p, "engine-behaviour", "run-up-right") == "stops"
        assert shown(p, "engine-behaviour", "run-up-left") == "normal"
        assert shown(p, "engine-start", "cranking") == "normal", "it starts on the left"
    assert 0 < dry < len(SEEDS)


@pytest.mark.parametrize(
    "cause", [STRAINER, SLIPPED, CauseAt("pump-relief-set-high", "pump-relief")]
)
def test_a_sound_gauge_shows_what_the_master_gauge_shows(cause: CauseAt) -> None:
    """Nobody learns to mistrust a gauge with which nothing is wrong."""
    for p in (plane(cause, grade, seed) for grade in ("half", "severe") for seed in range(6)):
        for state in ("idle-booster-off", "run-up-booster-off", "run-up-booster-on"):
            gauge = p.reading(reading("fuel-pressure", "engine", state))
            master = p.reading(reading("test-gauge-pressure", "engine", state))
            assert gauge.number is not None
            assert master.number is not None
            # the gauge stands a little above its tapping
            assert abs(gauge.number - master.number) < 0.05 * 48_000


def test_what_is_well_stands_where_a_sound_aeroplane_has_it() -> None:
    """Where the fault left the pressure alone, the booster adds to it as it always did."""
    well = 0
    for seed in SEEDS:
        p = plane(SLIPPED, "slight", seed)
        off, on = (
            p.reading(reading("fuel-pressure", "engine", f"idle-booster-{x}"))
            for x in ("off", "on")
        )
        if (off.value, on.value) == ("normal", "normal"):
            well += 1
            assert off.number is not None
            assert on.number is not None
            assert on.number > off.number
    assert well


def test_trouble_that_shows_when_it_is_tried_has_not_gone() -> None:
    """What was told of a run is there in that run, so it is still there afterwards."""
    told = Finding("fuel-pressure", "engine", "low", PRESSURE_LOW.state, known_by="told")
    r = reading("still-there", "aeroplane", "run-up-booster-off")
    gone = [s for s in range(60) if plane(SLIPPED, "half", s).reading(r).value == "gone"]
    assert gone, "else this says nothing"
    assert {plane(SLIPPED, "half", s, told=(told,)).reading(r).value for s in gone} == {
        "still-there"
    }


def test_an_answer_says_which_tank_fed() -> None:
    """The cocks stand somewhere, and whoever runs the engine sees where."""
    found = plane().reading(reading("engine-behaviour", "engine", "run-up-booster-off"))
    assert found.state.settings["tank"] == "left-tank"
    assert bench(SINGLE).places.tanks[0] == "left-tank"


@pytest.mark.parametrize("layout", ["low-wing-single", "high-wing-single", "four-engine-injection"])
def test_nothing_is_measured_where_a_sound_aeroplane_gives_nothing(layout: str) -> None:
    """A low tank fills no can before its pump is on, so it is tried with the pump, a high one not.

    Whoever read nothing there would blame a line with which nothing is wrong.
    """
    b = bench(layout)
    p = plane(CauseAt("low-grade-fuel", "fuel-aboard"), layout=layout)
    tried = [r for r in b.planner.catalogue.readings if r.question == "delivery-test"]
    assert tried
    assert {p.reading(r).value for r in tried} == {"full"}
