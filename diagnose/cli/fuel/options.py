"""The options the ``diagnose fuel`` commands share, and how they ask and answer.

Nothing heavy is imported here, so that help comes at once.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from inspect import Parameter, Signature, signature
from pathlib import Path
from typing import Annotated, Any, get_type_hints

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


@dataclass(frozen=True)
class Asked:
    """What every question to the model may say; a command takes them through ``to_the_model``."""

    context: typer.Context
    layout: LayoutName
    state: State = ""
    cause: Cause = ""
    grade: Grade = ""
    sets: Sets = None
    temperature: Temperature = None
    altitude: Altitude = None
    rvp: Rvp = None
    unit: PressureUnit = "psi"
    volume: VolumeUnit = "imp gal"
    svg: Svg = None
    plain: Plain = False
    as_json: AsJson = False

    def question(self, **more: Any) -> Any:
        """Return the question as ``diagnose.cli.fuel.ask.asked`` understands it."""
        from diagnose.cli.fuel import ask as fuel_ask

        return fuel_ask.asked(
            knowledge_root(self.context),
            self.layout,
            fuel_ask.shown_in(self.unit, self.volume),
            fuel_ask.air_from(self.temperature, self.altitude, self.rvp),
            state=self.state,
            sets=self.sets or (),
            cause=self.cause,
            grade=self.grade,
            **more,
        )


def to_the_model(command: Callable[..., None]) -> Callable[..., None]:
    """Give ``command(asked, ...)`` the options of ``Asked`` around its own.

    An option the command has itself, under the same name, is its own and stays out of ``asked``.
    """
    own = list(signature(command).parameters.values())[1:]
    hints = get_type_hints(Asked, include_extras=True)
    hints |= get_type_hints(command, include_extras=True)
    named = {p.name for p in own}
    shared = [p for p in signature(Asked).parameters.values() if p.name not in named]
    # what a command is about stands before what all of them take
    listed = [
        Parameter(p.name, Parameter.KEYWORD_ONLY, default=p.default, annotation=hints[p.name])
        for p in (*shared[:2], *own, *shared[2:])
    ]

    @wraps(command)
    def run(**given: Any) -> None:
        asked = Asked(**{p.name: given.pop(p.name) for p in shared})
        command(asked, **given)

    run.__signature__ = Signature(listed)  # type: ignore[attr-defined]  # read by the parser
    run.__annotations__ = {p.name: p.annotation for p in listed}
    return run


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


def minutes_of(text: str) -> float:
    """Return a time in minutes, within what the model is run for."""
    from diagnose.cli.fuel.ask import figure
    from diagnose.errors import UsageError
    from diagnose.fuel.asked.runs import DAY

    minutes = figure("--for", text, "time").value_si / 60.0
    if not 1.0 <= minutes <= DAY:
        raise UsageError(f"--for '{text}' is not within 1 to {DAY:g} min.")
    return minutes
