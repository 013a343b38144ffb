"""The decision chart: no dangling step, every end closed, and the planner's own way on paper."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache

import pytest
from chart.shipped_charts import LAYOUT, STARTS, STATE, chart, sheets, text_of
from chart.walking import Answers, by_paper, by_planner
from diagnosis.shipped import CASES, bench

from diagnose.chart.decision import grown
from diagnose.chart.grow import Grower
from diagnose.chart.spoken import Spoken
from diagnose.chart.start import from_finding, named, symptom_starts
from diagnose.chart.steps import at_words, hazards_of_step, step_block
from diagnose.chart.tree import Chart, ChartStep
from diagnose.errors import UsageError
from diagnose.job.diagnosis import Diagnosis
from diagnose.job.gates import closed_off, need_of_check, need_of_reading
from diagnose.job.wording import hazards_of_mending
from diagnose.knowledge_files import load_case
from diagnose.paper.blocks import A4
from diagnose.planner import Situation
from diagnose.signs import normal_class


def sends_to(step: ChartStep) -> Iterator[int]:
    """Yield every step that ``step`` sends the reader to."""
    yield from (w.to for w in step.ways)
    yield from (x.step for x in step.suspects)
    yield from (x.step for x in step.seldom if not x.confirmed)
    yield from (n for n in (step.danger, step.otherwise) if n)


@pytest.mark.parametrize("start", STARTS)
def test_every_step_that_is_named_exists_and_is_reached(start: str) -> None:
    """No step sends to nothing, and none stands where nobody comes."""
    c = chart(start)
    numbers = [s.number for s in c.steps]
    assert numbers == list(range(1, len(c.steps) + 1))
    sent_to = {to for s in c.steps for to in sends_to(s)}
    assert sent_to <= set(numbers)
    assert {1} | sent_to == set(numbers)


@pytest.mark.parametrize("start", STARTS)
def test_what_is_mended_has_the_cautions_of_mending_on_its_sheet(start: str) -> None:
    """A step that says Rectify names, before it, every caution that the cure calls for."""
    b = bench(LAYOUT)
    mending = [s for s in chart(start).steps if s.mends]
    assert mending
    for step in mending:
        wanted = {h for c in step.mends for h in hazards_of_mending(b, b.library.causes[c])}
        assert wanted <= set(hazards_of_step(b, step))
        text = " ".join(p.text for p in step_block(b, chart(start), step).paras)
        first = text[: text.index("Rectify")]
        assert all(b.library.hazards[h].title in first for h in wanted)


@pytest.mark.parametrize("start", STARTS)
def test_every_end_has_a_close_out_and_says_where_to_go_on(start: str) -> None:
    """No terminal leaves the reader with an open aeroplane or no next step."""
    c = chart(start)
    html = sheets(start).html()
    for s in (s for s in c.steps if s.terminal):
        printed = re.findall(rf'id="step-{s.number}".*?(?=id="step-|$)', html, re.S)[0]
        assert "Close-out:" in printed
        assert re.search(r"go on at \d+", printed)
        assert s.otherwise not in (0, s.number)


@pytest.mark.parametrize("start", STARTS)
def test_every_answer_of_every_step_leads_on_and_so_does_not_checked(start: str) -> None:
    """Each class of the question or result of the check is printed once, in its own order."""
    library = bench(LAYOUT).library
    for s in (s for s in chart(start).steps if s.ways):
        if s.check:
            answers = tuple(library.checks[s.check].results)
        else:
            assert s.asks is not None
            answers = tuple(library.questions[s.asks.question].classes)
        given = [v for w in s.ways for v in w.values]
        assert sorted(given) == sorted((*answers, ""))
        assert sum(w.share for w in s.ways) == pytest.approx(1.0, abs=1e-6)


def test_a_look_with_the_battery_off_has_no_caution_of_power_on_paper() -> None:
    """On paper as on the screen: it is read where a pump is on, and nowhere else."""
    b = bench(LAYOUT)
    looks = [r for r in b.planner.catalogue.readings if r.question == "engine-bay-leak"]
    step = next(s for s in chart(STARTS[0]).steps if s.kind == "reading")
    shown = {
        need_of_reading(b, r): "no-leak-before-power"
        in hazards_of_step(b, replace(step, readings=(r,)))
        for r in looks
    }
    assert shown == {"": False, "power": True}


@pytest.mark.parametrize("start", STARTS)
def test_cautions_stand_at_the_head_of_the_sheet_of_every_step(start: str) -> None:
    """The whole text of each hazard of a step is on its sheet, before the step."""
    b, c = bench(LAYOUT), chart(start)
    steps = {s.number: s for s in c.steps}
    made = sheets(start)
    pages = re.findall(r'<section class="sheet">.*?</section>', made.html(), re.S)
    for page, sheet in zip(pages, made.sheets(), strict=True):
        head = text_of(page.split('class="column"')[0])
        for part in (p for column in sheet.columns for p in column if p.about):
            step = steps[part.about]
            for h in hazards_of_step(b, step):
                assert " ".join(b.library.hazards[h].text.split()) in head
            if step.need == "run":
                assert "RUN list" in head
                assert "STOP AT ONCE" in head
            elif step.need == "power":
                assert "POWER list" in head


@pytest.mark.parametrize("start", STARTS)
def test_what_puts_power_on_or_turns_a_propeller_names_its_list(start: str) -> None:
    """No run, cranking or live pump without what must be known safe first."""
    library = bench(LAYOUT).library
    for s in chart(start).steps:
        needs = {need_of_reading(bench(LAYOUT), r) for r in s.readings if s.kind != "look"}
        if s.check:
            needs.add(need_of_check(library.checks[s.check]))
        wanted = "run" if "run" in needs else "power" if "power" in needs else ""
        assert s.need == wanted


@pytest.mark.parametrize("start", [STARTS[0], STARTS[2]])
def test_the_tree_keeps_to_the_page_asked_for_and_every_page_is_labelled(start: str) -> None:
    """The tree takes no more sheets; layout, edition and UNREVIEWED stand on each page."""
    made = sheets(start)
    assert len(made.laid(made.groups[0])) == 1
    labels = re.findall(r'<div class="labels">(.*?)</div>', made.html())
    assert len(labels) == len(made.sheets())
    edition = bench(LAYOUT).library.edition
    for k, label in enumerate(labels, 1):
        for said in ("UNREVIEWED", LAYOUT, "invented", edition, f"page {k} of {len(labels)}"):
            assert said in label


def test_no_engine_is_started_to_see_how_it_starts_when_it_ran() -> None:
    """Whoever was there knows; the start would cost people, fuel and twenty minutes."""
    b = bench(LAYOUT)
    starting = {r.key for r in b.planner.catalogue.readings if r.question == "engine-start"}
    assert starting
    assert starting <= named(b, STARTS[0], STATE[STARTS[0]]).asked
    assert not starting & named(b, "days-parked=long@aeroplane", "").asked


def test_what_does_not_fit_is_not_grown() -> None:
    """Paper for no more than the first step gives its answers as ends; more paper grows them."""
    b = bench(LAYOUT)
    small = Grower(b, named(b, STARTS[2])).grow(lambda grown: False)
    assert len([s for s in small.tree if s.ways]) == 1
    assert all(small.step(w.to).terminal for w in small.step(1).ways)
    assert len([s for s in chart(STARTS[1]).tree if s.ways]) > 1


@pytest.mark.parametrize("start", STARTS)
def test_the_first_step_is_the_action_the_planner_chooses(start: str) -> None:
    """The chart asks what a job would ask with the same findings."""
    b, c = bench(LAYOUT), chart(start)
    diagnosis = Diagnosis(b, engine=False)
    step = diagnosis.see(c.start.findings)
    situation = Situation(asked=c.start.asked)
    if step.outcome.stops:
        situation = closed_off(b, situation, "power")
    action = diagnosis.plan(step, situation, deadline=float("inf")).action
    assert action is not None
    first = c.step(1)
    assert (first.check, first.at) == (action.check, action.at)
    assert {r.key for r in first.readings} == {r.key for r in action.readings}


def test_a_confirmed_cause_ends_at_found_with_remedy_and_verification() -> None:
    """The check's confirming result leads to what to do about it."""
    c = chart(STARTS[2])
    found = [s for s in c.steps if s.kind == "found"]
    assert found
    page = text_of(sheets(STARTS[2]).html())
    for s in found:
        assert s.cause is not None
        cause = bench(LAYOUT).library.causes[s.cause.cause]
        assert f"Rectify: {' '.join(cause.rectify.split())}" in page
        assert f"Verify: {' '.join(cause.verify.split())}" in page


def test_readings_of_a_run_are_looked_at_one_after_another() -> None:
    """A run takes several readings at once; its first step asks one of them."""
    runs = [s for s in chart(STARTS[1]).steps if s.kind == "run" and len(s.readings) > 1]
    assert runs
    assert all(run.asks in run.readings for run in runs)


@pytest.mark.parametrize("case", ["inv-strainer-gummed", "inv-cock-seals-swollen"])
def test_walked_with_a_case_the_paper_leads_where_the_planner_leads(case: str) -> None:
    """From the first complaint of an invented job, paper and planner name the same cause."""
    b = bench(LAYOUT)
    told = load_case(CASES / "invented" / f"{case}.yaml", b.library, b.layout)
    first = next(
        f
        for f in told.findings
        if f.value != normal_class(b.library.questions[f.question], b.library)
    )
    start = from_finding(b, first.question, first.value, first.at, first.state)
    answers = Answers(b, told)
    walked, causes = by_paper(grown(b, start, A4, 1), answers)
    assert walked[0] == 1
    assert by_planner(b, start, answers) in causes
    assert told.causes[0] in causes


def test_danger_gets_a_step_of_its_own_and_the_stop_comes_first() -> None:
    """However seldom, an answer at which the rules say stop leads to that stop."""
    start = next(s for s in STARTS if any(step.stops for step in chart(s).steps))
    c, html = chart(start), sheets(start).html()
    stopped = [s for s in c.steps if s.stops]
    assert stopped
    for s in stopped:
        printed = text_of(re.findall(rf'id="step-{s.number}".*?(?=id="step-|$)', html, re.S)[0])
        assert printed.partition(">")[2].strip().startswith(f"{s.number} FIRST STOP:")


@pytest.mark.parametrize("start", STARTS)
def test_a_danger_found_at_any_step_leads_to_what_to_do_at_once(start: str) -> None:
    """A leak or a smell met on the way is no answer of the tree, and still must end somewhere.

    Every rule that stops a job on this layout stands there, and the head of each sheet sends to it.
    """
    b, c, made = bench(LAYOUT), chart(start), sheets(start)
    html = made.html()
    stop = text_of(re.findall(rf'id="step-{c.stop.number}".*?(?=id="step-|$)', html, re.S)[0])
    stopping = {s.id for s in b.library.symptoms.values() if s.stops}
    shown = {s.name.partition("@")[0] for s in symptom_starts(b, stopping)}
    ruled = [b.library.symptoms[name] for name in shown]
    assert {s.id for s in ruled} >= {"fuel-wet-in-engine-bay", "fuel-smell-in-cabin"}
    pages = re.findall(r'<section class="sheet">.*?</section>', html, re.S)
    for s in ruled:
        assert " ".join(s.stops.split()) in stop
        assert s.title in text_of(pages[0].split('class="column"')[0])
    for page, sheet in zip(pages, made.sheets(), strict=True):
        here = [c.step(p.about) for column in sheet.columns for p in column if p.about]
        head = text_of(page.split('class="column"')[0])
        sends = re.search(rf"FOUND AT ANY STEP: .*STOP, and go at once to {c.stop.number}\b", head)
        assert bool(sends) == any(s.danger for s in here)
    assert all(s.danger == c.stop.number for s in c.steps if s.ways)


def test_nothing_behind_a_stop_asks_for_power_or_a_run() -> None:
    """With fuel leaking in the cabin the chart goes on by looking, as a job does."""
    start = next(s for s in STARTS if chart(s).step(1).stops)
    assert all(s.need == "" for s in chart(start).tree)


@pytest.mark.parametrize(
    ("start", "state", "told"),
    [
        ("fuel-presure=low@engine", "", "did you mean 'fuel-pressure'"),
        ("fuel-pressure=lower@engine", "", "there are low, normal"),
        ("fuel-pressure=low@strainer", "", "@ one of engine"),
        ("booster-restore@engine", "", "did you mean 'booster-restores'"),
        ("fuel-pressure=low@engine", "run-up", "did you mean 'run-up-"),
        ("booster-restores@engine", "static", "brings its own run states"),
        ("sum-falls-parked@left-tank", "", "cannot be shown"),
    ],
)
def test_a_start_that_cannot_be_understood_says_what_was_meant(
    start: str, state: str, told: str
) -> None:
    """One clear line names the nearest, or what there is."""
    with pytest.raises(UsageError, match=re.escape(told)):
        named(bench(LAYOUT), start, state)


def test_a_symptom_starts_from_findings_that_make_its_rule_fire() -> None:
    """The booster that brings the pressure back is two readings, and the rules say so."""
    b = bench(LAYOUT)
    start = named(b, "booster-restores")
    outcome = Diagnosis(b, engine=False).see(start.findings).outcome
    assert ("booster-restores", "true") in {
        (s.symptom, s.verdict) for s in outcome.symptoms.values()
    }
    assert [f.value for f in start.findings] == ["low", "normal"]


def kinds(steps: tuple[ChartStep, ...]) -> set[str]:
    """Return the kinds of steps."""
    return {s.kind for s in steps}


def test_the_three_charts_between_them_have_every_kind_of_step() -> None:
    """What the other tests hold is held for every kind."""
    every = kinds(tuple(s for start in STARTS for s in chart(start).steps))
    assert every == {
        "reading", "run", "look", "check", "found", "suspects", "rest", "settle", "hand-over",
        "stop",
    }  # fmt: skip


def test_all_parts_of_a_kind_are_told_as_every_one_of_them() -> None:
    """Six tanks are 'every tank'; a part of them, and a pair, are named one by one."""
    b = bench("four-engine-injection")
    tanks = b.places.parts_of_kind("tank")
    assert at_words(b, tanks) == "every tank"
    assert at_words(b, tanks[:3]) == "; ".join(map(b.places.label, tanks[:3]))
    both = b.places.parts_of_kind("selector-cock")
    assert at_words(b, (*both, *tanks)) == "; ".join([*map(b.places.label, both), "every tank"])


@lru_cache(maxsize=1)
def smelt() -> Chart:
    """Return the first steps of the chart for a smell of fuel about the engine."""
    return grown(bench(LAYOUT), named(bench(LAYOUT), "fuel-smell=outside"), A4, 1)


def test_a_smell_of_fuel_asks_for_no_power_and_no_run() -> None:
    """The gate is known unsafe from the start, so no step and no check puts fuel under pressure."""
    b = bench(LAYOUT)
    for step in smelt().steps:
        assert step.asks is None or not need_of_reading(b, step.asks), step.number
        assert not step.check or not need_of_check(b.library.checks[step.check]), step.number


def test_checks_for_what_was_found_stand_above_quicker_ones_for_anything() -> None:
    """Who smells fuel is sent to hose, drain and strainer before the selector and the records."""
    b = bench(LAYOUT)
    spoken = Spoken(Diagnosis(b, engine=False))
    rest = next(s for s in smelt().steps if s.kind == "rest")
    speaks = [any(spoken.for_(*c) for c in s.causes) for s in rest.suspects]
    assert speaks == sorted(speaks, reverse=True)
    assert True in speaks
    assert False in speaks
    assert "inspect-hoses" in [s.check for s in rest.suspects][: speaks.index(False)]
