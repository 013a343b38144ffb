"""The atmosphere and the fuel as functions of height, temperature and Reid vapour pressure.

All inputs and outputs are SI and may be floats or numpy arrays of any one shape.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Number = float | Array

GRAVITY = 9.80665
"""Standard gravity [m/s2], exact by definition."""
PSI = 6894.757293168361
"""Pascals in one pound-force per square inch (exact pound, inch and standard gravity)."""
HOUR = 3600.0
"""Seconds in one hour."""

SEA_LEVEL_PRESSURE = 101325.0
SEA_LEVEL_TEMPERATURE = 288.15
_LAPSE = 0.0065
_EXPONENT = 5.25588
_TROPOPAUSE = 11000.0
_TROPOPAUSE_TEMPERATURE = 216.65
_AIR_GAS_CONSTANT = 287.053

DENSITY_15C = 720.0
"""Avgas at 15 C [kg/m3]: planning figure 0.72 kg/l; published copies give 0.71 to 0.721."""
EXPANSION = 1.0e-3
"""Share of density lost per kelvin: about 0.1 % (published encyclopaedia figure)."""
VISCOSITY_20C = 0.6e-6
"""Kinematic viscosity at 20 C [m2/s]: 0.5 to 0.8 mm2/s, from memory; isooctane, the greater part of
aviation gasoline, has 0.72 (0.5 mPa s in J. Chem. Eng. Data 2005, 50, 201)."""
_VISCOSITY_SLOPE = 950.0  # [K], gives 1.0 mm2/s at -20 C; from memory

AVGAS_RVP = 7.0 * PSI
"""Highest Reid vapour pressure of aviation gasoline is 49 kPa (7.1 psi), ASTM D910."""
AVGAS_SLOPE = 2.0
"""10 % distillation slope [deg F per %] of aviation gasoline in AP-42 chapter 7.1; from memory."""


def ambient_pressure(height: Number) -> Array:
    """Return ISA static pressure [Pa] at ``height`` [m] up to 20 km.

    Source: ISO 2533 / ICAO standard atmosphere, two layers.
    """
    h = np.asarray(height, dtype=float)
    low = SEA_LEVEL_PRESSURE * (1.0 - _LAPSE * np.minimum(h, _TROPOPAUSE) / 288.15) ** _EXPONENT
    above = np.maximum(h - _TROPOPAUSE, 0.0)
    thinner = np.exp(-GRAVITY * above / (_AIR_GAS_CONSTANT * _TROPOPAUSE_TEMPERATURE))
    return np.asarray(low * thinner)


def ambient_temperature(height: Number) -> Array:
    """Return ISA temperature [K] at ``height`` [m] up to 20 km (same source)."""
    h = np.minimum(np.asarray(height, dtype=float), _TROPOPAUSE)
    return np.asarray(SEA_LEVEL_TEMPERATURE - _LAPSE * h)


def air_density(pressure: Number, temperature: Number) -> Array:
    """Return density of dry air [kg/m3] as a perfect gas."""
    t = np.asarray(temperature, dtype=float)
    return np.asarray(np.asarray(pressure, dtype=float) / (_AIR_GAS_CONSTANT * t))


def density(temperature: Number, density_15c: Number = DENSITY_15C) -> Array:
    """Return fuel density [kg/m3] at ``temperature`` [K]; linear, good from -40 to 60 C."""
    t = np.asarray(temperature, dtype=float)
    return np.asarray(density_15c * (1.0 - EXPANSION * (t - SEA_LEVEL_TEMPERATURE)))


def viscosity(temperature: Number) -> Array:
    """Return kinematic viscosity [m2/s] at ``temperature`` [K] (Andrade form, from memory)."""
    t = np.asarray(temperature, dtype=float)
    return np.asarray(VISCOSITY_20C * np.exp(_VISCOSITY_SLOPE * (1.0 / t - 1.0 / 293.15)))


def vapour_pressure(temperature: Number, rvp: Number, slope: Number = AVGAS_SLOPE) -> Array:
    """Return true vapour pressure [Pa] at ``temperature`` [K] of fuel with Reid pressure ``rvp``.

    ``rvp`` is in pascals; ``slope`` is that of the distillation curve at its 10 % point [deg F
    per % evaporated].
    Source: AP-42 chapter 7.1, refined petroleum stocks, P = exp(A - B/T) with T in deg Rankine
    and pressures in psi.  The constants were found alike in public codes that cite the chapter and
    give three rows of its table 7.1-2 to the last figure printed there.
    Valid for: RVP 2 to 20 psi, -20 to 60 C.
    """
    rankine = 1.8 * np.asarray(temperature, dtype=float)
    ln_rvp = np.log(np.asarray(rvp, dtype=float) / PSI)
    root = np.sqrt(np.asarray(slope, dtype=float))
    a = 15.64 - 1.854 * root - (0.8742 - 0.3280 * root) * ln_rvp
    b = 8742.0 - 1042.0 * root - (1049.0 - 179.4 * root) * ln_rvp
    return np.asarray(PSI * np.exp(a - b / rankine))


def boiling_height(temperature: float, rvp: float) -> float:
    """Return the height [m] at which fuel boils at the surface of a vented tank, 20 km at most."""
    low, high = -1000.0, 20000.0
    floor = float(vapour_pressure(temperature, rvp))
    if float(ambient_pressure(high)) > floor:
        return high
    for _ in range(60):  # halving: the pressure falls steadily with height
        middle = 0.5 * (low + high)
        low, high = (middle, high) if float(ambient_pressure(middle)) > floor else (low, middle)
    return 0.5 * (low + high)


def vapour_margin(pressure: Number, temperature: Number, rvp: Number) -> Array:
    """Return absolute ``pressure`` less the vapour pressure [Pa]: what is left before it boils.

    Weathering and evaporative cooling raise the true margin, so this is on the safe side.
    """
    return np.asarray(np.asarray(pressure, dtype=float) - vapour_pressure(temperature, rvp))


MARGIN_BANDS = (0.0, 2.0 * PSI, 5.0 * PSI)
"""Lock below the first, vapour forming up to the second, watch up to the third, good above.

The 5 psi figure is a published inlet minimum of another pump type; the rest common practice,
no source.
"""


def margin_word(margin: float) -> str:
    """Return 'lock', 'forming', 'watch' or 'good' for a vapour ``margin`` [Pa]."""
    words = ("lock", "forming", "watch", "good")
    return words[sum(margin >= edge for edge in MARGIN_BANDS)]


def ram_pressure(speed: Number, height: Number = 0.0) -> Array:
    """Return dynamic pressure [Pa] of an airflow at ``speed`` [m/s]: what a vent can be given."""
    rho = air_density(ambient_pressure(height), ambient_temperature(height))
    return np.asarray(0.5 * rho * np.asarray(speed, dtype=float) ** 2)


def fuel_head(pressure: Number, temperature: Number) -> Array:
    """Return the height [m] of a column of fuel at ``temperature`` [K] that ``pressure`` holds."""
    weight = density(temperature) * GRAVITY
    return np.asarray(np.asarray(pressure, dtype=float) / weight)


def lifting_speed(rise: Number, temperature: Number, height: Number) -> Array:
    """Return the airspeed [m/s] whose dynamic pressure, as suction, lifts fuel by ``rise`` [m].

    The reverse of ``fuel_head(ram_pressure(speed, height), temperature)``.
    """
    rho = air_density(ambient_pressure(height), ambient_temperature(height))
    weight = density(temperature) * GRAVITY
    return np.asarray(np.sqrt(2.0 * weight * np.asarray(rise, dtype=float) / rho))
