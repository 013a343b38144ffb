"""The last good reading of each kind on this aeroplane: what stands beside the blank box."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.errors import CaseError
from diagnose.job.diagnosis import Bench
from diagnose.job.job import Job
from diagnose.job.keeping.events import JobState, fold
from diagnose.job.keeping.log import JobLog
from diagnose.job.keeping.names import unknown_name
from diagnose.model import Finding, State
from diagnose.signs import is_normal


@dataclass(frozen=True)
class Good:
    """One reading in order: the state it was read in, what was read, and when."""

    state: State
    figure: str
    when: str


LastGood = Mapping[tuple[str, str], tuple[Good, ...]]
"""(question, place) -> its readings in order, the newest last."""

JOBS = 20
"""Earlier jobs of the same aeroplane looked through."""


def beside(good: LastGood, question: str, place: str, state: State) -> Good | None:
    """Return the newest reading in order that can be compared with one in ``state``."""
    found = (g for g in reversed(good.get((question, place), ())) if comparable(g.state, state))
    return next(found, None)


def comparable(a: State, b: State) -> bool:
    """Return whether two states can be compared: same stage, no setting known to differ.

    A feeding tank or an open cross-feed that only one of them states is a difference.
    """
    one, other = a.known(), b.known()
    if a.stage != b.stage or any(one[d] != other[d] for d in one.keys() & other.keys()):
        return False
    apart = {d: v for d, v in one.items() if d not in other}
    apart |= {d: v for d, v in other.items() if d not in one}
    return "tank" not in apart and apart.get("crossfeed", "shut") == "shut"


def well_since(job: Job, told: Finding) -> bool:
    """Return whether what was ``told`` amiss was looked at later, in the like state, and in order.

    One good look is no proof: it may come and go.  Good with the booster on and bad with it off, as
    a report that names neither leaves both, it was not in order.
    """
    library = job.bench.library
    entries = sorted(job.state.findings.items())
    when = max((n for n, f in entries if f == told), default=0)
    later = [
        f
        for n, f in entries
        if n > when
        and (f.question, f.at) == (told.question, told.at)
        and f.known_by not in ("told", "assumed")
        and (told.state == State() or comparable(f.state, told.state))
    ]
    return bool(later) and all(is_normal(f, library) for f in later)


def last_good(job: Job) -> LastGood:
    """Return the readings in order of this job and of earlier ones of the same aeroplane.

    Earlier jobs count when the same aeroplane was typed on the same layout, and they can be read.
    """
    aeroplane = job.state.opened.get("aeroplane", "")
    out: dict[tuple[str, str], tuple[Good, ...]] = {}
    earlier = []
    if aeroplane:
        earlier = [
            e.id
            for e in job.registry.entries()
            if e.aeroplane == aeroplane and e.layout == job.bench.layout.id and e.id < job.name
        ]
    for name in sorted(earlier)[-JOBS:]:
        _add(out, job.bench, _state_of(job, name), name[:10])
    _add(out, job.bench, job.state, "this job")
    return out


def _state_of(job: Job, name: str) -> JobState:
    try:
        events = JobLog(job.registry.path(name)).events
    except CaseError:
        return JobState()  # a damaged log is told by `job list`; it has no good readings
    known = [e for e in events if not unknown_name(job.bench.library, job.bench.layout, e)]
    return fold(known)


def _add(
    out: dict[tuple[str, str], tuple[Good, ...]], bench: Bench, state: JobState, when: str
) -> None:
    for _, f in sorted(state.findings.items()):
        if f.check or f.known_by == "assumed":
            continue
        question = bench.library.questions[f.question]
        if is_normal(f, bench.library):
            figure = f.typed if f.number is not None else question.classes[f.value]
            key = (f.question, f.at)
            out[key] = (*out.get(key, ()), Good(f.state, figure, when))
