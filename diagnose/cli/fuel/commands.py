"""``diagnose fuel``: questions to the fuel-system model, for the engineer.

Views only; every figure is worked out in ``diagnose.fuel``.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from diagnose.cli.fuel.options import (
    AsJson,
    For,
    Many,
    Plain,
    Power,
    Sigma,
    Svg,
    Typed,
    Volume,
    VolumeUnit,
    minutes_of,
    tell,
    to_the_model,
)
from diagnose.cli.loading import knowledge_root, layout_at
from diagnose.cli.options import LayoutId
from diagnose.errors import UsageError
from diagnose.knowledge_files.flights import load_flights
from diagnose.places import Places

app = typer.Typer(
    no_args_is_help=True,
    help="Ask the fuel-system model what a layout does.\n\n"
    "Pressures, vapour, siphon, return, transfer, endurance, "
    "contents.\n\nExample: diagnose fuel pressures low-wing-single --cause "
    "strainer-plugged@strainer --grade severe",
)


@app.command("pressures", short_help="Pressures and flows in one state, with a cause put in.")
@to_the_model
def pressures(typed: Typed) -> None:
    """Example: diagnose fuel pressures low-wing-single --state run-up-booster-off

    Pressures, flows, gauge and lamp in one state, sound and with a cause put in. A state without
    a steady solution is said to have none; nothing is shown for it.
    """
    from diagnose.cli.fuel import pressures as view
    from diagnose.fuel.asked.steady import solved

    question = typed.question()
    tell(typed.as_json, typed.svg, view, question, solved(question))


@app.command("vapour", short_help="Margin before fuel boils, and where it boils first.")
@to_the_model
def vapour(
    typed: Typed,
    temperature: Many = None,
    altitude: Many = None,
    rvp: Many = None,
) -> None:
    """Example: diagnose fuel vapour low-wing-single --temperature 110degF --altitude 8000ft

    Margin above boiling at every pump inlet over temperature, height and Reid vapour pressure,
    and the first place to boil.
    """
    from diagnose.cli.fuel import vapour as view
    from diagnose.cli.fuel.understood import height_of, rvp_of, temperature_of
    from diagnose.fuel.asked.vapour import MOST, grid

    question = typed.question()
    temperatures = [temperature_of(t) for t in temperature or view.TEMPERATURES]
    heights = [height_of(h) for h in altitude or view.HEIGHTS]
    fuels = [rvp_of(r) for r in rvp or view.FUELS]
    if len(temperatures) * len(heights) * len(fuels) > MOST:
        raise UsageError(f"That is more than {MOST} conditions; ask for fewer at once.")
    tell(typed.as_json, typed.svg, view, question, grid(question, heights, fuels, temperatures))


@app.command("siphon", short_help="What runs between tanks at rest, and over the wing.")
@to_the_model
def siphon(
    typed: Typed,
    time: For = "12 h",
    speed: Many = None,
) -> None:
    """Example: diagnose fuel siphon low-wing-single --set left-tank='15 imp gal'

    What runs between tanks at rest with their levels, for each way the cocks can join them, and
    what suction over the wing draws out of a loose cap.
    """
    from diagnose.cli.fuel import siphon as view
    from diagnose.cli.fuel.understood import speed_of
    from diagnose.fuel.asked import siphon as asked_siphon

    question = typed.question(stage="parked")
    speeds = [speed_of(s) for s in speed or view.SPEEDS]
    tell(
        typed.as_json,
        typed.svg,
        view,
        question,
        asked_siphon.siphon(question, minutes_of(time), speeds),
    )


@app.command("return", short_help="How long until a tank with vapour return overflows.")
@to_the_model
def vapour_return(
    typed: Typed,
    flow: Annotated[
        str | None, typer.Option("--flow", help="Return of each engine, '7 US gal/h'.")
    ] = None,
    ullage: Annotated[
        str | None, typer.Option("--ullage", help="Space below full, '3 US gal'.")
    ] = None,
    power: Power = "",
) -> None:
    """Example: diagnose fuel return radial-single-hand-pump --ullage '3 US gal'

    How long until the tank that receives the vapour return overflows, fed from each tank.
    """
    from diagnose.cli.fuel import returned as view
    from diagnose.cli.fuel.understood import figure
    from diagnose.fuel.asked.returned import returns

    question = typed.question()
    asked_flow = None if flow is None else figure("--flow", flow, "flow")
    space = None if ullage is None else figure("--ullage", ullage, "volume")
    tell(typed.as_json, typed.svg, view, question, returns(question, asked_flow, space, power))


@app.command("transfer", short_help="How fast fuel is moved from tank to tank.")
@to_the_model
def transfer(
    typed: Typed,
    time: For = "3 h",
) -> None:
    """Example: diagnose fuel transfer four-engine-injection

    How fast each transfer moves fuel, and what is full, dry or overflowing at the end.
    """
    from diagnose.cli.fuel import transfer as view
    from diagnose.fuel.asked.transfers import transfers

    question = typed.question(stage="static")
    tell(typed.as_json, typed.svg, view, question, transfers(question, minutes_of(time)))


@app.command("endurance", short_help="What a test run draws from each tank, and how long it lasts.")
@to_the_model
def endurance(
    typed: Typed,
    time: For = "20 min",
    power: Power = "",
) -> None:
    """Example: diagnose fuel endurance low-wing-twin --for '20 min' --power run-up

    What a test run of that length draws from each tank, and how long each tank lasts.
    """
    from diagnose.cli.fuel import endurance as view
    from diagnose.fuel.asked.endurance import endurances

    question = typed.question()
    tell(typed.as_json, typed.svg, view, question, endurances(question, minutes_of(time), power))


@app.command("contents", short_help="Gauge against stick against ledger; a slow leak.")
def contents(
    context: typer.Context,
    layout: LayoutId,
    tank: Annotated[str, typer.Option("--tank", help="The tank the figures are of.")] = "",
    gauge: Volume = None,
    stick: Volume = None,
    ledger: Volume = None,
    uplift: Annotated[
        str | None, typer.Option(help="Uplifted since the ledger was last known right.")
    ] = None,
    burnt: Annotated[
        str | None, typer.Option(help="Burnt since the ledger was last known right.")
    ] = None,
    gauge_sigma: Sigma = None,
    stick_sigma: Sigma = None,
    ledger_sigma: Sigma = None,
    flights: Annotated[
        Path | None,
        typer.Option(
            "--flights",
            help="CSV or YAML of flights: flight, tank, stick and gauge after it, uplift before "
            "it, burnt in it.",
        ),
    ] = None,
    volume: VolumeUnit = "imp gal",
    svg: Svg = None,
    plain: Plain = False,
    as_json: AsJson = False,
) -> None:
    """Example: diagnose fuel contents low-wing-single --tank left-tank --gauge '12 imp gal'
    --stick '9 imp gal' --ledger '9.5 imp gal'

    Gauge, stick and ledger against each other: who disagrees and by how much, or 'cannot tell'.
    Over flights, a slow leak; a file of flights begins:

    \b
    flight, tank, stick [imp gal], gauge [imp gal], uplift [imp gal], burnt [imp gal]
    start, left-tank, 16, 16.5, ,
    1, left-tank, 11.2, 11.5, 0, 4.2
    """
    from diagnose.cli.fuel import contents as view
    from diagnose.cli.fuel.understood import figure, shown_in
    from diagnose.fuel import reconcile as fuel_reconcile

    def given(**texts: str | None) -> dict[str, Any]:
        return {
            name: figure(f"--{name.replace('_', '-')}", text, "volume")
            for name, text in texts.items()
            if text is not None
        }

    shown = shown_in("psi", volume)
    places = Places(layout_at(knowledge_root(context), layout))
    figures = given(gauge=gauge, stick=stick, ledger=ledger)
    spreads = given(gauge_sigma=gauge_sigma, stick_sigma=stick_sigma, ledger_sigma=ledger_sigma)
    sums = given(uplift=uplift, burnt=burnt)
    if flights is not None:
        if tank or figures or spreads or sums:
            raise UsageError("--flights FILE stands alone: the file has the tanks and figures.")
        done = fuel_reconcile.over_flights(places, load_flights(flights, places.layout))
    else:
        by_name = {name.removesuffix("_sigma"): q for name, q in spreads.items()}
        done = fuel_reconcile.compare(
            places, fuel_reconcile.tank_of(places, tank), figures, by_name,
            sums.get("uplift"), sums.get("burnt"),
        )  # fmt: skip
    tell(as_json, svg, view, done, shown)
