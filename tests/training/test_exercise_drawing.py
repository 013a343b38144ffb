"""Exercises are drawn by their seed, fit the layout, and do not give the fault away."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from diagnosis.shipped import bench
from training.training_kit import SINGLE, STRAINER, plane

from diagnose.errors import CaseError, UsageError
from diagnose.job.keeping.log import JobLog
from diagnose.model import CauseAt
from diagnose.signs import normal_class
from diagnose.training import drawing
from diagnose.training.drawing import draw, report
from diagnose.training.events import EXERCISE, Exercises
from diagnose.training.keeping import begin, opened, opening, row, sealed, take_up

DAY = "2026-01-31"


def test_the_same_seed_draws_the_same_exercise(monkeypatch: pytest.MonkeyPatch) -> None:
    """Fault, severity and report come from the seed alone."""
    monkeypatch.setattr(drawing, "solvable", lambda *_: True)  # it goes the whole route
    one = draw(bench(SINGLE), 2, family="priming")
    assert one == draw(bench(SINGLE), 2, family="priming")
    assert draw(bench(SINGLE), 2, fault=STRAINER) != draw(bench(SINGLE), 3, fault=STRAINER)


def test_a_family_and_a_level_are_kept_to() -> None:
    """What was asked for is what is hidden, and the report tells something wrong."""
    b = bench(SINGLE)
    drawn = draw(b, 5, family="pump", level="medium")
    assert b.library.causes[drawn.hidden.cause.cause].family == "pump"
    assert drawn.level == "medium"
    normal = {q.id: normal_class(q, b.library) for q in
              b.library.questions.values()}  # fmt: skip
    assert any(f.value != normal[f.question] for f in drawn.told)


@pytest.mark.parametrize("seed", [1, 10])
def test_a_report_does_not_give_the_place_away(seed: int) -> None:
    """What is told to be well is told of a place where something is told to be amiss."""
    p = plane(CauseAt("hose-cracked", "hose"), "half", seed=seed)
    told = report(p, np.random.default_rng(seed))
    normal = {q.id: normal_class(q, p.bench.library) for q in
              p.bench.library.questions.values()}  # fmt: skip
    amiss = {f.at for f in told if f.value != normal[f.question]}
    assert {f.at for f in told} == amiss


def test_an_instructor_hides_the_fault_he_names() -> None:
    """The cause is his; severity and report are drawn."""
    assert draw(bench(SINGLE), 2, fault=STRAINER).hidden.cause == STRAINER


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ({"level": "impossible"}, "'impossible' is no level; there are easy, medium, hard"),
        ({"family": "wheels"}, "'wheels' is no family of failure modes here"),
        ({"fault": CauseAt("strainer-plugged", "left-tank")}, "it is written CAUSE@PART"),
        ({"family": "contaminaton"}, "did you mean 'contamination'"),
        (
            {"fault": CauseAt("strainer-pluged", "strainer")},
            "did you mean 'strainer-plugged@strainer'",
        ),
        (
            {"fault": CauseAt("strainer-plugged", "strainer"), "family": "leak"},
            "is of the family contamination; leave 'leak' out",
        ),
    ],
)
def test_what_cannot_be_drawn_is_told_in_one_line(options: dict[str, object], said: str) -> None:
    """One line: what is wrong, and what there is."""
    with pytest.raises(UsageError, match=said) as wrong:
        draw(bench(SINGLE), 1, **options)  # type: ignore[arg-type] # options by name
    assert "\n" not in str(wrong.value)


def test_the_log_does_not_show_the_fault_at_a_glance(tmp_path: Path) -> None:
    """Neither cause nor part nor family stands in the file, and taken up it is the same."""
    b = bench(SINGLE)
    drawn = draw(b, 5, fault=STRAINER)
    name, attempt = begin(Exercises(tmp_path), b, drawn, DAY, apprentice="AB")
    text = Exercises(tmp_path).path(name).read_text(encoding="utf-8")
    assert "strainer" not in text
    assert "contamination" not in text
    log, _ = opening(Exercises(tmp_path), name)
    assert take_up(b, log).plane.hidden == attempt.plane.hidden == drawn.hidden
    found = row(Exercises(tmp_path), name, b.library)
    assert found is not None
    assert found["truth"] == ""
    assert found["family"] == ""


def test_the_same_fault_looks_another_way_each_time() -> None:
    """The salt hides that two exercises are alike."""
    covers = {sealed("strainer-plugged", bytes([k] * 8)) for k in range(8)}
    assert len(covers) == 8
    assert {opened(c) for c in covers} == {"strainer-plugged"}
    with pytest.raises(UsageError, match="cannot be read"):
        opened("no cover")


def test_an_exercise_of_other_knowledge_is_told_with_its_place(tmp_path: Path) -> None:
    """What the knowledge in use does not have is named with file and line, not guessed."""
    b = bench(SINGLE)
    name, attempt = begin(Exercises(tmp_path), b, draw(b, 5, fault=STRAINER), DAY)
    attempt.ask(b.planner.catalogue.gates[0])
    path = Exercises(tmp_path).path(name)
    path.write_text(path.read_text(encoding="utf-8").replace("engine-bay-leak", "engine-bay-lick"),
                    encoding="utf-8")  # fmt: skip
    with pytest.raises(CaseError, match=rf"{name}.jsonl:2:1: 'engine-bay-lick' is not a question"):
        take_up(b, JobLog(path, EXERCISE))
