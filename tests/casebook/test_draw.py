"""Jobs drawn with the fuel-system model: seeded, told like jobs, and read back as written."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from diagnosis.shipped import CASES, KNOWLEDGE, bench, library
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.casebook import Draw, case_text, draw
from diagnose.casebook.draw import MOST_AMISS, MOST_NORMAL
from diagnose.knowledge_files import list_layouts, load_case, load_layout, load_shelf
from diagnose.model import Case, CauseAt, Finding, State, Work
from diagnose.signs import normal_class

STRAINER = Draw(CauseAt("strainer-plugged", "strainer"), "severe", 5)


def drawn(what: Draw = STRAINER, layout: str = "low-wing-single") -> Case:
    """Return a drawn job; something must be amiss."""
    case = draw(bench(layout), what, "drawn")
    assert case is not None
    return case


def test_the_same_seed_draws_the_same_job_and_another_another() -> None:
    """Two draws of one seed are one text; five seeds do not all tell the same."""
    assert case_text(drawn()) == case_text(drawn())
    told = {
        case_text(replace(c, source="", notes=""))
        for s in range(5)
        if (c := draw(bench("low-wing-single"), Draw(STRAINER.cause, "severe", s), "drawn"))
    }
    assert len(told) > 1


def test_a_drawn_job_says_what_it_is() -> None:
    """Marked invented and from the model, with seed and grade; the cause is what was put in."""
    case = drawn()
    assert case.invented
    assert case.source == "from the model, seed 5, grade severe"
    assert case.causes == (STRAINER.cause,)
    assert any(f.question == "inspect-strainer-element" for f in case.examination)


def test_a_drawn_job_tells_what_is_amiss_first() -> None:
    """The first finding is out of the ordinary; no more is told than an engineer would."""
    case = drawn()
    question = library().questions[case.findings[0].question]
    assert case.findings[0].value != normal_class(question, library())
    assert len(case.findings) <= MOST_AMISS + MOST_NORMAL


def test_nothing_is_read_from_an_instrument_that_is_not_fitted() -> None:
    """The low-wing single has no warning lamp, so no draw tells of one."""
    for seed in range(4):
        case = draw(bench("low-wing-single"), Draw(STRAINER.cause, "severe", seed), "drawn")
        assert case is None or all("lamp" not in f.question for f in case.findings)


def test_a_failure_without_a_physical_form_draws_nothing() -> None:
    """The model has no stick that was read askew."""
    what = Draw(CauseAt("stick-misused", "left-dip-stick"), "severe", 1)
    assert draw(bench("low-wing-single"), what, "drawn") is None


def test_a_drawn_job_reads_back_as_it_was_written(tmp_path: Path) -> None:
    """The file gives the same findings, examination and cause."""
    case = drawn()
    file = tmp_path / "drawn.yaml"
    file.write_text(case_text(case))
    again = load_case(file, library(), bench("low-wing-single").layout)
    written = [
        replace(f, origin=g.origin) for f, g in zip(case.findings, again.findings, strict=True)
    ]
    assert list(again.findings) == written
    assert again.causes == case.causes
    assert again.reported == case.reported


@given(st.text(min_size=1, max_size=60).filter(lambda t: t.isprintable() and t.strip() == t))
@settings(max_examples=40)
def test_any_words_survive_being_written(words: str) -> None:
    """Titles and work in a person's own words come back as typed, whatever YAML makes of them."""
    from diagnose.knowledge_files.fields import Fields
    from diagnose.knowledge_files.gather import Gather
    from diagnose.knowledge_files.reader import read_yaml

    case = Case("x", "invented", "low-wing-single", "r", (Work(words, "strainer"),),
                (Finding("fuel-pressure", "engine", "low", State("idle", {"booster": "on"})),),
                (), (CauseAt("", ""),), title=words)  # fmt: skip
    fields = Fields(read_yaml(case_text(case).encode(), "x"), Gather(), "case")
    assert fields.text("title") == words
    (work,) = fields.tables("before", "work")
    assert work.text("work") == words


def test_the_kept_cases_are_all_readable_and_reach_every_failure_mode() -> None:
    """Every mode that can be on a shipped layout has a case beside the published ones."""
    layouts = {n: load_layout(p) for n, p in list_layouts(KNOWLEDGE).items()}
    cases = load_shelf([CASES], library(), layouts).sound()
    reached = {c.cause for case in cases if case.invented for c in case.causes}
    there = {c.cause for n in layouts for c in bench(n).net.instances}
    assert sorted(there - reached) == []
    assert sum(c.id.startswith("inv-") for c in cases) >= 40
    model = [c for c in cases if c.source.startswith("from the model")]
    assert {c.layout for c in model} == set(layouts)


@pytest.mark.parametrize("folder", ["invented", "model"])
def test_each_kept_case_says_that_nobody_saw_it(folder: str) -> None:
    """Invented is said in the file, and the source says in which way."""
    for file in (CASES / folder).glob("*.yaml"):
        text = file.read_text(encoding="utf-8")
        assert "\ninvented: yes\n" in text
        assert ("from the model, seed" in text) == (folder == "model")
