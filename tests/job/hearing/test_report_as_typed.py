"""A report as it is typed on a telephone: short forms, fractions, tries in vain, bare gallons."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench
from job.hearing.hearing_kit import FOUR, SINGLE, heard, told

from diagnose.job.hearing.figures_told import WHICH
from diagnose.job.hearing.report_words import hear

TWIN = "low-wing-twin"


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        ("#2 eng surged", "No. 2 engine surged"),
        ("Engine 2 surged", "No. 2 engine surged"),
        ("2 engine surged", "No. 2 engine surged"),
        ("No. 2 press low", "No. 2 pressure low"),
        ("Starboard main gauge reads 1/4, stick says 3/4",
         "Starboard main gauge reads a quarter, stick says three quarters"),
        ("Port engine surged w/ pump off", "Port engine surged with pump off"),
        ("Port engine tended to surge", "Port engine surged"),
    ],
)  # fmt: skip
def test_a_short_form_is_heard_as_what_it_stands_for(typed: str, written: str) -> None:
    """What is typed for short gives the findings, places and states of the words in full."""
    short, full = (
        [(s.question, s.value, s.places, s.state) for s in told(report, TWIN)]
        for report in (typed, written)
    )
    assert short == full != []


@pytest.mark.parametrize(
    "typed", ["Engine surged after 2 hours", "Tap on 3 for the press on the panel, engine surged"]
)
def test_a_figure_behind_an_engine_is_not_always_its_number(typed: str) -> None:
    """A time is no number of an engine, and what is pressed no pressure."""
    assert ("engine-behaviour", "surges") in heard(typed)
    assert not any(q == "fuel-pressure" for q, _ in heard(typed))


@pytest.mark.parametrize(
    ("report", "settings"),
    [
        ("Engine surged, boosters off. Pump on, no better.", {"booster": "on"}),
        ("Pressure low in the cruise, boost pump no help.", {"booster": "on"}),
        ("Engine faded on the left tank. Same on the right.", {"tank": "right-tank"}),
    ],
)
def test_what_was_tried_in_vain_is_the_trouble_in_that_state_as_well(
    report: str, settings: dict[str, str]
) -> None:
    """'No better' repeats what was amiss under what was tried, which tells causes apart."""
    first, again = told(report)
    assert (first.question, first.value) == (again.question, again.value)
    assert {**again.state.settings, **settings} == dict(again.state.settings)
    assert first.state != again.state


@pytest.mark.parametrize(
    ("report", "booster"),
    [
        ("Pressure normal until the booster was off.", {"normal": "on"}),
        ("Pressure low unless the booster is on.", {"low": "off"}),
    ],
)
def test_until_and_unless_tell_the_other_setting(report: str, booster: dict[str, str]) -> None:
    """What held until a pump was off held with it on."""
    said = {s.value: s.state.settings.get("booster") for s in told(report)}
    assert said == booster


@pytest.mark.parametrize(
    ("report", "setting"),
    [
        ("Port engine quit, cross-feed got it going again.", ("crossfeed", "open")),
        ("Port engine surged, the booster settled it.", ("booster", "on")),
        ("Port engine faded, the port aux brought it back.", ("tank", "port-aux-tank")),
    ],
)
def test_what_cured_it_is_the_state_in_which_it_was_well(
    report: str, setting: tuple[str, str]
) -> None:
    """A cure is heard as the engine well again, with what was set then."""
    (well,) = [s for s in told(report, TWIN) if s.value == "normal"]
    assert setting in well.state.settings.items()


@pytest.mark.parametrize(
    "report", ["Port main dipped 6 gallons.", "Starboard aux tank has ten gallons in it."]
)
def test_a_bare_gallon_is_asked_about_and_never_taken(report: str) -> None:
    """A gallon is one of two, so a figure in it classes nothing and the person is told which."""
    asked = [s for s in hear(report, bench(TWIN)) if s.question and not s.value]
    assert [s.trap for s in asked] == [WHICH]
    assert not any(s.number for s in told(report, TWIN))


def test_a_figure_in_a_named_gallon_mixes_up_no_gallons() -> None:
    """'Took 5 US gallons' names a unit and tells of no wrong one."""
    assert ("ledger-check", "one-fifth-out") not in heard("Left tank took 5 US gallons.")


@pytest.mark.parametrize(
    ("report", "dipped"),
    [("Gauge showed right tank half full.", False), ("Right tank half full.", True),
     ("Right gauge at a quarter with the tank full up.", True)],
)  # fmt: skip
def test_what_a_gauge_shows_was_not_dipped(report: str, dipped: bool) -> None:
    """Contents by the gauge are no contents by the stick."""
    assert (("tank-dipped", "plenty") in heard(report)) is dipped


def test_a_figure_below_its_band_is_not_steady_as_well() -> None:
    """'1 psi and steady' is low; the word of it does not make it normal."""
    assert heard("Pressure 1 psi and steady.") == [("fuel-pressure", "low")]


@pytest.mark.parametrize(
    ("report", "finding"),
    [
        ("Will not idle after the rain.", ("rained-on", "wet")),
        ("Fuel out of the left vent.", ("vent-discharge", "streams")),
        ("Rough at idle after washing.", ("engine-behaviour", "rough")),
        ("On the right tank it cut within a minute.", ("engine-behaviour", "stops")),
    ],
)
def test_a_phrase_is_found_through_what_stands_between(
    report: str, finding: tuple[str, str]
) -> None:
    """A denial of the main clause, a side or a state hides no finding."""
    assert finding in heard(report)


def test_a_place_that_is_compared_with_is_not_the_place() -> None:
    """'Left drains faster than right' is said of the left tank."""
    (said,) = told("Left tank went down faster than the right.")
    assert said.places == ("left-tank",)


def test_the_only_cock_of_its_kind_is_named_by_that() -> None:
    """A cross-feed cock told of after an engine is not the cock of that engine."""
    said = told("Port engine surged. Cross-feed cock stiff.", TWIN)
    assert [s.places for s in said] == [("no1-engine",), ("crossfeed-cock",)]


@pytest.mark.parametrize(
    "report",
    [
        "Engine quit on base leg, right tank selected.",
        "Engine quit on base leg. Right tank was selected.",
    ],
)
def test_a_tank_told_last_is_that_of_what_was_told_before(report: str) -> None:
    """'Quit on base leg, right tank selected' was on the right tank."""
    (said,) = told(report, question="engine-behaviour")
    assert said.state.settings["tank"] == "right-tank"


def test_what_fed_moves_no_finding_to_another_engine() -> None:
    """'No. 1 low on port middle, fine on port inner' goes on about no. 1, not the inner engine."""
    said = told("No. 1 fuel pressure fell to 9 psi on port middle tank, fine on port inner.", FOUR)
    assert {s.places for s in said} == {("no1-engine",)}


@pytest.mark.parametrize("layout", [SINGLE, FOUR])
def test_several_engines_may_begin_to_do_wrong(layout: str) -> None:
    """'Both port engines started coughing' speaks of both; a single engine has no such group."""
    report = "Both port engines started surging."
    places = {s.places for s in told(report, layout, "engine-behaviour")}
    assert places == ({("no1-engine", "no2-engine")} if layout == FOUR else {("engine",)})


@pytest.mark.parametrize(
    ("report", "layout", "heard", "not_heard"),
    [
        ("It coughed in the cruise. An hour later right as rain.", SINGLE, "", "rained-on"),
        ("Got her out of the barn, primer slides in and out.", SINGLE, "", "primer-locked"),
        ("Engine ran rough. Perishing cold.", SINGLE, "outside-heat", ""),
        ("Black smoke at slow running. Opens up all right.", SINGLE, "throttle-opening", ""),
        ("Pressure needle all over the shop at run-up.", SINGLE, "fuel-pressure", ""),
        ("Fuel smells like varnish.", SINGLE, "strainer-drain-sample", "fuel-smell"),
        ("Twenty minutes on the pan, then it would not start.", SINGLE, "", "good-running-before"),
    ],
)
def test_talk_of_the_apron_is_heard_as_it_is_meant(
    report: str, layout: str, heard: str, not_heard: str
) -> None:
    """A turn of phrase is no rain, no primer left out and no good running."""
    questions = {s.question for s in told(report, layout)}
    assert not heard or heard in questions
    assert not_heard not in questions


def test_a_cough_stands_though_it_ran_well_after() -> None:
    """A cough is rough running or surging, not known which, until a word tells more."""
    (cough, _) = hear("She coughed in the climb. An hour later she ran fine.", bench(SINGLE))
    assert (cough.question, cough.one_of) == ("engine-behaviour", ("surges", "rough"))
    assert all(
        s.value == "stops"
        for s in hear("The engine coughed once and quit.", bench(SINGLE))
        if s.question == "engine-behaviour"
    )


def test_the_other_lot_are_people_and_no_engines() -> None:
    """What another shift did says nothing of the other engines."""
    said = hear("No 3 engine rich at idle. The other lot put a new needle in it fine.", bench(FOUR))
    assert not any(s.others_normal or s.means == "said of the others" for s in said)


@pytest.mark.parametrize(
    ("report", "finding", "never"),
    [
        ("Engine would not restart.", ("engine-start", "no-start"), "engine-behaviour"),
        ("Port flow meter stuck at 12.", None, "contents-gauge-moving"),
        ("Carburettor drips with the selector on, stops with it off.",
         ("carburettor-drips", "drips"), "engine-behaviour"),
    ],
)  # fmt: skip
def test_what_is_told_of_one_thing_is_not_heard_of_another(
    report: str, finding: tuple[str, str] | None, never: str
) -> None:
    """A start that failed is no restart, a flow meter no contents gauge, a drip no engine."""
    found = heard(report, TWIN)
    assert finding is None or finding in found
    assert never not in {q for q, _ in found}


def test_a_cap_left_off_is_at_no_side_of_its_own() -> None:
    """'Left' is a side only where something is told of the left."""
    (cap,) = told("Cap was left off the right tank.", question="cap-as-found")
    assert cap.places == ("right-tank",)
