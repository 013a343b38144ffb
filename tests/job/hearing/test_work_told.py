"""Work as people tell it: the part its words name, and the sentences of a report that tell it."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.job.hearing.work_told import place_of_work, work_in


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
        ("exhaust renewed in June", "low-wing-single", ()),
        ("new cap on the stbd main two weeks back", "low-wing-twin", ("starboard-main-cap",)),
        ("filter element renewed on no 4 last week", "four-engine-injection", ("no4-strainer",)),
    ],
)
def test_the_words_of_a_work_name_its_part(said: str, layout: str, places: tuple[str, ...]) -> None:
    """Nobody has to say 'at carburettor' behind 'carburettor overhauled'."""
    assert place_of_work(said, bench(layout)) == places


def test_words_that_fit_several_parts_leave_it_open() -> None:
    """With four strainers 'strainer cleaned' is asked, not guessed."""
    assert len(place_of_work("strainer cleaned", bench("four-engine-injection"))) == 4


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
        ("Changed to the left tank and it picked up.", ()),
        ("Nothing was changed.", ()),
    ],
)
def test_a_report_that_tells_of_work_is_heard(report: str, work: tuple[str, ...]) -> None:
    """Work is offered as it was told; a change of tank is none."""
    assert work_in(report) == work


@pytest.mark.parametrize(
    "text", ["plugs cleaned and gapped on Tuesday", "new needle and seat fitted last week"]
)
def test_a_word_that_only_joins_names_no_part(text: str) -> None:
    """'And' in 'uplift and burn record' must not lift the odds of a record nobody worked on."""
    assert place_of_work(text, bench("four-engine-float")) == ()
