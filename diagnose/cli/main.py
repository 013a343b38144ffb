"""The command line: sub-commands, and what they share.

Heavy parts are imported where they are used, so that help comes at once.
"""

from __future__ import annotations

import sys
from pathlib import Path
from shutil import get_terminal_size
from typing import Annotated

import typer

from diagnose.cli import chart, layout, lint, merit, predict, words
from diagnose.cli.aeroplane import commands as aeroplane
from diagnose.cli.cases import casebook
from diagnose.cli.cases import commands as cases
from diagnose.cli.exercise import commands as exercise
from diagnose.cli.fuel import commands as fuel
from diagnose.cli.interview import commands as interview
from diagnose.cli.job import commands as job
from diagnose.cli.room import as_wide_as, whole_lines

EPILOGUE = """\
exit codes: 0 done (not isolated is a result) · 1 unexpected · 2 usage · 3 knowledge or layout
invalid · 4 job or case unreadable · 5 findings contradict each other (with --exit-code only)

Jobs, exercises, interviews and aeroplanes are kept in your data folder, or in the one that
DIAGNOSE_HOME names.

The tool certifies nothing. The aeroplane's approved data, local codes and licensed practice come
first. Nothing in the shipped knowledge has been reviewed by a licensed person yet.
"""

app = typer.Typer(
    help="Fault diagnosis for the fuel systems of vintage piston aeroplanes.\n\n"
    "Start a job:      diagnose job new --layout low-wing-single\n\n"
    "See one worked:   diagnose job demo\n\n"
    "Rank one case:    diagnose rank CASE.yaml",
    epilog=EPILOGUE,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    add_completion=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


@app.callback(invoke_without_command=True)
def begin(
    context: typer.Context,
    knowledge: Annotated[
        Path | None,
        typer.Option("--knowledge", help="Folder of knowledge to use instead of the shipped one."),
    ] = None,
    plain: Annotated[
        bool, typer.Option("--plain", help="Break no line of a job's screens; no rules, no boxes.")
    ] = False,
    version: Annotated[bool, typer.Option("--version", help="Print the version and stop.")] = False,
) -> None:
    """Keep what all commands share; without a command show the help."""
    context.obj = {"knowledge": knowledge}
    if plain:
        context.call_on_close(whole_lines())
    elif sys.stdout.isatty():
        context.call_on_close(as_wide_as(get_terminal_size().columns))
    if version:
        from importlib.metadata import version as installed

        typer.echo(f"diagnose {installed('fuel-system-diagnose')}")
        raise typer.Exit
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())
        raise typer.Exit


app.add_typer(job.app, name="job")
app.add_typer(aeroplane.app, name="aeroplane")
app.add_typer(interview.app, name="interview")
app.add_typer(layout.app, name="layout")
app.add_typer(casebook.app, name="cases")
app.add_typer(fuel.app, name="fuel")
app.add_typer(chart.app, name="chart")
app.add_typer(exercise.app, name="exercise")
app.command("rank")(cases.rank)
app.command("replay")(cases.replay)
app.command("why")(cases.why)
app.command("merit")(merit.merit)
app.command("predict")(predict.predict)
app.command("words")(words.words)
app.command("lint")(lint.lint)
