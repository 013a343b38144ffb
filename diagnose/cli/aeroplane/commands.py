"""``diagnose aeroplane``: one aeroplane by its registration, over a layout."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from diagnose.cli.aeroplane import trend as aeroplane_trend
from diagnose.cli.loading import knowledge_root, print_json, problem_rows

if TYPE_CHECKING:  # imported where it is used, so that help comes at once
    from diagnose.errors import Problem
    from diagnose.job.keeping.hangar import Kept

app = typer.Typer(
    no_args_is_help=True,
    help="One aeroplane, over the layout of its kind.\n\n"
    "Its limits, parts, work done, error cards, defects: what its papers say of it.\n\n"
    "Example: diagnose aeroplane new X-DEMO --layout four-engine-injection",
)

Plain = Annotated[bool, typer.Option("--plain", help="Wrap no lines.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON object.")]
Which = Annotated[str, typer.Argument(help="Registration, or an aeroplane's file.")]


@app.command("new")
def new(
    context: typer.Context,
    registration: Annotated[str, typer.Argument(help="As painted: letters, figures, hyphens.")],
    layout: Annotated[str, typer.Option("--layout", help="The layout it is laid over.")],
    output: Annotated[
        Path | None, typer.Option("--output", "-o", help="Write here, not to the data folder.")
    ] = None,
) -> None:
    """Write an empty file, to be filled in from the papers."""
    from diagnose.cli.aeroplane.view import skeleton
    from diagnose.cli.loading import layout_at, own_layout
    from diagnose.errors import UsageError
    from diagnose.job.keeping.hangar import Hangar

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
    """List the aeroplanes with a file in the data folder."""
    from diagnose.cli.aeroplane.own_file import laid
    from diagnose.errors import CaseError, DiagnoseError
    from diagnose.job.keeping.hangar import Hangar, kept_from

    root = knowledge_root(context)
    rows: list[dict[str, object]] = []
    damaged: list[DiagnoseError] = []
    for name, path in Hangar().files().items():
        try:
            own = laid(root, kept_from(path)).aeroplane
        except DiagnoseError as error:
            damaged.append(error)
            rows.append({"registration": name, "state": "unreadable"})
            continue
        assert own is not None
        rows.append(
            {
                "registration": name,
                "state": "in order",
                "layout": own.layout,
                "invented": own.invented,
                "deferred_open": len(own.deferred),
                "edition": own.edition,
            }
        )
    if as_json:
        print_json({"aeroplanes": rows})
    else:
        for r in rows:
            told = f"{r.get('layout', ''):<26} deferred open: {r.get('deferred_open', '-')}"
            typer.echo(f"{r['registration']:<12} {r['state']:<10} {told}".rstrip())
        if not rows:
            typer.echo("No aeroplanes yet. Write one with: diagnose aeroplane new REG --layout ...")
    if damaged:
        raise CaseError(p for e in damaged for p in getattr(e, "problems", ()))


@app.command("show")
def show(
    context: typer.Context, aeroplane: Which, plain: Plain = False, as_json: AsJson = False
) -> None:
    """Show one aeroplane, warnings first.

    Then limits, defects, parts, error cards and quirks.
    """
    from diagnose.cli.aeroplane import view
    from diagnose.cli.aeroplane.own_file import laid

    layout = laid(knowledge_root(context), found(aeroplane))
    if as_json:
        print_json(view.as_object(layout, date.today()))
    else:
        typer.echo("\n".join(view.lines(layout, date.today(), plain=plain)))


@app.command("check")
def check(
    context: typer.Context,
    files: Annotated[list[str], typer.Argument(help="Registrations or files.")],
    as_json: AsJson = False,
) -> None:
    """Check aeroplanes' files and name every problem.

    Leaves with 4 when one cannot be used.
    """
    from diagnose.aeroplane import warnings
    from diagnose.cli.aeroplane.own_file import laid
    from diagnose.errors import CaseError

    root = knowledge_root(context)
    problems: list[Problem] = []
    rows: list[dict[str, object]] = []
    for name in files:
        try:
            layout = laid(root, found(name))
        except CaseError as error:
            problems += error.problems
            rows.append({"file": name, "in_order": False, "problems": problem_rows(error.problems)})
            continue
        said = warnings(layout, date.today())
        rows.append({"file": name, "in_order": True, "problems": [], "warnings": list(said)})
        if not as_json:
            typer.echo(f"{name}: in order over layout '{layout.id}'; {len(said)} warning(s)")
            for w in said:
                typer.echo(f"  WARNING {w}.")
    if as_json:
        print_json({"files": rows})
    if problems:
        raise CaseError(problems)


def found(name: str) -> Kept:
    """Return the file of a registration or a path.

    Raises:
        UsageError: If there is none; names the ones there are.
    """
    from diagnose.errors import UsageError
    from diagnose.job.keeping.hangar import Hangar

    kept = Hangar().find(name)
    if kept is None:
        there = ", ".join(Hangar().files()) or "none yet"
        raise UsageError(f"there is no aeroplane '{name}'. There are: {there}.")
    return kept


app.command("trend")(aeroplane_trend.trend)
