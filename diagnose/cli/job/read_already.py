"""A check whose very act was done as a reading: offered as made, before anything is opened."""

from __future__ import annotations

from diagnose.cli.job.talk import Talk
from diagnose.cli.room import wrap
from diagnose.job.job import Job
from diagnose.job.read_as_check import count_as_check, read_before
from diagnose.job.wording import finding_line
from diagnose.planner import Action


def taken_as_made(talk: Talk, job: Job, action: Action) -> bool:
    """Ask whether what was read is taken as what the check shows; return whether it was kept."""
    read = read_before(job, action.check, action.places) if action.is_check else []
    if not read:
        return False
    check = job.bench.library.checks[action.check]
    talk.say(["", *wrap(f"Next: {check.title}. It was read already:")])
    talk.say([x for _, _, f in read for x in wrap(finding_line(job.bench, f), "    ", "  - ")])
    if not talk.yes("Take that as what the check shows, and not open it again?"):
        return False
    count_as_check(job, action.check, read)
    return True
