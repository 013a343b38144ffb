"""Figures of the model as they are shown: cut to what is one, and '-' where there is none."""

from __future__ import annotations

import math

from diagnose.units import find_unit, show, to


def number(value: float, unit: str) -> str:
    """Return a figure without its unit, which stands in the column head; '-' where there is none.

    Below one it is cut to hundredths, a bar to thousandths: the rest of a solution is not a figure
    (a cubic metre is so large a unit that it keeps its digits).
    """
    if not math.isfinite(value):
        return "-"
    found = find_unit(unit)
    figure = to(value, unit)
    if abs(figure) < 1.0 and found.name != "m3":
        text = f"{figure:.{3 if found.factor >= 1e5 else 2}f}".rstrip("0").rstrip(".")
        return "0" if text in ("-0", "") else text
    return show(value, unit).removesuffix(f" {found.name}")


def with_unit(value: float, unit: str) -> str:
    """Return a figure with its unit; 'no figure' where there is none."""
    text = number(value, unit)
    return "no figure" if text == "-" else f"{text} {find_unit(unit).name}"


def minutes(value: float | None) -> str:
    """Return a time in minutes, hours beside it where it is long; 'not reached' for None."""
    if value is None or not math.isfinite(value):
        return "not reached"
    text = f"{value:.1f} min" if 0.0 < value < 10.0 else f"{value:.0f} min"
    return f"{text} ({value / 60:.1f} h)" if value >= 120 else text
