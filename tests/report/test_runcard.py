"""The card of an engine run: what stops it, what must be known, and a box for every reading."""

from __future__ import annotations

import re

import pytest
from diagnosis.shipped import LAYOUTS, bench

from diagnose.errors import UsageError
from diagnose.job.before_run import FOR_A_RUN, STOP_AT_ONCE
from diagnose.job.diagnosis import Bench, Diagnosis
from diagnose.planner import Action, Reading, Situation
from diagnose.report.runcard import FORMS, groups, runcard

FOUR = "four-engine-injection"


def run_readings(b: Bench) -> list[Reading]:
    """Return every reading of the layout that needs an engine running."""
    listed = b.planner.catalogue.readings
    return [r for r in listed if r.run_state is not None and r.run_state.engine_running]


def spread(b: Bench, count: int = 8) -> tuple[Reading, ...]:
    """Return ``count`` readings spread over the run states, last state first."""
    listed = run_readings(b)
    return tuple(reversed(listed[:: len(listed) // count][:count]))


@pytest.fixture(scope="module")
def four() -> Bench:
    """Return the invented four-engined layout."""
    return bench(FOUR)


def flat(card: str) -> str:
    """Return a card without the breaks of its lines or the tags of its page."""
    return " ".join(re.sub(r"<[^>]+>", " ", card).split())


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_planned_run_of_eight_readings_fits_one_sheet(layout: str) -> None:
    """The run planned for a job just opened is one page of A4 on every shipped layout."""
    b = bench(layout)
    diagnosis = Diagnosis(b, engine=False)
    open_gates = b.planner.catalogue.gates
    posterior = diagnosis.see([]).posterior
    run = b.planner.best_run(diagnosis.belief, posterior, Situation(open_gates=open_gates))
    assert run is not None
    assert len(run.readings) <= 8
    card = runcard(b, run, run.gates, "text")
    assert "page 1 of 1" in card
    assert "\f" not in card
    assert len(card.splitlines()) <= 62
    assert max(map(len, card.splitlines())) <= 84
    assert card.count("[____________]") == len(run.readings)


@pytest.mark.parametrize("fmt", FORMS)
def test_stops_and_cautions_and_gates_come_before_the_first_reading(four: Bench, fmt: str) -> None:
    """Whoever reads from the top has read what can hurt before setting anything."""
    readings = spread(four)
    gates = four.planner.catalogue.gates
    card = flat(runcard(four, Action(readings), gates, fmt))
    first = card.lower().index("readings, in this order")
    hazards = {h for r in readings for h in four.library.questions[r.question].hazards}
    assert hazards
    for text in (*STOP_AT_ONCE, *(four.library.hazards[h].text for h in hazards), *FOR_A_RUN):
        assert card.index(" ".join(text.split())) < first
    for gate in gates:
        assert card.index(four.places.label(gate.place)) < first


@pytest.mark.parametrize("fmt", FORMS)
def test_every_reading_stands_under_its_run_state_with_number_and_position(
    four: Bench, fmt: str
) -> None:
    """No reading is lost, each says where, and the states come in the order of the layout."""
    readings = spread(four)
    card = flat(runcard(four, Action(readings), (), fmt)).lower()
    at = -1
    order = [s.id for s in four.layout.run_states]
    told = groups(four, readings)
    ids = [s.id for s, _ in told if s is not None]
    assert ids == sorted(ids, key=order.index)
    assert len(ids) > 1
    assert sorted(r.key for _, rs in told for r in rs) == sorted(r.key for r in readings)
    for state, within in told:
        assert state is not None
        at = card.index(state.title.lower(), at + 1)
        for r in within:
            title = four.library.questions[r.question].title.lower()
            assert card.index(four.places.label(r.place).lower(), card.index(title, at)) > at


def test_more_than_one_pair_of_hands_is_said(four: Bench) -> None:
    """A reading that takes two people says so; one person is said once for the rest."""
    by_hands = {four.library.questions[r.question].hands: r for r in run_readings(four)}
    assert {1, 2} <= set(by_hands)
    assert "2 people" in runcard(four, Action((by_hands[2],)), (), "text")
    alone = runcard(four, Action((by_hands[1],)), (), "text")
    assert "2 people" not in alone
    assert "One person takes a reading" in alone


@pytest.mark.parametrize("fmt", FORMS)
def test_answers_of_a_question_are_written_out_once_and_all_of_them(four: Bench, fmt: str) -> None:
    """Two engines, one question: the second refers to the first, in neutral order."""
    pressure = [r for r in run_readings(four) if r.question == "fuel-pressure"][:2]
    card = flat(runcard(four, Action(tuple(pressure)), (), fmt))
    answers = " / ".join(four.library.questions["fuel-pressure"].classes.values())
    assert card.count(answers) == 1
    assert card.count("as above") == 1


@pytest.mark.parametrize("fmt", FORMS)
def test_the_card_says_it_is_unreviewed_invented_and_no_release(four: Bench, fmt: str) -> None:
    """Labels of the record stand on the card too, with layout and edition."""
    card = runcard(four, Action(spread(four)), (), fmt)
    for label in ("UNREVIEWED", f"{FOUR} (invented)", four.library.edition, "not a release"):
        assert label in card


def test_the_printed_card_is_one_page_of_plain_a4_without_script_or_address(four: Bench) -> None:
    """Nothing is loaded and nothing runs; the page is set for A4."""
    page = runcard(four, Action(spread(four)), four.planner.catalogue.gates, "html")
    assert "size: A4; margin: 15mm" in page
    for outside in ("<script", "href=", "src=", "url(", "http"):
        assert outside not in page.lower()


def test_a_card_of_no_readings_or_of_another_form_is_refused(four: Bench) -> None:
    """A check has no run card, and a wrong form names those there are."""
    with pytest.raises(UsageError, match="needs readings"):
        runcard(four, Action(check="inspect-strainer-element", at="no2-strainer"), (), "text")
    with pytest.raises(UsageError, match="text or html"):
        runcard(four, Action(spread(four)), (), "pdf")
