"""``diagnose layout``: list the layouts, check a layout file, show one as list, drawing or JSON."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Annotated, Any

import typer

from diagnose.cli import layout_view as view
from diagnose.cli.loading import knowledge_root, layout_at, layout_file, layouts_at
from diagnose.cli.options import AsJson, LayoutId, Plain
from diagnose.cli.printing import answer, print_json, problem_rows
from diagnose.errors import KnowledgeError, Problem, UsageError
from diagnose.knowledge_files import load_layout
from diagnose.knowledge_files.second_look import second_look
from diagnose.model import Layout
from diagnose.places import Places

app = typer.Typer(
    no_args_is_help=True,
    help="Layouts: the fuel systems this tool knows.\n\nExample: diagnose layout show "
    "low-wing-single --draw",
)


@app.command("list")
def list_layouts(context: typer.Context, plain: Plain = False, as_json: AsJson = False) -> None:
    """List the layouts.  Example: diagnose layout list"""
    layouts = layouts_at(knowledge_root(context)).values()
    rows = [{"id": x.id, "title": x.title, "invented": x.invented} for x in layouts]
    answer(as_json, {"layouts": rows}, lambda: view.list_lines(layouts))


@app.command("copy")
def copy(
    context: typer.Context,
    layout: LayoutId,
    file: Annotated[Path, typer.Argument(help="New file; its name becomes the layout's id.")],
) -> None:
    """Copy a layout to begin your own.  Example: diagnose layout copy low-wing-single mine.yaml

    The id is changed to the new file's name; everything else is left for you to change.
    """
    source = layout_file(knowledge_root(context), layout)
    if file.suffix != ".yaml" or not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", file.stem):
        raise UsageError(
            f"'{file.name}': name it in lower case words joined by hyphens, mine.yaml."
        )
    if not file.parent.is_dir():
        raise UsageError(f"no folder '{file.parent}'; name one that exists.")
    named = f"layout: {file.stem}".encode()
    try:
        text = re.sub(rb"^layout:.*$", named, source.read_bytes(), count=1, flags=re.M)
        with file.open("xb") as out:
            out.write(text)
    except FileExistsError:
        raise UsageError(f"'{file}' is there already; nothing was written.") from None
    except OSError as error:
        raise UsageError(f"'{file}' cannot be written: {error.strerror or error}.") from None
    typer.echo(f"{file}: a copy of {source.stem}. Change it part by part, then:", err=True)
    typer.echo(
        f"  diagnose layout kinds       what parts may be in it\n  diagnose layout check {file}",
        err=True,
    )


@app.command("kinds")
def kinds(
    context: typer.Context,
    words: Annotated[list[str] | None, typer.Argument(help="Parts of a kind's name.")] = None,
    plain: Plain = False,
    as_json: AsJson = False,
) -> None:
    """List the kinds of part a layout may have.  Example: diagnose layout kinds pump

    Of each: what it hangs on, its ports, the figures it must and may have, and who has one.
    """
    from diagnose.cli.layout_view import kinds as every
    from diagnose.cli.layout_view import kinds_text

    rows = every(layouts_at(knowledge_root(context)).values())
    rows = [r for r in rows if not words or any(_called(w, r) for w in words)]
    if not rows:
        raise UsageError(
            f"no kind of part is called {' or '.join(words or ())}; "
            "'diagnose layout kinds' lists all."
        )
    answer(as_json, {"kinds": rows}, lambda: kinds_text(rows))


def _called(word: str, row: dict[str, Any]) -> bool:
    return any(word.lower() in name for name in (row["kind"], *row["also_called"]))


@app.command("check")
def check(
    context: typer.Context,
    files: Annotated[list[Path], typer.Argument(help="Layout files.")],
    as_json: AsJson = False,
) -> None:
    """Check layout files and name every problem.  Example: diagnose layout check my-layout.yaml

    A file in order is also held beside the shipped ones and tried in the fuel-system model: what
    looks odd is told.  Leaves with 3 when a file cannot be used.
    """
    rows: list[dict[str, object]] = []
    for path in files:
        said, problems, odd = _checked(path, knowledge_root(context))
        rows.append(
            {"file": str(path), "in_order": not problems, "problems": problems, "look_again": odd}
        )
        if not as_json:
            typer.echo(said)
    if as_json:
        print_json({"files": rows})
    if not all(row["in_order"] for row in rows):
        raise typer.Exit(KnowledgeError.exit_code)


Told = list[dict[str, object]]


def _checked(path: Path, root: Path) -> tuple[str, Told, Told]:
    """Return what to say of a layout file, its problems, and what is worth a second look."""
    try:
        layout = load_layout(path)
        Places(layout)  # finds what no single line of the file shows: engines nobody feeds
    except KnowledgeError as error:
        return str(error), problem_rows(error.problems), []
    odd = _look_again(layout, root)
    said = [f"{path}: in order: {len(layout.parts)} parts, {len(layout.lines)} lines"]
    if odd:
        said += ["Look again; each of these may be right:", *(f"  {x}" for x in odd)]
    return "\n".join(said), [], problem_rows(odd)


def _look_again(layout: Layout, root: Path) -> tuple[Problem, ...]:
    """Return what is unlike the shipped layouts, and where the model finds it unsound."""
    from diagnose.fuel.sound import unsound

    shipped = list(layouts_at(root).values())
    model = (Problem(layout.origin, text) for text in unsound(layout))
    return (*second_look(layout, shipped), *model)


@app.command("show")
def show(
    context: typer.Context,
    layout: LayoutId,
    draw: Annotated[bool, typer.Option("--draw", help="A drawing in plain characters.")] = False,
    plain: Plain = False,
    as_json: AsJson = False,
) -> None:
    """Show one layout.  Example: diagnose layout show four-engine-injection --draw"""
    places = Places(layout_at(knowledge_root(context), layout))

    def shown() -> str:
        return view.show_drawing(places) if draw else view.show_list(places)

    answer(as_json, view.as_object(places), shown)
