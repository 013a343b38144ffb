"""A run card typed back: questioned where it looks mistaken, kept whole or not at all."""

from __future__ import annotations

import re
import sys
from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby
from pathlib import Path

from diagnose.cli.job.talk import Paused, Talk, pause
from diagnose.cli.room import wrap
from diagnose.errors import UsageError
from diagnose.job.day.card import CardLine, code_of, short_label
from diagnose.job.day.reading_back import keep, lines_out
from diagnose.job.day.slips import Doubt, doubts
from diagnose.job.day.table import Cell, Table, read_cell, read_table
from diagnose.job.job import Job
from diagnose.job.keeping.disturbed import initials
from diagnose.job.wording import answer_words
from diagnose.model import ANY_STATE

END = "end"
TYPED = "typed"
_AT_ROW = re.compile(rf"^{TYPED}:(\d+):", re.MULTILINE)


def readings(job: Job, file: Path | None) -> None:
    """Take the table of the card that is out from ``file`` or as it is typed, and keep it."""
    lines = lines_out(job)
    talk = Talk({"pause": pause})
    if file:
        table = read_table(_from_file(file), lines, job.bench, file.name)
    else:
        table = _typed(talk, job, lines)
    try:
        table = _settled(talk, job, table).in_card_order()
        talk.say(_as_understood(job, table))
        if not talk.yes(f"Count these {_count(table)} readings?"):
            raise Paused
    except Paused:
        raise UsageError(
            "nothing of the table is kept. Enter it again; put 'sure' behind what was read twice."
        ) from None
    talk.say(f"Kept: {keep(job, table)} readings of one run. Next: diagnose job resume {job.name}")


def blank(job: Job) -> list[str]:
    """Return the table of the card that is out with its boxes empty, to be filled in."""
    out = [f"card: {code_of(lines_out(job))}", "start: ", "by: "]
    for line in lines_out(job):
        q = job.bench.library.questions[line.question]
        out.append(f"# {q.title} [{line.set_up_title}]")
        boxes = ", ".join(f"{short_label(job.bench, p)} =" for p in line.places)
        out.append(f"{line.number}: {boxes}")
    return out


def _from_file(file: Path) -> str:
    try:
        return file.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise UsageError(f"{file} cannot be read: {error.strerror}.") from None
    except UnicodeDecodeError:
        raise UsageError(f"{file} is not UTF-8 text; save it as plain text.") from None


def _typed(talk: Talk, job: Job, lines: Sequence[CardLine]) -> Table:
    """Return the table typed; a line that cannot be read is typed again, and no other."""
    talk.say(
        [
            f"Type or paste card {code_of(lines)} (so it says at its head), a line for each of its",
            "lines; then 'end'. Like:",
            "  start: AB (who ticked everything before the start)      by: CD (who read)",
            "  3: 16, 11, 16, 15.5 psi      4: a, b, a, a      '-' was not read",
            "The lines of the card:",
        ]
    )
    for line in lines:
        q = job.bench.library.questions[line.question]
        boxes = ", ".join(short_label(job.bench, p) for p in line.places)
        talk.say(f"  {line.number:>2}  {q.title} [{line.set_up_title}]: {boxes}")
    rows: list[str] = []
    while True:
        ended = True
        while row := sys.stdin.readline():
            if row.strip().lower() == END:
                ended = False
                break
            rows.append(row.rstrip("\n"))
        try:
            return read_table("\n".join(rows), lines, job.bench, TYPED)
        except UsageError as error:
            wrong = {int(n) for n in _AT_ROW.findall(str(error))}
            if ended or not wrong:
                raise
            talk.say([*str(error).splitlines(), "Type these again, then 'end'; the rest is kept."])
            rows = [r for k, r in enumerate(rows, start=1) if k not in wrong]


def _settled(talk: Talk, job: Job, table: Table) -> Table:
    """Ask about every doubt until none is left; the person decides, nothing is put right here."""
    if not table.start:
        ask = "Who ticked everything before the start (initials)?"
        table = replace(table, start=talk.ask(ask, initials, own_words=True))
    if not table.by:
        table = replace(table, by=talk.ask("Who read (initials)?", initials, own_words=True))
    while found := doubts(table, job.findings, job.bench):
        table = _asked(talk, job, table, found[0])
    return table


def _asked(talk: Talk, job: Job, table: Table, doubt: Doubt) -> Table:
    talk.say(f"  ? {doubt.text}")
    if len(doubt.cells) == 1:
        cell = table.cells[doubt.cells[0]]

        def again(text: str) -> Table:
            if text.lower() == "as typed":
                return table.with_cell(replace(cell, sure=True))
            new = read_cell(text, cell.line, cell.place, job.bench, cell.unit)
            return table.with_cell(new)

        return talk.ask("'as typed', or the reading again ('-' for not read):", again)
    one, other = (table.cells[k] for k in doubt.cells)

    def which(text: str) -> Table:
        if text.lower() == "as typed":
            sure = table.with_cell(replace(one, sure=True))
            return sure.with_cell(replace(other, sure=True))
        if text.lower() == "exchange" and one.line == other.line:
            first = read_cell(other.typed, one.line, one.place, job.bench)
            second = read_cell(one.typed, other.line, other.place, job.bench)
            swapped = table.with_cell(replace(first, sure=True))
            return swapped.with_cell(replace(second, sure=True))
        raise UsageError(
            "type 'as typed', or 'exchange' where both stand on one line; 'pause' keeps nothing."
        )

    return talk.ask("'as typed' or 'exchange':", which)


def _as_understood(job: Job, table: Table) -> list[str]:
    """Return the table as it was understood: a line for each of the card, as it stands there."""
    out = ["Read back:"]
    for line, group in groupby(table.cells.values(), lambda c: c.line):
        title = job.bench.library.questions[line.question].title
        boxes = "; ".join(f"{short_label(job.bench, c.place)} {_said(job, c)}" for c in group)
        out += wrap(f"{title} [{line.set_up_title}]: {boxes}", " " * 6, f"  {line.number:>2}  ")
    return [*out, f"  before the start ticked by {table.start}; read by {table.by}"]


def _said(job: Job, cell: Cell) -> str:
    """Return what one box was understood to say: a figure with its class, or the class."""
    if cell.answer is None:
        return "not read"
    q = job.bench.library.questions[cell.line.question]
    answer = cell.answer.finding(q.id, cell.place, ANY_STATE, "read")
    words = answer_words(q.classes, answer) or "not classed, no approved figure entered"
    return f"{cell.typed}, {words}" if cell.figure is not None else words


def _count(table: Table) -> int:
    return sum(1 for c in table.cells.values() if c.answer is not None)
