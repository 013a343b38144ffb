"""What would change it: the answers that would put another cause first, and why one is not."""

from __future__ import annotations

from pathlib import Path

import pytest
from diagnosis.shipped import bench
from job.job_kit import FADES, PRESSURE_LOW, open_job

from diagnose.cli.job.prompts import Commands
from diagnose.job.diagnosis import Bench
from diagnose.job.job import Job
from diagnose.job.ranking import still_possible
from diagnose.job.turning import LEAST_CHANCE, turns
from diagnose.model import Finding


@pytest.fixture
def tiny(request: pytest.FixtureRequest) -> Bench:
    """Return the tiny layout; ``bench`` is here the shipped ones."""
    found: Bench = request.getfixturevalue("bench")
    return found


def leading(job: Job) -> str:
    """Return the failure mode that stands first."""
    return still_possible(job.step())[0].causes[0].cause


def test_an_answer_named_as_turning_puts_that_cause_first_and_no_other_does(
    tmp_path: Path,
) -> None:
    """The telling answers that can be had are given: the first changes where it was said to."""
    job = open_job(tmp_path, bench("low-wing-single"))
    job.answer(FADES)
    before = leading(job)
    said = {(t.reading.key, t.finding.value): t for t in turns(job)}
    planner = job.bench.planner
    _, scored = planner.sift(job.diagnosis.belief, job.step().posterior, job.situation())
    turned = 0
    for s in scored[:25]:
        r = s.reading
        for value, chance in zip(s.table.classes, s.outlook.afterwards(s.given)[0], strict=True):
            job.answer(Finding(r.question, r.place, value, r.state))
            after = leading(job)
            job.step_back()
            named = said.get((r.key, value))
            if named is not None:
                assert after == named.first.causes[0].cause != before, (r.key, value)
                assert named.moves > 0.0
                turned += 1
            elif chance >= LEAST_CHANCE:
                assert after == before, (r.key, value)
    assert turned > 10


def test_what_would_change_names_the_cause_that_an_answer_would_put_first(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What moves the ranking is told before any rule concludes something."""
    job = open_job(tmp_path, bench("low-wing-single"))
    job.answer(FADES)
    Commands(job).words()["what would change"]("")
    assert "would stand first with:" in capsys.readouterr().out


def test_why_not_says_what_puts_the_first_before_it(
    tmp_path: Path, tiny: Bench, capsys: pytest.CaptureFixture[str]
) -> None:
    """Asked why the second is not first, the page ends with what sets the two apart."""
    job = open_job(tmp_path, tiny)
    job.answer(PRESSURE_LOW)
    first, second = (g.causes[0] for g in still_possible(job.step())[:2])
    commands = Commands(job).words()

    commands["why not"]("")
    page = capsys.readouterr().out
    commands["why not"](str(first))
    own = capsys.readouterr().out

    assert tiny.library.causes[first.cause].title in page.partition("First stands:")[2]
    assert tiny.library.causes[second.cause].title in page.partition("First stands:")[0]
    assert "  first  x" in page
    assert "First stands:" not in own


def test_a_job_with_nothing_disturbed_says_so(
    tmp_path: Path, tiny: Bench, capsys: pytest.CaptureFixture[str]
) -> None:
    """An empty answer to 'state' would leave open whether it was understood."""
    Commands(open_job(tmp_path, tiny)).words()["state"]("")
    assert "nothing is disturbed" in capsys.readouterr().out
