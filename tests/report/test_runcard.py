"""The card of an engine run: one page, what stops it, what must be known, a box for everything."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from diagnosis.shipped import LAYOUTS, bench

from diagnose.errors import UsageError
from diagnose.job.day.before_run import FOR_A_RUN, STOP_AT_ONCE
from diagnose.job.day.card import Card, CardLine, arranged, card_of
from diagnose.job.day.read_beside import held_against, read_beside
from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry
from diagnose.model import Finding, State
from diagnose.report.runcard import FORMS, runcard

FOUR = "four-engine-injection"
RUN_UP = State("run-up", {"booster": "off"})
LOW = Finding("fuel-pressure", "no2-engine", "low", RUN_UP, "read", number=75_842.0, typed="11 psi")


def job_on(home: Path, layout: str = FOUR, aeroplane: str = "invented one") -> Job:
    """Return a job just opened on a shipped layout."""
    day = "2026-11-25"
    return Job.open(Registry(home), bench(layout), day, "lamp at the run-up", aeroplane=aeroplane)


@pytest.fixture(scope="module")
def four(tmp_path_factory: pytest.TempPathFactory) -> Card:
    """Return the card of a job with a low reading on the invented four-engined layout."""
    job = job_on(tmp_path_factory.mktemp("card"))
    job.answer(LOW)
    return card_of(job)


def flat(card: str) -> str:
    """Return a card without the breaks of its lines, the edge of its box or its tags."""
    return " ".join(re.sub(r"<[^>]+>|(?m:^\| | \|$)", " ", card).split())


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_card_of_a_job_just_opened_is_one_sheet_on_every_layout(
    layout: str, tmp_path: Path
) -> None:
    """Text: 62 lines of 84 characters with at least five lines to read."""
    text, printed = runcard(card_of(job_on(tmp_path, layout)), "text")
    assert "page 1 of 1" in text
    assert "\f" not in text
    assert len(text.splitlines()) <= 62
    assert max(map(len, text.splitlines())) <= 84
    assert len(printed.lines) >= 5  # a biplane without gauge or lamp has no more to read
    assert text.count("[_____]") == sum(len(x.places) for x in printed.lines)


@pytest.mark.parametrize("fmt", FORMS)
def test_what_stops_and_gates_the_run_stands_above_the_first_reading(four: Card, fmt: str) -> None:
    """Whoever reads from the top has read what can hurt before setting anything."""
    text, printed = runcard(four, fmt)
    card = flat(text)
    first = card.index("Readings, in this order" if fmt == "html" else "READINGS, in this order")
    library = four.bench.library
    assert printed.hazards()
    assert four.gates
    for said in (*STOP_AT_ONCE, *(library.hazards[h].text for h in printed.hazards()), *FOR_A_RUN):
        assert " ".join(said.split()) in card[:first]
    for gate in four.gates:
        assert library.questions[gate.question].title in card[:first]
    assert "13.5 psi" in card[:first], "the limit of the layout"
    assert "invented for this layout" in card[:first], "its reference"


@pytest.mark.parametrize("fmt", FORMS)
def test_lines_stand_in_the_order_of_the_layouts_states_with_a_box_for_each_engine(
    four: Card, fmt: str
) -> None:
    """Numbers run on, states come as an engine goes through them, all four engines have boxes."""
    text, printed = runcard(four, fmt)
    order = [s.id for s in four.bench.layout.run_states]
    ids = [x.set_up for x in printed.lines]
    assert ids == sorted(ids, key=order.index)
    assert [x.number for x in printed.lines] == list(range(1, len(ids) + 1))
    run_up = next(x for x in printed.lines if x.set_up == "run-up-booster-off")
    assert run_up.places == four.bench.places.engines
    card = flat(text)
    for short, whole in (("2 PI", "no. 2 engine (port inner)"), ("4 SO", "(starboard outer)")):
        assert short in card
        assert whole in card


@pytest.mark.parametrize("fmt", FORMS)
def test_what_did_not_fit_left_as_the_least_telling_and_is_named(four: Card, fmt: str) -> None:
    """Nothing is dropped silently: lines printed and left out are all that was wanted."""
    text, printed = runcard(four, fmt)
    assert printed.left_out
    assert len(printed.lines) + len(printed.left_out) == len(four.lines)
    assert (four.worth[0].question, four.worth[0].set_up) in {
        (x.question, x.set_up) for x in printed.lines
    }
    for line in printed.left_out:
        assert len(runcard(printed.fuller(line), fmt)[1].lines) <= len(printed.lines)
    first = four.bench.library.questions[printed.left_out[0].question].title
    assert first in flat(text).rpartition("Did not fit")[2]


def test_the_gauge_is_read_beside_the_lamp_in_the_state_of_the_report() -> None:
    """A lamp told to flicker is held against the gauge of the same run state, or against none."""
    offered = {r.key: r for r in bench(FOUR).planner.catalogue.readings}
    lamp = ("pressure-lamp", "no3-engine", "run-up-booster-off")
    beside = read_beside(bench(FOUR), [offered[lamp]])
    assert [r.key for r in beside] == [("fuel-pressure", "no3-engine", "run-up-booster-off")]
    assert read_beside(bench(FOUR), [offered[lamp], *beside]) == (), "nothing twice"


def test_the_card_of_a_lamp_has_its_gauge_wherever_else_it_would_stand(tmp_path: Path) -> None:
    """Among what the report asks for it leaves the card last, however little it would tell."""
    job = job_on(tmp_path)
    job.answer(Finding("pressure-lamp", "no3-engine", "flickering", RUN_UP, "told"))
    worth = [(x.question, x.set_up) for x in card_of(job).worth]
    assert worth[:2] == [
        ("pressure-lamp", "run-up-booster-off"),
        ("fuel-pressure", "run-up-booster-off"),
    ]


def test_what_needs_tools_is_read_beside_nothing() -> None:
    """A master gauge is teed in before a run; no glance at the panel brings it."""
    assert "fuel-pressure" in held_against(bench(FOUR), "pressure-lamp")
    assert "test-gauge-pressure" not in held_against(bench(FOUR), "fuel-pressure")


@pytest.mark.parametrize("fmt", FORMS)
def test_the_last_good_reading_of_the_same_aeroplane_stands_at_its_box(
    fmt: str, tmp_path: Path
) -> None:
    """A reading in order from an earlier job of this aeroplane is shown, another's is not."""
    for name, figure in (("invented one", "16.25 psi"), ("another", "17.75 psi")):
        earlier = job_on(tmp_path, aeroplane=name)
        good = replace(LOW, value="normal", number=112_000.0, typed=figure)
        earlier.answer(replace(good, at="no3-engine"))
    job = job_on(tmp_path)
    job.answer(LOW)
    card = flat(runcard(card_of(job), fmt)[0])
    assert "16.25 psi" in card
    assert "17.75 psi" not in card


def test_no_card_while_a_joint_is_open_and_none_while_a_handover_is_unconfirmed(
    tmp_path: Path,
) -> None:
    """An open strainer or an unread handover bars the card and says what clears it."""
    job = job_on(tmp_path)
    done = job.checked("inspect-strainer-element", "no2-strainer", "clean")
    with pytest.raises(UsageError, match="strainer opened"):
        card_of(job)
    job.record("restored", item=f"{done['n']}.1", by="AB")
    job.record("handed-over", by="AB", lines=[["proved 1", "strainer clean"]])
    with pytest.raises(UsageError, match="handover"):
        card_of(job)
    job.record("taken-over", line="proved 1", by="CD", agreed=True)
    standing = " ".join(card_of(job).standing)
    assert "cowling off" in standing, "a panel off bars no run, but everybody knows of it"


@pytest.mark.parametrize("fmt", FORMS)
def test_the_card_says_it_is_unreviewed_invented_and_no_release(four: Card, fmt: str) -> None:
    """Labels of the record stand on the card too, with layout and edition."""
    card, _ = runcard(four, fmt)
    for label in ("UNREVIEWED", f"{FOUR} (invented)", "not a release", "invented one"):
        assert label in flat(card)


def test_the_printed_card_loads_nothing_and_says_nothing_by_colour(four: Card) -> None:
    """Nothing is loaded and nothing runs; black on white; the page is set for A4."""
    page, _ = runcard(four, "html")
    assert "size: A4" in page
    for outside in ("<script", "href=", "src=", "url(", "http"):
        assert outside not in page.lower()
    assert set(re.findall(r"#[0-9a-f]{3,6}\b", page)) <= {"#000", "#fff"}


@pytest.mark.parametrize("fmt", FORMS)
def test_what_takes_more_than_one_reader_says_so(four: Card, fmt: str) -> None:
    """A test gauge is read with one at the gauge and one at the controls."""
    state = four.lines[0].state
    line = CardLine(1, "test-gauge-pressure", state, ("no2-engine",))
    page, _ = runcard(arranged(four, (line,), ()), fmt)
    assert " - 2 people" in flat(page)
    assert " - 2 people" not in flat(runcard(four, fmt)[0])


def test_a_card_of_no_lines_or_of_another_form_is_refused(four: Card) -> None:
    """A wrong form names those there are."""
    with pytest.raises(UsageError, match="text or html"):
        runcard(four, "pdf")
    with pytest.raises(UsageError, match="nothing to read"):
        runcard(arranged(four, (), ()), "text")
