"""The options and arguments that several commands share, each worded once."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from diagnose.cli.room import whole_lines


def break_no_line(context: typer.Context, plain: bool) -> bool:
    """Leave every line whole until the command is over; what it prints need not know of it."""
    if plain:
        context.call_on_close(whole_lines())
    return plain


AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON object.")]
Plain = Annotated[bool, typer.Option("--plain", help="Wrap no lines.", callback=break_no_line)]
Evidence = Annotated[
    str,
    typer.Option(
        "--evidence",
        metavar="stated|model|both",
        help="Rates from the knowledge, the fuel-system model, or both; the model is solved once.",
    ),
]

LayoutId = Annotated[str, typer.Argument(help="Layout id, or a layout file.")]
AnyLayout = Annotated[
    str, typer.Argument(help="Layout id or file; every shipped layout when left out.")
]
Registration = Annotated[str, typer.Argument(help="Registration, or an aeroplane's file.")]
CaseFile = Annotated[Path, typer.Argument(help="A case file.", metavar="CASE.yaml")]
CaseFolder = Annotated[
    Path | None, typer.Option("--cases", help="Folder of cases to use instead of the shipped one.")
]

JobId = Annotated[str, typer.Argument(help="The job, as `diagnose job list` names it.")]
Written = Annotated[
    Path | None,
    typer.Option("--output", "-o", help="Write here instead of to the screen."),
]
