"""Units: what people type becomes SI and back, and what is ambiguous is refused."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose import units
from diagnose.units import SI_UNIT, UnitError, find_unit, known, parse, show, to

UNITS = sorted({unit.name for unit in known._EXACT.values()})


@pytest.mark.parametrize(
    ("typed", "value", "dimension"),
    [
        ("4 imp gal", 4 * 4.54609e-3, "volume"),
        ("4impgal", 4 * 4.54609e-3, "volume"),
        ("4 UK gallons", 4 * 4.54609e-3, "volume"),
        ("18 US gal", 18 * 3.785411784e-3, "volume"),
        ("18 U.S. gal.", 18 * 3.785411784e-3, "volume"),
        ("20 l", 0.02, "volume"),
        ("9.5 mm", 0.0095, "length"),
        ("3/8 in", 0.375 * 0.0254, "length"),
        ("1 1/2 in", 1.5 * 0.0254, "length"),
        ("2 000 ft", 2000 * 0.3048, "length"),
        ("12 PSI", 12 * 6894.757293168361, "pressure"),
        ("12 psig", 12 * 6894.757293168361, "pressure"),
        ("80 kPa", 80e3, "pressure"),
        ("1.2 bar", 1.2e5, "pressure"),
        ("14.7 psia", 14.7 * 6894.757293168361, "absolute-pressure"),
        ("15 degC", 288.15, "temperature"),
        ("-40 °F", 233.15, "temperature"),
        ("59 F", 288.15, "temperature"),
        ("720 kg/m3", 720.0, "density"),
        ("20 mm²", 20e-6, "area"),
        ("60 l/h", 60e-3 / 3600, "flow"),
        ("60 litres per hour", 60e-3 / 3600, "flow"),
        ("13 imp gal/h", 13 * 4.54609e-3 / 3600, "flow"),
        ("16 US gph", 16 * 3.785411784e-3 / 3600, "flow"),
        ("95 lb/h", 95 * 0.45359237 / 3600, "mass-flow"),
        ("2300 rpm", 2300 * 2 * math.pi / 60, "rotation"),
        ("150 bhp", 150 * 745.6998715822702, "power"),
        ("100 kW", 1e5, "power"),
        ("2 min", 120.0, "time"),
        ("24 V", 24.0, "voltage"),
        ("5 A", 5.0, "current"),
        ("30 Ω", 30.0, "resistance"),
        ("75 %", 0.75, "fraction"),
        (".5 m", 0.5, "length"),
        ("− 3 psi", -3 * 6894.757293168361, "pressure"),
    ],
)
def test_what_the_trade_types_becomes_si(typed: str, value: float, dimension: str) -> None:
    """Spellings, cases, fractions and spaces as people type them are all understood."""
    found = parse(typed)

    assert found.dimension == dimension
    assert found.value_si == pytest.approx(value, rel=1e-12)
    assert found.typed == typed.strip()


@pytest.mark.parametrize("typed", ["4 gal", "4 gallons", "4 Gal/h", "4 gph", "1 pint", "2 qt/min"])
def test_a_bare_gallon_is_refused_and_told_which_two_there_are(typed: str) -> None:
    """Imperial and US gallons differ by a fifth, so neither is ever assumed."""
    with pytest.raises(UnitError, match=r"imperial, 4.546 l.* or 'US'"):
        parse(typed)


@pytest.mark.parametrize(
    ("typed", "dimension", "says"),
    [
        ("12", "pressure", "has no unit: write for instance '12 psi'"),
        ("12", None, "has no unit"),
        ("12 psi", "volume", "is a pressure, not a volume: write for instance '20 l"),
        ("12 psia", "pressure", "is an absolute pressure, not a pressure"),
        ("4,5 psi", "pressure", "a decimal point, not a comma"),
        ("1,000 ft", None, "a decimal point, not a comma"),
        ("lots", "pressure", "'lots' is not a figure"),
        ("", "pressure", "is not a figure"),
        ("12 psj", None, "did you mean 'psi'"),
        ("12 torr", "pressure", "write for instance '12 psi'"),
        ("12 lnch", "length", "did you mean 'in'"),
        ("3 mpa", None, "did you mean 'MPa'"),
        ("-300 degC", None, "below absolute zero"),
        ("1/0 in", None, "divides by nothing"),
        ("1e99 m", None, "too large"),
        ("5 " + "m" * 200, None, "too long"),
        ("nan psi", None, "is not a figure"),
        ("inf psi", None, "is not a figure"),
        ("5 A", "number", "is a current, not a number"),
        ("1.5", "fraction", "has no unit: write for instance '75 %'"),
    ],
)
def test_what_cannot_be_read_is_refused_with_what_to_write(
    typed: str, dimension: str | None, says: str
) -> None:
    """One line says what is wrong and what a good figure looks like."""
    with pytest.raises(UnitError) as caught:
        parse(typed, dimension)

    assert says in str(caught.value)
    assert "\n" not in str(caught.value)


def test_megapascal_and_milliampere_keep_their_case() -> None:
    """A case slip must not change a figure a millionfold."""
    assert parse("3 MPa").value_si == 3e6
    assert parse("3 mA").value_si == 3e-3
    for typed in ("3 mPa", "3 MA", "3 M"):
        with pytest.raises(UnitError):
            parse(typed)


def test_a_temperature_difference_has_no_zero_point() -> None:
    """Ten degrees warmer is ten kelvin, in either scale's steps."""
    assert parse("10 degC", "temperature-difference").value_si == 10
    assert parse("18 degF", "temperature-difference").value_si == pytest.approx(10)


def test_a_bare_number_is_a_number_or_a_share_only_where_asked_for() -> None:
    """Loss coefficients and shares are the only figures without a unit."""
    assert parse("3", "number").value_si == 3
    assert parse("0.25", "fraction").value_si == 0.25


@pytest.mark.parametrize("name", UNITS)
def test_every_unit_belongs_to_a_known_dimension_and_names_its_definition(name: str) -> None:
    """A factor without a source is a guess."""
    unit = find_unit(name)

    assert unit.dimension in SI_UNIT
    assert unit.definition
    assert unit.factor > 0


@pytest.mark.parametrize(("dimension", "unit"), list(SI_UNIT.items()))
def test_the_si_unit_of_each_dimension_has_factor_one(dimension: str, unit: str) -> None:
    """What is stored is what SI_UNIT says is stored."""
    if unit:
        assert find_unit(unit).factor == 1.0
        assert find_unit(unit).offset == 0.0
    assert parse(units.EXAMPLES[dimension].split(" or ")[0], dimension).dimension == dimension


@given(st.sampled_from(UNITS), st.floats(-1e6, 1e6, allow_nan=False, width=32))
def test_a_figure_survives_the_round_trip_through_si(name: str, figure: float) -> None:
    """Parsing and converting back gives the figure that was typed."""
    unit = find_unit(name)
    if unit.dimension == "temperature" and figure + unit.offset < 0:
        return
    typed = f"{figure!r} {name}"

    assert to(parse(typed).value_si, name) == pytest.approx(figure, rel=1e-9, abs=1e-6)


@given(st.sampled_from(UNITS), st.floats(-1e6, 1e6, allow_nan=False, width=32))
def test_what_is_shown_can_be_typed_again(name: str, figure: float) -> None:
    """A printed figure is valid input and within its printed precision."""
    unit = find_unit(name)
    if unit.dimension == "temperature" and figure + unit.offset < 1:
        return
    si = (figure + unit.offset) * unit.factor
    again = parse(show(si, name, digits=6))

    assert again.dimension == unit.dimension
    assert to(again.value_si, name) == pytest.approx(figure, rel=1e-5, abs=1e-6)


@given(st.text(max_size=100))
def test_no_text_breaks_the_reader(text: str) -> None:
    """Whatever is typed gives a finite quantity or one UnitError."""
    try:
        found = parse(text)
    except UnitError:
        return
    assert math.isfinite(found.value_si)


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (17236.9, "psi", "2.5 psi"),
        (0.0, "psi", "0 psi"),
        (1234.6e-3, "l", "1235 l"),
        (288.15, "degC", "15 degC"),
        (-0.0001, "bar", "-1.00e-09 bar"),
        (0.02, "US gal", "5.28 US gal"),
    ],
)
def test_figures_are_shown_to_three_places(value: float, unit: str, shown: str) -> None:
    """Three significant figures, no exponent where a plain number will do."""
    assert show(value, unit) == shown


def test_a_bare_gallon_is_never_shown() -> None:
    """What may not be typed may not be printed either."""
    with pytest.raises(UnitError):
        show(0.02, "gal")


PINT = {
    "imp gal": "imperial_gallon",
    "US gal": "gallon",
    "imp pint": "imperial_pint",
    "US qt": "quart",
    "l": "liter",
    "in": "inch",
    "ft": "foot",
    "lb": "pound",
    "psi": "psi",
    "bar": "bar",
    "mbar": "millibar",
    "atm": "atm",
    "mmHg": "mmHg",
    "inHg": "inHg",
    "hp": "horsepower",
    "PS": "metric_horsepower",
    "rpm": "rpm",
    "kn": "knot",
    "mph": "mile/hour",
    "ft/min": "foot/minute",
    "imp gal/h": "imperial_gallon/hour",
    "US gal/h": "gallon/hour",
    "lb/h": "pound/hour",
    "lb/US gal": "pound/gallon",
    "cSt": "centistokes",
    "deg": "degree",
    "d": "day",
}


@pytest.mark.outside
@pytest.mark.parametrize("name", PINT)
def test_factors_agree_with_pint(name: str) -> None:
    """Outside check: the unit registry of the pint library, to one part in a million."""
    pint = pytest.importorskip("pint")
    theirs = pint.UnitRegistry().Quantity(1.0, PINT[name]).to_base_units().magnitude

    assert find_unit(name).factor == pytest.approx(theirs, rel=1e-6)


@pytest.mark.outside
def test_fahrenheit_agrees_with_pint() -> None:
    """Outside check: the pint library's offset units."""
    pint = pytest.importorskip("pint")
    theirs = pint.UnitRegistry().Quantity(71.0, "degF").to("kelvin").magnitude

    assert parse("71 degF").value_si == pytest.approx(theirs, rel=1e-9)
