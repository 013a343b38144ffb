"""The atmosphere and the fuel against published tables and independent libraries."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.fuel import properties as fp

FOOT = 0.3048


def kelvin(fahrenheit: float) -> float:
    """Return kelvin for degrees Fahrenheit."""
    return (fahrenheit + 459.67) / 1.8


@pytest.mark.parametrize(
    ("feet", "psi"),
    [(0, 14.696), (5000, 12.228), (8000, 10.917), (10000, 10.108), (15000, 8.297),
     (18000, 7.344), (20000, 6.759), (22000, 6.213), (25000, 5.461)],
)  # fmt: skip
def test_isa_pressure_agrees_with_the_standard_table(feet: float, psi: float) -> None:
    """Values of the US Standard Atmosphere 1976 by geometric height, to 4 digits."""
    height = feet * FOOT
    geopotential = height * 6356766.0 / (6356766.0 + height)  # what a pressure height means
    assert float(fp.ambient_pressure(geopotential)) / fp.PSI == pytest.approx(psi, rel=2e-4)


def test_isa_agrees_with_the_fluids_library_up_to_15_km() -> None:
    """Pressure and temperature agree with the fluids package's ATMOSPHERE_1976."""
    fluids = pytest.importorskip("fluids")
    for height in np.linspace(0.0, 15000.0, 16):
        # the package takes geometric height, the standard's table geopotential
        there = fluids.ATMOSPHERE_1976(height * 6356766.0 / (6356766.0 - height))
        assert float(fp.ambient_pressure(height)) == pytest.approx(there.P, rel=3e-4)
        assert float(fp.ambient_temperature(height)) == pytest.approx(there.T, abs=0.02)
        rho = float(fp.air_density(there.P, there.T))
        assert rho == pytest.approx(there.rho, rel=1e-4)


TVP_TABLE = {  # AP-42 ch 7.1 form worked by an independent script, S = 2: RVP psi -> psia at F
    5.5: {60: 2.56, 80: 3.91, 100: 5.78, 110: 6.96, 120: 8.33},
    7.0: {60: 3.36, 80: 5.05, 100: 7.38, 110: 8.83, 120: 10.50},
    9.0: {60: 4.45, 80: 6.60, 100: 9.52, 110: 11.31, 120: 13.37},
}


@pytest.mark.parametrize("rvp", TVP_TABLE)
def test_vapour_pressure_agrees_with_the_worked_table(rvp: float) -> None:
    """True vapour pressure agrees within 0.02 psi with values worked from AP-42 chapter 7.1."""
    for fahrenheit, psia in TVP_TABLE[rvp].items():
        got = float(fp.vapour_pressure(kelvin(fahrenheit), rvp * fp.PSI)) / fp.PSI
        assert got == pytest.approx(psia, abs=0.02)


@given(st.floats(4.0, 15.0), st.floats(0.0, 130.0), st.floats(1.5, 4.0))
def test_vapour_pressure_agrees_with_the_second_published_form(
    rvp: float, fahrenheit: float, slope: float
) -> None:
    """The A, B form agrees within 0.5 % with the single-expression form of the same chapter."""
    t = fahrenheit + 459.67
    root, log = math.sqrt(slope), math.log10(rvp)
    other = math.exp(
        (0.7553 - 413.0 / t) * root * log - (1.854 - 1042.0 / t) * root
        + (2416.0 / t - 2.013) * log - 8742.0 / t + 15.64
    )  # fmt: skip
    got = float(fp.vapour_pressure(kelvin(fahrenheit), rvp * fp.PSI, slope)) / fp.PSI
    assert got == pytest.approx(other, rel=5e-3)


TABLE_7_1_2 = {13.0: (11.644, 5043.6, 7.0), 10.0: (11.724, 5237.3, 5.2), 7.0: (11.833, 5500.6, 3.5)}
"""AP-42 table 7.1-2, motor gasoline, S = 3: RVP psi -> A, B in deg R, psia at 60 F."""


@pytest.mark.outside
@pytest.mark.parametrize("rvp", TABLE_7_1_2)
def test_vapour_pressure_agrees_with_the_tabulated_motor_gasoline(rvp: float) -> None:
    """A, B and the pressure at 60 F are those of three rows of AP-42 table 7.1-2, as printed."""
    a, b, at_60 = TABLE_7_1_2[rvp]
    cold, warm = kelvin(60.0), kelvin(100.0)
    low, high = (float(fp.vapour_pressure(t, rvp * fp.PSI, 3.0)) / fp.PSI for t in (cold, warm))
    got_b = math.log(high / low) / (1.0 / (1.8 * cold) - 1.0 / (1.8 * warm))
    assert got_b == pytest.approx(b, abs=0.1)
    assert math.log(low) + got_b / (1.8 * cold) == pytest.approx(a, abs=1e-3)
    assert low == pytest.approx(at_60, abs=0.06)


@pytest.mark.outside
def test_viscosity_stands_beside_that_of_isooctane() -> None:
    """Isooctane has about 0.5 mPa s at 20 C (J. Chem. Eng. Data 2005, 50, 201); avgas is near."""
    isooctane = 0.5e-3 / 692.0
    assert float(fp.viscosity(293.15)) == pytest.approx(isooctane, rel=0.2)


@pytest.mark.parametrize(
    ("fahrenheit", "feet"), [(60, 35700), (80, 26800), (100, 17900), (110, 13400), (120, 9000)]
)
def test_fuel_boils_in_a_vented_tank_at_the_worked_heights(fahrenheit: float, feet: float) -> None:
    """RVP 7 fuel boils at the heights worked from AP-42 7.1 and ISA, within 250 ft."""
    height = fp.boiling_height(kelvin(fahrenheit), 7.0 * fp.PSI)
    assert height / FOOT == pytest.approx(feet, abs=250)


@pytest.mark.parametrize(
    ("rho", "feet"), [(720.0, 3.20), (690.0, 3.34), (715.0, 3.23), (740.0, 3.12)]
)
def test_one_psi_is_the_stated_head_of_fuel(rho: float, feet: float) -> None:
    """1 psi is 3.20 ft of 720 kg/m3 fuel; exact from g = 9.80665 and the definition of the psi."""
    assert fp.PSI / (rho * fp.GRAVITY) / FOOT == pytest.approx(feet, abs=0.01)


def test_warm_fuel_takes_more_than_a_two_per_cent_expansion_space_after_20_kelvin() -> None:
    """15 to 43.3 C swells fuel 2.9 %; 2 % expansion space (14 CFR 23.969) covers only 20 K."""
    cold = float(fp.density(288.15))
    assert cold / float(fp.density(288.15 + 28.3)) - 1.0 == pytest.approx(0.029, abs=5e-4)
    assert cold / float(fp.density(288.15 + 20.0)) - 1.0 == pytest.approx(0.02, abs=5e-4)
    assert float(fp.density(316.45)) == pytest.approx(699.6, abs=0.1)


@pytest.mark.parametrize(
    ("feet", "fahrenheit", "rvp", "lift", "loss", "psi"),
    [(8000, 110, 7, -2, 1, 0.47), (8000, 110, 6, -2, 1, 1.71), (10000, 80, 7, -2, 1, 3.43),
     (15000, 60, 7, -2, 1, 3.32), (20000, 110, 7, -2, 1, -3.69),
     (0, 60, 7, 3, 0.3, 11.97), (0, 110, 7, 3, 0.3, 6.49)],
)  # fmt: skip
def test_vapour_margin_agrees_with_the_worked_cases(
    feet: float, fahrenheit: float, rvp: float, lift: float, loss: float, psi: float
) -> None:
    """Margins worked by an independent script for a suction lift and a head, within 0.03 psi."""
    pressure = float(fp.ambient_pressure(feet * FOOT)) + (0.312 * lift - loss) * fp.PSI
    got = float(fp.vapour_margin(pressure, kelvin(fahrenheit), rvp * fp.PSI)) / fp.PSI
    assert got == pytest.approx(psi, abs=0.03)


def test_margin_words_change_at_the_bands() -> None:
    """The words change at 0, 2 and 5 psi (common practice, no source)."""
    words = [fp.margin_word(m * fp.PSI) for m in (-0.1, 0.1, 1.9, 2.1, 4.9, 5.1)]
    assert words == ["lock", "forming", "forming", "watch", "watch", "good"]


@given(st.floats(250.0, 330.0), st.floats(250.0, 330.0), st.floats(30e3, 100e3))
def test_vapour_pressure_rises_and_viscosity_and_density_fall_with_heat(
    one: float, two: float, rvp: float
) -> None:
    """Vapour pressure rises, viscosity and density fall with temperature."""
    cold, hot = sorted((one, two))
    assert fp.vapour_pressure(cold, rvp) <= fp.vapour_pressure(hot, rvp)
    assert fp.viscosity(cold) >= fp.viscosity(hot)
    assert fp.density(cold) >= fp.density(hot)
