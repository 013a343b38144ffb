"""The standard run states in which the model is asked: a grid, and what the layout adds to it.

What a layout's own run states hold is covered by the grid of power, electric pump and warmth; its
cross-feed states are added as they stand.  The tank that feeds is no dimension of the grid: a
fault that only one tank feels is looked at while that tank feeds (``diagnose.predict.groups``).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from diagnose.fuel import Network, Settings, from_state
from diagnose.fuel import properties as fp
from diagnose.fuel.settings import selecting
from diagnose.model import DIMENSIONS, Layout, State

CAN = "can"
"""The delivery test, engine stopped: an open union above a can."""
DRAWS = 5
"""Draws of the conditions in each state, one for each severity that is solved."""

TEMPERATURE: Mapping[str, tuple[float, float]] = {"cool": (278.15, 298.15), "hot": (303.15, 313.15)}
"""Fuel in the tanks [K] (common practice, no source)."""
BAY_HEAT: Mapping[str, tuple[float, float]] = {"cool": (0.0, 3.0), "hot": (10.0, 25.0)}
"""Heat the engine bays add [K] (common practice, no source)."""
LEVEL: Mapping[str, tuple[float, float]] = {
    "full": (0.92, 0.995),
    "part": (0.35, 0.75),
    "low": (0.08, 0.16),
}
"""Contents as a share of capacity (common practice, no source)."""
RVP = (40e3, 48e3)
"""Reid vapour pressure [Pa], within the 38 to 49 kPa of ASTM D910."""
HEIGHT = (0.0, 600.0)
"""Pressure height of the aerodrome [m] (common practice, no source)."""


@dataclass(frozen=True)
class Cell:
    """One standard run state; every dimension has a value, ``tank`` is '' where as normal.

    ``parked``: the cocks are off.
    """

    power: str
    booster: str = "off"
    crossfeed: str = "shut"
    heat: str = "cool"
    attitude: str = "level"
    level: str = "part"
    tank: str = ""
    parked: bool = False

    @classmethod
    def stated(cls, power: str, known: Mapping[str, str], *, parked: bool = False) -> Cell:
        """Return the run state at ``power`` with the settings ``known``, the rest as normal."""
        dimensions = ("booster", "crossfeed", "heat", "attitude", "level", "tank")
        return cls(power, parked=parked, **{d: known[d] for d in dimensions if d in known})

    @property
    def usual(self) -> bool:
        """Say whether nothing is out of the ordinary: solved with all severities, not three."""
        out = (self.crossfeed, self.heat, self.level) == ("shut", "cool", "part")
        return out and self.power != "cranking"

    def known(self) -> dict[str, str]:
        """Return the run state as people state it."""
        out = {
            "power": "none" if self.power == CAN else self.power,
            "booster": self.booster,
            "crossfeed": self.crossfeed,
            "heat": self.heat,
            "attitude": self.attitude,
            "level": self.level,
        }
        return out | ({"tank": self.tank} if self.tank else {})


def cells_of(layout: Layout) -> tuple[Cell, ...]:
    """Return the standard run states of a layout, each once."""
    kinds = {p.kind for p in layout.parts.values()}
    boosters = ("off", "on") if kinds & {"booster-pump", "hand-pump"} else ("off",)
    cells = [
        Cell(power, booster, heat=heat)
        for heat in ("cool", "hot")
        for power in DIMENSIONS["power"]
        for booster in boosters
        if (power, heat) != ("cranking", "hot")
    ]
    cells += [Cell(CAN, booster, level=level) for booster in boosters for level in ("part", "low")]
    cells.append(Cell("none", parked=True))
    cells += [Cell(power, b, level="low") for power in ("none", "high") for b in boosters]
    cells += [Cell(power, level="full") for power in ("none", "high")]
    for state in layout.run_states:
        known = state.settings
        if known.get("crossfeed") == "open":
            power = State(state.stage, known).known().get("power", "none")
            cells.append(Cell.stated(power, known))
    return tuple(dict.fromkeys(cells))


@dataclass(frozen=True)
class Draw:
    """Conditions of one draw in one state."""

    temperature: float  # [K]
    engine_heat: float  # [K]
    level: float  # share of capacity, all tanks alike
    rvp: float  # [Pa]
    height: float  # [m]


def draws_of(cell: Cell, rng: np.random.Generator, count: int = DRAWS) -> tuple[Draw, ...]:
    """Return ``count`` draws that cover each range evenly (one from each of ``count`` bands)."""

    def spread(low: float, high: float) -> np.ndarray:
        share = (rng.permutation(count) + rng.random(count)) / count
        return np.asarray(low + (high - low) * share)

    columns = (
        spread(*TEMPERATURE[cell.heat]),
        spread(*BAY_HEAT[cell.heat]),
        spread(*LEVEL[cell.level]),
        spread(*RVP),
        spread(*HEIGHT),
    )
    return tuple(Draw(*map(float, row)) for row in zip(*columns, strict=True))


def settings_of(network: Network, cell: Cell, draw: Draw, tank: str = "") -> Settings:
    """Return one draw of ``cell`` as settings of the model, with ``tank`` feeding if given."""
    known = cell.known() | ({"tank": tank} if tank else {})
    figures: dict[str, Any] = {
        "temperature": draw.temperature,
        "engine_heat": draw.engine_heat,
        "levels": {t.id: draw.level for t in network.tanks},
        "rvp": draw.rvp,
        "height": draw.height,
        "density_15c": fp.DENSITY_15C,
    }
    if cell.power == CAN:
        figures["power"] = {e.id: CAN for e in network.engines}
        figures["rising"] = False
    return from_state(network, known, "parked" if cell.parked else "", **figures)


def feeds_normally(network: Network, tank: str) -> bool:
    """Say whether no cock has to be moved for ``tank`` to feed."""
    parts = network.layout.parts
    return all(parts[c].normal == p for c, p in selecting(network, tank).items())


def fitting(
    cells: Sequence[Cell], known: Mapping[str, str], unstated: Mapping[str, Mapping[str, float]]
) -> tuple[np.ndarray, np.ndarray]:
    """Return which cells speak of a run state as far as it is ``known``, and their weights.

    Power, booster and heat are averaged by ``unstated`` where they are not known; cross-feed,
    attitude and contents are then as in normal running.  Nothing fits a state nobody solved.
    Cross-feed cells name a tank: they fit where that tank is known to feed, or none is known.
    """
    normal = {"crossfeed": "shut", "attitude": "level", "level": "part"}
    at, weight = [], []
    for number, cell in enumerate(cells):
        here = cell.known()
        w = 1.0
        for dimension in ("power", "booster", "crossfeed", "heat", "attitude", "level"):
            said = known.get(dimension, normal.get(dimension))
            if said is None:
                w *= unstated.get(dimension, {}).get(here[dimension], 0.0)
            else:
                w *= float(said == here[dimension])
        if cell.tank and known.get("tank", cell.tank) != cell.tank:
            w = 0.0
        if w > 0.0:
            at.append(number)
            weight.append(w)
    return np.asarray(at, dtype=np.intp), np.asarray(weight)
