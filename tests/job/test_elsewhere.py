"""What is done once a cause is found is told by what the aeroplane has."""

from __future__ import annotations

import pytest
from diagnosis.shipped import LAYOUTS, bench

from diagnose.job.elsewhere import as_fitted
from diagnose.job.wording import after_finding
from diagnose.model import CauseAt

SINGLE, FOUR = "low-wing-single", "four-engine-injection"


@pytest.mark.parametrize(
    ("cause", "at", "kept"),
    [
        ("booster-dead", "booster", ""),
        ("primer-seal-leaks", "primer", "The lock and the line behind the panel."),
        ("booster-seal-leaks", "booster", "The motor for fuel."),
        ("gauge-line-blocked", "gauge-line", "The strainer element."),
        ("tank-table-wrong", "left-tank", "The sister tank."),
        ("plugs-fouled", "engine", "The other bank of plugs."),
        ("cap-not-seated", "left-cap", "Every other cap, by hand."),
    ],
)
def test_no_sister_is_looked_at_where_the_aeroplane_has_none(
    cause: str, at: str, kept: str
) -> None:
    """One engine has no other engine, two tanks have a sister each."""
    assert as_fitted(bench(SINGLE), CauseAt(cause, at)).also_look == kept


def test_one_thing_is_left_out_of_a_list_and_the_rest_stays() -> None:
    """The other strainers go, the carburettor screen and the tank are looked at still."""
    said = as_fitted(bench(SINGLE), CauseAt("strainer-plugged", "strainer")).also_look
    assert said == "The carburettor screen, the tank the dirt came from."


def test_where_there_are_others_every_word_of_the_knowledge_stands() -> None:
    """Four engines have each three others: nothing is left out, no stop is changed."""
    b = bench(FOUR)
    for i in b.planner.catalogue.net.instances:
        if i.cause in b.library.causes:
            assert (
                as_fitted(b, CauseAt(i.cause, i.at)).also_look
                == b.library.causes[i.cause].also_look
            )


def test_what_goes_on_with_and_stays_whole() -> None:
    """A switch line is no other engine: it must not be lost with it."""
    b = bench(SINGLE)
    said = as_fitted(b, CauseAt("gauge-restrictor-missing", "gauge-line")).also_look
    assert said == b.library.causes["gauge-restrictor-missing"].also_look


@pytest.mark.parametrize(
    ("cause", "at", "kept"),
    [
        ("strainer-gummed", "strainer", "Jets, needle, seals of the same age."),
        ("air-locked-after-draining", "supply-line", ""),
    ],
)
def test_no_pump_is_looked_at_where_fuel_runs_by_its_head(cause: str, at: str, kept: str) -> None:
    """An aeroplane without a pump has none that ran dry, and one with a pump is told of it."""
    assert as_fitted(bench("header-biplane"), CauseAt(cause, at)).also_look == kept
    assert "ump" in as_fitted(bench(SINGLE), CauseAt(cause, at)).also_look


def test_the_screen_tells_only_where_there_is_something_to_look_at() -> None:
    """A line 'Look also' with nothing behind it helps nobody."""
    told = dict(after_finding(bench(SINGLE), CauseAt("booster-dead", "booster")))
    assert "Rectify" in told
    assert "Look also" not in told


def test_a_verification_compares_with_other_engines_only_where_there_are() -> None:
    """One engine is held against its data, four against each other as well."""
    alone = as_fitted(bench(SINGLE), CauseAt("enrichment-stuck-shut", "carburettor"))
    assert "other engines" not in alone.verify
    one_of_four = as_fitted(bench(FOUR), CauseAt("enrichment-stuck-shut", "no1-carburettor"))
    assert one_of_four.verify.endswith("It agrees with the other engines.")


@pytest.mark.parametrize("layout", LAYOUTS)
def test_what_asks_for_a_second_one_never_takes_a_whole_remedy_or_verification_along(
    layout: str,
) -> None:
    """A cause with nothing left to prove it mended would be signed for unproved."""
    b = bench(layout)
    for i in b.planner.catalogue.net.instances:
        if i.cause in b.library.causes:
            known, said = b.library.causes[i.cause], as_fitted(b, CauseAt(i.cause, i.at))
            assert bool(said.verify) == bool(known.verify), i.cause
            assert bool(said.rectify) == bool(known.rectify), i.cause


@pytest.mark.parametrize(
    ("layout", "said"),
    [
        ("four-engine-injection", "Idle to run-up, booster off and on: in the band"),
        ("radial-single-hand-pump", "Idle to run-up, hand pump still and worked: in the band"),
    ],
)
def test_a_hand_pump_stands_in_for_the_booster_that_is_not_there(layout: str, said: str) -> None:
    """Whoever has only a hand pump is told to work it, not to switch a booster on."""
    b = bench(layout)
    relief = next(iter(b.places.parts_of_kind("pump-relief")))
    verify = as_fitted(b, CauseAt("pump-relief-stuck-shut", relief)).verify
    assert verify.startswith(said)


@pytest.mark.parametrize("layout", ["header-biplane", "high-wing-single"])
def test_no_pressure_is_to_be_read_in_a_run_where_no_gauge_is_fitted(layout: str) -> None:
    """A verification that asks for a steady pressure could not be signed for there."""
    b = bench(layout)
    assert not b.places.parts_of_kind("pressure-gauge")
    for i in b.planner.catalogue.net.instances:
        if i.cause in b.library.causes:
            verify = as_fitted(b, CauseAt(i.cause, i.at)).verify
            assert "pressure steady" not in verify
            assert "in the band" not in verify
            assert "teady pressure" not in verify
            assert "ormal pressure" not in verify


def test_a_steady_pressure_is_asked_for_where_there_is_a_gauge() -> None:
    """With a gauge fitted every word of the verification stands."""
    b = bench(SINGLE)
    said = as_fitted(b, CauseAt("strainer-plugged", "strainer")).verify
    assert said == b.library.causes["strainer-plugged"].verify
    assert "pressure steady in the band" in said


def test_no_booster_is_asked_for_where_no_pump_is() -> None:
    """Fuel that runs by its head is run on as reported, whatever a booster would do."""
    said = as_fitted(bench("high-wing-single"), CauseAt("strainer-plugged", "strainer")).verify
    assert said.startswith("Run at the power, on the tank, within the limits")
    assert "booster" not in said
