"""What must be put right and signed for at the terminal before an engine runs for a check."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from diagnosis.shipped import bench

from diagnose.cli.job.before_run import not_restored, safe_to_go
from diagnose.cli.job.talk import Talk
from diagnose.job.at_hand import INDOORS, WINDY, barred
from diagnose.job.gates import need_of_check
from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry
from diagnose.model import Finding
from diagnose.planner import Reading


def test_no_engine_is_run_for_a_check_with_a_cap_off(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What bars a run is signed for before it; a yes to 'nothing left open' is no way round it."""
    job = Job.open(Registry(tmp_path), bench("low-wing-single"), "2026-11-25", "Low pressure.")
    job.checked("inspect-cap", "left-cap", "seal-perished")
    typed = iter(["yes", "AB", "AB", "all AB"])
    monkeypatch.setattr(Talk, "line", lambda *_: next(typed))

    def safe(gates: Sequence[Reading]) -> None:
        for g in gates:
            value = "dry" if g.question == "engine-bay-leak" else "none"
            job.answer(Finding(g.question, g.place, value, g.state), g)

    assert safe_to_go(Talk(), job, "run", safe)
    assert not_restored(job) == []
    kinds = [e["event"] for e in job.log.events if e["event"] in ("restored", "confirmed")]
    assert kinds == sorted(kinds, reverse=True), "signed for first"


@pytest.mark.parametrize(
    ("now", "why"),
    [
        ({"may_run": False}, "no engine may be run here"),
        ({"handover": {"proved": "the strainer was clean"}}, "the handover is not confirmed"),
        ({"indoors": True}, INDOORS),
        ({"wind_too_strong": True}, WINDY),
    ],
)
def test_a_check_that_runs_an_engine_waits_for_what_a_run_waits_for(
    tmp_path: Path, now: dict[str, Any], why: str
) -> None:
    """Whatever keeps an engine from being run keeps such a check from being made, by its name."""
    job = Job.open(Registry(tmp_path), bench("low-wing-single"), "2026-11-25", "Low pressure.")
    catalogue = job.bench.planner.catalogue
    runs = [c for c in catalogue.checks if need_of_check(job.bench.library.checks[c[0]]) == "run"]
    assert runs
    assert not any(c in barred(job.bench, job.state).checks for c in runs)
    assert {barred(job.bench, replace(job.state, **now)).checks[c] for c in runs} == {why}
