"""Settings turned into the numbers the element laws need, one row a state.

Faults then change single rows (``diagnose.fuel.faults``); ``finish`` folds the gates into losses.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from diagnose.fuel import properties as fp
from diagnose.fuel.friction import blockage_loss
from diagnose.fuel.network import Network
from diagnose.fuel.properties import Array
from diagnose.fuel.settings import Settings, joined


@dataclass
class Conditions:
    """Arrays with a leading batch axis B; SI, pressures absolute unless said.

    R runs, K boosters, P pumps, M meters, V vents, N nodes, T tanks, G gates, D reducing valves.
    """

    ambient: Array  # (B, 1)
    air_density: Array  # (B, 1)
    density: Array  # (B, 1)
    viscosity: Array  # (B, 1)
    head: Array  # (B, R) static pressure helping flow from a to b
    gate: Array  # (B, G) share of the piece's area open
    lost: Array  # (B, R) loss added by faults [1/m4]
    extra: Array  # (B, R) all loss added, after ``finish``
    reverse: Array  # (B, R) 1 = a plain pipe, 0 = a sound non-return valve
    hole: Array  # (B, R) leak past a shut valve [m2]
    scale: Array  # (B, R) factor on flow (vapour return)
    on: Array  # (B, K) 0 or 1
    shutoff: Array  # (B, K)
    curve: Array  # (B, K)
    rate: Array  # (B, P) swept flow
    slip: Array  # (B, P)
    air_area: Array  # (B, P + K) hole on the suction side of the pump
    air_share: Array  # (B, P + K)
    relief: Array  # (B, P) gauge
    gain: Array  # (B, P)
    relief_hole: Array  # (B, P)
    reducing: Array  # (B, D) gauge setting
    least: Array  # (B, D) reducing valve opens at least this much
    most: Array  # (B, D)
    wanted: Array  # (B, M) flow the engine should have
    demand: Array  # (B, M) flow metered if the pressure is there
    capacity: Array  # (B, M)
    flood: Array  # (B, M) hole past the needle [m2]
    vent: Array  # (B, V) area
    vent_head: Array  # (B, V) static pressure helping air in
    leak: Array  # (B, N) hole to the open air [m2]
    temperature: Array  # (B, N)
    rvp: Array  # (B, N)
    volume: Array  # (B, T)
    level: Array  # (B, T) fuel over the outlet [m]
    loss_rate: Array  # (B, T) fuel lost some other way [m3/s]
    rising: Array  # (B, engines) 1 = pressure coming up, so the switch waits for its high point

    def take(self, rows: np.ndarray) -> Conditions:
        """Return the same for some rows only."""
        return Conditions(**{f.name: getattr(self, f.name)[rows] for f in fields(self)})

    def __len__(self) -> int:
        return int(self.ambient.shape[0])


SLIP_SHARE = 0.08 / 100e3
"""Share of its displacement a sound pump slips back per pascal (8 % at 1 bar; common practice)."""


def prepare(network: Network, states: Sequence[Settings]) -> Conditions:
    """Return the conditions of each state, nothing yet broken.

    States that are alike are worked out once.
    """
    first: dict[object, int] = {}
    rows = [first.setdefault(state.key(), len(first)) for state in states]
    unique: list[Settings] = []
    for state, row in zip(states, rows, strict=True):
        if row == len(unique):
            unique.append(state)
    single = [_one(network, state) for state in unique]
    stacked = {
        f.name: np.concatenate([getattr(c, f.name) for c in single]) for f in fields(Conditions)
    }
    return Conditions(**stacked).take(np.asarray(rows, dtype=np.intp))


def _one(network: Network, s: Settings) -> Conditions:
    """Return one row."""
    ambient = float(fp.ambient_pressure(s.height))
    rho = float(fp.density(s.temperature, s.density_15c))
    weight = rho * fp.GRAVITY
    volume, level, bottom = _levels(network, s)
    heights = network.height.copy()
    for tank, z in zip(network.tanks, bottom, strict=True):
        heights[tank.node] = z
    power = [s.power.get(engine.id, "none") for engine in network.engines]
    wanted, demand, capacity = _meters(network, s)
    speed = [
        network.engines[network.engine_index[p.engine]].speed[power[network.engine_index[p.engine]]]
        for p in network.pumps
    ]
    displaced = np.asarray([p.displacement for p in network.pumps])
    zeros_runs = np.zeros(len(network.runs))
    on = [float(p.part in s.boosters or p.part in s.open_valves) for p in network.boosters]
    vent, vent_head = _vents(network, s, level, weight)
    count, pumps = len(network.nodes), len(network.pumps) + len(network.boosters)
    row = {
        "ambient": [ambient],
        "air_density": [float(fp.air_density(ambient, fp.ambient_temperature(s.height)))],
        "density": [rho],
        "viscosity": [float(fp.viscosity(s.temperature))],
        "head": _heads(network, heights, level, weight),
        "gate": _gates(network, s, level),
        "lost": zeros_runs,
        "extra": zeros_runs,
        "reverse": [0.0 if run.one_way else 1.0 for run in network.runs],
        "hole": zeros_runs,
        "scale": zeros_runs + 1.0,
        "on": on,
        "shutoff": [p.shutoff for p in network.boosters],
        "curve": [p.curve for p in network.boosters],
        "rate": displaced * speed,
        "slip": displaced * SLIP_SHARE,
        "air_area": np.zeros(pumps),
        "air_share": np.zeros(pumps),
        "relief": [p.relief for p in network.pumps],
        "gain": [p.gain for p in network.pumps],
        "relief_hole": np.zeros(len(network.pumps)),
        "reducing": [v.setting for v in network.reducing],
        "least": np.zeros(len(network.reducing)),
        "most": np.ones(len(network.reducing)),
        "wanted": wanted,
        "demand": demand,
        "capacity": capacity,
        "flood": np.zeros(len(network.meters)),
        "vent": vent,
        "vent_head": vent_head,
        "leak": np.zeros(count),
        "temperature": np.full(count, s.temperature) + s.engine_heat * _engine_nodes(network),
        "rvp": np.full(count, s.rvp),
        "volume": volume,
        "level": level,
        "loss_rate": np.zeros(len(network.tanks)),
        "rising": np.full(len(network.engines), float(s.rising)),
    }
    return Conditions(**{k: np.atleast_2d(np.asarray(v, dtype=float)) for k, v in row.items()})


def _levels(network: Network, s: Settings) -> tuple[Array, Array, Array]:
    """Return volume, fuel over the outlet and height of the outlet, tank by tank, as tilted."""
    volume = np.asarray([t.capacity * s.levels.get(t.id, 0.5) for t in network.tanks])
    level, bottom = np.zeros_like(volume), np.zeros_like(volume)
    tan_pitch, tan_roll = np.tan(s.pitch), np.tan(s.roll)
    for i, t in enumerate(network.tanks):
        # fuel runs aft when the nose is up and to starboard when that wing is down
        tilt = t.outlet_aft * tan_pitch + t.outlet_lateral * tan_roll
        level[i] = min(max(volume[i] / t.area + tilt, 0.0), t.depth)
        sink = (t.aft + t.outlet_aft) * np.sin(s.pitch)
        sink += (t.lateral + t.outlet_lateral) * np.sin(s.roll)
        bottom[i] = t.bottom - sink
    return volume, level, bottom


def _heads(network: Network, heights: Array, level: Array, weight: float) -> Array:
    """Return the static pressure that helps each run's flow from a to b [Pa]."""
    tanks = {t.node: i for i, t in enumerate(network.tanks)}
    out = np.zeros(len(network.runs))
    for i, run in enumerate(network.runs):
        high = heights[run.a] if run.a in tanks else run.heads[0]
        low = heights[run.b] if run.b in tanks else run.heads[1]
        out[i] = weight * (high - low)
        if run.top_tank >= 0:  # enters the air space: against the air pressure there only
            tank = network.tanks[run.top_tank]
            out[i] += weight * (level[run.top_tank] - tank.depth)
    return out


def _gates(network: Network, s: Settings, level: Array) -> Array:
    """Return how far each gate stands open, 0 to 1."""
    out = np.zeros(len(network.gates))
    for i, gate in enumerate(network.gates):
        if gate.kind == "cock":
            out[i] = float(gate.pair in joined(network, s, gate.part))
        elif gate.kind == "valve":
            out[i] = float(gate.part in s.open_valves)
        elif gate.kind == "standing":
            out[i] = float(gate.part not in s.boosters)
        else:
            tank = network.tanks[gate.tank]
            # drawn down past the unusable level (or the standpipe) the outlet takes in air
            dry = max(tank.unusable / tank.area, 0.003)
            bare = gate.standpipe if gate.standpipe > dry else 0.5 * dry
            out[i] = min(max((level[gate.tank] - bare) / max(0.5 * dry, 0.003), 0.0), 1.0)
    return out


def _meters(network: Network, s: Settings) -> tuple[list[float], list[float], list[float]]:
    """Return flow wanted, flow metered and inlet capacity of each meter."""
    wanted, demand, capacity = [], [], []
    for meter in network.meters:
        power = s.power.get(meter.engine, "none")
        can = power == "can"
        flow = 0.0 if can else meter.burn[power]
        wanted.append(flow)
        demand.append(1.0 if can else flow)  # a can takes whatever comes
        capacity.append(meter.union_capacity if can else meter.capacity)
    return wanted, demand, capacity


def _vents(network: Network, s: Settings, level: Array, weight: float) -> tuple[Array, Array]:
    """Return area of each vent and the static pressure that helps air in through it."""
    area = np.asarray([v.area for v in network.vents])
    head = np.zeros(len(network.vents))
    for i, vent in enumerate(network.vents):
        tank = network.tanks[vent.tank]
        head[i] = weight * level[vent.tank]
        if vent.other >= 0:
            head[i] -= weight * level[vent.other]
        else:
            head[i] += s.vent_ram
        if tank.header and s.levels.get(tank.id, 0.5) >= 0.999:
            area[i] *= 1e-6  # quite full: the vent stands full of fuel, no air passes
    return area, head


def _engine_nodes(network: Network) -> Array:
    """Return 1 for nodes in an engine bay: at parts of an engine from its strainer on."""
    hot = np.zeros(len(network.nodes))
    bay = ("hose", "engine-pump", "strainer", "reducing-valve", "float-carburettor",
           "injection-carburettor", "injection-unit")  # fmt: skip
    for i, name in enumerate(network.nodes):
        part = network.layout.parts[name.split(".")[0]]
        hot[i] = float(part.kind in bay)
    return hot


def finish(network: Network, c: Conditions) -> Conditions:
    """Fold gates and faults into the loss each run has in series; returns ``c``."""
    c.extra = c.lost.copy()
    for i, gate in enumerate(network.gates):
        piece = network.runs[gate.run].pieces[gate.piece]
        share = c.gate[:, i]
        shut = np.clip(share, 1e-8, 1.0)
        c.extra[:, gate.run] += blockage_loss(shut) / piece.area**2
    return c
