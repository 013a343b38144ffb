"""A table read back into the job: all of it, or nothing."""

from __future__ import annotations

from dataclasses import replace

from diagnose.errors import UsageError
from diagnose.job.day.before_run import for_a_run
from diagnose.job.day.card import CardLine, kept_lines
from diagnose.job.day.slips import doubts
from diagnose.job.day.table import Cell, Table
from diagnose.job.job import Job
from diagnose.job.keeping.finding_data import finding_as_json
from diagnose.job.keeping.log import Unkept
from diagnose.model import Finding, State


def lines_out(job: Job) -> tuple[CardLine, ...]:
    """Return the lines of the run card that is printed and not read back.

    Raises:
        UsageError: If there is none.
    """
    if not job.state.card:
        raise UsageError(
            "no run card is out: print one with `diagnose job runcard`; its line numbers say "
            "what was read."
        )
    return kept_lines(job.bench, job.state.card["lines"])


def keep(job: Job, table: Table) -> int:
    """Keep every answer of ``table`` and the run it was read in; return how many count.

    What must be known before the start counts as known when somebody signed for it.

    Raises:
        UsageError: If a doubt stands, nobody signed for the start, or nobody for the reading.
    """
    open_doubts = doubts(table, job.findings, job.bench)
    if open_doubts:
        raise UsageError("\n".join(d.text for d in open_doubts))
    for signed, what in ((table.start, "start: AB"), (table.by, "by: CD")):
        if not signed:
            raise UsageError(f"the table says no '{what}'; nothing is kept without the initials.")
    read = [c for c in table.cells.values() if c.answer is not None]
    entries: list[Unkept] = [*known_before(job, table.start)]
    readings = [list(_reading(c)) for c in read]
    entries.append(("run", {"readings": readings, "by": table.by, "started_by": table.start}))
    entries += [
        ("answered", job.as_answered(_finding(job, c), _reading(c), by=table.by)) for c in read
    ]
    entries += [
        ("not-checked", {"reading": list(_reading(c))})
        for c in table.cells.values()
        if c.answer is None
    ]
    job.record_group(entries)
    return len(read)


def known_before(job: Job, by: str) -> list[Unkept]:
    """Return the entries for what was ticked before a start: open gates safe, run list confirmed.

    ``by``: who ticked it.
    """
    entries: list[Unkept] = []
    for g in job.open_gates():
        safe = job.bench.library.questions[g.question].gate
        seen = Finding(g.question, g.place, safe, g.state, "seen", epoch=job.state.epoch)
        entries.append(
            ("answered", {"finding": finding_as_json(seen), "reading": list(g.key), "by": by})
        )
    left = [item for item in for_a_run(job) if item not in job.state.confirmed]
    return [*entries, *(("confirmed", {"item": item, "by": by}) for item in left)]


def _reading(cell: Cell) -> tuple[str, str, str]:
    return (cell.line.question, cell.place, cell.line.set_up)


def _finding(job: Job, cell: Cell) -> Finding:
    assert cell.answer is not None
    q = job.bench.library.questions[cell.line.question]
    state = cell.line.state.state if cell.line.state else State()
    finding = cell.answer.finding(q.id, cell.place, state, q.known_there)
    typed = cell.typed if cell.figure is not None else ""
    return replace(finding, typed=typed, epoch=job.state.epoch)
