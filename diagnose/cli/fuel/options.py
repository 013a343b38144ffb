"""The options the ``diagnose fuel`` commands share, and how they ask and answer.

Nothing heavy is imported here, so that help comes at once.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from diagnose.cli.loading import knowledge_root, print_json

LayoutName = Annotated[str, typer.Argument(help="Layout id, or a layout file.")]
State = Annotated[str, typer.Option("--state", help="Run state of the layout.")]
Cause = Annotated[str, typer.Option("--cause", help="A cause to put in: CAUSE@PART.")]
Grade = Annotated[str, typer.Option("--grade", help="How bad: slight, half or severe.")]
Sets = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        help="PART=SETTING: selector=left, booster=on, left-tank='9 imp gal'; may be repeated.",
    ),
]
Temperature = Annotated[
    str | None, typer.Option("--temperature", help="Of the fuel, for instance '15 degC'.")
]
Altitude = Annotated[
    str | None, typer.Option("--altitude", help="Pressure height, for instance '5000 ft'.")
]
Rvp = Annotated[
    str | None, typer.Option("--rvp", help="Reid vapour pressure, for instance '7 psi'.")
]
PressureUnit = Annotated[
    str, typer.Option("--unit", help="Print pressures in psi, kPa, bar, inHg.")
]
VolumeUnit = Annotated[str, typer.Option("--volume", help="Print volumes in imp gal, US gal, l.")]
Svg = Annotated[Path | None, typer.Option("--svg", help="Write a drawing to this file too.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON object, SI units.")]
Plain = Annotated[bool, typer.Option("--plain", help="One line an entry; no columns, no wrap.")]
Many = Annotated[
    list[str] | None, typer.Option(help="May be repeated; without it a usual span is taken.")
]
Power = Annotated[str, typer.Option("--power", help="All engines at idle, run-up, cruise, ...")]
For = Annotated[str, typer.Option("--for", help="How long, for instance '12 h'.")]
Volume = Annotated[str | None, typer.Option(help="For instance '9 imp gal'.")]
Sigma = Annotated[str | None, typer.Option(help="Standard deviation of that figure.")]


def ask(context: typer.Context, layout: str, units: tuple[str, str], air: Any, **more: Any) -> Any:
    """Return the question as ``diagnose.cli.fuel.ask.asked`` understands it."""
    from diagnose.cli.fuel import ask as fuel_ask

    shown = fuel_ask.shown_in(*units)
    if isinstance(air, tuple):
        air = fuel_ask.air_from(*air)
    return fuel_ask.asked(knowledge_root(context), layout, shown, air, **more)


def say(as_json: bool, body: Any, text: Any, svg: Path | None = None, drawing: Any = None) -> None:
    """Print an answer as text or JSON, and write its drawing; all three are made when needed."""
    from diagnose.cli.fuel import page as fuel_page

    if svg is not None:
        fuel_page.write(svg, drawing())
    if as_json:
        print_json(fuel_page.clean(body()))
        return
    typer.echo(text())
    if svg is not None:
        typer.echo(f"drawing written to {svg}", err=True)


def minutes_of(text: str, least: float = 1.0, most: float = 1440.0) -> float:
    """Return a time in minutes, within what the model is run for."""
    from diagnose.cli.fuel.ask import figure
    from diagnose.errors import UsageError

    minutes = figure("--for", text, "time").value_si / 60.0
    if not least <= minutes <= most:
        raise UsageError(f"--for '{text}' is not within {least:g} to {most:g} min.")
    return minutes
