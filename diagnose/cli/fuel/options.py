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

from diagnose.cli.options import LayoutId, break_no_line
from diagnose.cli.printing import print_json, write
from diagnose.errors import UsageError

VolumeUnit = Annotated[str, typer.Option("--volume", help="Print volumes in imp gal, US gal, l.")]
Svg = Annotated[Path | None, typer.Option("--svg", help="Write a drawing to this file too.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON object, SI units.")]
Plain = Annotated[
    bool,
    typer.Option("--plain", help="One line an entry; no columns, no wrap.", callback=break_no_line),
]
Many = Annotated[
    list[str] | None, typer.Option(help="May be repeated; without it a usual span is taken.")
]
Power = Annotated[str, typer.Option("--power", help="All engines at idle, run-up, cruise, ...")]
For = Annotated[str, typer.Option("--for", help="How long, for instance '12 h'.")]
Volume = Annotated[str | None, typer.Option(help="For instance '9 imp gal'.")]
Sigma = Annotated[str | None, typer.Option(help="Standard deviation of that figure.")]


@dataclass(frozen=True)
class Typed:
    """What every question to the model may say; a command takes them through ``to_the_model``."""

    context: typer.Context
    layout: LayoutId
    state: Annotated[str, typer.Option("--state", help="Run state of the layout.")] = ""
    cause: Annotated[str, typer.Option("--cause", help="A cause to put in: CAUSE@PART.")] = ""
    grade: Annotated[str, typer.Option("--grade", help="How bad: slight, half or severe.")] = ""
    sets: Annotated[
        list[str] | None,
        typer.Option(
            "--set",
            help="PART=SETTING: selector=left, booster=on, left-tank='9 imp gal'; may be repeated.",
        ),
    ] = None
    temperature: Annotated[
        str | None, typer.Option("--temperature", help="Of the fuel, for instance '15 degC'.")
    ] = None
    altitude: Annotated[
        str | None, typer.Option("--altitude", help="Pressure height, for instance '5000 ft'.")
    ] = None
    rvp: Annotated[
        str | None, typer.Option("--rvp", help="Reid vapour pressure, for instance '7 psi'.")
    ] = None
    unit: Annotated[str, typer.Option("--unit", help="Print pressures in psi, kPa, bar, inHg.")] = (
        "psi"
    )
    volume: VolumeUnit = "imp gal"
    svg: Svg = None
    plain: Plain = False
    as_json: AsJson = False

    def question(self, stage: str = "run-up") -> Any:
        """Return the question understood; ``stage``: of the run state where none is named."""
        from diagnose.cli.fuel.understood import understood

        return understood(self, stage)


def to_the_model(command: Callable[..., None]) -> Callable[..., None]:
    """Give ``command(typed, ...)`` the options of ``Typed`` around its own.

    An option the command has itself, under the same name, is its own and stays out of ``typed``.
    """
    own = list(signature(command).parameters.values())[1:]
    hints = get_type_hints(Typed, include_extras=True)
    hints |= get_type_hints(command, include_extras=True)
    named = {p.name for p in own}
    shared = [p for p in signature(Typed).parameters.values() if p.name not in named]
    # what a command is about stands before what all of them take
    listed = [
        Parameter(p.name, Parameter.KEYWORD_ONLY, default=p.default, annotation=hints[p.name])
        for p in (*shared[:2], *own, *shared[2:])
    ]

    @wraps(command)
    def run(**given: Any) -> None:
        typed = Typed(**{p.name: given.pop(p.name) for p in shared})
        command(typed, **given)

    run.__signature__ = Signature(listed)  # type: ignore[attr-defined]  # read by the parser
    run.__annotations__ = {p.name: p.annotation for p in listed}
    return run


def tell(as_json: bool, svg: Path | None, view: Any, *asked: Any) -> None:
    """Print what was ``asked``, worked out, as text or JSON, and write its drawing.

    The module ``view`` makes each, and only when it is needed.
    """
    from diagnose.cli.fuel.page import clean

    if svg is not None:
        write(svg, view.draw(*asked), "--svg")
    if as_json:
        print_json(clean(view.as_object(*asked)))
        return
    typer.echo(view.text(*asked))
    if svg is not None:
        typer.echo(f"drawing written to {svg}", err=True)


def minutes_of(text: str) -> float:
    """Return a time in minutes, within what the model is run for."""
    from diagnose.cli.fuel.understood import figure
    from diagnose.fuel.asked.runs import DAY

    minutes = figure("--for", text, "time").value_si / 60.0
    if not 1.0 <= minutes <= DAY:
        raise UsageError(f"--for '{text}' is not within 1 to {DAY:g} min.")
    return minutes
