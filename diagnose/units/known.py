"""Every unit known here, its spellings, and what fixes its factor.

Exact factors come from their definitions, named beside each unit; the collection of them is NIST
Special Publication 811 (2008), appendix B.
"""

from __future__ import annotations

import difflib
import math
import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from diagnose.errors import UsageError

INCH: Final = 0.0254  # [m] exact, international yard and pound agreement of 1959
FOOT: Final = 0.3048  # [m] exact, same agreement
POUND: Final = 0.45359237  # [kg] exact, same agreement
GRAVITY: Final = 9.80665  # [m/s2] exact, 3rd CGPM (1901), standard acceleration of free fall
IMPERIAL_GALLON: Final = 4.54609e-3  # [m3] exact, UK Units of Measurement Regulations 1995
US_GALLON: Final = 231 * INCH**3  # [m3] exact, 231 cubic inches, NIST Handbook 44 appendix C
MERCURY: Final = 13_595.1  # [kg/m3] conventional mercury, NIST SP 811 appendix B
POUND_FORCE: Final = POUND * GRAVITY  # [N] exact, from the two above

_DIMENSIONS: Final = {
    "length": ("m", "9.5 mm"),
    "area": ("m2", "20 mm2"),
    "volume": ("m3", "20 l or 4 imp gal or 5 US gal"),
    "mass": ("kg", "12 kg"),
    "time": ("s", "2 min"),
    "temperature": ("K", "15 degC"),
    "temperature-difference": ("K", "10 K"),
    "pressure": ("Pa", "12 psi"),
    "absolute-pressure": ("Pa abs", "14.7 psia"),
    "flow": ("m3/s", "60 l/h or 13 imp gal/h or 16 US gal/h"),
    "mass-flow": ("kg/s", "95 lb/h"),
    "density": ("kg/m3", "720 kg/m3"),
    "rotation": ("rad/s", "2300 rpm"),
    "speed": ("m/s", "90 kn"),
    "power": ("W", "150 hp"),
    "voltage": ("V", "24 V"),
    "current": ("A", "5 A"),
    "resistance": ("ohm", "30 ohm"),
    "capacitance": ("farad", "120 pF"),
    "kinematic-viscosity": ("m2/s", "0.6 cSt"),
    "angle": ("rad", "10 deg"),
    "fraction": ("fraction", "75 %"),
    "number": ("", "0.8"),
}
SI_UNIT: Final = {name: unit for name, (unit, _) in _DIMENSIONS.items()}
"""Dimension -> its SI unit.  ``pressure`` is gauge or a difference; absolute stands apart."""
EXAMPLES: Final = {name: example for name, (_, example) in _DIMENSIONS.items()}
"""Dimension -> how to write one, for messages."""


class UnitError(UsageError):
    """A figure that cannot be read as typed; the message says what to write instead."""


@dataclass(frozen=True)
class Unit:
    """SI value = (figure + ``offset``) * ``factor``; ``definition`` says what fixes the factor."""

    name: str
    dimension: str
    factor: float
    offset: float = 0.0
    definition: str = "SI"


_EXACT: dict[str, Unit] = {}  # spelling without spaces and full stops -> unit
_FOLDED: dict[str, Unit | None] = {}  # the same in lower case; None where two units would meet
_GALLONS: set[str] = set()  # spellings that do not say which gallon, pint or quart


def _squeeze(text: str) -> str:
    """Bring a unit's spelling to one form: no spaces or full stops, plain digits, '/' for per."""
    text = unicodedata.normalize("NFKC", text).strip()
    text = re.sub(r"\s+per\s+|\s*/\s*|\s+an?\s+(?=h|min|s)", "/", text, flags=re.IGNORECASE)
    text = text.replace("^", "").replace("º", "deg").replace("°", "deg").replace("μ", "u")
    return re.sub(r"[\s.·]", "", text)


def _add(unit: Unit, spellings: Iterable[str] = (), *, case: bool = False) -> None:
    """Register ``unit``; ``case`` keeps it out of the case-tolerant table."""
    for spelling in (unit.name, *spellings):
        key = _squeeze(spelling)
        if _EXACT.get(key, unit) != unit:
            raise ValueError(f"unit spelling '{spelling}' is taken twice")
        _EXACT[key] = unit
        if not case:
            low = key.casefold()
            known = _FOLDED.get(low, unit)
            _FOLDED[low] = unit if known == unit else None


_Scaled = tuple[tuple[str, float, tuple[str, ...], str], ...]
"""Name, factor to SI, other spellings, definition."""

_UK_GALLONS: Final = (
    *("imperial gal", "imperial gallon", "imperial gallons", "imp gallon", "imp gallons"),
    *("imp gals", "UK gal", "UK gallon", "UK gallons", "gal imp", "gal UK"),
)
_VOLUMES: Final[_Scaled] = (
    ("m3", 1.0, ("cubic metre", "cubic metres"), "SI"),
    ("l", 1e-3, ("litre", "litres", "liter", "liters", "ltr", "dm3"), "SI brochure, table 8"),
    ("ml", 1e-6, ("cc", "cm3", "millilitre", "millilitres"), "SI brochure, table 8"),
    ("imp gal", IMPERIAL_GALLON, _UK_GALLONS, "UK Units of Measurement Regulations 1995"),
    (
        "US gal",
        US_GALLON,
        ("US gallon", "US gallons", "US gals", "gal US", "USG"),
        "NIST Handbook 44 appendix C: 231 in3",
    ),
    ("imp pint", IMPERIAL_GALLON / 8, ("imperial pint", "imp pints", "imperial pints"), "gal/8"),
    ("imp qt", IMPERIAL_GALLON / 4, ("imperial quart", "imp quart", "imp quarts"), "gal/4"),
    ("US pint", US_GALLON / 8, ("US pints",), "gal/8"),
    ("US qt", US_GALLON / 4, ("US quart", "US quarts"), "gal/4"),
)
_TIMES: Final[_Scaled] = (
    ("s", 1.0, ("sec", "second", "seconds"), "SI"),
    ("min", 60.0, ("mins", "minute", "minutes"), "SI brochure, table 8"),
    ("h", 3600.0, ("hr", "hrs", "hour", "hours"), "SI brochure, table 8"),
    ("d", 86_400.0, ("day", "days"), "SI brochure, table 8"),
)
_MASSES: Final[_Scaled] = (
    ("kg", 1.0, ("kilogram", "kilograms"), "SI"),
    ("g", 1e-3, ("gram", "grams"), "SI"),
    ("lb", POUND, ("lbs", "pound", "pounds"), "yard and pound agreement 1959"),
)
_PRESSURES: Final[_Scaled] = (
    ("Pa", 1.0, ("pascal",), "SI"),
    ("kPa", 1e3, (), "SI"),
    ("mbar", 100.0, ("millibar", "hPa"), "SI brochure, bar = 100 kPa"),
    ("bar", 1e5, ("bars",), "SI brochure, bar = 100 kPa"),
    ("psi", POUND_FORCE / INCH**2, ("lbf/in2", "lb/in2", "lb/sq in"), "lbf over in2"),
    ("atm", 101_325.0, (), "10th CGPM (1954)"),
    ("inHg", MERCURY * GRAVITY * INCH, ("in Hg", "inches Hg"), "conventional mercury column"),
    ("mmHg", MERCURY * GRAVITY * 1e-3, ("mm Hg",), "conventional mercury column"),
    ("inH2O", 1_000.0 * GRAVITY * INCH, ("in H2O", "in water"), "conventional water column"),
)
_SHORT_FLOWS: Final = (
    ("imp gal/h", ("imp gph", "igph", "UK gph")),
    ("US gal/h", ("US gph",)),
    ("l/h", ("lph",)),
    ("l/min", ("lpm",)),
    ("lb/h", ("pph",)),
)


def _register() -> None:
    """Fill the tables once, at import; a spelling used for two units is an error here."""
    plain = ((_VOLUMES, "volume"), (_TIMES, "time"), (_MASSES, "mass"))
    for table, dimension in plain:
        for name, factor, spellings, definition in table:
            _add(Unit(name, dimension, factor, definition=definition), spellings)
    for table, dimension in ((_VOLUMES, "flow"), (_MASSES, "mass-flow")):
        for name, factor, spellings, definition in table:
            for per, seconds, pers, _ in _TIMES:
                names = [f"{a}/{t}" for a in (name, *spellings) for t in (per, *pers)]
                unit = Unit(f"{name}/{per}", dimension, factor / seconds, definition=definition)
                _add(unit, names)
    for name, others in _SHORT_FLOWS:
        _add(_EXACT[_squeeze(name)], others)
    for name, factor, spellings, definition in _PRESSURES:
        names = [name, *spellings]
        gauge = [f"{n} {w}" for n in names for w in ("gauge", "g")]
        _add(Unit(name, "pressure", factor, definition=definition), names + gauge)
        absolute = [f"{n} {w}" for n in names for w in ("abs", "absolute")]
        unit = Unit(f"{name} abs", "absolute-pressure", factor, definition=definition)
        _add(unit, [*absolute, f"{name}a"])
    _add(Unit("MPa", "pressure", 1e6), case=True)  # 'mPa' must not be read as MPa
    for table_of, case in ((_OTHERS, False), (_CASED, True)):
        for name, dimension, factor, offset, spellings, definition in table_of:
            _add(Unit(name, dimension, factor, offset, definition), spellings, case=case)
    for word in ("gal", "gals", "gallon", "gallons", "pint", "pints", "qt", "quart", "quarts"):
        _GALLONS.update({word, *(f"{word}/{t}" for n, _, ts, _ in _TIMES for t in (n, *ts))})
    _GALLONS.update({"gph", "gpm"})


_Shifted = tuple[tuple[str, str, float, float, tuple[str, ...], str], ...]
"""Name, dimension, factor to SI, offset, other spellings, definition."""

_HP: Final = 550 * FOOT * POUND_FORCE  # [W] 550 foot pounds-force a second
_OTHERS: Final[_Shifted] = (
    ("mm", "length", 1e-3, 0.0, ("millimetre", "millimetres"), "SI"),
    ("cm", "length", 1e-2, 0.0, ("centimetre", "centimetres"), "SI"),
    ("km", "length", 1e3, 0.0, (), "SI"),
    ("in", "length", INCH, 0.0, ("inch", "inches", '"'), "yard and pound agreement 1959"),
    ("ft", "length", FOOT, 0.0, ("foot", "feet"), "yard and pound agreement 1959"),
    ("mm2", "area", 1e-6, 0.0, ("sq mm",), "SI"),
    ("cm2", "area", 1e-4, 0.0, ("sq cm",), "SI"),
    ("m2", "area", 1.0, 0.0, ("sq m",), "SI"),
    ("in2", "area", INCH**2, 0.0, ("sq in",), "yard and pound agreement 1959"),
    ("ft2", "area", FOOT**2, 0.0, ("sq ft",), "yard and pound agreement 1959"),
    ("kg/m3", "density", 1.0, 0.0, (), "SI"),
    ("kg/l", "density", 1e3, 0.0, ("g/ml", "g/cm3", "kg/dm3"), "SI"),
    ("lb/imp gal", "density", POUND / IMPERIAL_GALLON, 0.0, (), "lb over imp gal"),
    ("lb/US gal", "density", POUND / US_GALLON, 0.0, (), "lb over US gal"),
    ("degC", "temperature", 1.0, 273.15, ("deg C", "celsius"), "SI brochure, 2.3.1"),
    ("degF", "temperature", 5 / 9, 459.67, ("deg F", "fahrenheit"), "NIST SP 811, B.8"),
    ("rpm", "rotation", 2 * math.pi / 60, 0.0, ("rev/min", "r/min"), "2 pi rad a minute"),
    ("rad/s", "rotation", 1.0, 0.0, (), "SI"),
    ("m/s", "speed", 1.0, 0.0, (), "SI"),
    ("km/h", "speed", 1 / 3.6, 0.0, (), "SI"),
    ("kn", "speed", 1852 / 3600, 0.0, ("kt", "kts", "knot", "knots"), "nautical mile 1852 m"),
    ("mph", "speed", 5280 * FOOT / 3600, 0.0, (), "statute mile 5280 ft"),
    ("ft/min", "speed", FOOT / 60, 0.0, ("fpm",), "yard and pound agreement 1959"),
    ("kW", "power", 1e3, 0.0, (), "SI"),
    ("hp", "power", _HP, 0.0, ("bhp", "shp"), "550 ft lbf/s"),
    ("PS", "power", 75 * GRAVITY, 0.0, ("metric hp",), "75 kgf m/s"),
    ("ohm", "resistance", 1.0, 0.0, ("ohms", "Ω"), "SI"),
    ("kohm", "resistance", 1e3, 0.0, ("kΩ", "kilohm"), "SI"),
    ("V", "voltage", 1.0, 0.0, ("volt", "volts"), "SI"),
    ("amp", "current", 1.0, 0.0, ("amps", "ampere", "amperes"), "SI"),
    ("cSt", "kinematic-viscosity", 1e-6, 0.0, ("mm2/s",), "SI, 1 cSt = 1 mm2/s"),
    ("m2/s", "kinematic-viscosity", 1.0, 0.0, (), "SI"),
    ("deg", "angle", math.pi / 180, 0.0, ("degree", "degrees"), "SI brochure, table 8"),
    ("rad", "angle", 1.0, 0.0, (), "SI"),
    ("%", "fraction", 0.01, 0.0, ("percent", "per cent", "pct"), "one in a hundred"),
    ("fraction", "fraction", 1.0, 0.0, (), "one"),
)
_CASED: Final[_Shifted] = (
    ("m", "length", 1.0, 0.0, ("metre", "metres"), "SI"),
    ("K", "temperature", 1.0, 0.0, ("kelvin",), "SI"),
    ("C", "temperature", 1.0, 273.15, (), "SI brochure, 2.3.1"),
    ("F", "temperature", 5 / 9, 459.67, (), "NIST SP 811, B.8"),
    ("W", "power", 1.0, 0.0, ("watt", "watts"), "SI"),
    ("Mohm", "resistance", 1e6, 0.0, ("MΩ", "megohm", "megohms"), "SI"),
    ("mV", "voltage", 1e-3, 0.0, (), "SI"),
    ("A", "current", 1.0, 0.0, (), "SI"),
    ("mA", "current", 1e-3, 0.0, (), "SI"),
    ("pF", "capacitance", 1e-12, 0.0, (), "SI"),
    ("nF", "capacitance", 1e-9, 0.0, (), "SI"),
    ("farad", "capacitance", 1.0, 0.0, (), "SI"),
)
_register()


def find_unit(spelling: str, dimension: str | None = None) -> Unit:
    """Return the unit spelled ``spelling``; a message offers units of ``dimension`` alone.

    Raises:
        UnitError: If it is a bare gallon (pint, quart), or no unit known here.
    """
    key = _squeeze(spelling)
    unit = _EXACT.get(key) or _FOLDED.get(key.casefold())
    if unit is not None:
        return unit
    if key.casefold() in _GALLONS:
        raise UnitError(
            f"'{spelling.strip()}' does not say which gallon: write 'imp' (imperial, 4.546 l) "
            "or 'US' (3.785 l) before it"
        )
    fitting = [k for k, u in _EXACT.items() if dimension in (None, u.dimension)]
    near = [k for k in fitting if k.casefold() == key.casefold()]  # only the case is wrong
    if not near and 2 < len(key) <= 30:
        near = difflib.get_close_matches(key, fitting, n=1)
    hint = f"; write for instance '{EXAMPLES[dimension]}'" if dimension else ""
    hint = f"; did you mean '{_EXACT[near[0]].name}'?" if near else hint
    raise UnitError(f"'{spelling.strip()[:40]}' is not a known unit{hint}")
