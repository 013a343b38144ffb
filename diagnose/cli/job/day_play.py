"""The demo day played without a terminal: two complaints, one run, two shifts, one strainer.

Everything that is answered stands in ``cases/days/demo-day.yaml`` and in the demo aeroplane's own
file; everything is invented.  The same steps as a person takes them: nothing here is a short cut.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

from diagnose.cli.aeroplane.own_file import file_entries, own_bench
from diagnose.cli.job import screens
from diagnose.cli.job.play import keep_action
from diagnose.cli.printing import say
from diagnose.cli.room import wrap
from diagnose.errors import UsageError
from diagnose.job.day.card import CardLine, card_of, short_label
from diagnose.job.day.closeout import (
    FOLLOW_UPS,
    finish,
    flight,
    follow_key,
    follow_up,
    inspect,
    leak_check,
    outstanding,
    restore,
)
from diagnose.job.day.handover import HEADS, Line, give, take
from diagnose.job.day.reading_back import keep, known_before, lines_out
from diagnose.job.day.slips import doubts
from diagnose.job.day.table import Table, read_cell, read_table
from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry
from diagnose.job.wording import cause_words, finding_line
from diagnose.knowledge_files import load_case
from diagnose.model import CauseAt
from diagnose.replay.answers import CaseAnswers
from diagnose.report.runcard import runcard

FIRST, SECOND, CREW = "AB", "CD", "EF"
"""Initials of the two shifts and of the crew."""

SLIPPED = ("no2-engine", "10 kPa", "10 psi")
"""The slip of the day: at which engine, what is typed, what was read."""

MOST_ACTIONS = 20


def play_day(root: Path, cases: Path, evidence: str) -> Job:
    """Play the demo day on the knowledge in ``root``; return the finished job.

    ``evidence``: as ``compiled`` takes it.
    """
    own = own_bench(root, str(cases / "aeroplanes" / "X-DEMO.yaml"), "", evidence)
    if own is None:
        raise UsageError(f"{cases} has no demo aeroplane.")
    bench, kept = own
    case = load_case(cases / "days" / "demo-day.yaml", bench.library, bench.layout)
    answers = CaseAnswers(case, bench.library, bench.layout)
    day = date.today()
    also = file_entries(bench, kept, day)
    job = Job.open(Registry(), bench, day.isoformat(), case.reported, also, aeroplane="X-DEMO")
    say("\nMORNING: two complaints")
    say([*screens.heading(job), f"Reported: {case.reported}"])
    second = "No. 3 fuel pressure about 11 psi all day, engine runs well."
    job.record("complaint", text=second, place="no3-engine", time="", stage="run-up", heat="")
    say(f"Also: {second}")
    for f in answers.told:
        job.answer(f)
        say(f"  - {finding_line(bench, f)}")
    _run(job, answers)
    _hand_over(job)
    found = _to_the_part(job, answers)
    _put_right(job, found)
    _fly(job, found)
    return job


def _run(job: Job, answers: CaseAnswers) -> None:
    """Print the card, run, and read it back with a slip in it."""
    say("\nTHE RUN: one card")
    text, card = runcard(card_of(job), "text")
    job.record("card", lines=[line.as_kept() for line in card.lines])
    say(text.splitlines())
    say("\nREAD BACK")
    typed = [f"start: {FIRST}", f"by: {FIRST}", *_rows(lines_out(job), answers, job)]
    say([f"  {row}" for row in typed])
    table = read_table("\n".join(typed), lines_out(job), job.bench)
    table = _settled(job, table)
    say(f"Kept: {keep(job, table)} readings of one run.")
    say(screens.possible(job.bench, job.step(), 4, numbers=False))


def _rows(lines: Sequence[CardLine], answers: CaseAnswers, job: Job) -> Iterator[str]:
    """Yield what is typed for each line: what the case answers, '-' where it has nothing."""
    slip = True
    for line in lines:
        cells = []
        for reading in line.readings():
            got = answers.reading(reading)
            said = "-" if got is None else got.typed or " or ".join(got.classes)
            if slip and reading.place == SLIPPED[0] and said == SLIPPED[2]:
                said, slip = SLIPPED[1], False
            cells.append(f"{short_label(job.bench, reading.place)} = {said}")
        yield f"{line.number}: {', '.join(cells)}"


def _settled(job: Job, table: Table) -> Table:
    """Answer every question about the table: the slip by what was read, the rest as typed."""
    while told := doubts(table, job.findings, job.bench):
        say(f"  ? {told[0].text}")
        for key in told[0].cells:
            cell = table.cells[key]
            if cell.typed == SLIPPED[1]:
                say(f"    typed again: {SLIPPED[2]}")
                again = read_cell(SLIPPED[2], cell.line, cell.place, job.bench)
                table = table.with_cell(replace(again, sure=True))
            else:
                say(f"    as typed: {cell.typed}")
                table = table.with_cell(replace(cell, sure=True))
    return table


def _hand_over(job: Job) -> None:
    """Give the job to the next shift, who confirms line by line."""
    say(f"\nHANDOVER by {FIRST}, confirmed line by line by {SECOND}")
    kind = ""
    for key, text in give(job, FIRST)["lines"]:
        line = Line(key, text)
        if line.kind != kind:
            kind = line.kind
            say(f"  {HEADS[kind]}:")
        say(wrap(text, "          ", f"    [{SECOND}]  "))
        take(job, key, SECOND)


def _to_the_part(job: Job, answers: CaseAnswers) -> CauseAt:
    """Do what the tool proposes until a check confirms the part."""
    say("\nSECOND SHIFT: to the part")
    told: set[str] = set()
    for _ in range(MOST_ACTIONS):
        step = job.step()
        job.keep_ranking(step)
        found = job.found(step)
        if found is not None:
            return found
        action = job.plan(step, deadline=float("inf")).action
        if action is None:
            break
        if action.is_run:
            raise UsageError("the day asks for a second diagnostic run; its case is not to plan.")
        keep_action(job, answers, action, told)
    raise UsageError("the demo day did not come to its part.")


def _put_right(job: Job, found: CauseAt) -> None:
    """Rectify, restore, inspect, leak-check, and repeat the report."""
    words = cause_words(job.bench, found)
    say(f"\nPART FOUND: {words}. Not finished:")
    job.record("part-found", cause=found.cause, place=found.at)
    done = "element renewed, bowl flushed, seal renewed"
    job.record("rectified", cause=found.cause, place=found.at, what=done, by=SECOND)
    for x in outstanding(job):
        say(wrap(x.text, "      ", f"  {x.step:<10} "))
    while left := [x for x in outstanding(job) if x.step in ("restore", "inspect", "leak-check")]:
        x = left[0]
        if x.step == "restore":
            restore(job, x.item, SECOND)
        elif x.step == "inspect":
            inspect(job, x.item, FIRST)
            say(f"  independent inspection by {FIRST}: {x.text.partition(': restored')[0]}")
        else:
            leak_check(job, True, SECOND)
            say(f"  leak check before any cowling or panel is closed: dry ({SECOND})")
    say("\nVERIFICATION RUN in the state and conditions of the report: trouble gone")
    started = ("run", {"readings": [], "by": SECOND, "started_by": FIRST})
    job.record_group([*known_before(job, FIRST), started])
    say(f"  looked at again before the start, and the run list ticked ({FIRST})")
    job.record("verified", gone=True)


def _fly(job: Job, found: CauseAt) -> None:
    """Follow up, watch two flights, finish."""
    say("\nAFTER THE PART IS FOUND")
    said = dict(zip(FOLLOW_UPS, ANSWERS, strict=True))
    for item, question in FOLLOW_UPS.items():
        follow_up(job, follow_key(item, found), said[item], SECOND)
        say(f"  {question}: {said[item]}")
    job.record("watch-set", flights=2)
    for number in (1, 2):
        flight(job, True, CREW, "lamp out, no. 2 pressure steady")
        say(f"  watched flight {number} of 2: clear ({CREW})")
    finish(job, f"confirmed: {cause_words(job.bench, found)}")
    say(f"\nFINISHED after {job.state.engine_runs} engine runs, the verification among them.")


ANSWERS = (
    "element fitted nine days ago; dirt from the port inner tank",
    "none found at the metering screen",
    "no. 1 strainer looked at: clean; port inner tank drained and sampled",
    "element and jar in the rectification office, labelled with job and place",
    "told to the person responsible, who decides",
)
"""What the day answers to the follow-ups, in their order (invented)."""
