"""Faults that hide: what keeps them hidden, how to reach them, and for how long to watch.

A fault that did not show outside its condition was not looked for; one that comes by chance is
caught only by trying often enough.  'Not reproduced' is a result with its conditions, and leaves
the job open to be watched.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from diagnose.job.diagnosis import Bench, Step
from diagnose.job.explain import word_for
from diagnose.job.job import Job
from diagnose.job.wording import cause_words, finding_line, place_words
from diagnose.model import ALOFT, CauseAt, Finding, shows_each_try
from diagnose.signs import is_normal

NOT_REPRODUCED = "not-reproduced"
"""The cause that says so: confirmed by a check it is watched, never a finished job."""

MOST_HIDING = 5
"""Causes that hide, told of at once."""

MOST_WATCHED = 200
"""Flights beyond which watching is no plan."""

UNKNOWN_RATE = 0.3
"""Chance a try taken where nothing tells it: 'sometimes' (common practice, no source)."""

REACH: Mapping[str, str] = {
    "only hot": (
        "Reach heat: try again soon after a flight, or hot from standing with the engine just "
        "stopped, on a warm day. Cylinder temperatures stay within the approved limits."
    ),
    "only vibrating": (
        "Reach vibration: hold the power at which it was reported. Looms and pipes are moved by "
        "hand only with the engine stopped and electrical power off."
    ),
    "only tilted": (
        "Reach attitude: taxi in turns or park on a known slope. No engine is run on jacks or "
        "with the tail held up unless the approved data say how."
    ),
    "only low level": (
        "Reach a low level: the lowest contents the approved data allow for a ground run, dipped "
        "and written down. Never below them."
    ),
    ALOFT: (
        "No run on the ground reaches a height: reckon what can be reckoned, look at what can be "
        "looked at. It is watched for in a flight released by a licensed engineer."
    ),
    "random": (
        "It comes by chance: repeat the reported state as often as the table says, each try from "
        "the start, and write every try down, also those in which nothing came."
    ),
    "steady": "Repeat the reported state exactly: tank, pump, power, heat, attitude, contents.",
}
"""Pattern of a cause -> what reaches its condition, no further than the approved data go (common
practice, no source)."""


@dataclass(frozen=True)
class Hiding:
    """A cause still possible that does not always show, and how to reach it."""

    cause: CauseAt
    label: str
    word: str
    pattern: str
    each_try: float
    reach: str


def hiding(bench: Bench, step: Step) -> tuple[Hiding, ...]:
    """Return the likeliest causes that keep to a condition or come by chance, best first."""
    out = []
    ranking = step.posterior.ranking()
    for cause, p in ranking[:60]:
        known = bench.library.causes.get(cause.cause)
        if known is None or known.pattern == "steady":
            continue
        kind = "random" if known.pattern.startswith("random") else known.pattern
        word = word_for(p, ranking[0][1])
        each = shows_each_try(known)
        label = cause_words(bench, cause)
        out.append(Hiding(cause, label, word, known.pattern, each, REACH[kind]))
        if len(out) == MOST_HIDING:
            break
    return tuple(out)


# ---------------------------------------------------------------------- how often, how long


def tries_for(chance: float, each: float) -> int:
    """Return how many tries show a fault at least once with ``chance``, at ``each`` a try.

    n = log(1 - chance) / log(1 - each), from independent tries (any textbook on probability).

    Raises:
        ValueError: If either is not between 0 and 1.
    """
    if not (0.0 < chance < 1.0 and 0.0 < each < 1.0):
        raise ValueError("both chances must lie between 0 and 1")
    return max(1, math.ceil(math.log1p(-chance) / math.log1p(-each) - 1e-9))


def highest_rate(tries: int) -> float:
    """Return the chance a try that ``tries`` tries without a sight still leave possible.

    Solves (1 - rate)^tries = 1 - .95, about 3 / tries (the 'rule of three', Hanley and
    Lippman-Hand, JAMA 249 (1983) 1743).  No try leaves everything possible.
    """
    return 1.0 if tries < 1 else 1.0 - (1.0 - 0.95) ** (1.0 / tries)


@dataclass(frozen=True)
class Tries:
    """All tries of a job: where the reported condition was reached, and seen there; the others."""

    reached: int
    seen: int
    outside: int

    @property
    def each(self) -> float:
        """Return the chance a try to plan with: (seen + 1) / (tries + 2), Laplace's rule.

        Without a try in the condition it is ``UNKNOWN_RATE``.
        """
        return (self.seen + 1) / (self.reached + 2) if self.reached else UNKNOWN_RATE


def tries_of(bench: Bench, findings: Sequence[Finding]) -> Tries:
    """Count what was tried again: each counted finding once, tries in and outside the condition."""
    reached = seen = outside = 0
    for f in findings:
        if f.check or not f.value or (f.tries == 1 and f.reached):
            continue
        if f.reached:
            reached += f.tries
            seen += 0 if is_normal(f, bench.library) else f.seen
        else:
            outside += f.tries
    return Tries(reached, seen, outside)


# ---------------------------------------------------------------------- the watch


@dataclass(frozen=True)
class Watch:
    """What is watched until the fault shows or the flights are flown.

    flights: for ``chance`` of seeing it at least once at ``each`` a flight.
    """

    condition: str
    gauges: tuple[str, ...]
    notes: tuple[str, ...]
    each: float
    chance: float
    flights: int


CREW_NOTES = (
    "stage of flight, power, height, and how long it lasted",
    "tank and cross-feed selected, electric pumps on or off, contents of the tank in use",
    "outside air, time since start, hot or cold restart, turn or rough air before it",
    "what was done, and whether that ended it",
)
"""What the crew writes down at the moment it comes (common practice, no source)."""


def watch_plan(
    bench: Bench, step: Step, reported: Sequence[Finding], chance: float, each: float | None = None
) -> Watch:
    """Return the plan: the reported condition, which gauges, what to note, how many flights.

    ``reported``: the findings of the report.  ``each``: chance a flight, where somebody knows it;
    else from the tries made.

    Raises:
        ValueError: If a chance is not between 0 and 1.
    """
    rate = tries_of(bench, step.findings).each if each is None else each
    flights = min(tries_for(chance, rate), MOST_WATCHED)
    wrong = [
        f
        for f in reported
        if f.value and not f.check and f.reached and not is_normal(f, bench.library)
    ]
    gauges = dict.fromkeys(
        f"{bench.library.questions[f.question].title}, {place_words(bench, f)}"
        for f in wrong
        if bench.library.questions[f.question].instruments
    )
    condition = "; ".join(finding_line(bench, f) for f in wrong)
    return Watch(condition, tuple(gauges), CREW_NOTES, rate, chance, flights)


def keep_watch(job: Job, plan: Watch, condition: str) -> None:
    """Keep that it was not reproduced under ``condition``; the job stays open and is watched."""
    job.record(
        "not-reproduced",
        condition=condition,
        flights=plan.flights,
        chance=plan.chance,
        each=plan.each,
        gauges=list(plan.gauges),
        notes=list(plan.notes),
    )
