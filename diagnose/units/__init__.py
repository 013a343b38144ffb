"""Quantities as people type them ("4 imp gal", "12 psi", "3/8 in") to SI floats and back.

Inside the program every figure is an SI float; this package is the only door.  A bare gallon is
refused, because imperial and US gallons differ by a fifth, and so is a bare number where a unit
is needed.
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass
from typing import Final

from diagnose.grammar import a
from diagnose.units.known import EXAMPLES, GRAVITY, SI_UNIT, US_GALLON, Unit, UnitError, find_unit

__all__ = [
    "EXAMPLES", "GRAVITY", "SI_UNIT", "US_GALLON", "Quantity", "Unit", "UnitError",
    "a_dimension", "find_unit", "parse", "plain_figure", "show", "to", "unit_of",
]  # fmt: skip


@dataclass(frozen=True)
class Quantity:
    """A figure in SI with its dimension, and the words it was typed in."""

    value_si: float
    dimension: str
    typed: str


_NUMBER: Final = re.compile(
    r"\s*(?P<sign>[+-]?)\s*"
    r"(?:(?:(?P<whole>\d{1,6})\s+)?(?P<top>\d{1,6})\s*/\s*(?P<bottom>\d{1,6})"
    r"|(?P<plain>(?:\d{1,3}(?: \d{3})+|\d{1,30})(?:\.\d{0,30})?(?:[eE][+-]?\d{1,3})?"
    r"|\.\d{1,30}(?:[eE][+-]?\d{1,3})?))"
    r"(?![\d,])\s*(?P<unit>.*?)\s*"
)


def parse(text: str, dimension: str | None = None, example: str = "") -> Quantity:
    """Read a figure with its unit.

    Args:
        text: What was typed: a decimal number or a fraction ("3/8 in"), then a unit.
        dimension: The dimension it must have; None takes what the unit says.  With ``number`` no
            unit may stand; with ``fraction`` a bare number from 0 to 1 is taken as it is.
        example: How such a figure looks, for messages, where it has a dimension.

    Returns:
        The figure in SI, its dimension and ``text`` as typed.

    Raises:
        UnitError: If there is no number, no unit, a bare gallon, an unknown unit, or a unit of
            another dimension.

    >>> round(parse("4 imp gal").value_si * 1000, 2)
    18.18
    """
    typed = text.strip()
    if len(text) > 80:
        raise UnitError(f"'{typed[:40]}…' is too long to be a figure")
    match = _NUMBER.fullmatch(unicodedata.normalize("NFKC", text).replace("−", "-"))
    example = f": write for instance '{example or EXAMPLES[dimension]}'" if dimension else ""
    if match is None:
        comma = " (a decimal point, not a comma)" if "," in text else ""
        raise UnitError(f"'{typed[:40]}' is not a figure{comma}{example or ' with a unit'}")
    value = _value(match, typed)
    spelling = match["unit"]
    if not spelling:
        if dimension == "number" or (dimension == "fraction" and 0 <= value <= 1):
            return Quantity(value, dimension, typed)
        raise UnitError(f"'{typed}' has no unit{example or ': write one after it'}")
    unit = find_unit(spelling, dimension)
    offset, found = unit.offset, unit.dimension
    if dimension == "temperature-difference" and found == "temperature":
        offset, found = 0.0, "temperature-difference"  # 10 degC warmer is 10 K, not 283 K
    if dimension is not None and found != dimension:
        raise UnitError(f"'{typed}' is {a_dimension(found)}, not {a_dimension(dimension)}{example}")
    si = (value + offset) * unit.factor
    if found == "temperature" and si < 0:
        raise UnitError(f"'{typed}' is below absolute zero")
    return Quantity(si, found, typed)


def unit_of(text: str) -> str:
    """Return the name of the unit a figure was typed in ('2.5 psi' -> 'psi'), '' when none was.

    Raises:
        UnitError: If the unit is unknown or a bare gallon.
    """
    match = _NUMBER.fullmatch(text)
    unit = match["unit"] if match else ""
    return find_unit(unit).name if unit else ""


def _value(match: re.Match[str], typed: str) -> float:
    """Return the number part of a matched figure."""
    if match["plain"]:
        value = float(match["plain"].replace(" ", ""))
    elif int(match["bottom"]) == 0:
        raise UnitError(f"'{typed}' divides by nothing")
    else:
        value = int(match["whole"] or 0) + int(match["top"]) / int(match["bottom"])
    if not math.isfinite(value) or abs(value) > 1e12:
        raise UnitError(f"'{typed[:40]}' is too large to be a figure here")
    return -value if match["sign"] == "-" else value


def a_dimension(dimension: str) -> str:
    """Return the dimension's name with its article, for messages."""
    return a(dimension.replace("-", " "))


def to(value_si: float, unit: str) -> float:
    """Return ``value_si`` [SI] as a figure in ``unit``.

    Raises:
        UnitError: If the unit is unknown or a bare gallon.

    >>> round(to(101_325.0, "inHg abs"), 2)
    29.92
    """
    found = find_unit(unit)
    return value_si / found.factor - found.offset


def show(value_si: float, unit: str, digits: int = 3) -> str:
    """Return ``value_si`` [SI] written in ``unit`` to ``digits`` significant figures.

    Figures of four places or more before the point are written whole, without an exponent.

    Raises:
        UnitError: If the unit is unknown or a bare gallon.

    >>> show(17236.9, "psi")
    '2.5 psi'
    """
    return f"{plain_figure(to(value_si, unit), digits)} {find_unit(unit).name}"


def plain_figure(figure: float, digits: int) -> str:
    """Write a number to so many significant figures, plainly where it can be."""
    if not math.isfinite(figure):
        return str(figure)
    if figure == 0 or 1e-4 <= abs(figure) < 1e9:
        places = 0 if figure == 0 else max(digits - 1 - math.floor(math.log10(abs(figure))), 0)
        text = f"{figure:.{places}f}"
        text = text.rstrip("0").rstrip(".") if "." in text else text
        return "0" if text in ("-0", "") else text
    return f"{figure:.{digits - 1}e}"
