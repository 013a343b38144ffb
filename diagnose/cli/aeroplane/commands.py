"""``diagnose aeroplane``: one aeroplane by its registration, over a layout."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from diagnose.aeroplane.history import load_history, series_of
from diagnose.cli.loading import knowledge_root, layout_at, own_layout
from diagnose.cli.options import AsJson, Plain, Registration
from diagnose.cli.printing import answer, print_json, problem_rows, say, write
from diagnose.errors import CaseError, DiagnoseError, Problem, UsageError
from diagnose.job.keeping.hangar import Hangar, Kept, kept_from
from diagnose.job.keeping.registry import Registry
from diagnose.knowledge_files.aeroplanes import skeleton

app = typer.Typer(
    no_args_is_help=True,
    help="One aeroplane, over the layout of its kind.\n\n"
    "Its limits, parts, work done, error cards, defects: what its papers say of it.\n\n"
    "Example: diagnose aeroplane new X-DEMO --layout four-engine-injection",
)

A_LINE_OF_THE_FILE = (
    "a line of the file: 2026-01-31, fuel-pressure, ENGINE-ID, run-up-booster-off, 15.2 psi "
    "(first line: date, what, at, state, value)."
)


@app.command("new")
def new(
    context: typer.Context,
    registration: Annotated[str, typer.Argument(help="As painted: letters, figures, hyphens.")],
    layout: Annotated[str, typer.Option("--layout", help="The layout it is laid over.")],
    output: Annotated[
        Path | None, typer.Option("--output", "-o", help="Write here, not to the data folder.")
    ] = None,
) -> None:
    """Write an empty file, to be filled in from the papers.

    Example: diagnose aeroplane new X-OWN --layout low-wing-twin
    """
    path = output or Hangar().path(registration)
    Hangar().path(registration)  # a name that can be none is refused, wherever it is written
    root = knowledge_root(context)
    over = layout_at(root, layout)
    text = skeleton(registration, over)
    own = own_layout(root, layout).get("layout_text", "")
    beside = (output.parent if output else Hangar().folder.parent / "layouts") / f"{over.id}.yaml"
    if own and beside.is_file() and beside.read_text(encoding="utf-8") != own:
        raise UsageError(f"{beside} is another layout of that name; it is not written over.")
    try:
        if own:  # the aeroplane's file and every job on it find the layout here
            beside.parent.mkdir(parents=True, exist_ok=True)
            beside.write_text(own, encoding="utf-8")
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8") as file:
            file.write(text)
    except FileExistsError:
        raise UsageError(f"{path} is there already; it is not written over.") from None
    except OSError as error:
        raise UsageError(f"{path} cannot be written: {error.strerror}.") from None
    typer.echo(
        f"{path}\nFill it in from the aeroplane's papers, then: diagnose aeroplane check {path}"
    )


@app.command("list")
def list_aeroplanes(context: typer.Context, as_json: AsJson = False) -> None:
    """List the aeroplanes with a file in the data folder.

    Example: diagnose aeroplane list --json
    """
    from diagnose.cli.aeroplane.own_file import laid
    from diagnose.cli.aeroplane.view import list_lines, list_row

    root = knowledge_root(context)
    rows: list[dict[str, object]] = []
    damaged: list[DiagnoseError] = []
    for name, path in Hangar().files().items():
        try:
            rows.append(list_row(name, laid(root, kept_from(path))))
        except DiagnoseError as error:
            damaged.append(error)
            rows.append({"registration": name, "state": "unreadable"})
    answer(as_json, {"aeroplanes": rows}, lambda: list_lines(rows))
    if damaged:
        raise CaseError(p for e in damaged for p in getattr(e, "problems", ()))


@app.command("show")
def show(
    context: typer.Context, aeroplane: Registration, plain: Plain = False, as_json: AsJson = False
) -> None:
    """Show one aeroplane, warnings first.

    Example: diagnose aeroplane show X-OWN

    Then limits, defects, parts, error cards and quirks.
    """
    from diagnose.cli.aeroplane import view
    from diagnose.cli.aeroplane.own_file import laid

    layout = laid(knowledge_root(context), _found(aeroplane))
    today = date.today()
    answer(as_json, view.as_object(layout, today), lambda: view.lines(layout, today))


@app.command("check")
def check(
    context: typer.Context,
    files: Annotated[list[str], typer.Argument(help="Registrations or files.")],
    as_json: AsJson = False,
) -> None:
    """Check aeroplanes' files and name every problem.

    Example: diagnose aeroplane check X-OWN.yaml

    Leaves with 4 when one cannot be used.
    """
    from diagnose.aeroplane import warnings
    from diagnose.cli.aeroplane.own_file import laid

    root = knowledge_root(context)
    problems: list[Problem] = []
    rows: list[dict[str, object]] = []
    for name in files:
        try:
            layout = laid(root, _found(name))
        except CaseError as error:
            problems += error.problems
            rows.append({"file": name, "in_order": False, "problems": problem_rows(error.problems)})
            continue
        said = warnings(layout, date.today())
        rows.append({"file": name, "in_order": True, "problems": [], "warnings": list(said)})
        if not as_json:
            typer.echo(f"{name}: in order over layout '{layout.id}'; {len(said)} warning(s)")
            say(f"  WARNING {w}." for w in said)
    if as_json:
        print_json({"files": rows})
    if problems:
        raise CaseError(problems)


@app.command("trend")
def trend(
    context: typer.Context,
    aeroplane: Registration,
    file: Annotated[
        Path | None,
        typer.Option("--file", help="Readings as CSV; else REG.trend.csv in the data folder."),
    ] = None,
    svg: Annotated[Path | None, typer.Option("--svg", help="Draw the plots here.")] = None,
    plain: Plain = False,
    as_json: AsJson = False,
) -> None:
    """Follow an aeroplane's readings over time.

    Pressures, currents, drops, return, water, stick against gauge.

    Example: diagnose aeroplane trend X-DEMO --file readings.csv --svg trend.svg
    """
    from diagnose.aeroplane.trends import trends_of
    from diagnose.aeroplane.trends_told import as_object, drawing
    from diagnose.cli.aeroplane.own_file import bench_of
    from diagnose.cli.aeroplane.trend_view import lines
    from diagnose.job.measured.beside import figures_of

    bench = bench_of(knowledge_root(context), _found(aeroplane))
    layout = bench.layout
    name = layout.its_aeroplane.registration
    beside = Hangar().folder / f"{name}.trend.csv"
    path = file or (beside if beside.is_file() else None)
    typed = load_history(path, layout) if path else ()
    if file and not typed:
        raise UsageError(f"{file} has no readings in it; {A_LINE_OF_THE_FILE}")
    kept, unread = figures_of(Registry(), bench)
    series = series_of([*typed, *kept], layout)
    if not series:
        raise UsageError(
            f"no readings of {name}: neither {beside} nor a job has any; {A_LINE_OF_THE_FILE}"
        )
    shown = trends_of(series, layout)
    if svg is not None:
        write(svg, drawing(shown, layout))
    body = as_object(shown, layout, unread)
    answer(as_json, body, lambda: lines(shown, layout, unread))
    if svg is not None and not as_json:
        typer.echo(f"drawn: {svg}", err=True)


def _found(name: str) -> Kept:
    """Return the file of a registration or a path; refused where there is none."""
    kept = Hangar().find(name)
    if kept is None:
        there = ", ".join(Hangar().files()) or "none yet"
        raise UsageError(f"there is no aeroplane '{name}'. There are: {there}.")
    return kept
