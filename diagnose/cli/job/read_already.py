"""A check whose very act was done as a reading: offered as made, before anything is opened."""

from __future__ import annotations

from diagnose.cli.job.talk import Talk
from diagnose.cli.room import wrap
from diagnose.job.diagnosis import Step
from diagnose.job.explain import LIKELY
from diagnose.job.job import Job
from diagnose.job.ranking import still_possible
from diagnose.job.read_as_check import count_as_check, read_before
from diagnose.job.wording import finding_line
from diagnose.model import Finding
from diagnose.planner import Action


class ReadAlready:
    """Offers what was read as the check it is the act of, and takes a no for it once."""

    def __init__(self, job: Job, talk: Talk) -> None:
        """Work on ``job``."""
        self.job = job
        self.talk = talk
        self._to_be_made: set[tuple[str, tuple[str, ...]]] = set()

    def settles(self, step: Step) -> bool:
        """Offer what would settle the likeliest cause; return whether there was any to ask about.

        Nothing else need be asked first: what would be weighed against it is there.
        """
        action = settled_by_reading(self.job, step)
        if action is None or (action.check, action.places) in self._to_be_made:
            return False
        self.taken(action)
        return True

    def taken(self, action: Action) -> bool:
        """Return whether an action is a check that was kept as read, asked once."""
        key = (action.check, action.places)
        if key in self._to_be_made or not _read(self.job, action):
            return False
        kept = taken_as_made(self.talk, self.job, action)
        if not kept:
            self._to_be_made.add(key)
        return kept


def settled_by_reading(job: Job, step: Step) -> Action | None:
    """Return the check that would settle the likeliest cause and was read with that result."""
    first = still_possible(step)[0]
    if first.probability < LIKELY:
        return None
    for row, at in (x for cause in first.causes for x in job.bench.settling(cause)):
        read = [] if (row.check, at) in job.state.done else read_before(job, row.check, [at])
        if read and job.bench.library.checks[row.check].shown_by(read[0][2].value) == row.result:
            return Action(check=row.check, at=at)
    return None


def taken_as_made(talk: Talk, job: Job, action: Action) -> bool:
    """Ask whether what was read is taken as what the check shows; return whether it was kept."""
    read = _read(job, action)
    if not read:
        return False
    check = job.bench.library.checks[action.check]
    talk.say(["", *wrap(f"Next: {check.title}. It was read already:")])
    talk.say([x for _, _, f in read for x in wrap(finding_line(job.bench, f), "    ", "  - ")])
    if not talk.yes("Take that as what the check shows, and not do it again?"):
        return False
    count_as_check(job, action.check, read)
    return True


def _read(job: Job, action: Action) -> list[tuple[str, int, Finding]]:
    return read_before(job, action.check, action.places) if action.is_check else []
