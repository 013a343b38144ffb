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
    whys: dict[str, list[str]] = {}  # what bars several is told once
    for x in list({(m.what, m.place): m for m in reversed(missing)}.values())[::-1][:MOST_TOLD]:
        state = f" [{x.state}]" if x.state else ""
        whys.setdefault(x.why_not, []).append(f"{x.what}, {x.place}{state}")
    lines = [
        w for why, of in whys.items() for w in wrap(f"{'; '.join(of)}: {why}", "      ", "    - ")
    ]
    return ["  Would tell more, and cannot be done here:", *lines] if lines else []
