"""``diagnose layout``: list the layouts, check a layout file, show one as list, drawing or JSON."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from diagnose.cli.loading import knowledge_root, layout_at, print_json

app = typer.Typer(
    no_args_is_help=True,
    help="Layouts: the fuel systems this tool knows.\n\nExample: diagnose layout show "
    "low-wing-single --draw",
)

AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON object.")]
Plain = Annotated[bool, typer.Option("--plain", help="Wrap no lines.")]


@app.command("list")
def list_layouts(context: typer.Context, plain: Plain = False, as_json: AsJson = False) -> None:
    """List the layouts.  Example: diagnose layout list"""
    from diagnose.cli.layout_view import wrap
    from diagnose.knowledge_files import list_layouts as files

    root = knowledge_root(context)
    layouts = [layout_at(root, name) for name in files(root)]
    if as_json:
        rows = [{"id": x.id, "title": x.title, "invented": x.invented} for x in layouts]
        print_json({"layouts": rows})
        return
    width = max((len(x.id) for x in layouts), default=0)
    for x in layouts:
        mark = " (invented)" if x.invented else ""
        typer.echo("\n".join(wrap(f"{x.id:<{width}}  {x.title}{mark}", plain, width + 2)))


@app.command("check")
def check(
    files: Annotated[list[Path], typer.Argument(help="Layout files.")], as_json: AsJson = False
) -> None:
    """Check layout files and name every problem.  Example: diagnose layout check my-layout.yaml

    Leaves with 3 when a file cannot be used.
    """
    from diagnose.errors import KnowledgeError

    rows: list[dict[str, object]] = []
    for path in files:
        said, problems = _checked(path)
        rows.append({"file": str(path), "in_order": not problems, "problems": problems})
        if not as_json:
            typer.echo(said)
    if as_json:
        print_json({"files": rows})
    if not all(row["in_order"] for row in rows):
        raise typer.Exit(KnowledgeError.exit_code)


def _checked(path: Path) -> tuple[str, list[dict[str, object]]]:
    """Return what to say of a layout file, and its problems."""
    from diagnose.errors import KnowledgeError
    from diagnose.knowledge_files import load_layout
    from diagnose.places import Places

    try:
        layout = load_layout(path)
        Places(layout)  # finds what no single line of the file shows: engines nobody feeds
    except KnowledgeError as error:
        return str(error), [
            {"file": p.origin.file, "line": p.origin.line, "col": p.origin.col, "text": p.text}
            for p in error.problems
        ]
    return f"{path}: in order: {len(layout.parts)} parts, {len(layout.lines)} lines", []


@app.command("show")
def show(
    context: typer.Context,
    layout: Annotated[str, typer.Argument(help="Layout id, or a layout file.")],
    draw: Annotated[bool, typer.Option("--draw", help="A drawing in plain characters.")] = False,
    plain: Plain = False,
    as_json: AsJson = False,
) -> None:
    """Show one layout.  Example: diagnose layout show four-engine-injection --draw"""
    from diagnose.cli import layout_view
    from diagnose.places import Places

    places = Places(layout_at(knowledge_root(context), layout))
    if as_json:
        print_json(layout_view.as_object(places))
    elif draw:
        typer.echo(layout_view.show_drawing(places))
    else:
        typer.echo(layout_view.show_list(places, plain=plain))
