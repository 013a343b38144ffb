"""Questions to people and papers: on the first page, and together where they come later."""

from __future__ import annotations

from pathlib import Path

import pytest
from diagnosis.shipped import bench
from session_kit import LEFT_OUT, new
from test_cli_together import Typed

from diagnose.cli.job import opening
from diagnose.cli.job.doing import WHILE_THERE
from diagnose.cli.job.session import Session
from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry
from diagnose.planner import Action, Plan

WATER = {
    "layout": "low-wing-single",
    "report": "Engine surged in the climb. Water in the strainer.",
}


def test_papers_that_pay_are_asked_for_before_what_is_here(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A question that saves its minute is on the page, though it tells less than a tenth bit."""

    def asked() -> int:
        page = new("all", *LEFT_OUT, **WATER).output.partition("What is here?")[0]
        return page.count("0  not checked / cannot tell")

    with_papers = asked()
    monkeypatch.setattr(opening, "MOST_WITH_PAPERS", 0)
    assert 0 < asked() < with_papers


def test_several_papers_are_announced_and_asked_one_after_another(tmp_path: Path) -> None:
    """What is asked in one go away from the aeroplane needs no card to be filled in."""
    b = bench("low-wing-single")
    job = Job.open(Registry(tmp_path), b, "2026-11-25", "Water in the strainer.")
    session = Session(job)
    talk = session.talk = session.doing.talk = Typed("1", "usual")
    wanted = ("days-parked", "last-uplift")
    readings = tuple(r for r in b.planner.catalogue.readings if r.question in wanted)
    action = Action(readings, minutes=3.0)
    session.doing.do(Plan(action, (), greedy=False), action)
    assert any(line.startswith(WHILE_THERE) for line in talk.said)
    assert not any("All on one line" in line for line in talk.said)
    assert [f.question for f in job.findings] == list(wanted)
