"""Dangers that stop the work: told once, and again where they are seen again in a later run."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from diagnose.job.diagnosis import Step
from diagnose.job.job import Job
from diagnose.job.keeping.events import live
from diagnose.model import CauseAt
from diagnose.rules import Caution


def stop_key(stop: Caution) -> str:
    """Return what a stop is acknowledged by: seen anew after a repair it is another."""
    return f"stop {stop.symptom} {stop.at}" + (f" {stop.epoch}" if stop.epoch else "")


def to_be_told(job: Job, step: Step) -> Mapping[Caution, str]:
    """Return the stops in force that nobody acted on since they were last seen, by their key.

    Of one danger under two rules the plainer is told alone: who has left the aeroplane for a leak
    is not stopped once more because its pressure was low as well.
    """
    acted = job.state.acknowledged
    standing = job.stops(step)
    return {
        s: key
        for s in standing
        if ((key := stop_key(s)) not in acted or _seen_again(job, step, s, key))
        and not any(_told_by(step, s, other, acted) for other in standing)
    }


def _told_by(step: Step, stop: Caution, other: Caution, acted: Collection[str]) -> bool:
    """Return whether ``other`` tells of the danger of ``stop`` there, which rests on that and more.

    One that asks for the same act there tells of it too, once it was acted on.
    """
    if stop.at != other.at or stop_key(stop) in acted or stop.epoch > other.epoch:
        return False
    of_stop, of_other = ({*step.outcome.leaves(s.symptom, s.at)} for s in (stop, other))
    return of_other < of_stop or (stop.text == other.text and stop_key(other) in acted)


def cautions(step: Step, put_right: Mapping[CauseAt, int]) -> tuple[Caution, ...]:
    """Return the warnings in force: not those of what a repair made good since.

    'Do not start it' was told of a carburettor that dripped; with its float renewed it misleads.
    """
    told = step.outcome.cautions
    return tuple(c for c in told if not made_good(step, put_right, c.symptom, c.at))


def made_good(step: Step, put_right: Mapping[CauseAt, int], symptom: str, at: str) -> bool:
    """Return whether a cause that a rule points to was put right after what the rule rests on.

    ``put_right``: with the epoch that began then.
    """
    known = step.outcome.symptoms.get((symptom, at))
    points = (p for p in step.outcome.points if (p.symptom, p.at) == (symptom, at))
    seen = known.epoch if known else 0
    return any(put_right.get(cause, 0) > seen for p in points for cause in p.to)


def _seen_again(job: Job, step: Step, stop: Caution, key: str) -> bool:
    """Return whether what a stop rests on was found in a run after it was acted on."""
    numbers = job.finding_numbers()
    newest = max((numbers[k] for k in step.outcome.leaves(stop.symptom, stop.at)), default=-1)
    events = live(job.log.events)
    acted = max((e["n"] for e in events if e.get("hazard") == key), default=-1)
    return any(acted < e["n"] < newest for e in events if e["event"] == "run")
