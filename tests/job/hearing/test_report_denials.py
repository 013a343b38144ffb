"""What a report denies, says of other systems, and says of an engine or gauge by its place."""

from __future__ import annotations

import pytest
from job.hearing.hearing_kit import FOUR, heard


@pytest.mark.parametrize(
    ("report", "finding"),
    [
        ("Lamp did not come on", ("pressure-lamp", "out")),
        ("Never had any trouble on the left tank", ("engine-behaviour", "normal")),
        ("Pressure normal throughout", ("fuel-pressure", "normal")),
        ("No drop in pressure", ("fuel-pressure", "normal")),
        ("The pressure didnt move", ("fuel-pressure", "normal")),
        ("No sign of fuel in the bay", ("engine-bay-leak", "dry")),
        ("Carburettor not dripping", ("carburettor-drips", "dry")),
        ("Nobody smelt fuel", ("fuel-smell", "none")),
        ("It does not happen when cold", ("when-it-comes", "only-hot")),
        ("Engine starts without trouble", ("engine-start", "normal")),
        ("Cannot get it to do it again", ("still-there", "gone")),
    ],
)
def test_what_did_not_happen_is_heard_as_that(report: str, finding: tuple[str, str]) -> None:
    """A denial that people use for one class is that class, and nothing else is heard in it."""
    assert heard(report) == [finding]


@pytest.mark.parametrize(
    "report",
    [
        "Neither lamp lit",
        "Pressure was neither low nor high",
        "Nothing was dripping outside",
        "There was never at any time black smoke",
        "No loss of power",
        "No fuel smell in the cabin",
        "Engine without a trace of rough running",
    ],
)
def test_a_denial_reaches_over_the_words_between(report: str) -> None:
    """'Neither', 'nothing' and a 'never' five words before deny what follows."""
    assert heard(report) == []


@pytest.mark.parametrize(
    ("report", "finding"),
    [
        ("Without the booster the pressure drops", ("fuel-pressure", "low")),
        ("Pressure not only low", ("fuel-pressure", "low")),
        ("No doubt the pressure was low", ("fuel-pressure", "low")),
        ("Sags at full power", ("engine-behaviour", "fades")),
    ],
)
def test_what_only_looks_like_a_denial_takes_nothing_back(
    report: str, finding: tuple[str, str]
) -> None:
    """A state told with 'without', 'not only' and 'no doubt' deny nothing."""
    assert heard(report) == [finding]


def test_an_engine_that_is_named_is_spoken_of_by_what_stands_next_to_it() -> None:
    """'No. 2 low' is its pressure and 'no. 1 also fades' its running; an oil level is neither."""
    twin = "low-wing-twin"
    assert heard("No. 2 low at the run-up", twin) == [("fuel-pressure", "low")]
    assert heard("No. 1 also fades", twin) == [("engine-behaviour", "fades")]
    assert heard("No. 2 oil level up", twin) == [("oil-level", "risen")]


def test_a_gauge_is_that_of_the_place_it_is_named_with() -> None:
    """A tank has a contents gauge, an engine a pressure gauge; where it may be both, neither."""
    assert heard("Left gauge stuck") == [("contents-gauge", "erratic")]
    assert heard("No. 1 gauge fell", "low-wing-twin") == [("fuel-pressure", "low")]
    assert heard("Port inner needle low", FOUR) == []


@pytest.mark.parametrize(
    "report",
    [
        "Oil pressure low",
        "Hydraulic pressure dropped",
        "Landing light out",
        "Generator light on",
        "Flap lever loose",
        "Brakes leaking",
        "Suction gauge reads low",
    ],
)
def test_what_is_said_of_other_systems_is_not_heard(report: str) -> None:
    """Other pressures, lights and levers have names; what is said of them is not ours."""
    assert heard(report) == []


def test_another_system_silences_only_what_is_said_of_it() -> None:
    """The engine that quits as the flaps move, and the fuel beside the oil, are still heard."""
    assert heard("Engine quit as the door came open") == [("engine-behaviour", "stops")]
    assert heard("Oil on the cowling, fuel pressure low") == [("fuel-pressure", "low")]


def test_what_is_named_has_its_own_words_before_those_of_another() -> None:
    """'Reads high' is said of contents gauges, but not where a pressure is named."""
    assert heard("Pressure reads high") == [("fuel-pressure", "high")]
    assert heard("Pressure a bit low but came back") == [
        ("fuel-pressure", "low"),
        ("fuel-pressure", "normal"),
    ]


@pytest.mark.parametrize(
    ("report", "finding"),
    [
        ("No water found in the tanks", ("tank-drain-sample", "clean")),
        ("No sign of dirt in the strainer bowl", ("strainer-drain-sample", "clean")),
    ],
)
def test_a_denial_with_where_it_was_looked_for_is_the_denial(
    report: str, finding: tuple[str, str]
) -> None:
    """The name of the thing looked at, behind 'no water', turns no denial into a question."""
    assert heard(report) == [finding]


def test_what_was_looked_for_is_asked_about() -> None:
    """'Checked the drains for water' finds none yet."""
    assert ("tank-drain-sample", "water") in heard("Water from the tank drains")
    assert heard("Checked the tank drains for water") == []


def test_a_no_behind_what_it_denies_denies_it_too() -> None:
    """'Leaning helps none' is no sign of a rich mixture; three quarters of throttle are no fuel."""
    said = heard("Fine up to about three quarters throttle. Leaning helps none, priming helps")
    assert ("mixture-signs", "rich") not in said
    assert ("mixture-signs", "lean") in said
    assert not any(question == "tank-dipped" for question, _ in said)
    assert ("tank-dipped", "plenty") in heard("Left tank about three quarters")
