"""What a report says was well again, and under what: the contrast that often tells the cause."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.job.hearing.report_words import hear

SINGLE, TWIN, FOUR = "low-wing-single", "low-wing-twin", "four-engine-injection"


def heard(report: str, layout: str = SINGLE) -> set[tuple[str, str, str]]:
    """Return (question, class, settings) of everything heard with its class."""
    return {
        (s.question, s.value, " ".join(f"{k}={v}" for k, v in sorted(s.state.settings.items())))
        for s in hear(report, bench(layout))
        if s.value
    }


@pytest.mark.parametrize(
    ("report", "finding"),
    [
        ("Engine surged. Steady with the pump on.", ("engine-behaviour", "normal", "booster=on")),
        ("Pressure hunting with the pump off. With it on, steady.",
         ("fuel-pressure", "normal", "booster=on")),
        ("Engine did not pick up until the pump was switched on.",
         ("engine-behaviour", "normal", "booster=on")),
        ("Engine faded on the left tank. Fine on the right.",
         ("engine-behaviour", "normal", "tank=right-tank")),
        ("Pressure down to 2 psi, electric pump on brings it back to 5.",
         ("fuel-pressure", "normal", "booster=on")),
        ("Engine faded. Caught after fifteen seconds.", ("engine-behaviour", "normal", "")),
        ("Engine surges with the pump off, not with it on.",
         ("engine-behaviour", "normal", "booster=on")),
        ("Rough at idle, not at full power.", ("engine-behaviour", "normal", "power=high")),
    ],
)  # fmt: skip
def test_a_sentence_that_all_was_well_goes_on_about_what_was_amiss(
    report: str, finding: tuple[str, str, str]
) -> None:
    """What was amiss is heard as well again, in the state that sentence tells."""
    assert finding in heard(report)


def test_what_was_well_again_elsewhere_is_heard_of_the_engines_named_there() -> None:
    """'Nos. 1 and 2 steady' is said of those engines, 'nos' of each by its own number."""
    told = hear("Nos. 3 and 4 surge, nos. 1 and 2 steady.", bench(FOUR))
    assert {(s.value, s.places) for s in told} == {
        ("surges", ("no3-engine", "no4-engine")),
        ("normal", ("no1-engine", "no2-engine")),
    }


def test_what_was_well_again_is_of_the_engine_that_was_amiss_whoever_is_named_after() -> None:
    """A sentence that names no place goes on about the one before it, not about the next."""
    told = hear("Port engine surged. Steady with the pump on. Starboard normal.", bench(TWIN))
    assert [(s.value, s.places) for s in told] == [
        ("surges", ("no1-engine",)), ("normal", ("no1-engine",)), ("normal", ("no2-engine",)),
    ]  # fmt: skip


def test_a_switch_that_was_off_is_no_lamp_that_was_out() -> None:
    """'Boosters off' tells a setting and nothing of what was amiss before it."""
    assert ("pressure-lamp", "out", "booster=off") not in heard(
        "Pressure lamp lit on the run-up, boosters off.", FOUR
    )


def test_a_pump_on_an_engine_is_not_switched_on() -> None:
    """'The pump on the left engine' names a place."""
    (told,) = hear("Electric pump on the left engine noisy.", bench(TWIN))
    assert (told.question, dict(told.state.settings)) == ("booster-noise", {})


@pytest.mark.parametrize(
    "report", ["Fuel gauge flickered then came back.", "Tank gauge came back."]
)
def test_what_came_back_is_what_was_spoken_of(report: str) -> None:
    """Words told of engines too are not said of the engine where a gauge is spoken of."""
    assert not {f for f in heard(report) if f[0] == "engine-behaviour"}


def test_a_pressure_that_fell_and_came_back_is_one_pressure() -> None:
    """A phrase that names its own subject lends it to the clause behind it."""
    assert heard("Pressure fell, then came back.") == {
        ("fuel-pressure", "low", ""), ("fuel-pressure", "normal", ""),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("report", "onset"),
    [
        ("Engine stopped just after changing tanks.", True),
        ("Engine stopped. Changed tanks and it ran again.", False),
    ],
)
def test_a_remedy_is_no_onset(report: str, onset: bool) -> None:
    """What was done after the trouble is not what it came after."""
    assert ("what-just-before" in {f[0] for f in heard(report)}) is onset


def test_an_amount_in_a_phrase_stands_for_each_of_its_words() -> None:
    """'Five months' and 'several months' are heard by one line of the knowledge."""
    for amount in ("five", "several"):
        assert ("days-parked", "long", "") in heard(f"Stood {amount} months in the hangar.")


def test_right_that_is_no_side_is_heard_as_well() -> None:
    """'Pressure right' is a good pressure, 'right tank low' a tank on the right."""
    assert ("fuel-pressure", "normal", "") in heard("Rough at idle. Pressure right.")
    assert {s.places for s in hear("Right tank dipped dry.", bench(SINGLE))} == {("right-tank",)}


@pytest.mark.parametrize("report", ["Engine cut.", "Cut the mixture and shut down."])
def test_what_may_be_done_to_something_else_is_asked_about(report: str) -> None:
    """An engine that cut has stopped; a mixture that was cut leaves it open."""
    stopped = ("engine-behaviour", "stops", "") in heard(report)
    assert stopped is report.startswith("Engine")


@pytest.mark.parametrize(
    ("report", "findings"),
    [
        ("Flow and pressure had read as usual.",
         {("flow-indication", "normal"), ("fuel-pressure", "normal")}),
        ("Pressure and flow fell together in the climb.",
         {("flow-indication", "low"), ("fuel-pressure", "low")}),
    ],
)  # fmt: skip
def test_what_is_said_of_two_things_is_heard_of_both(
    report: str, findings: set[tuple[str, str]]
) -> None:
    """One word behind two names joined by 'and' answers the questions of both."""
    assert findings <= {(question, value) for question, value, _ in heard(report)}


def test_a_name_before_an_and_takes_nothing_that_is_said_of_something_done() -> None:
    """Where no name stands behind the 'and', what is said there is not said of the first."""
    assert ("flow-indication", "low") not in {
        (q, v) for q, v, _ in heard("Checked the flow and shut the cock, pressure fell.")
    }


def test_how_full_a_tank_was_is_the_gauges_word_where_the_gauge_told_it() -> None:
    """A level told of a tank is dipped, one told by a gauge is what the gauge showed then."""
    dipped = {(q, v) for q, v, _ in heard("Engine quit in the cruise. Right tank half full.")}
    shown = {(q, v) for q, v, _ in heard("Engine quit. Gauge showed right tank half full.")}
    assert ("tank-dipped", "plenty") in dipped
    assert ("gauge-when-it-came", "fuel-shown") in shown
    assert ("tank-dipped", "plenty") not in shown


@pytest.mark.parametrize(
    ("report", "state"),
    [
        ("Stopped on left. Selector to both and it ran.", "tank=both"),
        ("Stopped on left; back to right, it caught.", "tank=right-tank"),
        ("Faded on the left, the right tank brought it back.", "tank=right-tank"),
        ("Engine surged. Pump off and it cleared.", "booster=off"),
    ],
)
def test_that_it_went_away_is_heard_with_what_was_done(report: str, state: str) -> None:
    """What fed or was switched when the trouble went is the state in which all was well."""
    assert ("engine-behaviour", "normal", state) in heard(report, "high-wing-single")


@pytest.mark.parametrize(
    ("report", "layout", "finding"),
    [
        ("Faded after twenty minutes on the left tank.", SINGLE, ("engine-behaviour", "fades")),
        ("No. 1 faded at four hundred feet.", FOUR, ("engine-behaviour", "fades")),
        ("Nos. 3 and 4 both faded together.", FOUR, ("engine-behaviour", "fades")),
    ],
)
def test_an_engine_need_not_be_named_where_its_verb_stands(
    report: str, layout: str, finding: tuple[str, str]
) -> None:
    """A sentence led by what an engine does, or an engine next to it, speaks of the engine."""
    assert finding in {(question, value) for question, value, _ in heard(report, layout)}


def test_small_words_alone_are_no_phrase() -> None:
    """'As it left the ground' is not 'as it should'."""
    said = heard("Pressure needle swinging as it left the ground.")
    assert ("fuel-pressure", "normal") not in {(question, value) for question, value, _ in said}


def test_what_is_read_with_a_complaint_is_a_clause_of_its_own() -> None:
    """'Surges with its pressure swinging' tells of the engine and of the pressure."""
    told = hear("No. 3 surges at run-up with its pressure swinging.", bench(FOUR))
    assert {(s.question, s.value) for s in told} == {
        ("engine-behaviour", "surges"), ("fuel-pressure", "hunting"),
    }  # fmt: skip
