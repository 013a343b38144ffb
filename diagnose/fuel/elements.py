"""Flow laws of the elements: each gives a flow and its derivatives by the two end pressures.

All are vectorised over (B, E): batch rows by elements of one kind.  All are smooth, rise with the
upstream pressure and fall with the downstream one, so the network has one solution.  Flow is
positive from the first node to the second, in m3/s; pressures are absolute, in Pa.
"""

from __future__ import annotations

import numpy as np

from diagnose.fuel.friction import SOFTENING
from diagnose.fuel.properties import PSI, Array

Law = tuple[Array, Array, Array]
"""Flow, d flow / d first pressure, d flow / d second pressure."""

FILL_WIDTH = 1.5 * PSI
"""Width of the band above vapour pressure in which a pump loses its fill [Pa]."""
DISCHARGE = 0.62
"""Discharge coefficient of a sharp-edged hole (hydraulics handbooks)."""
CREEP = 1e-4 * 3.785411784e-3 / 3600.0 / PSI
"""Leak of a shut cock, 1e-4 US gal/h/psi [m3/s/Pa]: too small to see, keeps every node tied."""
WEEP = 10.0 * CREEP
"""Leak past a shut metering needle: more than creeps in past a shut reducing valve, which can
then hold its pressure against a stopped engine."""


def over(x: Array, band: Array | float) -> tuple[Array, Array]:
    """Return a positive part that starts flat, x (1 - exp(-x/band)) for x > 0, and its slope.

    It is zero and flat at zero, so a valve built on it neither leaks back nor has a corner, and
    it is x itself well above ``band``.
    """
    p = np.maximum(x, 0.0)
    fade = np.exp(-p / band)
    return p * (1.0 - fade), 1.0 - fade + p / band * fade


def root_over(x: Array, band: Array | float) -> tuple[Array, Array]:
    """Return the square root of a positive part with the same flat start, and its slope."""
    p = np.maximum(x, 0.0)
    root, fade = np.sqrt(p), np.exp(-p / band)
    half = 0.5 * (1.0 - fade) / np.where(root > 0.0, root, 1.0)
    return root * (1.0 - fade), half + root / band * fade


def fill(pressure: Array, vapour: Array) -> tuple[Array, Array]:
    """Return how full a pump's chambers get, 0 to 1, and the derivative by its inlet pressure.

    Near vapour pressure the pump starves smoothly, from a full width above it to half a width
    below; this is the vapour lock of the model and what keeps pressures from falling further.
    """
    t = np.clip((pressure - vapour + 0.5 * FILL_WIDTH) / (1.5 * FILL_WIDTH), 0.0, 1.0)
    return t * t * (3.0 - 2.0 * t), 6.0 * t * (1.0 - t) / (1.5 * FILL_WIDTH)


def orifice(
    drop: Array, area: Array, density: Array, soft: Array | float = SOFTENING
) -> tuple[Array, Array]:
    """Return flow through a sharp-edged hole of ``area`` [m2], odd in ``drop``, and its slope."""
    size2 = drop * drop + soft * soft
    factor = DISCHARGE * area * np.sqrt(2.0 / density) * size2**-0.25
    return factor * drop, factor * (1.0 - 0.5 * drop * drop / size2)


def one_way(
    drop: Array, cracking: Array | float, reverse: Array, soft: Array | float
) -> tuple[Array, Array]:
    """Return the drop that drives a run with a non-return valve in it, and its derivative.

    ``reverse`` is 1 for a plain pipe (or a flap stuck open), 0 for a sound valve.
    """
    push, d_push = over(drop - cracking, 2.0 * soft)
    return push + reverse * (drop - push), d_push + reverse * (1.0 - d_push)


def outward(drop: Array, area: Array, density: Array, soft: Array | float) -> tuple[Array, Array]:
    """Return flow through a hole that only passes outwards (``drop`` > 0), and its slope."""
    push, d_push = over(drop, soft)
    q, slope = orifice(push, area, density, soft)
    return q, slope * d_push


def air_kept(
    inlet: Array,
    ambient: Array,
    rate: Array,
    area: Array,
    hole: Array,
    share: Array,
    air_density: Array,
) -> tuple[Array, Array]:
    """Return the share of a pump's swept volume that is still liquid, and its slope by ``inlet``.

    ``area`` [m2] is a hole open to the air where the pressure is ``hole``; a joint that stands
    under the head of its tank drips and draws nothing.  ``share`` is a stated part of the suction
    lost at the inlet.  Both only act below ``ambient``, so a booster cures them.  The slope takes
    ``hole`` to move with ``inlet``, as it does but for the friction between the two.
    """
    through, d_through = over(ambient - hole, 2000.0)
    air, d_air = orifice(through, area, air_density)
    floor = np.maximum(rate, 1e-9)
    liquid = 1.0 / (1.0 + air / floor)
    d_liquid = liquid * liquid * d_air * d_through / floor  # the inlet lowers ``through``
    suck, d_suck = over(ambient - inlet, 2000.0)
    drawn = suck / (suck + 2000.0)
    d_drawn = -d_suck * 2000.0 / (suck + 2000.0) ** 2
    sound = 1.0 - share * drawn
    return liquid * sound, d_liquid * sound - liquid * share * d_drawn


def displacement_pump(
    inlet: Array,
    outlet: Array,
    vapour: Array,
    ambient: Array,
    rate: Array,
    slip: Array,
    air_area: Array,
    air_hole: Array,
    air_share: Array,
    air_density: Array,
) -> Law:
    """Return flow of a displacement pump: swept ``rate``, fill, air drawn in, slip back.

    ``slip`` [m3/s/Pa] passes back with the pressure rise; the rest as in ``air_kept``.
    """
    share, d_share = fill(inlet, vapour)
    kept, d_kept = air_kept(inlet, ambient, rate, air_area, air_hole, air_share, air_density)
    q = rate * share * kept - slip * (outlet - inlet)
    return q, rate * (d_share * kept + share * d_kept) + slip, 0.0 * q - slip


def booster_pump(
    inlet: Array, outlet: Array, vapour: Array, shutoff: Array, curve: Array, on: Array,
    soft: Array | float,
) -> Law:  # fmt: skip
    """Return flow of a centrifugal pump p = shutoff - curve q^2 that never passes back."""
    head = np.maximum(shutoff, 1.0)
    left = head - (outlet - inlet)
    root, d_root = root_over(left, 0.001 * head + soft)
    scale = on / np.sqrt(curve)
    q, slope = scale * root, scale * d_root
    share, d_share = fill(inlet, vapour)
    return q * share, slope * share + q * d_share, -slope * share


def relief_valve(
    outlet: Array, inlet: Array, ambient: Array, setting: Array, gain: Array, hole: Array,
    density: Array, soft: Array | float,
) -> Law:  # fmt: skip
    """Return flow from pump ``outlet`` back to its ``inlet`` through a balanced relief valve.

    It opens on the outlet pressure against the air, not against the pump inlet, so switching
    the booster leaves delivery alone.  ``gain`` is flow per pressure above the setting
    [m3/s/Pa]; ``hole`` [m2] is a leak or a piece of dirt on the seat.
    """
    lift, d_lift = over(outlet - ambient - setting, 0.1 * PSI + soft)
    drop = outlet - inlet
    push = np.maximum(drop, 0.0)
    # the valve passes nothing without a pressure difference, all of its flow from about 1 psi
    seat = push * push + PSI * PSI
    through, d_through = push * push / seat, 2.0 * push * PSI * PSI / (seat * seat)
    leak, d_leak = orifice(drop, hole, density, soft)
    by_drop = gain * lift * d_through + d_leak
    return gain * lift * through + leak, gain * d_lift * through + by_drop, -by_drop


REDUCING_BAND = 0.4 * PSI
"""Pressure change over which a reducing valve strokes; common practice, no source."""


def reducing_share(
    outlet: Array, ambient: Array, setting: Array, least: Array, most: Array,
    soft: Array | float,
) -> tuple[Array, Array]:  # fmt: skip
    """Return how far a reducing valve stands open for its ``outlet`` pressure, and the slope."""
    band = REDUCING_BAND + soft
    x = np.maximum(setting - (outlet - ambient), 0.0) / band
    raw = x * x / (1.0 + x * x)  # quite shut above the setting
    slope = 2.0 * x / (1.0 + x * x) ** 2 / band
    return least + (most - least) * raw, -(most - least) * slope


def metering(
    inlet: Array, ambient: Array, vapour: Array, demand: Array, capacity: Array,
    soft: Array | float,
) -> Law:  # fmt: skip
    """Return fuel burnt: the ``demand`` [m3/s], less where the inlet pressure cannot carry it.

    ``capacity`` [m3/s/sqrt(Pa)] is what the inlet could pass; the smaller of the two governs,
    with a smooth corner (sixth-power mean).
    """
    root, d_root = root_over(inlet - ambient, 2.0 * soft)
    cap, d_cap = capacity * root, capacity * d_root
    want = np.maximum(demand, 1e-12)
    r6 = np.minimum(cap / want, 1e6) ** 6
    mean = (1.0 + r6) ** (-1.0 / 6.0)
    q = cap * mean
    share, d_share = fill(inlet, vapour)
    weep = WEEP * (inlet - ambient)
    slope = d_cap * mean / (1.0 + r6) * share + q * d_share + WEEP
    return q * share + weep, slope, np.zeros_like(q)
