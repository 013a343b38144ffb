"""Losses of pipes and fittings as one smooth law, tabled once for each run of parts in series.

A run is a chain of pieces with no branch between them.  Its flow under a pressure difference
depends on one dimensionless number, so the exact law is inverted once and looked up after that.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.fuel.properties import PSI, Array, Number

ROUGHNESS = 1.5e-6
"""Roughness of new drawn brass and copper tube [m]: 5e-6 ft, R. C. Binder, Fluid Mechanics (1973),
as tabled by a public engineering reference; Idelchik's handbook (table 2-5) gives 2.5e-6 m."""
SOFTENING = 30.0
"""Pressure [Pa] (4 mm of fuel) below which square-root laws bend into a straight line."""
REFERENCE_DENSITY = 720.0
"""Density [kg/m3] at which a strainer's flow factor is stated."""

_LOW, _HIGH, _POINTS = np.log(1e3), np.log(1e16), 600
_LEAST_LOSS = 0.05
_STEP = (_HIGH - _LOW) / (_POINTS - 1)


def churchill(reynolds: Number, relative_roughness: Number) -> Array:
    """Return the Darcy friction factor [-], smooth through laminar, transition and turbulent.

    Source: S. W. Churchill, Chemical Engineering 84 (1977) 91-92.  Fuel lines live at Reynolds
    numbers of 3 000 to 15 000, so a law with a jump at transition would not solve.
    """
    re = np.maximum(np.asarray(reynolds, dtype=float), 1e-9)
    rough = (2.457 * np.log(1.0 / ((7.0 / re) ** 0.9 + 0.27 * relative_roughness))) ** 16
    smooth = (37530.0 / re) ** 16
    return np.asarray(8.0 * ((8.0 / re) ** 12 + (rough + smooth) ** -1.5) ** (1.0 / 12.0))


def blockage_loss(part: Number) -> Array:
    """Return the K a blockage adds, on the full bore, when ``part`` of the area is left open.

    Borda-Carnot expansion behind a sharp contraction, with Weisbach's contraction coefficient
    0.63 + 0.37 a^3 (hydraulics handbooks).  Nothing is added when all of it is open.
    """
    left = np.clip(part, 1e-8, 1.0)
    waist = (0.63 + 0.37 * left**3) * left
    return np.asarray((1.0 / waist - 1.0) ** 2)


@dataclass(frozen=True)
class Piece:
    """One pipe, fitting, cock passage or filter element of a run.

    ``mesh`` pieces lose area as many small holes do: their own loss grows as 1/open^2.  Others
    are one hole, blocked by one lump.
    """

    part: str
    bore: float  # [m]
    length: float = 0.0  # [m]
    loss: float = 0.0  # K on the bore [-]
    mesh: bool = False

    @property
    def area(self) -> float:
        """Cross-section [m2]."""
        return 0.25 * np.pi * self.bore**2

    def added_loss(self, part_open: float) -> float:
        """Return the loss added [1/m4, K over area squared] with ``part_open`` of the area left."""
        part_open = min(max(part_open, 1e-6), 1.0)
        mesh = self.loss * (part_open**-2 - 1.0)
        return float((mesh if self.mesh else blockage_loss(part_open)) / self.area**2)


def mesh_loss(flow_factor: float, bore: float) -> float:
    """Return the K of an element that passes ``flow_factor`` [m3/s] at 1 psi of 720 kg/m3 fuel."""
    area = 0.25 * np.pi * bore**2
    return float(2.0 * PSI / REFERENCE_DENSITY * (area / flow_factor) ** 2)


@dataclass(frozen=True)
class RunTables:
    """Inverted laws of E runs: ln Re against ln G as cubics on one grid.

    G = 2 dp D^2 / (rho nu^2) and Re refer to the bore D of each run's narrowest piece.
    """

    bore: Array  # (E,) [m]
    cubics: Array  # (E * points, 4) coefficients from each point to the next

    def flow(
        self, drop: Array, extra: Array, density: Array, viscosity: Array,
        soft: Array | float = SOFTENING,
    ) -> tuple[Array, Array]:  # fmt: skip
        """Return flow [m3/s] and its derivative [m3/s/Pa] for each drop (B, E) [Pa], odd in drop.

        ``extra`` (B, E) [1/m4] is loss added in series (K over area squared); both losses go as
        flow squared, so the flows add as 1/q^2.  ``density`` and ``viscosity`` are (B, 1).
        """
        size = np.sqrt(drop * drop + soft * soft)
        group = np.log(size) + np.log(2.0 * self.bore**2) - np.log(density * viscosity**2)
        at = np.clip((group - _LOW) / _STEP, 0.0, _POINTS - 1.000001)
        cell = at.astype(np.intp)
        t = at - cell
        c0, c1, c2, c3 = np.moveaxis(
            self.cubics.take(cell + np.arange(self.bore.size) * _POINTS, axis=0), -1, 0
        )
        log_re = c0 + t * (c1 + t * (c2 + t * c3))
        exponent = (c1 + t * (2.0 * c2 + 3.0 * c3 * t)) / _STEP
        full = np.exp(log_re) * (0.25 * np.pi * viscosity * self.bore)
        ratio = 0.5 * density * extra * full * full / size
        full = full / np.sqrt(1.0 + ratio)
        exponent = exponent - ratio / (1.0 + ratio) * (exponent - 0.5)
        share = drop / size
        return full * share, full / size * (1.0 - share * share * (1.0 - exponent))


def _group(log_re: Array, bore: float, pieces: Sequence[Piece]) -> Array:
    """Return G for the Reynolds numbers exp(``log_re``) of the narrowest bore."""
    re = np.exp(log_re)
    total = np.zeros_like(re)
    for piece in pieces:
        ratio = bore / piece.bore
        friction = churchill(re * ratio, ROUGHNESS / piece.bore) * piece.length / piece.bore
        total += re**2 * ratio**4 * (friction + piece.loss)
    return total


def table_runs(runs: Sequence[Sequence[Piece]]) -> RunTables:
    """Invert the law of each run; a run with next to no loss is given K = 0.05."""
    bores, values, slopes = [], [], []
    grid = np.linspace(_LOW, _HIGH, _POINTS)
    cache: dict[tuple[tuple[float, float, float], ...], tuple[Array, Array]] = {}
    for pieces in runs:
        bore = min(piece.bore for piece in pieces)
        used = list(pieces)
        if sum(0.02 * piece.length / piece.bore + piece.loss for piece in used) < _LEAST_LOSS:
            used.append(Piece("", bore, loss=_LEAST_LOSS))
        key = tuple((p.bore, p.length, p.loss) for p in used)
        if key not in cache:
            fine = np.linspace(np.log(1e-6), np.log(1e9), 3000)
            log_re = np.interp(grid, np.log(_group(fine, bore, used)), fine)
            for _ in range(4):  # Newton from the interpolated guess, to rounding
                g0 = np.log(_group(log_re, bore, used))
                g1 = np.log(_group(log_re + 1e-6, bore, used))
                rate = (g1 - g0) / 1e-6
                log_re = log_re - (g0 - grid) / rate
            cache[key] = (log_re, 1.0 / rate)
        bores.append(bore)
        values.append(cache[key][0])
        slopes.append(cache[key][1])
    return RunTables(bore=np.asarray(bores), cubics=_cubics(values, slopes))


def _cubics(values: Sequence[Array], slopes: Sequence[Array]) -> Array:
    """Return cubics through all points with the exact slopes: smooth to the first derivative."""
    y0 = np.asarray(values).reshape(-1, _POINTS)
    m0 = np.asarray(slopes).reshape(-1, _POINTS) * _STEP
    y1, m1 = (np.concatenate([a[:, 1:], a[:, -1:]], axis=1) for a in (y0, m0))
    rise = y1 - y0
    return np.stack([y0, m0, 3.0 * rise - 2.0 * m0 - m1, m0 + m1 - 2.0 * rise], -1).reshape(-1, 4)
