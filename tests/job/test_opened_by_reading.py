"""A reading that opens a line leaves it on the list like a check: to be signed and seen."""

from __future__ import annotations

from pathlib import Path

from diagnosis.shipped import bench

from diagnose.cli.job.together import keep
from diagnose.job.answers import read_answer
from diagnose.job.job import Job
from diagnose.job.keeping.disturbed import Disturbed, by_check, words
from diagnose.job.keeping.registry import Registry
from diagnose.model import Finding, KnownBy
from diagnose.planner import Reading

ENGINE = "no3-engine"
LAYOUT = "four-engine-injection"


def a_job(home: Path) -> Job:
    """Open a job on the layout with vapour returns."""
    return Job.open(Registry(home), bench(LAYOUT), "2026-11-25", "Fuel runs from the vent.")


def return_flow(known_by: KnownBy) -> tuple[Finding, Reading]:
    """Return the vapour return of an engine as it was measured, or told of."""
    at = next(
        r
        for r in bench(LAYOUT).planner.catalogue.readings
        if (r.question, r.place) == ("vapour-return-flow", ENGINE)
    )
    return Finding(at.question, at.place, "large", at.state, known_by), at


def test_a_line_opened_for_a_reading_is_on_the_list_and_bars_pumps(tmp_path: Path) -> None:
    """Whoever leads a return into a can has a joint to close, to have seen and to leak-check."""
    job = a_job(tmp_path)
    job.answer(*return_flow("read"))
    (joint,) = job.state.joints_open()
    assert (joint.kind, joint.place) == ("line", ENGINE)
    assert "leak-check" in joint.restore
    assert job.state.leak_due


def test_lines_opened_for_readings_typed_together_are_each_on_the_list(tmp_path: Path) -> None:
    """Two returns measured in one go are two joints, wherever the answers were typed."""
    job = a_job(tmp_path)
    q = job.bench.library.questions["vapour-return-flow"]
    at = [r for r in job.bench.planner.catalogue.readings if r.question == q.id][:2]
    answers = {k: read_answer("trickle", q, job.bench.layout, r.place) for k, r in enumerate(at)}
    keep(job, tuple(at), answers)
    assert [d.place for d in job.state.joints_open()] == [r.place for r in at]


def test_what_was_told_of_such_a_reading_leaves_nothing_open(tmp_path: Path) -> None:
    """A return measured last week by others is closed again as far as anybody knows."""
    job = a_job(tmp_path)
    job.answer(*return_flow("told"))
    assert not job.state.disturbed
    job.answer(return_flow("read")[0])
    assert not job.state.disturbed, "told with the report, not asked for"


def test_every_question_that_opens_a_fuel_part_says_what_it_leaves_open() -> None:
    """No reading with the caution of an open fuel part is taken without being signed for."""
    questions = bench(LAYOUT).library.questions.values()
    opening = [q for q in questions if "open-fuel-part" in q.hazards]
    assert opening
    assert [q.id for q in opening if "line" not in q.disturbs or not q.close_out] == []


def test_a_measured_vapour_return_is_held_against_the_limit_of_the_layout() -> None:
    """12 imp gal/h is a stream where the layout allows 8, and 3 a trickle."""
    q = bench(LAYOUT).library.questions["vapour-return-flow"]
    read = [
        read_answer(text, q, bench(LAYOUT).layout, ENGINE).value
        for text in ("12 imp gal/h", "3 imp gal/h", "0 imp gal/h")
    ]
    assert read == ["large", "trickle", "none"]


def test_papers_and_shops_are_not_counted_back_as_tools() -> None:
    """A dip-stick may lie in a wing; the fuel record is read, and a shop is not carried there."""
    layout, checks = bench(LAYOUT).layout, bench(LAYOUT).library.checks
    (tools,) = [
        d["what"]
        for d in by_check(checks["dip-every-tank"], "port-inner-tank", layout, ())
        if d["kind"] == "tool"
    ]
    assert tools == "dip-stick"
    out = Disturbed("1.1", "tool", tools, "aeroplane", "counted back")
    assert words(out, "aeroplane") == "tools out: dip-stick: NOT RESTORED"


def test_what_a_check_opens_only_where_needed_stands_open_only_if_it_came_to_that(
    tmp_path: Path,
) -> None:
    """Pipes held against the drawing by eye leave no line open; a union undone for it does."""
    by_eye = Finding("trace-selector-lines", "port-selector", "as-drawn", check=True)
    job = a_job(tmp_path)
    job.checked_together([by_eye], opened=False)
    assert not job.state.joints_open()
    assert any(d.kind == "panel" for d in job.state.disturbed.values())
    job.checked_together([by_eye], opened=True)
    (joint,) = job.state.joints_open()
    assert joint.kind == "line"
