"""Work as people tell it: the part its words name, and the sentences of a report that tell it."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.job.hearing.report_words import hear
from diagnose.job.hearing.work_reported import work_in
from diagnose.job.hearing.work_told import worked_on


@pytest.mark.parametrize(
    ("said", "layout", "places"),
    [
        ("electric pump renewed, in spring", "low-wing-single", ("booster",)),
        ("brushes renewed at electric pump", "low-wing-single", ("booster",)),
        ("carburettor overhauled and refitted", "radial-single-hand-pump", ("carburettor",)),
        (
            "new injector lines fitted at the annual",
            "low-wing-single-injected",
            ("injection-unit",),
        ),
        ("repainted at the airframe", "low-wing-single", ("aeroplane",)),
        ("exhaust renewed in June", "low-wing-single", ("engine",)),
        ("new air filter", "low-wing-single", ("engine",)),
        ("oil and oil filter changed on no. 3", "four-engine-float", ("no3-engine",)),
        ("contents sender of the right tank changed", "high-wing-single", ("right-sender",)),
        ("sender out of the port aux tank and back", "low-wing-twin", ("port-aux-sender",)),
        ("engine hoses renewed", "high-wing-single", ("hose",)),
        ("idle mixture set", "low-wing-single-injected", ("injection-unit",)),
        ("oil changed on engine 2", "low-wing-twin", ("no2-engine",)),
        ("new battery", "low-wing-single", ("main-bus",)),
        ("filler cap exchanged at the annual", "low-wing-single-tip-tanks", ()),
        ("hundred-hour check", "low-wing-twin", ("aeroplane",)),
        ("stood all winter with fuel in the tanks", "low-wing-single", ("aeroplane",)),
        ("refuelled this morning", "low-wing-twin", ("fuel-aboard",)),
        ("tanks filled from the airfield pump", "low-wing-single-injected", ("fuel-aboard",)),
        ("twenty gallons put in the left tank", "low-wing-single", ("left-fuel",)),
        ("left tank resealed and filled", "low-wing-single", ("left-tank",)),
        ("exhaust off and on again", "low-wing-single", ("engine",)),
        ("new cap on the stbd main two weeks back", "low-wing-twin", ("starboard-main-cap",)),
        ("filter element renewed on no 4 last week", "four-engine-injection", ("no4-strainer",)),
    ],
)
def test_the_words_of_a_work_name_its_part(said: str, layout: str, places: tuple[str, ...]) -> None:
    """Nobody has to say 'at carburettor' behind 'carburettor overhauled'."""
    clear = [thing[0] for thing in worked_on(said, bench(layout)) if len(thing) == 1]
    assert tuple(clear) == places


@pytest.mark.parametrize(
    ("said", "layout", "places"),
    [
        ("both tanks drained and cleaned", "low-wing-single", ("left-tank", "right-tank")),
        ("strainers cleaned", "low-wing-twin", ("no1-strainer", "no2-strainer")),
        (
            "fuel pump and carburettor changed",
            "radial-single-hand-pump",
            ("engine-pump", "carburettor"),
        ),
        (
            "no. 2 strainer cleaned, cock shut for it",
            "low-wing-twin",
            ("no2-strainer", "no2-shut-off-cock"),
        ),
    ],
)
def test_a_work_told_of_several_parts_is_one_at_each(
    said: str, layout: str, places: tuple[str, ...]
) -> None:
    """'Both tanks' leaves nothing open, and a second part named is not lost."""
    assert worked_on(said, bench(layout)) == tuple((place,) for place in places)


def test_words_that_fit_several_parts_leave_it_open() -> None:
    """With four strainers 'strainer cleaned' is asked, not guessed."""
    [thing] = worked_on("strainer cleaned", bench("four-engine-injection"))
    assert len(thing) == 4


@pytest.mark.parametrize(
    ("report", "work"),
    [
        ("Surged hot. Exhaust was changed in June.", ("Exhaust was changed in June",)),
        ("Low at 2.5 psi; pump renewed last week.", ("pump renewed last week",)),
        ("New injector lines fitted at the annual.", ("New injector lines fitted at the annual",)),
        ("Strainer cleaned last week. It faded.", ("Strainer cleaned last week",)),
        (
            "They put a new needle in it last week. Still floods.",
            ("They put a new needle in it last week",),
        ),
        ("Refuelled from drums. It cut on take-off.", ("Refuelled from drums",)),
        (
            "Both tanks were filled from the club pump. It cut.",
            ("Both tanks were filled from the club pump",),
        ),
        ("Rough since the annual no trouble before.", ("since the annual",)),
        (
            "Lamp lit all the time since the cowl went back, gauge steady.",
            ("since the cowl went back",),
        ),
        ("New air filter. Down on power.", ("New air filter",)),
        ("New pump on no. 1: no pressure without it.", ("New pump on no. 1",)),
        ("Annual check last month. Idles badly.", ("Annual check last month",)),
        ("Carburettor back from overhaul. Floods.", ("Carburettor back from overhaul",)),
        ("Panel was out last month.", ("Panel was out last month",)),
        ("Idle screw was turned at the annual.", ("Idle screw was turned at the annual",)),
        ("Strainer, screen and hoses all renewed.", ("Strainer, screen and hoses all renewed",)),
        ("Tanks filled to the brim for a long leg.", ("Tanks filled to the brim for a long leg",)),
        ("First start after five months in the shed.", ("after five months in the shed",)),
        ("Quiet after the pump was off.", ()),
        ("It stopped after the tank was changed to left.", ()),
        ("The throttle was opened and it coughed.", ()),
        ("Strainer has not been opened since the annual.", ()),
        ("It needs a new strainer.", ()),
        ("Strainer no 2 cleaned last week.", ("Strainer no 2 cleaned last week",)),
        ("No strainer was cleaned last week.", ()),
        ("Caps were re-sealed in May.", ("Caps were re-sealed in May",)),
        ("We changed the gasket of the strainer.", ("We changed the gasket of the strainer",)),
        ("After the mag check it idled well.", ()),
        ("The left tank was filling up from the right.", ()),
        ("Changed to the left tank and it picked up.", ()),
        ("Nothing was changed.", ()),
    ],
)
def test_a_report_that_tells_of_work_is_heard(report: str, work: tuple[str, ...]) -> None:
    """Work is offered as it was told; a change of tank is none."""
    assert tuple(t.words for t in work_in(report, bench("low-wing-single"))) == work


@pytest.mark.parametrize(
    "text", ["washers and locking wire renewed on Tuesday", "two clips put on and two off"]
)
def test_a_word_that_only_joins_names_no_part(text: str) -> None:
    """'And' in 'uplift and burn record' must not lift the odds of a record nobody worked on."""
    assert worked_on(text, bench("four-engine-float")) == ()


def test_a_part_that_came_back_from_work_is_no_pressure_that_came_back() -> None:
    """'Came back' is said of the pressure as well, and of power."""
    report = "Down on power in the climb since the carburettor came back from overhaul."
    heard = hear(report, bench("low-wing-single"))
    assert [(s.question, s.value) for s in heard] == [("engine-behaviour", "fades")]
