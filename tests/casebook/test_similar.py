"""Finished cases like the one in hand: found, explained, and never part of the ranking."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from diagnosis.shipped import CASES, KNOWLEDGE, bench, library
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.casebook import PastCases, own_jobs
from diagnose.job.diagnosis import Diagnosis
from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry
from diagnose.knowledge_files import list_layouts, load_case, load_layout
from diagnose.model import Case, CauseAt, Finding, State

LAYOUTS = {n: load_layout(p) for n, p in list_layouts(KNOWLEDGE).items()}
RUN_UP = State("run-up", {"booster": "off"})
LOW = Finding("fuel-pressure", "engine", "low", RUN_UP, "read")
FADES = Finding("engine-behaviour", "engine", "fades", RUN_UP)
CLEAN = Finding("strainer-drain-sample", "strainer", "clean", State("static"))


def case(name: str, *findings: Finding, layout: str = "low-wing-single") -> Case:
    """Return a small case of a plugged strainer."""
    at = (CauseAt("strainer-plugged", "strainer"),)
    return Case(name, "invented", layout, "", (), findings, (), at, invented=True)


def past(*cases: Case) -> PastCases:
    """Return ``cases`` made ready."""
    return PastCases(library(), LAYOUTS, cases)


def like(cases: PastCases, *findings: Finding) -> list[str]:
    """Return the names of the cases like ``findings`` on the low-wing single."""
    return [a.case.id for a in cases.like(findings, LAYOUTS["low-wing-single"])]


def test_what_is_alike_differs_and_was_only_then_is_told_apart() -> None:
    """Each finding of a past case stands on one side, with the finding it is held against."""
    dirty = replace(CLEAN, value="dirt")
    water = Finding("tank-drain-sample", "left-tank", "water", State("static"))
    (found,) = past(case("a", LOW, dirty, water)).like(
        [LOW, FADES, CLEAN], LAYOUTS["low-wing-single"]
    )
    assert [(f.question, g.question) for f, g in found.shared] == [("fuel-pressure",) * 2]
    assert [(f.value, g.value) for f, g in found.differing] == [("clean", "dirt")]
    assert [f.question for f in found.only_then] == ["tank-drain-sample"]
    assert found.found == (CauseAt("strainer-plugged", "strainer"),)


def test_a_case_of_another_layout_is_found_by_the_kind_of_place() -> None:
    """The second engine of a twin is an engine like any other."""
    twin = replace(LOW, at="no2-engine")
    assert like(past(case("twin", twin, layout="low-wing-twin")), LOW) == ["twin"]


def test_states_that_disagree_are_not_held_against_each_other() -> None:
    """Low with the booster on is another thing than low with it off."""
    on = replace(LOW, state=State("run-up", {"booster": "on"}))
    assert like(past(case("on", on)), LOW) == []
    assert like(past(case("unsaid", replace(LOW, state=State("run-up")))), LOW) == ["unsaid"]


def test_sharing_only_what_is_in_order_is_no_likeness() -> None:
    """Two clean strainers make no two defects alike."""
    assert like(past(case("clean", CLEAN, LOW)), CLEAN, FADES) == []


def test_the_same_findings_come_first_and_are_wholly_alike() -> None:
    """A case told again is found at the top with a likeness of 1."""
    cases = past(case("half", LOW), case("whole", LOW, FADES, CLEAN))
    found = cases.like([LOW, FADES, CLEAN], LAYOUTS["low-wing-single"])
    assert [a.case.id for a in found] == ["whole", "half"]
    assert found[0].likeness == pytest.approx(1.0)


def test_what_tells_most_is_shown_first() -> None:
    """The rarer of two shared findings stands above the commoner, and both above what is normal."""
    cases = past(case("a", CLEAN, LOW, FADES), *(case(f"b{n}", LOW) for n in range(6)))
    best = cases.like([CLEAN, LOW, FADES], LAYOUTS["low-wing-single"])[0]
    assert [f.question for f, _ in best.shared] == [
        "engine-behaviour", "fuel-pressure", "strainer-drain-sample",
    ]  # fmt: skip


@given(st.permutations([LOW, FADES, CLEAN]))
@settings(max_examples=6)
def test_the_order_of_findings_does_not_matter(order: list[Finding]) -> None:
    """What was read first is no more alike than what was read last."""
    cases = past(case("a", FADES, CLEAN), case("b", LOW, replace(CLEAN, value="dirt")))
    told = [(a.case.id, round(a.likeness, 9)) for a in
            cases.like(order, LAYOUTS["low-wing-single"])]  # fmt: skip
    plain = [(a.case.id, round(a.likeness, 9)) for a in
             cases.like([LOW, FADES, CLEAN], LAYOUTS["low-wing-single"])]  # fmt: skip
    assert told == plain


def test_rankings_are_identical_with_and_without_a_search_of_the_past(tmp_path: Path) -> None:
    """A search between two findings changes no probability of the job at all."""
    b = bench("low-wing-single")
    told = load_case(CASES / "invented" / "inv-accelerator-pump-weak.yaml", library(), b.layout)
    cases = past(case("a", LOW, FADES), case("b", *told.findings))

    def ranked(search: bool) -> list[tuple[CauseAt, float]]:
        diagnosis = Diagnosis(b, engine=False)
        for n in range(1, len(told.findings) + 1):
            if search:
                assert cases.like(told.findings[:n], b.layout)
            step = diagnosis.see(told.findings[:n])
        return list(step.posterior.ranking())

    assert ranked(True) == ranked(False)


def finished(home: Path, *findings: Finding) -> Job:
    """Return a job that ended with the strainer cleaned."""
    job = Job.open(Registry(home), bench("low-wing-single"), "2026-11-25", "Faded at run-up.")
    for f in findings:
        job.answer(f)
    job.checked("inspect-strainer-element", "strainer", "plugged")
    job.record("rectified", cause="strainer-plugged", place="strainer")
    job.answer(replace(LOW, value="normal"))
    job.record("verified", gone=True)
    job.record("finished", outcome="confirmed: strainer plugged")
    return job


def test_own_finished_jobs_are_found_with_what_was_rectified(tmp_path: Path) -> None:
    """What was read after the repair is no sign of the trouble; the job in hand is left out."""
    job = finished(tmp_path, LOW, FADES)
    own = own_jobs(Registry(tmp_path), library(), LAYOUTS)
    (one,) = own.cases
    assert one.causes == (CauseAt("strainer-plugged", "strainer"),)
    assert [(f.question, f.value) for f in one.findings] == [
        ("fuel-pressure", "low"), ("engine-behaviour", "fades"),
    ]  # fmt: skip
    assert like(past(one), LOW) == [job.name]
    assert own_jobs(Registry(tmp_path), library(), LAYOUTS, but=job.name).cases == ()


def test_jobs_that_cannot_be_read_here_are_passed_over_and_counted(tmp_path: Path) -> None:
    """A damaged log or a layout that is gone spoils no search."""
    job = finished(tmp_path, LOW)
    gone = {n: x for n, x in LAYOUTS.items() if n != "low-wing-single"}
    assert own_jobs(Registry(tmp_path), library(), gone).passed_over == 1
    job.log.path.write_text("{}\n" + job.log.path.read_text())
    assert own_jobs(Registry(tmp_path), library(), LAYOUTS).passed_over == 1
