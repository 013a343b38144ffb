"""What an aeroplane's own file adds to a handover."""

from __future__ import annotations

from pathlib import Path

from aeroplane.own_kit import GAUGE_LOW, HEAD, own_bench

from diagnose.job.day import handover
from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry


def test_an_open_deferred_defect_is_handed_over_wherever_the_job_looked(tmp_path: Path) -> None:
    """A gauge known to lie is among what to beware of, though nothing was read at its engine."""
    bench = own_bench(HEAD + GAUGE_LOW)
    job = Job.open(Registry(tmp_path), bench, "2026-11-25", "No. 2 pressure low.")
    beware = [line.text for line in handover.lines(job) if line.key.startswith("beware own")]
    assert beware == [
        "fuel pressure gauge of no. 3 engine (starboard inner): deferred defect D1 of 2026-11-01, "
        "list item 1: gauge reads low"
    ]
