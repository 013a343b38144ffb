"""What would tell most and cannot be done here, told where it can still save somebody a detour."""

from __future__ import annotations

from diagnose.cli.room import wrap
from diagnose.job.at_hand import not_possible
from diagnose.job.gates import refused
from diagnose.job.job import Job

MOST_TOLD = 3
"""Things told of: who fetches the trolley wants to know what for, not all that it could do."""


def not_here(job: Job) -> list[str]:
    """Return what would tell most and why it cannot be done; [] where nothing is missing."""
    unsafe = bool(refused(job.bench, job.state.findings, job.log.events))
    step = job.step()
    missing = not_possible(job.bench, job.diagnosis.belief, step, job.state, unsafe=unsafe)
    lines = []
    for x in missing[:MOST_TOLD]:
        state = f" [{x.state}]" if x.state else ""
        lines += wrap(f"{x.what}, {x.place}{state}: {x.why_not}", "      ", "    - ")
    return ["  Would tell more, and cannot be done here:", *lines] if lines else []
