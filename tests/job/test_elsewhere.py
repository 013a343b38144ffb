"""Where else to look is told by what the aeroplane has."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.job.elsewhere import look_also
from diagnose.job.wording import after_finding
from diagnose.model import CauseAt

SINGLE, FOUR = "low-wing-single", "four-engine-injection"


@pytest.mark.parametrize(
    ("cause", "at", "kept"),
    [
        ("booster-dead", "booster", ""),
        ("primer-seal-leaks", "primer", ""),
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
    assert look_also(bench(SINGLE), CauseAt(cause, at)) == kept


def test_one_thing_is_left_out_of_a_list_and_the_rest_stays() -> None:
    """The other strainers go, the carburettor screen and the tank are looked at still."""
    said = look_also(bench(SINGLE), CauseAt("strainer-plugged", "strainer"))
    assert said == "The carburettor screen, the tank the dirt came from."


def test_where_there_are_others_every_word_of_the_knowledge_stands() -> None:
    """Four engines have each three others: nothing is left out, no stop is changed."""
    b = bench(FOUR)
    for i in b.planner.catalogue.net.instances:
        if i.cause in b.library.causes:
            assert look_also(b, CauseAt(i.cause, i.at)) == b.library.causes[i.cause].also_look


def test_what_goes_on_with_and_stays_whole() -> None:
    """A switch line is no other engine: it must not be lost with it."""
    b = bench(SINGLE)
    said = look_also(b, CauseAt("gauge-restrictor-missing", "gauge-line"))
    assert said == b.library.causes["gauge-restrictor-missing"].also_look


def test_the_screen_tells_only_where_there_is_something_to_look_at() -> None:
    """A line 'Look also' with nothing behind it helps nobody."""
    told = dict(after_finding(bench(SINGLE), CauseAt("booster-dead", "booster")))
    assert "Rectify" in told
    assert "Look also" not in told
