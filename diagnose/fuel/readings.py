"""What gauges, lamps, sticks and people would read in a solved state.

Numbers here, SI; ``diagnose.fuel.classes`` turns them into the words of the knowledge.  A row that
did not converge has NaN in every reading.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from diagnose.fuel import elements as el
from diagnose.fuel import properties as fp
from diagnose.fuel.faults import Fault
from diagnose.fuel.hydraulics import primed
from diagnose.fuel.job import engine_of
from diagnose.fuel.network import Network
from diagnose.fuel.properties import Array
from diagnose.fuel.solve import Solution

ENGINE_READINGS: Mapping[str, str] = {
    "metering-pressure": "gauge pressure at the carburettor or injector inlet [Pa]",
    "pump-inlet-pressure": "absolute pressure at the engine pump inlet [Pa]",
    "vapour-margin": "pressure above vapour pressure where fuel boils first [Pa]",
    "flow": "fuel burnt, or caught in the can [m3/s]",
    "wanted-flow": "fuel the engine should burn at this power [m3/s]",
    "burn-fraction": "fuel metered over fuel wanted; 1 where none is wanted",
    "return-flow": "vapour return [m3/s]",
    "air-share": "share of the pump's swept volume that is air",
    "leak-flow": "fuel lost in the engine bay and the lines to it [m3/s]",
    "pressure-gauge": "what the pressure gauge shows [Pa]",
    "pressure-lamp": "1 where the warning lamp is lit",
    "flow-meter": "what the flow meter shows [m3/s]",
}
"""Readings at engines."""
TANK_READINGS: Mapping[str, str] = {
    "tank-contents": "fuel in the tank [m3]",
    "tank-rate": "rate of change of contents, positive filling [m3/s]",
    "tank-air-pressure": "gauge pressure in the air space [Pa]",
    "overboard-flow": "fuel lost from the tank overboard [m3/s]",
    "vent-spill": "the part of that which goes out by the vent [m3/s]",
    "contents-gauge": "what the contents gauge shows [m3]",
    "dip-stick": "what the stick shows [m3]",
}
"""Readings at tanks."""
BOOSTER_READINGS: Mapping[str, str] = {
    "booster-flow": "flow through an electric or hand pump itself [m3/s]",
    "booster-duty": "share of its sound current a pump takes; 0 where it stands",
}
"""Readings at electric and hand pumps."""


@dataclass(frozen=True)
class Readings:
    """Readings of B rows: name -> (B, places), with the places' part ids by name."""

    values: Mapping[str, Array]
    places: Mapping[str, tuple[str, ...]]

    def at(self, name: str, place: str) -> Array:
        """Return one reading at one place (B,)."""
        return np.asarray(self.values[name][:, self.places[name].index(place)])


def readings(network: Network, solution: Solution) -> Readings:
    """Return all readings of a solution."""
    values: dict[str, Array] = {}
    values |= _engines(network, solution)
    values |= _tanks(network, solution)
    values |= _boosters(network, solution)
    engines = tuple(e.id for e in network.engines)
    tanks = tuple(t.id for t in network.tanks)
    places = dict.fromkeys(ENGINE_READINGS, engines) | dict.fromkeys(TANK_READINGS, tanks)
    places |= dict.fromkeys(BOOSTER_READINGS, tuple(p.part for p in network.boosters))
    bad = ~solution.converged
    for array in values.values():
        array[bad] = np.nan
    return Readings(values, places)


def _engines(network: Network, s: Solution) -> dict[str, Array]:
    """Return the readings at every engine."""
    rows, count = len(s.converged), len(network.engines)
    out = {name: np.full((rows, count), np.nan) for name in ENGINE_READINGS}
    c = s.conditions
    runs, leaks = s.part("runs"), s.part("leaks").copy()
    drawn = primed(c, s.pressure)[0]  # past a primer: burnt, though it leaves before the meter
    np.subtract.at(leaks, (np.arange(rows)[:, None], c.primed_at), drawn)
    burn = s.part("meters") + drawn
    for i, engine in enumerate(network.engines):
        if engine.meter < 0:
            continue
        meter = network.meters[engine.meter]
        node = meter.node
        gauge = s.pressure[:, node] - c.ambient[:, 0]
        out["metering-pressure"][:, i] = gauge
        wanted, flow = c.wanted[:, engine.meter], burn[:, engine.meter]
        out["wanted-flow"][:, i], out["flow"][:, i] = wanted, flow
        out["burn-fraction"][:, i] = np.where(wanted > 0.0, flow / np.maximum(wanted, 1e-12), 1.0)
        out["return-flow"][:, i] = runs[:, meter.returns] if meter.returns >= 0 else 0.0
        boils = network.pumps[engine.pump].a if engine.pump >= 0 else node
        vapour = fp.vapour_pressure(c.temperature[:, boils], c.rvp[:, boils])
        out["pump-inlet-pressure"][:, i] = s.pressure[:, boils]
        out["vapour-margin"][:, i] = s.pressure[:, boils] - vapour
        out["air-share"][:, i] = _air(network, s, engine.pump)
        bay = [n for n, name in enumerate(network.nodes) if
               engine_of(network, name.split(".")[0]) == engine.id]  # fmt: skip
        out["leak-flow"][:, i] = leaks[:, bay].sum(axis=1)
        out["pressure-gauge"][:, i] = _pressure_gauge(network, s, engine.id, node, gauge)
        out["pressure-lamp"][:, i] = _lamp(network, s, engine.id, node, gauge)
        out["flow-meter"][:, i] = _shown(network, s, engine.id, "flow-meter", flow)
    return out


def _air(network: Network, s: Solution, pump: int) -> Array:
    """Return the share of air in what the engine pump sweeps."""
    c = s.conditions
    if pump < 0:
        return np.zeros(len(s.converged))
    inlet = s.pressure[:, [network.pumps[pump].a]]
    kept, _ = el.air_kept(
        inlet, c.ambient, c.rate[:, [pump]], c.air_area[:, [pump]], c.holed(s.pressure)[:, [pump]],
        c.air_share[:, [pump]], c.air_density,
    )  # fmt: skip
    return np.where(c.rate[:, pump] > 0.0, 1.0 - kept[:, 0], 0.0)


def _tanks(network: Network, s: Solution) -> dict[str, Array]:
    """Return the readings at every tank."""
    rows, count = len(s.converged), len(network.tanks)
    out = {name: np.full((rows, count), np.nan) for name in TANK_READINGS}
    c = s.conditions
    weight = c.density[:, 0] * fp.GRAVITY
    rates, leaks = contents_rates(network, s), s.part("leaks")
    for i, tank in enumerate(network.tanks):
        out["tank-contents"][:, i] = c.volume[:, i]
        out["tank-rate"][:, i] = rates[:, i]
        air = s.pressure[:, tank.node] - weight * c.level[:, i] - c.ambient[:, 0]
        out["tank-air-pressure"][:, i] = air
        out["overboard-flow"][:, i] = leaks[:, tank.node] + c.loss_rate[:, i]
        out["vent-spill"][:, i] = c.spill[:, i]
        folded = _folded(s, tank.id) * tank.capacity
        for kind in ("contents-gauge", "dip-stick"):
            out[kind][:, i] = _shown(network, s, tank.id, kind, c.volume[:, i] + folded)
    return out


def contents_rates(network: Network, s: Solution) -> Array:
    """Return rate of change of fuel in each tank (B, T) [m3/s], positive filling.

    What leaves a tank as fuel enters as air through its vents, so the vents tell it.
    """
    out = np.zeros((len(s.converged), len(network.tanks)))
    vents = s.part("vents")
    for number, vent in enumerate(network.vents):
        out[:, vent.tank] -= vents[:, number]
        if vent.other >= 0:
            out[:, vent.other] += vents[:, number]
    return out - s.conditions.loss_rate


def _boosters(network: Network, s: Solution) -> dict[str, Array]:
    """Return the readings at every electric or hand pump."""
    c, count = s.conditions, len(network.pumps)
    flow = s.part("boosters").copy()
    sound = np.asarray([p.shutoff for p in network.boosters])
    ends = [p.a for p in network.boosters]
    inlet = s.pressure[:, ends]
    filled, _ = el.fill(inlet, fp.vapour_pressure(c.temperature[:, ends], c.rvp[:, ends]))
    kept, _ = el.air_kept(
        inlet, c.ambient, np.sqrt(c.shutoff / c.curve), c.air_area[:, count:],
        c.holed(s.pressure)[:, count:], c.air_share[:, count:], c.air_density,
    )  # fmt: skip
    # a pump that lifts nothing races on half its current (common practice, no source)
    lifts = 0.5 + 0.5 * filled * kept
    return {"booster-flow": flow, "booster-duty": c.on * c.shutoff / sound * lifts}


# ------------------------------------------------------------------ instruments


def _height(network: Network, s: Solution, owner: str, kind: str, node: int) -> Array:
    """Return the static pressure from ``node`` up to an instrument [Pa], negative upwards."""
    out = np.zeros(len(s.converged))
    for part in network.parts_of(owner, kind):
        numbers = network.layout.parts[part].numbers
        if "height" in numbers:
            rise = numbers["height"] - network.height[node]
            out = -s.conditions.density[:, 0] * fp.GRAVITY * rise
    return out


def _chain(network: Network, owner: str, *kinds: str) -> frozenset[str]:
    """Return the instrument parts of an engine or tank, of the kinds named."""
    return frozenset(p for kind in kinds for p in network.parts_of(owner, kind))


def _each(s: Solution, parts: frozenset[str], act: Callable[[int, Fault], None]) -> None:
    """Call ``act`` for every row's faults of these parts."""
    for row, faults in enumerate(s.faults):
        for fault in faults:
            if fault.part in parts:
                act(row, fault)


def _shown(network: Network, s: Solution, owner: str, kind: str, true: Array) -> Array:
    """Return what an instrument shows for ``true``, its own faults and its wiring's taken in."""
    kinds = {
        "contents-gauge": ("contents-gauge", "contents-sender", "sender-wiring"),
        "pressure-gauge": ("pressure-gauge", "gauge-line"),
    }.get(kind, (kind,))
    gauges = network.parts_of(owner, kind)
    if not gauges:
        return np.full_like(true, np.nan)
    part = network.layout.parts[gauges[0]]
    if owner in network.tank_index:
        full = part.numbers.get("full-scale", network.tank(owner).capacity)
    else:
        full = part.numbers.get("full-scale", 1.5 * float(np.nanmax(true, initial=1.0)))
    out = true.copy()
    supply = frozenset({part.bus} - {""}) if kind in ("contents-gauge", "flow-meter") else None

    def act(row: int, fault: Fault) -> None:
        if fault.change == "reads":
            out[row] += fault.value * full
        elif fault.change == "scale":
            out[row] *= fault.value
        elif fault.change == "stuck-at":
            out[row] = fault.value * full
        elif fault.change == "dead":
            out[row] = 0.0

    _each(s, _chain(network, owner, *kinds), act)
    if supply:
        _each(s, supply, act)  # a dead bus takes its gauges along
    return np.clip(out, 0.0, full) if kind != "dip-stick" else np.maximum(out, 0.0)


def _pressure_gauge(
    network: Network, s: Solution, engine: str, node: int, pressure: Array
) -> Array:
    """Return what the pressure gauge shows [Pa]."""
    true = pressure + _height(network, s, engine, "pressure-gauge", node)
    return _shown(network, s, engine, "pressure-gauge", true)


def _lamp(network: Network, s: Solution, engine: str, node: int, pressure: Array) -> Array:
    """Return 1 where the warning lamp is lit: it makes falling at low, breaks rising at high."""
    limit = network.layout.limits.get("pressure-warning")
    lamps = network.parts_of(engine, "warning-lamp")
    if limit is None or limit.low is None or limit.high is None or not lamps:
        return np.full_like(pressure, np.nan)
    at_switch = pressure + _height(network, s, engine, "pressure-switch", node)
    rising = s.conditions.rising[:, network.engine_index[engine]]
    point = np.where(rising > 0.0, limit.high, limit.low)
    forced = np.full_like(pressure, np.nan)

    def act(row: int, fault: Fault) -> None:
        if fault.change == "switch-set":
            point[row] *= fault.value
        elif fault.change == "stuck-shut":  # contacts made, or a wire on earth
            forced[row] = 1.0
        elif fault.change in ("stuck-open", "dead"):
            forced[row] = 0.0

    _each(s, _chain(network, engine, "pressure-switch", "warning-circuit", "warning-lamp"), act)
    bus = frozenset({network.layout.parts[lamps[0]].bus} - {""})
    _each(s, bus, act)
    lit = np.where(at_switch < point, 1.0, 0.0)
    return np.where(np.isnan(forced), lit, forced)


def _folded(s: Solution, tank: str) -> Array:
    """Return the share of capacity a folded bladder makes gauge and stick over-read."""
    out = np.zeros(len(s.converged))

    def act(row: int, fault: Fault) -> None:
        if fault.change == "reads":
            out[row] += fault.value

    _each(s, frozenset({tank}), act)
    return out
