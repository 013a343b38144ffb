"""An aeroplane's file: what it lays over the layout, what it refuses, what it warns of."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from aeroplane.own_kit import CARD, DEMO, FOUR, GAUGE_LOW, HEAD, laid
from diagnosis.shipped import bench, library

from diagnose.aeroplane import recent_work, remarks, warnings
from diagnose.errors import CaseError, UsageError
from diagnose.job.answers import read_answer
from diagnose.knowledge_files.cutting import NO_FIGURE, card_of
from diagnose.model import Work
from diagnose.units import parse

TODAY = date(2026, 11, 25)
PRESSURE = library().questions["fuel-pressure"]


def told(text: str) -> list[str]:
    """Return the problems of a file, one a line."""
    with pytest.raises(CaseError) as caught:
        laid(text)
    return str(caught.value).splitlines()


def test_a_limit_of_the_file_replaces_the_layouts_and_carries_its_document() -> None:
    """The figure is held against the aeroplane's own limit, with document, revision and page."""
    layout = laid(DEMO)
    limit = layout.limits["fuel-pressure"]
    assert limit.low == parse("14 psi").value_si
    assert limit.reference == "invented maintenance manual, revision 7, 2025-03-01, page 28-12"
    assert layout.limits["delivery"] == bench(FOUR).layout.limits["delivery"]
    assert layout.edition != bench(FOUR).layout.edition


def test_an_actual_aeroplane_never_takes_an_invented_limit() -> None:
    """On an invented layout a file that is not invented keeps only its own limits, and says so."""
    text = HEAD.replace("invented: yes", "invented: no")
    layout = laid(text)
    assert layout.limits == {}
    assert "none is used" in warnings(layout, TODAY)[0]


def test_every_problem_is_told_at_once_with_its_place() -> None:
    """File, line and column, what was meant, the nearest known name."""
    problems = told(
        "aeroplane: X ONE\nlayout: four-engine-injection\ninvented: yes\n"
        "limits:\n  fuel-presure: {low: 14 psi, document: m, revision: '1', date: 2025-01-01}\n"
        "  delivery: {low: 140 gal/h, document: m, revision: '1', date: yesterday}\n"
        "work:\n  - {work: cleaned, at: no9-strainer, on: 2026-01-01}\n"
    )
    assert problems[0].startswith("X-ONE.yaml:1:12: 'X ONE' cannot be a registration")
    assert problems[1].startswith("X-ONE.yaml:5:3: 'fuel-presure'")
    assert "did you mean 'fuel-pressure'?" in problems[1]
    assert problems[2].startswith("X-ONE.yaml:6:19: 'low': 'gal/h'")
    assert "which gallon" in problems[2]
    assert problems[3].startswith("X-ONE.yaml:6:64: 'yesterday' is not a date")
    assert problems[4].startswith("X-ONE.yaml:8:25: 'no9-strainer'")
    assert len(problems) == 5


@pytest.mark.parametrize(
    "missing", ["since: 2026-11-01", "limit: 30 days", "reference: list item 1"]
)
def test_a_deferred_defect_needs_date_limit_and_reference(missing: str) -> None:
    """The tool decides nothing, so what the papers decided must be there."""
    key = missing.partition(":")[0]
    problems = told(HEAD + GAUGE_LOW.replace(missing, "until: 2026-12-01"))
    assert [f"has no '{key}'" in p for p in problems] == [True]


def test_a_cause_that_cannot_be_there_is_refused() -> None:
    """A deferred defect names a cause the layout can have at that part, or none."""
    text = GAUGE_LOW.replace("no3-pressure-gauge", "no3-strainer")
    assert "belongs to a pressure-gauge" in told(HEAD + text)[0]


def test_a_card_that_does_not_rise_is_refused() -> None:
    """One reading cannot stand for two truths."""
    text = CARD.replace("true: 14.5 psi", "true: 4 psi")
    assert "do not rise together" in told(HEAD + text)[0]


def test_a_modification_changes_a_trait_only_when_embodied() -> None:
    """What a modification sets counts from the day it is embodied, not before."""
    mod = (
        "modifications:\n  - {modification: M1, embodied: %s, sets: [{at: port-inner-tank, "
        "trait: material, value: metal}]}\n"
    )
    assert laid(HEAD + mod % "yes").parts["port-inner-tank"].traits["material"] == "metal"
    assert laid(HEAD + mod % "no").parts["port-inner-tank"].traits["material"] == "bladder"


def test_what_has_passed_or_differs_is_warned_of() -> None:
    """Layout edition, document revisions, shelf life, overhaul hours, card, deferral: each told."""
    text = (
        HEAD
        + "layout-edition: older\n"
        + "approved-data:\n  - {document: m, revision: '2', date: 2026-01-01}\n"
        + "limits:\n  fuel-pressure: {low: 14 psi, document: m, revision: '1', date: 2020-01-01}\n"
        + "fitted:\n  - {at: no2-strainer, shelf-until: 2026-11-24}\n"
        + "  - {at: port-inner-booster, hours: 500 h, overhaul-at: 500 h}\n"
        + CARD.replace("reference: card 3", "reference: card 3, due: 2026-11-24")
        + GAUGE_LOW.replace("limit:", "until: 2026-11-24, limit:")
    )
    said = " | ".join(warnings(laid(text), TODAY))
    for words in (
        "edition older",
        "typed from m revision 1; the revision held is 2",
        "shelf life date 2026-11-24 has passed",
        "overhaul hours reached",
        "was due for renewal on 2026-11-24",
        "not decided here",
    ):
        assert words in said
    assert len(warnings(laid(text), TODAY)) == 6
    assert len(warnings(laid(text), date(2026, 11, 24))) == 3  # a day lasts to its end


def test_work_counts_from_the_last_good_run_on() -> None:
    """Work and parts fitted from that day count, earlier and later ones do not."""
    own = laid(DEMO).aeroplane
    assert own is not None
    work = recent_work(own, TODAY)
    assert {w.at for w in work} == {"no2-strainer"}
    assert Work("strainer elements of no. 2 engine renewed (2026-11-16, log page 112)",
                "no2-strainer").what in {w.what for w in work}  # fmt: skip
    assert recent_work(own, date(2026, 11, 15)) == ()


def test_a_figure_is_corrected_by_the_card_of_its_own_gauge_only() -> None:
    """13 psi shown is 14.5 true on no. 2, in the band; on no. 3, without a card, it is low."""
    layout = laid(HEAD + CARD)
    two = read_answer("13 psi", PRESSURE, layout, "no2-engine")
    three = read_answer("13 psi", PRESSURE, layout, "no3-engine")
    assert (two.value, three.value) == ("normal", "low")
    assert "14.5 psi by its error card (card 3)" in two.note
    assert two.number == three.number == parse("13 psi").value_si  # as read, in the record


@pytest.mark.parametrize(
    ("shown", "true"), [("9 psi", 9.75), ("16.5 psi", 18.75), ("2 psi", 2.0), ("24 psi", 27.0)]
)
def test_a_card_is_read_by_straight_lines_and_carries_its_end_errors_on(
    shown: str, true: float
) -> None:
    """Between points the error runs evenly; beyond the ends it stays as at the end."""
    own = laid(HEAD + CARD).aeroplane
    assert own is not None
    card = own.cards["no2-pressure-gauge"]
    assert card.true(parse(shown).value_si) == pytest.approx(parse(f"{true} psi").value_si)


def test_where_two_gauges_could_be_meant_no_card_corrects() -> None:
    """A second carded gauge of the same engine leaves open which of them was read."""
    layout = laid(HEAD + CARD)
    assert layout.aeroplane is not None
    first, card = "no2-pressure-gauge", layout.aeroplane.cards["no2-pressure-gauge"]
    cards = {first: card, "second": replace(card, part="second")}
    two = replace(
        layout,
        parts={**layout.parts, "second": replace(layout.parts[first], id="second")},
        aeroplane=replace(layout.aeroplane, cards=cards),
    )
    assert card_of(PRESSURE, layout, "no2-engine") == card
    assert card_of(PRESSURE, two, "no2-engine") is None
    assert card_of(PRESSURE, two, first) == card


def test_a_figure_without_a_limit_is_kept_and_concludes_nothing() -> None:
    """'No approved figure entered': the figure stays, it is neither low nor high."""
    layout = laid(HEAD.replace("invented: yes", "invented: no"))
    answer = read_answer("3 psi", PRESSURE, layout, "no2-engine")
    assert answer.is_given
    assert answer.value == ""
    assert answer.number == parse("3 psi").value_si
    assert NO_FIGURE in answer.note


def test_without_a_limit_the_person_may_class_the_figure_with_a_limit_never() -> None:
    """'3 psi low' is the reader's own word, kept as such; where a limit stands it decides."""
    layout = laid(HEAD.replace("invented: yes", "invented: no"))
    answer = read_answer("3 psi low", PRESSURE, layout, "no2-engine")
    assert (answer.value, answer.number, answer.typed) == ("low", parse("3 psi").value_si, "3 psi")
    assert NO_FIGURE in answer.note
    with pytest.raises(UsageError):
        read_answer("16 psi low", PRESSURE, laid(HEAD), "no2-engine")


def test_what_is_known_of_a_gauge_is_said_where_it_is_read() -> None:
    """Deferred defect, quirk and card stand beside the question, at their own engine only."""
    layout = laid(DEMO)
    assert "deferred defect D4" in remarks(layout, PRESSURE, "no3-engine")[0]
    assert "swings about half a psi" in remarks(layout, PRESSURE, "no1-engine")[0]
    assert "its error card (card 3): shows 5 psi" in remarks(layout, PRESSURE, "no2-engine")[0]
    assert remarks(layout, PRESSURE, "no4-engine") == ()
