"""A job on one aeroplane: its file laid over the layout, kept in the log, and held against disk."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from functools import lru_cache
from pathlib import Path

from diagnose.aeroplane import recent_work, warnings
from diagnose.cli.aeroplane.view import NOT_DECIDED
from diagnose.cli.loading import compiled, layout_at, library_at
from diagnose.errors import UsageError
from diagnose.job.diagnosis import Bench
from diagnose.job.job import Job
from diagnose.job.keeping.hangar import KEPT, Hangar, Kept, event_of, last_kept
from diagnose.knowledge_files import lay_over, layout_of_aeroplane, read_layout
from diagnose.model import Layout, Work


def laid(root: Path, kept: Kept) -> Layout:
    """Return the layout an aeroplane's file names, with the file laid over it."""
    name = layout_of_aeroplane(kept.data, kept.name)
    layout = (
        read_layout(kept.layout, f"{Path(name).stem}.yaml")
        if kept.layout
        else layout_at(root, name)  # nothing else in the file can be held against no layout
    )
    return lay_over(kept.data, kept.name, library_at(root), layout)


@lru_cache(maxsize=4)
def bench_of(root: Path, kept: Kept, evidence: str = "stated") -> Bench:
    """Return one aeroplane compiled on the knowledge in ``root``; ``evidence`` as ``compiled``."""
    return compiled(library_at(root), laid(root, kept), evidence)


def own_bench(root: Path, aeroplane: str, layout: str, evidence: str) -> tuple[Bench, Kept] | None:
    """Return the bench of ``aeroplane`` and its file; None where it has no file."""
    kept = Hangar().find(aeroplane) if aeroplane else None
    if kept is None:
        return None
    bench = bench_of(root, kept, evidence)
    if layout and Path(layout).stem != bench.layout.id:
        raise UsageError(
            f"the file of {aeroplane} is laid over layout '{bench.layout.id}', not '{layout}'; "
            "one of the two is the wrong one."
        )
    return bench, kept


def file_entries(
    bench: Bench, kept: Kept, today: date, known: Iterable[Work] = ()
) -> list[tuple[str, Mapping[str, str]]]:
    """Return the entries that keep the file, and the work it lists since the last good run.

    ``known``: work the job has already.
    """
    own = bench.layout.its_aeroplane
    there = {(w.what, w.at) for w in known}
    source = f"file of {own.registration}"
    work = [
        ("work", {"what": w.what, "place": w.at, "source": source})
        for w in recent_work(own, today)
        if (w.what, w.at) not in there
    ]
    return [(KEPT, event_of(kept, own.registration)), *work]


def about(job: Job, today: date) -> list[str]:
    """Return what is to be said of the aeroplane's file when a job is taken up."""
    own = job.bench.layout.aeroplane
    if own is None:
        return []
    lines = [f"Aeroplane {own.registration}: file edition {own.edition} laid over the layout."]
    lines += [f"  WARNING {w}." for w in (*warnings(job.bench.layout, today), *changed(job))]
    for d in own.deferred:
        weighed = "taken to be there" if d.is_proved else "odds lifted" if d.cause.cause else "told"
        lines.append(
            f"  deferred {d.id}: {d.what} ({weighed}; since {d.since}, {d.limit}, {d.reference})"
        )
    if own.deferred:
        lines.append(f"  {NOT_DECIDED}")
    return lines


def changed(job: Job) -> list[str]:
    """Return a line when the file on disk is no longer the one the job keeps."""
    taken = last_kept(job.log.events)
    now = Hangar().find(str(taken["registration"])) if taken else None
    if taken is None or now is None or now.edition == taken["edition"]:
        return []
    return [
        f"the file of {taken['registration']} in the data folder is edition {now.edition}; the job "
        f"goes on with {taken['edition']}, which it keeps. To take the other: "
        f"diagnose job resume {job.name} --renew-aeroplane"
    ]
