"""Where a report says it was: whose lamp, which tank's cap, on its own tank."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench
from job.hearing.hearing_kit import told

from diagnose.job.hearing.report_words import hear


def heard(layout: str, report: str) -> dict[str, tuple[str, tuple[str, ...], dict[str, str]]]:
    """Return by question what is heard of a report: class, places, settings."""
    said = told(report, layout)
    return {s.question: (s.value, s.places, dict(s.state.known())) for s in said}


def test_whose_lamp_it_is_says_nothing_of_the_tank_that_fed() -> None:
    """'The light on the starboard inner' is an engine's; switches that are on light no lamp."""
    said = "The fuel pressure light on the starboard inner stays out with the switches on"
    found = told(said, "four-engine-injection")
    assert [(s.question, s.value, s.places, s.state.known()) for s in found] == [
        ("pressure-lamp", "out", ("no3-engine",), {})
    ]


def test_an_engine_still_runs_on_a_tank() -> None:
    """'Surges on the port middle' tells the tank that fed."""
    found = heard("four-engine-injection", "No. 2 engine surges on the port middle at the run-up")
    assert found["engine-behaviour"][2]["tank"] == "port-middle-tank"


def test_its_own_tank_is_not_the_cross_feed() -> None:
    """What is steady on its own tank is not taken as steady on cross-feed."""
    said = "On cross-feed the starboard engine surges, on its own tank it runs normally"
    found = told(said, "low-wing-twin")
    states = {s.value: s.state.known().get("crossfeed") for s in found}
    assert states == {"surges": "open", "normal": "shut"}


@pytest.mark.parametrize("tank", ["left tip", "left tip tank", "right main"])
def test_a_stain_behind_a_cap_is_at_that_tank_and_not_at_the_engine(tank: str) -> None:
    """A stain at a tip tank's cap leads nobody into the engine bay."""
    found = heard("low-wing-single-tip-tanks", f"Fuel staining behind the {tank} cap after flight")
    side, which = tank.split()[:2]
    assert found == {"tank-stains": ("behind-cap", (f"{side}-{which}-tank",), {})}


def test_a_tank_that_went_down_has_not_lost_its_cap() -> None:
    """'Went' is no form of a cap that is gone."""
    said = "The left tip went down a lot faster than the right, cap tight"
    assert heard("low-wing-single-tip-tanks", said).get("cap-as-found", ("",))[0] != "missing"


def test_the_only_tank_named_is_not_meant_where_the_other_side_was_spoken_of_since() -> None:
    """A gauge of the left tank, then trouble of the right engine: whose cap hissed is asked."""
    said = "Left main gauge sticks at three quarters. Yesterday no 2 died away in the cruise."
    hiss = " Hiss when he opened the cap afterwards."
    assert heard("low-wing-twin", said + hiss)["cap-hiss"][1] == ()
    alone = said.partition(".")[0] + "." + hiss
    assert heard("low-wing-twin", alone)["cap-hiss"][1] == ("port-main-tank",)


@pytest.mark.parametrize(
    ("report", "engines"),
    [
        ("this morning 1 2 n 3 all surging on the run up", (1, 2, 3)),
        ("engines 1, 2 and 4 all surging on the run-up", (1, 2, 4)),
        ("No 1, 2 & 3 engines surging on the run-up", (1, 2, 3)),
        ("engines all surging on the run-up", (1, 2, 3, 4)),
    ],
)
def test_a_list_of_engines_typed_as_people_type_it_is_heard_whole(
    report: str, engines: tuple[int, ...]
) -> None:
    """Three engines that sag together point to the fuel; one of them alone does not."""
    said = [s for s in told(report, "four-engine-injection") if s.value == "surges"]
    assert {p for s in said for p in s.places} == {f"no{n}-engine" for n in engines}


@pytest.mark.parametrize(
    "report",
    [
        "surging at idle on no 2 engine",
        "surging at idle on no. 2",
        "on no 2 engine it surges at idle",
    ],
)
def test_on_an_engine_names_no_tank_of_the_same_number(report: str) -> None:
    """'On no. 2 engine' says where it surges; no. 2 tank has not been spoken of."""
    (said,) = [s for s in told(report, "four-engine-injection") if s.value == "surges"]
    assert said.places == ("no2-engine",)
    assert "tank" not in said.state.settings


def test_the_only_primer_of_a_layout_is_named_by_its_kind() -> None:
    """Beside a hand pump, which has a handle too, 'primer handle' needs no asking."""
    (told,) = hear("The primer handle creeps out by itself.", bench("radial-single-hand-pump"))
    assert (told.value, told.places) == ("springy", ("primer",))


def test_though_begins_another_tank() -> None:
    """'Ran low though the other was full' tells two things of two tanks."""
    report = "Header tank ran low though upper wing tank was nearly full."
    assert [(s.value, s.places) for s in hear(report, bench("header-biplane"))] == [
        ("low", ("header-tank",)),
        ("plenty", ("upper-tank",)),
    ]


@pytest.mark.parametrize(
    ("report", "listed"),
    [
        (
            "Pressure nil on no. 1 and no. 2, 8 psi on no. 3 and no. 4 at the run-up.",
            [("low", "12"), ("normal", "34")],
        ),
        (
            "Pressure low on no. 2 and no. 3, normal on no. 1 and no. 4.",
            [("low", "23"), ("normal", "14")],
        ),
        (
            "Pressure low on no. 1 and no. 2 at the run-up, boosters on all fine.",
            [("low", "12"), ("normal", "12")],
        ),
        ("Pressure low on no. 1, no. 2 and no. 3 fine.", [("low", "1"), ("normal", "23")]),
    ],
)
def test_what_was_told_of_two_gauges_is_not_lent_to_what_is_told_next(
    report: str, listed: list[tuple[str, str]]
) -> None:
    """'Nil on no. 1 and no. 2, 8 psi on no. 3': no. 2 is nil, and 8 psi is no word of it."""
    said = told(report, "four-engine-float", "fuel-pressure")
    assert [(s.value, "".join(p[2] for p in s.places)) for s in said] == listed


def test_one_lamp_after_another_is_told_of_each() -> None:
    """Behind an 'on' each names its own engine, as behind a number."""
    report = "Lamp lit on no. 1, out on no. 2, out on no. 3 and no. 4."
    said = told(report, "four-engine-float", "pressure-lamp")
    at = [(s.value, "".join(p[2] for p in s.places)) for s in said]
    assert at == [("lit", "1"), ("out", "2"), ("out", "34")]


def test_a_gauge_told_of_after_a_pump_is_that_of_the_engine_named() -> None:
    """'On no. 1' of a pressure is an engine where nothing was amiss of an engine before."""
    report = "Both port electric pumps silent. Static pressure nil on no. 1 and no. 2."
    (nil,) = told(report, "four-engine-float", "booster-pressure")
    assert nil.places == ("no1-engine", "no2-engine")


@pytest.mark.parametrize("said", ["on the left tank", "switched to the left", "changed to left"])
def test_the_tank_an_engine_ran_on_is_one_that_feeds_it(said: str) -> None:
    """A tip tank that only gives its fuel to the main is not what a selector was turned to."""
    found = heard("low-wing-single-tip-tanks", f"The engine quit {said} in the cruise")
    assert found["engine-behaviour"][2]["tank"] == "left-main-tank"


def test_the_tank_on_top_is_the_upper_one() -> None:
    """'Top' is upper of a tank and of nothing else: no needle at the top names one."""
    found = heard("header-biplane", "There was a hiss when I took the cap off the top tank")
    assert found["cap-hiss"] == ("suction", ("upper-tank",), {})


def test_what_coughed_and_died_in_flight_is_told_of_no_start() -> None:
    """Beside a start the same words tell how it started."""
    flown = heard("header-biplane", "She coughed and died in the cruise")
    assert flown["engine-behaviour"][0] == "stops"
    assert "engine-start" not in flown
    said = "On starting it coughed and died"
    assert heard("header-biplane", said)["engine-start"][0] == "fires-then-dies"
    assert heard("header-biplane", "She would hardly start")["engine-start"][0] == "slow"
    off = heard("header-biplane", "Selector off and it runs on")
    assert off["cock-shut-test"][0] == "passes"
