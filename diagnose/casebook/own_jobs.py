"""The user's own finished jobs as cases, so that they are found beside the others."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.errors import CaseError
from diagnose.job.keeping.events import JobState, fold
from diagnose.job.keeping.log import JobLog
from diagnose.job.keeping.names import unknown_name
from diagnose.job.keeping.registry import Registry
from diagnose.model import Case, Layout, Library

SOURCE = "own job"


@dataclass(frozen=True)
class OwnJobs:
    """Finished jobs as cases; ``passed_over`` counts those that could not be read here."""

    cases: tuple[Case, ...]
    passed_over: int


def own_jobs(
    registry: Registry, library: Library, layouts: Mapping[str, Layout], but: str = ""
) -> OwnJobs:
    """Return the finished jobs of ``registry`` but the one named ``but``.

    A job on another layout, with names this edition of the knowledge does not have, or with a
    damaged log is passed over and counted.
    """
    cases: list[Case] = []
    passed_over = 0
    for entry in registry.entries():
        if entry.state != "finished" or entry.id == but:
            continue
        layout = layouts.get(entry.layout)
        if layout is None:
            passed_over += 1
            continue
        try:
            events = JobLog(registry.path(entry.id)).events
        except CaseError:
            passed_over += 1
            continue
        if any(unknown_name(library, layout, e) for e in events):
            passed_over += 1
            continue
        cases.append(_case(entry.id, layout.id, fold(events)))
    return OwnJobs(tuple(cases), passed_over)


def _case(name: str, layout: str, state: JobState) -> Case:
    """Return a finished job as a case; what was rectified is what it turned out to be."""
    # what was seen after the repair is not how the trouble showed
    mended = min(state.rectified.values(), default=state.epoch + 1)
    findings = [f for _, f in sorted(state.findings.items()) if f.epoch < mended]
    return Case(
        id=name,
        source=SOURCE,
        layout=layout,
        reported=str(state.opened.get("reported", "")),
        before=state.before,
        findings=tuple(f for f in findings if not f.check),
        examination=tuple(f for f in findings if f.check),
        causes=state.mended,
        notes=state.outcome,
    )
