"""``diagnose job``: work a defect from the report to the record."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import Annotated

import typer

from diagnose.cli.job import day, hiding, proving, several
from diagnose.cli.loading import bench_at, job_at, knowledge_root
from diagnose.cli.options import AsJson, Evidence, JobId, Written
from diagnose.cli.printing import answer, put, say
from diagnose.errors import NOWHERE, CaseError, Problem, UsageError
from diagnose.job.keeping.registry import UNREADABLE, Entry, Registry
from diagnose.knowledge_files import find_cases, layout_of_case, load_case

app = typer.Typer(
    no_args_is_help=True,
    help="Work a defect from the report to the record.\n\n"
    "Start one:      diagnose job new --layout low-wing-single\n\n"
    "See one worked: diagnose job demo",
)

Answers = Annotated[
    Path | None,
    typer.Option("--answers", help="Play this case without a terminal.", metavar="CASE.yaml"),
]


@app.command("new")
def new(
    context: typer.Context,
    layout: Annotated[str, typer.Option("--layout", help="Layout id; asked when left out.")] = "",
    report: Annotated[str, typer.Option("--report", help="What was reported, verbatim.")] = "",
    aeroplane: Annotated[
        str, typer.Option("--aeroplane", help="Registration, name, or an aeroplane's file.")
    ] = "",
    asked_by: Annotated[str, typer.Option("--asked-by", help="Who works the job.")] = "",
    place: Annotated[
        str, typer.Option("--place", help="Where: apron, field, or hangar, where nothing is run.")
    ] = "",
    weather: Annotated[str, typer.Option("--weather", help="Wind, outside air, pressure.")] = "",
    evidence: Evidence = "stated",
    answers: Answers = None,
) -> None:
    """Open a job and work it at the terminal.

    Example: diagnose job new --layout low-wing-single --report "Engine faded in the climb"

    Nothing of the report is taken that you do not take. At any prompt 'help' lists what can be
    typed, and 'pause' leaves; every answer is on disk before the next question.
    """
    from diagnose.cli.job.play import play_file
    from diagnose.cli.job.start import start

    root = knowledge_root(context)
    typed = {"aeroplane": aeroplane, "asked_by": asked_by, "place": place, "weather": weather}
    if answers is not None:
        if layout or report or any(typed.values()):
            raise UsageError("--answers FILE stands alone: the file says layout and report.")
        play_file(root, answers, evidence)
        return
    start(root, layout, report, typed, evidence)


@app.command("demo")
def demo(
    context: typer.Context,
    work: Annotated[
        bool, typer.Option("--work", help="Work it yourself instead of watching it.")
    ] = False,
    day: Annotated[
        bool, typer.Option("--day", help="Watch a whole day: run card, handover, to the finish.")
    ] = False,
    evidence: Evidence = "stated",
) -> None:
    """Watch the demo job, on an invented aeroplane.

    Example: diagnose job demo --work
    """
    from diagnose.cli.job.day_play import play_day
    from diagnose.cli.job.play import play_file
    from diagnose.cli.job.start import start

    root = knowledge_root(context)
    if day and work:
        raise UsageError("--day is watched, --work is worked by you; leave one of them out.")
    if day:
        done = play_day(root, find_cases(), evidence)
        typer.echo(f"The record: diagnose job report {done.name}")
        return
    file = find_cases() / "demo-job.yaml"
    if not work:
        play_file(root, file, evidence)
        return
    bench = bench_at(root, layout_of_case(file), evidence)
    case = load_case(file, bench.library, bench.layout)
    start(root, case.layout, case.reported, {"aeroplane": "invented aeroplane"}, evidence)


@app.command("list")
def list_jobs(as_json: AsJson = False) -> None:
    """List the jobs kept on this machine.

    Example: diagnose job list --json

    Those that cannot be read are told last.
    """
    entries = Registry().entries()
    none = "No jobs yet. Open one with: diagnose job new"
    body = {"jobs": [asdict(e) for e in entries]}
    answer(as_json, body, lambda: [_listed(e) for e in entries] or none)
    damaged = [Problem(NOWHERE, e.reported) for e in entries if e.state == UNREADABLE]
    if damaged:
        raise CaseError(damaged)


def _listed(entry: Entry) -> str:
    said = entry.in_short if entry.state != UNREADABLE else "see below"
    aeroplane = entry.aeroplane or "-"
    return f"{entry.id}  {entry.state:<11} {entry.layout:<26} {aeroplane:<12} {said}"


@app.command("resume")
def resume(
    context: typer.Context,
    job: Annotated[
        str, typer.Argument(help="The job; may be left out where only one is open.")
    ] = "",
    renew: Annotated[
        bool,
        typer.Option("--renew-aeroplane", help="Take the aeroplane's file as it is now."),
    ] = False,
) -> None:
    """Go on with a job where it was left.

    Example: diagnose job resume 2026-11-26-01
    """
    from diagnose.cli.job.session import Session
    from diagnose.cli.job.start import goes_on, renew_aeroplane, take_up, the_open_one

    root = knowledge_root(context)
    taken = take_up(root, job or the_open_one(Registry()))
    if not goes_on(taken):
        return
    taken = renew_aeroplane(root, taken) if renew else taken
    if taken.state.phase != "finished":
        taken.record("resumed")
    Session(taken).run()


@app.command("report")
def report(
    context: typer.Context,
    job: JobId,
    form: Annotated[str, typer.Option("--format", help="text, md, html or json.")] = "text",
    output: Written = None,
) -> None:
    """Print the record of a job.

    Example: diagnose job report 2026-11-26-01 --format html -o job.html
    """
    from diagnose.report import check_form, render

    check_form(form)
    put(render(job_at(context, job), form), output)


@app.command("runcard")
def runcard(
    context: typer.Context,
    job: JobId,
    form: Annotated[str, typer.Option("--format", help="text or html.")] = "text",
    output: Written = None,
) -> None:
    """Print the card of the run that would tell most now.

    Example: diagnose job runcard JOB --format html -o card.html

    One page: what must be known before the start, limits to stop at, a line for each question in
    each run state with a box for every engine. 'diagnose job readings' reads it back by number.
    """
    from diagnose.job.day.card import card_of
    from diagnose.report.runcard import runcard as printed

    taken = job_at(context, job)
    text, card = printed(card_of(taken), form)
    put(text, output)
    lines = [line.as_kept() for line in card.lines]
    if taken.state.card.get("lines") != lines:
        taken.record("card", lines=lines)
    typer.echo(f"What was read goes back with: diagnose job readings {job}", err=True)


@app.command("readings")
def readings_back(
    context: typer.Context,
    job: JobId,
    source: Annotated[
        Path | None, typer.Option("--from", help="Read the table from this file.")
    ] = None,
    blank: Annotated[
        bool, typer.Option("--blank", help="Print the table of the card, to be filled in.")
    ] = False,
) -> None:
    """Type or paste back what was read on the run card.

    Example: diagnose job readings JOB --from table.txt

    One line a number of the card: '5: 1 PO = 16 psi, 2 PI = 12 psi'. What looks like a slip is
    asked about, never put right; 'sure' behind a figure says that it was read twice. The table is
    kept whole, or not at all.
    """
    from diagnose.cli.job.readings import blank as table
    from diagnose.cli.job.readings import readings

    taken = job_at(context, job)
    if blank:
        say(table(taken))
    else:
        readings(taken, source)


app.command("test")(proving.measured)
app.command("exchange")(proving.exchange)
app.command("beside")(proving.beside)
app.command("complaint")(several.complaint)
app.command("complaints")(several.complaints)
app.command("split")(several.split)
app.command("merge")(several.merge)
app.command("state")(day.state)
app.command("disturb")(day.disturb)
app.command("close")(day.close)
app.command("flight")(day.flight)
app.command("at-hand")(day.at_hand)
app.command("possible")(day.possible)
app.command("handover")(day.handover)
app.command("hidden")(hiding.hidden)
app.command("watch")(hiding.watch)
