"""A decision chart as it is read: numbers, limits, cautions, and nothing the layout has not."""

from __future__ import annotations

import re

import pytest
from chart.shipped_charts import LAYOUT, STARTS, chart, sheets, text_of
from diagnosis.shipped import bench

from diagnose.belief import UNKNOWN
from diagnose.chart.limits import limits_behind
from diagnose.chart.numbering import dangers
from diagnose.chart.start import named, symptom_starts
from diagnose.chart.steps import step_block
from diagnose.job.day.before_run import set_up_words
from diagnose.job.diagnosis import Diagnosis
from diagnose.paper.blocks import Block


@pytest.mark.parametrize("start", STARTS)
def test_what_proves_a_repair_by_a_run_has_the_run_list_on_its_sheet(start: str) -> None:
    """Chocks, fire guard and gates hold for the verification as for any other run."""
    b, made = bench(LAYOUT), sheets(start)
    pages = re.findall(r'<section class="sheet">.*?</section>', made.html(), re.S)
    proving = {
        s.number
        for s in chart(start).steps
        for c in map(b.library.causes.__getitem__, s.mends)
        if c.verify_needs == "run" and not c.outside  # what is handed over is proved elsewhere
    }
    assert proving
    for page, sheet in zip(pages, made.sheets(), strict=True):
        # of a step cut by the end of a sheet, only the piece that mends calls for it
        pieces = [b for column in sheet.columns for b in column if isinstance(b, Block)]
        mended = {b.about for b in pieces if any("Verify: " in p.text for p in b.paras)}
        if mended & proving:
            assert "RUN list, known before a propeller turns" in page
            assert "Before what was mended is proved: the " in page


@pytest.mark.parametrize("start", STARTS)
def test_the_number_of_a_step_stands_at_its_top(start: str) -> None:
    """Who is sent to a step finds it, though a stop is told there before anything else."""
    b, c = bench(LAYOUT), chart(start)
    assert any(s.stops or s.warns for s in c.steps) or start == STARTS[0]
    for s in c.steps:
        first = step_block(b, c, s).paras[0]
        assert (first.kind, first.text.split()[0]) == ("head", str(s.number))


def test_a_list_used_up_sends_on_from_the_list_and_not_from_its_check() -> None:
    """A check that several lists send to cannot know which of them is used up."""
    c = chart(STARTS[0])
    (said,) = {
        p.text.partition("Sent here by no list")[0]
        for s in c.steps
        if s.kind == "settle"
        for p in step_block(bench(LAYOUT), c, s).paras
        if p.text.startswith("Still there afterwards")
    }
    assert "back to the list that sent you here" in said
    assert "go on at" not in said


def test_limits_stand_on_a_line_of_their_own_before_the_answers() -> None:
    """'stays at zero (low 4 psi)' would say that zero is 4 psi."""
    b, c = bench(LAYOUT), chart(STARTS[0])
    told = [step_block(b, c, s).paras for s in c.tree]
    said = [p for paras in told for p in paras if b.layout.limits["fuel-pressure"].shown in p.text
            or b.layout.limits["booster-pressure"].shown in p.text]  # fmt: skip
    assert said
    assert all(p.text.startswith("Limits of this layout: ") and not p.kind for p in said)


@pytest.mark.parametrize("start", STARTS)
def test_no_more_reports_are_called_settled_than_have_a_known_cause(start: str) -> None:
    """What nobody listed has no check; beliefs that add up to more than one would hide it."""
    c = chart(start)
    belief = Diagnosis(bench(LAYOUT), engine=False).see(c.start.findings).posterior
    assert 0.8 < c.covered <= 1.0 - dict(belief.ranking())[UNKNOWN]


def test_the_limits_behind_a_start_stand_on_its_sheet() -> None:
    """'below the band' says nothing to whoever has only the paper and no band."""
    b = bench(LAYOUT)
    pressure = b.layout.limits["fuel-pressure"]
    first = re.findall(r'<section class="sheet">.*?</section>', sheets(STARTS[0]).html(), re.S)[0]
    assert f"Limits of this layout: {pressure.shown} ({pressure.reference})." in text_of(first)


def test_where_the_layout_has_no_limit_the_paper_says_whose_band_is_meant() -> None:
    """On a gravity-fed layout no pressure is entered; 'below the band' is then the data's band."""
    gravity = bench("header-biplane")
    start = named(gravity, "test-gauge-pressure=low@engine")
    (said,) = limits_behind(gravity, start.findings)
    assert said.startswith("Limits: no approved figure entered")
    swings = named(gravity, "test-gauge-pressure=hunting@engine")
    assert limits_behind(gravity, swings.findings) == ()  # no band tells what swings


def test_seldom_answers_that_say_alike_stand_in_one_line() -> None:
    """Four answers that send to one check are four boxes' worth of reading for nothing."""
    b = bench(LAYOUT)
    for start in STARTS:
        c = chart(start)
        for s in (s for s in c.steps if s.seldom):
            lines = [p.text for p in step_block(b, c, s).paras if p.kind == "item"]
            told = [x.partition(": ")[2] for x in lines if not x.startswith("step ")]
            assert len(told) == len(set(told))
    answers = [a for c in map(chart, STARTS) for s in c.steps for a in s.seldom]
    assert answers


def test_what_is_listed_behind_a_danger_met_on_the_way_hands_over() -> None:
    """The rest was put in order without it, and would never come to the cock that leaks."""
    b = bench(LAYOUT)
    met = 0
    for c in map(chart, (*STARTS, "engine-behaviour=stops@engine")):
        if c.step(1).stops:  # a chart about a danger: its rest is of that danger
            assert all(s.otherwise == c.after[0].number for s in c.tree if s.kind == "suspects"
                       and not s.seldom)  # fmt: skip
            continue
        for s in c.tree:
            if s.stops and s.kind == "suspects":
                met += 1
                assert c.step(s.otherwise).kind == "hand-over"
                assert "The danger is worked first" in " ".join(
                    p.text for p in step_block(b, c, s).paras
                )
    assert met


def test_a_danger_that_the_layout_cannot_have_is_not_told() -> None:
    """Without a vapour return no return overflows."""
    title = bench(LAYOUT).library.symptoms["return-overflows"].title
    here = [t for d in dangers(bench(LAYOUT)) for t in d.found]
    there = [t for d in dangers(bench("radial-single-hand-pump")) for t in d.found]
    assert (title in here, title in there) == (False, True)
    assert bench(LAYOUT).library.symptoms["fuel-wet-in-engine-bay"].title in here


def test_a_question_is_asked_only_of_what_it_is_asked_of() -> None:
    """A start never wants to hear the sound of a contents gauge."""
    b = bench(LAYOUT)
    library, parts = b.library, b.layout.parts
    for start in symptom_starts(b):
        for f in start.findings:
            kinds = (library.checks[f.question] if f.check else library.questions[f.question]).at
            assert (parts[f.at].kind if f.at in parts else f.at) in kinds, start.name


def test_no_state_says_power_none_beside_a_battery_that_is_on() -> None:
    """What the stage says of the engine's power is not said again: it reads as the battery."""
    b = bench(LAYOUT)
    for state in b.layout.run_states:
        assert "power" not in set_up_words(b, state)[1]


@pytest.mark.parametrize("layout", ["header-biplane", "radial-single-hand-pump"])
def test_a_state_is_set_up_in_words_of_what_is_fitted(layout: str) -> None:
    """Without a booster none is said to be off, and a hand pump that is worked is no booster on."""
    b = bench(layout)
    for state in b.layout.run_states:
        title, how = set_up_words(b, state)
        assert "booster" not in how
        assert "heat " not in how
        assert not ("hand pump" in title and "hand pump" in how), "said once"
    twin = bench("low-wing-twin")
    assert any("cross-feed shut" in set_up_words(twin, s)[1] for s in twin.layout.run_states)
