"""Words that say one thing of their own subject are not heard of another."""

from __future__ import annotations

import pytest
from job.hearing.hearing_kit import heard


@pytest.mark.parametrize(
    "report",
    [
        "The left vent streamed in the climb. Pumps off and it stopped.",
        "Fuel dripped from the left vent and stopped when parked.",
    ],
)
def test_a_leak_that_stopped_is_no_engine_that_did(report: str) -> None:
    """What stopped is what was told of last."""
    assert "engine-behaviour" not in {q for q, _ in heard(report)}


def test_an_engine_that_stopped_is_heard_beside_a_leak() -> None:
    """An engine that is named stops, whatever leaked before."""
    told = heard("Fuel dripped from the left vent. The engine stopped.")
    assert ("engine-behaviour", "stops") in told


def test_his_is_no_hiss() -> None:
    """A word is no form of another for one letter."""
    assert set(heard("Engine quit. The pilot looked for his checklist.")) == {
        ("engine-behaviour", "stops")
    }


def test_a_comma_in_a_figure_ends_no_clause() -> None:
    """'10,000 ft' is one figure."""
    assert ("when-it-comes", "at-height") in heard("Engine rough above 10,000 ft.")


@pytest.mark.parametrize(
    ("report", "question"),
    [
        ("Engine rough. Either tank and booster made no difference.", "magneto-check"),
        ("Strainer sample clean, flow at its drain good.", "flow-indication"),
        ("Strainer drain gives a thin stream.", "strainer-drip"),
        ("Engine coughed in turn.", "what-just-before"),
        ("Engine rough. The exhaust was off and on again last week.", "when-it-comes"),
        ("Right contents gauge jumps to empty.", "stick-repeats"),
        ("The left vent under the wing looks clear.", "fuel-smell"),
        ("Engine rough, pressure in the green all the time.", "when-it-comes"),
        ("Engine will not run on the left tank.", "booster-noise"),
        ("Took a litre of fuel from the strainer.", "last-uplift"),
        ("Filter had nothing in it.", "plunger"),
        ("Flow check within limits.", "magneto-check"),
        ("Pump on, and then the trouble started.", "engine-start"),
    ],
)
def test_what_is_said_of_one_thing_is_not_heard_of_another(report: str, question: str) -> None:
    """Each phrase stands beside what it speaks of."""
    assert question not in {q for q, _ in heard(report)}


@pytest.mark.parametrize(
    ("report", "finding"),
    [
        ("One magneto drops 400 with shaking.", ("magneto-check", "excessive")),
        ("Strainer drain gives a thin stream.", ("strainer-flow", "weak")),
        (
            "Flakes like rubbery skin in the left tank drain sample.",
            ("tank-drain-sample", "flakes"),
        ),
        ("Right drain gave a cup of water.", ("tank-drain-sample", "water")),
        ("Left gauge hard at full.", ("contents-gauge", "pegged-full")),
        ("Engine lost about 500 revs.", ("engine-behaviour", "fades")),
        ("Engine rough. Ground runs faultless since.", ("still-there", "gone")),
        ("Nine degrees and damp.", ("outside-heat", "ordinary")),
    ],
)
def test_it_is_heard_as_engineers_say_it(report: str, finding: tuple[str, str]) -> None:
    """The clipped ways of the hangar are heard."""
    assert finding in heard(report)


@pytest.mark.parametrize(
    "report",
    [
        "Engine lost power in the climb. Carb heat was not used.",
        "Rough at idle, did not use carburettor heat.",
    ],
)
def test_heat_that_was_not_used_is_no_fuel_that_was_not(report: str) -> None:
    """What was not used says nothing of the tanks, nor of what heat would have done."""
    assert {"contents-trend-running", "carburettor-heat"}.isdisjoint(q for q, _ in heard(report))


def test_a_tank_that_is_not_used_is_heard_still() -> None:
    """The tank is named, or what it is told of."""
    for report in ("Left tank not used.", "It does not use the right tank at all."):
        assert ("contents-trend-running", "stays") in heard(report)


def test_what_goes_somewhere_is_not_gone() -> None:
    """A pressure that goes into the green is not gone, and a lamp out of order not lit."""
    assert ("fuel-pressure", "low") not in heard(
        "With the pump on the pressure goes into the green."
    )
    assert ("pressure-lamp", "lit") not in heard("The warning lamp does not work.")
