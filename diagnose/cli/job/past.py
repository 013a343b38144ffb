"""The past for a command or a job at the terminal: shipped cases and the user's own jobs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from diagnose.casebook import Alike, PastCases, own_jobs
from diagnose.cli.cases.alike_view import alike_body, alike_lines
from diagnose.cli.job.talk import Talk
from diagnose.cli.loading import bench_at, layouts_at, library_at
from diagnose.errors import ProblemsError, UsageError
from diagnose.job.diagnosis import Bench
from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry
from diagnose.knowledge_files import case_folders, load_shelf
from diagnose.model import Finding


class Past:
    """Finished cases; ``unread`` says how many could not be read.

    Jobs drawn with the model are left out: nobody ever saw them.
    """

    def __init__(self, root: Path, folder: Path | None = None) -> None:
        """Take the layouts of the knowledge in ``root``, the cases of ``folder`` or its own."""
        self._root = root
        self._folder = folder
        self.unread = 0

    def like(
        self, bench: Bench, findings: Sequence[Finding], most: int = 5, but: str = ""
    ) -> tuple[Alike, ...]:
        """Return the finished cases most like ``findings`` on ``bench``, the one ``but`` apart."""
        library = library_at(self._root)
        layouts = layouts_at(self._root)
        shelf = load_shelf(case_folders(self._root, self._folder), library, layouts)
        own = own_jobs(Registry(), library, layouts, but)
        self.unread = own.passed_over + len(shelf.problems)
        cases = [c for c in (*shelf.cases, *own.cases) if c.id != but and not c.drawn]
        return PastCases(library, layouts, cases).like(findings, bench.layout, most)

    def bench(self, layout: str) -> Bench:
        """Return the layout a past case happened on, to name its parts."""
        return bench_at(self._root, layout)


def show_similar(talk: Talk, job: Job) -> None:
    """Show finished cases like ``job`` and keep in its log what was shown."""
    past = Past(Path(job.bench.library.root))
    try:
        found = past.like(job.bench, job.findings, but=job.name)
    except ProblemsError as error:  # a case book in disorder must not end a job
        raise UsageError(f"the past cannot be searched: {error}") from None
    body = alike_body(job.bench, found, past)
    talk.say(alike_lines(body))
    if body["similar"]:
        job.record("alike-shown", lines=[_kept(r) for r in body["similar"]])


def _kept(row: Mapping[str, Any]) -> list[str]:
    """Return one shown case as the log keeps it: the case, what was found, how it compares."""
    source = row["source"] if row["kind"] == "published" else row["kind"]
    compared = (
        f"{len(row['shared'])} alike, {len(row['differing'])} different, "
        f"{len(row['only_then'])} only then"
    )
    return [f"{row['case']} ({source})", "; ".join(row["found_label"]), compared]
