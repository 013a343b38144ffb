"""What can no longer be seen on the aeroplane, and what was done that took it away."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.job.job import Job
from diagnose.job.keeping.events import live
from diagnose.job.keeping.log import Event

_MOST_PLACES = 3


def evidence_gone(job: Job) -> Iterator[tuple[str, str]]:
    """Yield (the key of a loss, what can be seen no more and by what), each loss once.

    What nothing on this layout would have shown is no loss to tell of.
    """
    told: set[str] = set()
    for e in live(job.log.events):
        for lost in (*e.get("destroys", ()), e.get("lost", "")):
            gone = _shown_no_more(job, lost) if lost and lost not in told else ""
            if gone:
                told.add(lost)
                yield lost, f"can be seen no more: {gone}; {_by(job, e)}"


def _shown_no_more(job: Job, lost: str) -> str:
    """Return what one loss took away, each with its places, '' for nothing."""
    catalogue, library = job.bench.planner.catalogue, job.bench.library
    gone: dict[str, dict[str, None]] = {}
    for r in catalogue.readings:
        if catalogue.gone(r, {lost}):
            gone.setdefault(library.questions[r.question].title, {})[r.place] = None
    for check, at in catalogue.checks:
        if catalogue.check_gone(check, at, {lost}):
            gone.setdefault(library.checks[check].title, {})[at] = None
    return "; ".join(f"{title}, {_places(job, list(at))}" for title, at in gone.items())


def _places(job: Job, at: list[str]) -> str:
    label = job.bench.places.label
    named = ", ".join(label(p) for p in at[:_MOST_PLACES])
    left = len(at) - _MOST_PLACES
    return f"{named} and {left} more" if left > 0 else named


def _by(job: Job, e: Event) -> str:
    """Return what was done that took it away, with its entry."""
    library, label = job.bench.library, job.bench.places.label
    if "finding" in e:
        f = e["finding"]
        act = (library.checks if f["check"] else library.questions)[f["question"]].title
        return f"gone since this was done: {act}, {label(f['at'])} (entry {e['n']})"
    at = f", {label(e['place'])}" if e.get("place") else ""
    return f"gone since it was {e.get('what') or 'worked on'}{at} (entry {e['n']})"
