"""Complaints worked apart or together, on the engineer's word; nothing is lost either way."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from diagnose.errors import UsageError
from diagnose.job.job import Job
from diagnose.job.keeping.events import live
from diagnose.job.keeping.finding_data import finding_as_json
from diagnose.job.keeping.hangar import KEPT, last_kept
from diagnose.job.keeping.log import Unkept
from diagnose.job.several.complaints import Complaint, complaints_of
from diagnose.model import AEROPLANE

_LOGGED = ("n", "at", "event", "part")
_OWN = (*_LOGGED, "layout", "layout_edition", "edition", "evidence", "reported")


MERGED_INTO = "merged into job"
"""How the reason begins for which a job that goes on in another was stopped."""


def goes_along(job: Job, complaint: Complaint) -> tuple[int, ...]:
    """Return the entries of the findings that belong to a complaint: at its place and its parts."""
    if complaint.place == AEROPLANE:
        return ()
    parts = job.bench.layout.parts
    here = {complaint.place, *(p.id for p in parts.values() if p.of == complaint.place)}
    return tuple(n for n, f in sorted(job.state.findings.items()) if f.at in here)


def split_off(job: Job, number: int, by: str, day: str) -> Job:
    """Open a job of its own for one complaint and take its findings along; return the new job.

    The new job is complete before the old one is touched, so a kill between leaves both whole.

    Raises:
        UsageError: If there is no such complaint, it is the only one, or nobody says so.
    """
    _said(by)
    here = [c for c in complaints_of(job.log.events) if not c.job]
    chosen = next((c for c in here if c.number == number), None)
    if chosen is None:
        there = ", ".join(str(c.number) for c in here)
        raise UsageError(f"complaint {number} is not one of this job; there are {there}.")
    if len(here) == 1:
        raise UsageError("it is the only complaint of the job; there is nothing to split.")
    moved = goes_along(job, chosen)
    events = {e["n"]: e for e in job.log.events}
    typed = {k: str(v) for k, v in job.state.opened.items() if k not in _OWN and v}
    typed["split_from"] = job.name
    entries: list[Unkept] = []
    kept = last_kept(job.log.events)
    if kept is not None:
        entries.append((KEPT, _carried(kept)))
    entries += [
        ("work", {"what": w.what, "place": w.at, "source": f"job {job.name}"})
        for w in job.state.before
    ]
    entries.append(("complaint-placed", {"of": 1, **_place_of(chosen)}))
    entries += [_copied(job, events[n]) for n in moved]
    new = Job.open(job.registry, job.bench, day, chosen.text, entries, **typed)
    taken: list[Unkept] = [
        ("withdrawn", {"of": n, "why": f"goes with job {new.name}"}) for n in moved
    ]
    job.record_group([*taken, ("split-off", {"complaint": number, "job": new.name, "by": by})])
    return new


def merge(job: Job, other: Job, by: str) -> None:
    """Work the complaints of ``other`` in ``job``; ``other`` is closed and says where it went.

    Raises:
        UsageError: If they are not of one aeroplane, work has been done in one, or nobody says so.
    """
    _said(by)
    if other.name == job.name:
        raise UsageError("a job is merged with another one.")
    if other.state.phase in ("finished", "stopped") or job.state.phase in ("finished", "stopped"):
        raise UsageError("one of them is closed; only open jobs are merged.")
    names = {str(j.state.opened.get("aeroplane", "")) for j in (job, other)}
    if len(names) > 1 or job.bench.layout.id != other.bench.layout.id:
        raise UsageError("they are of different aeroplanes; complaints of one are merged.")
    if job.state.epoch or other.state.epoch:
        raise UsageError("work has been done in one of them; what was found before and after it "
                         "cannot be laid together.")  # fmt: skip
    if any(d.open for d in other.state.disturbed.values()):
        raise UsageError(f"something is still disturbed in job {other.name}; put it right first.")
    entries: list[Unkept] = []
    for c in complaints_of(other.log.events):
        if not c.job:
            entries.append(("complaint", {"text": c.text, "from_job": other.name, **_place_of(c)}))
    known = {(w.what, w.at) for w in job.state.before}
    entries += [
        ("work", {"what": w.what, "place": w.at, "source": f"job {other.name}"})
        for w in other.state.before
        if (w.what, w.at) not in known
    ]
    events = {e["n"]: e for e in live(other.log.events)}
    entries += [_copied(other, events[n]) for n in sorted(other.state.findings)]
    entries.append(("merged", {"job": other.name, "by": by}))
    job.record_group(entries)
    other.record("stopped", reason=f"{MERGED_INTO} {job.name} ({by})")


def _said(by: str) -> None:
    if not by.strip():
        raise UsageError("it is done on somebody's word: give initials with --by.")


def _place_of(c: Complaint) -> dict[str, str]:
    return {"place": c.place, "time": c.time, "stage": c.stage, "heat": c.heat}


def _carried(event: Mapping[str, Any]) -> dict[str, Any]:
    return {k: v for k, v in event.items() if k not in _LOGGED}


def _copied(job: Job, event: Mapping[str, Any]) -> Unkept:
    """Return a finding's entry as another job keeps it: as it stands now, disturbing nothing."""
    carries = {k: v for k, v in _carried(event).items() if k != "disturbs"}
    carries["finding"] = finding_as_json(job.state.findings[event["n"]])
    carries["from_job"] = job.name
    return event["event"], carries
