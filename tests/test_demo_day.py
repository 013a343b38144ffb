"""The demo day of the README, played as told there: from two complaints to the last flight."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from diagnosis.shipped import KNOWLEDGE
from typer.testing import CliRunner

from diagnose.cli.job.start import take_up
from diagnose.cli.main import app
from diagnose.job.day.before_run import FOR_A_RUN
from diagnose.job.diagnosis import Diagnosis
from diagnose.job.job import Job
from diagnose.model import CauseAt, Finding
from diagnose.planner import Situation


@pytest.fixture(scope="module")
def played(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, Job]:
    """Return what the command printed, and the job it left."""
    home = tmp_path_factory.mktemp("day")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("DIAGNOSE_HOME", str(home))
        result = CliRunner().invoke(app, ["job", "demo", "--day"])
        assert result.exit_code == 0, result.output
        name = result.output.split()[-1]
        shown = CliRunner().invoke(app, ["job", "state", name, "--json"])
        assert not json.loads(shown.output)["outstanding"]
        return result.output, take_up(KNOWLEDGE, name)


def test_both_runs_of_the_day_have_their_gates_ticked_before_the_start(
    played: tuple[str, Job],
) -> None:
    """The verification run is a run: what was dry before the strainer was opened says nothing."""
    _, job = played
    runs = [e["n"] for e in job.log.events if e["event"] == "run"]
    opened = next(e["n"] for e in job.log.events if e["event"] == "rectified")
    ticked = [e["n"] for e in job.log.events if e["event"] == "confirmed"]
    dry = [n for n, f in job.state.findings.items() if f.question == "engine-bay-leak"]
    assert len(runs) == 2
    assert len([n for n in ticked if runs[0] < n < runs[1]]) == len(FOR_A_RUN)
    assert len([n for n in dry if opened < n < runs[1]]) == 4


def test_what_cools_is_looked_at_where_the_complaint_is(played: tuple[str, Job]) -> None:
    """The lamp of no. 2 engine was reported, so its plugs are looked at and not those of no. 1."""
    printed, _ = played
    cools = " ".join(printed.split()).partition("What cools, looked at first:")[2][:120]
    assert "(2 PI)" in cools
    assert "(1 PO)" not in cools


def test_the_day_goes_from_two_complaints_to_the_last_flight_in_order(
    played: tuple[str, Job],
) -> None:
    """One card, a slip questioned, a handover, the part, a second pair of eyes, a run, flights."""
    printed, job = played
    out = " ".join(printed.split())  # whatever breaks its lines
    order = [
        "Also: No. 3 fuel pressure",
        "RUN CARD: ONE RUN",
        "D4: fuel pressure gauge of no. 3 engine",
        "? card line",
        "typed again: 10 psi",
        "HANDOVER by AB, confirmed line by line by CD",
        "PART FOUND: main strainer element plugged, main strainer of no. 2 engine (port inner)",
        "independent inspection by AB",
        "leak check before any cowling or panel is closed: dry",
        "VERIFICATION RUN",
        "nothing came off: element and jar",
        "watched flight 2 of 2: clear",
        "FINISHED after 2 engine runs",
    ]
    places = [out.find(part) for part in order]
    assert -1 not in places, order[places.index(-1)]
    assert places == sorted(places)
    kinds = [e["event"] for e in job.log.events]
    steps = ("complaint", "card", "run", "handed-over", "taken-over", "part-found", "inspected")
    first = [kinds.index(k) for k in (*steps, "leak-checked", "verified", "flown", "finished")]
    assert first == sorted(first)
    assert job.state.phase == "finished"


def test_the_gauge_that_lies_is_believed_deferred_not_found_again(
    played: tuple[str, Job],
) -> None:
    """The second complaint is the deferred gauge: no check is spent on no. 3 engine."""
    _, job = played
    checked = [e["check"] for e in job.log.events if e["event"] == "checked"]
    assert checked == [["inspect-strainer-element", "no2-strainer"]]
    assert [c.at for c in job.state.rectified] == ["no2-strainer"]


def one_at_a_time(job: Job) -> int:
    """Return the engine runs of the day with one question a run, the verification included.

    What the card read is asked most telling first, each with its own start, until the part stands
    nine tenths as sure as it did once the card was read.
    """
    bench = job.bench
    diagnosis = Diagnosis(bench, job.state.before, engine=False)
    part = next(iter(job.state.rectified))
    run = next(e["n"] for e in job.log.events if e["event"] == "run")
    handed = next(e["n"] for e in job.log.events if e["event"] == "handed-over")
    found = {n: f for n, f in sorted(job.state.findings.items()) if n < handed}
    before = [f for n, f in found.items() if n < run]
    keys = [tuple(e["reading"]) for e in job.log.events if e["n"] in found and e["n"] > run]
    card = dict(zip(keys, (f for n, f in found.items() if n > run), strict=True))
    wanted = 0.9 * sureness(diagnosis, list(found.values()), part)
    runs = 1
    while sureness(diagnosis, before, part) < wanted:
        asked = frozenset(r.key for r in bench.planner.catalogue.readings if r.key not in card)
        step = diagnosis.see(before)
        _, telling = bench.planner.sift(diagnosis.belief, step.posterior, Situation(asked=asked))
        best = telling[0].reading.key if telling else next(iter(card))
        before.append(card.pop(best))
        runs += 1
    return runs


def sureness(diagnosis: Diagnosis, findings: list[Finding], part: CauseAt) -> float:
    """Return the belief in ``part``."""
    return dict(diagnosis.see(findings).posterior.ranking())[part]


def test_two_engine_runs_where_one_question_a_run_takes_four(played: tuple[str, Job]) -> None:
    """Asked one at a time, being as sure costs at least twice the starts."""
    _, job = played
    assert job.state.engine_runs == 2
    single = one_at_a_time(job)
    print(f"one question a run: {single} engine runs, the verification among them")
    assert single >= 4


def test_the_pages_of_the_day_can_be_printed(played: tuple[str, Job], tmp_path: Path) -> None:
    """Record and handover of the finished day come as pages without anything loaded."""
    from diagnose.job.day.handover import lines
    from diagnose.report import render
    from diagnose.report.handover import as_html, as_text

    _, job = played
    for page in (render(job, "html"), as_html(job, lines(job))):
        assert "size: A4" in page
        assert "http" not in page
    text = as_text(job, lines(job))
    assert "not a release" in text
    assert "no. 2 engine (port inner)" in text
