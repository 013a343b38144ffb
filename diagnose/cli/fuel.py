"""``diagnose fuel``: questions to the fuel-system model, for the engineer.

Views only; every figure is worked out in ``diagnose.fuel``.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from diagnose.cli.loading import knowledge_root, print_json

app = typer.Typer(
    no_args_is_help=True,
    help="The fuel-system model: pressures, vapour, siphon, return, transfer, endurance, "
    "contents.\n\nExample: diagnose fuel pressures low-wing-single --cause "
    "strainer-plugged@strainer --grade severe",
)

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


def _ask(context: typer.Context, layout: str, units: tuple[str, str], air: Any, **more: Any) -> Any:
    """Return the question as ``diagnose.cli.fuel_ask.asked`` understands it."""
    from diagnose.cli import fuel_ask

    shown = fuel_ask.shown_in(*units)
    if isinstance(air, tuple):
        air = fuel_ask.air_from(*air)
    return fuel_ask.asked(knowledge_root(context), layout, shown, air, **more)


def _say(as_json: bool, body: Any, text: Any, svg: Path | None = None, drawing: Any = None) -> None:
    """Print an answer as text or JSON, and write its drawing; all three are made when needed."""
    from diagnose.cli import fuel_page

    if svg is not None:
        fuel_page.write(svg, drawing())
    if as_json:
        print_json(fuel_page.clean(body()))
        return
    typer.echo(text())
    if svg is not None:
        typer.echo(f"drawing written to {svg}", err=True)


@app.command("pressures")
def pressures(
    context: typer.Context,
    layout: LayoutName,
    state: State = "",
    cause: Cause = "",
    grade: Grade = "",
    sets: Sets = None,
    temperature: Temperature = None,
    altitude: Altitude = None,
    rvp: Rvp = None,
    unit: PressureUnit = "psi",
    volume: VolumeUnit = "imp gal",
    svg: Svg = None,
    plain: Plain = False,
    as_json: AsJson = False,
) -> None:
    """Example: diagnose fuel pressures low-wing-single --state run-up-booster-off

    Pressures, flows, gauge and lamp in one state, sound and with a cause put in. A state without
    a steady solution is said to have none; nothing is shown for it.
    """
    from diagnose.cli import fuel_pressures as view

    question = _ask(
        context, layout, (unit, volume), (temperature, altitude, rvp),
        state=state, sets=sets or (), cause=cause, grade=grade,
    )  # fmt: skip
    done = view.solved(question)

    def drawing() -> str:
        from diagnose.cli.fuel_drawing import draw

        return draw(done)

    _say(as_json, lambda: view.as_object(done), lambda: view.text(done, plain), svg, drawing)


Many = Annotated[
    list[str] | None, typer.Option(help="May be repeated; without it a usual span is taken.")
]


@app.command("vapour")
def vapour(
    context: typer.Context,
    layout: LayoutName,
    state: State = "",
    cause: Cause = "",
    grade: Grade = "",
    sets: Sets = None,
    temperature: Many = None,
    altitude: Many = None,
    rvp: Many = None,
    unit: PressureUnit = "psi",
    volume: VolumeUnit = "imp gal",
    svg: Svg = None,
    plain: Plain = False,
    as_json: AsJson = False,
) -> None:
    """Example: diagnose fuel vapour low-wing-single --temperature 110degF --altitude 8000ft

    Margin above boiling at every pump inlet over temperature, height and Reid vapour pressure,
    and the first place to boil.
    """
    from diagnose.cli import fuel_ask
    from diagnose.cli import fuel_vapour as view
    from diagnose.errors import UsageError

    question = _ask(
        context, layout, (unit, volume), (None, None, None),
        state=state, sets=sets or (), cause=cause, grade=grade,
    )  # fmt: skip
    temperatures = [fuel_ask.temperature_of(t) for t in temperature or view.TEMPERATURES]
    heights = [fuel_ask.height_of(h) for h in altitude or view.HEIGHTS]
    fuels = [fuel_ask.rvp_of(r) for r in rvp or view.FUELS]
    if len(temperatures) * len(heights) * len(fuels) > view.MOST:
        raise UsageError(f"That is more than {view.MOST} conditions; ask for fewer at once.")
    grid = view.grid(question, heights, fuels, temperatures)
    _say(
        as_json, lambda: view.as_object(grid), lambda: view.text(grid, plain), svg,
        lambda: view.draw(grid),
    )  # fmt: skip
