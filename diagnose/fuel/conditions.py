"""Settings turned into the numbers the element laws need, one row a state.

Faults then change single rows (``diagnose.fuel.faults``); ``finish`` folds the gates into losses.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from diagnose.fuel import properties as fp
from diagnose.fuel.friction import REFERENCE_DENSITY, blockage_loss
from diagnose.fuel.network import Network
from diagnose.fuel.properties import Array
from diagnose.fuel.settings import Settings


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
    air_area: Array  # (B, P + K) hole through which the pump may draw air [m2]
    air_at: NDArray[np.intp]  # (B, P + K) node at which the hole is
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
    intake: Array  # (B, M) suction in the intake [Pa]
    primed: Array  # (B, M) hole past a primer into it [m2]
    primed_at: NDArray[np.intp]  # (B, M) node the primer draws from
    primed_lift: Array  # (B, M) height of the intake above that node [m]
    holds: Array  # (B, M) gauge pressure a needle or poppet holds shut
    lifted: Array  # (B, M) hole past it above that [m2]
    vent: Array  # (B, V) area
    vent_back: Array  # (B, V) share of it open to what leaves the tank
    vent_head: Array  # (B, V) static pressure helping air in
    leak: Array  # (B, N) hole to the open air [m2]
    temperature: Array  # (B, N)
    rvp: Array  # (B, N)
    volume: Array  # (B, T)
    level: Array  # (B, T) fuel over the outlet [m]
    loss_rate: Array  # (B, T) fuel lost some other way [m3/s]
    spill: Array  # (B, T) the part of it that goes out by the vent [m3/s]
    rising: Array  # (B, engines) 1 = pressure coming up, so the switch waits for its high point

    def take(self, rows: np.ndarray) -> Conditions:
        """Return the same for some rows only."""
        return Conditions(**{f.name: getattr(self, f.name)[rows] for f in fields(self)})

    def holed(self, pressure: Array) -> Array:
        """Return the pressure (B, P + K) at the hole of every pump, of those at the nodes."""
        return np.take_along_axis(pressure, self.air_at, axis=1)

    def __len__(self) -> int:
        return int(self.ambient.shape[0])


INTAKE_SUCTION: Mapping[str, float] = {
    "none": 0.0, "can": 0.0, "cranking": 5e3, "idle": 60e3, "run-up": 35e3, "cruise": 25e3,
    "take-off": 3e3,
}  # fmt: skip
"""Power -> how far the intake stands below the outside [Pa]: at 12 inches of mercury at idle, 19 at
the run-up, 22 in cruise (from memory, no source)."""
SLIP_SHARE = 0.08 / 100e3
"""Share of its displacement a sound pump slips back per pascal (8 % at 1 bar; common practice)."""


def prepare(network: Network, states: Sequence[Settings]) -> Conditions:
    """Return the conditions of each state, nothing yet broken.

    States that are alike are worked out once, all others together.
    """
    first: dict[object, int] = {}
    seen: dict[int, int] = {}  # one object in many rows is looked at once
    unique: list[Settings] = []
    for state in states:
        if id(state) not in seen:
            seen[id(state)] = row = first.setdefault(state.key(), len(first))
            if row == len(unique):
                unique.append(state)
    rows = np.asarray([seen[id(state)] for state in states], dtype=np.intp)
    return _all(network, unique).take(rows)


def _all(network: Network, states: Sequence[Settings]) -> Conditions:
    """Return one row for each state."""

    def figure(name: str) -> Array:
        return np.asarray([getattr(s, name) for s in states], dtype=float)[:, None]

    def alike(values: Sequence[float] | Array) -> Array:
        return np.tile(np.asarray(values, dtype=float), (len(states), 1))

    height, temperature = figure("height"), figure("temperature")
    ambient = fp.ambient_pressure(height)
    rho = fp.density(temperature, figure("density_15c"))
    weight = rho * fp.GRAVITY
    shares = np.asarray([[s.levels.get(t.id, 0.5) for t in network.tanks] for s in states])
    shares = shares.reshape(len(states), len(network.tanks))
    volume, level, bottom = _levels(network, shares, figure("pitch"), figure("roll"))
    wanted, demand, capacity = _meters(network, states)
    vent_back, vent_head = _vents(network, shares, level, weight, figure("vent_ram"))
    lifted, holds = _needles(network)
    displaced = np.asarray([p.displacement for p in network.pumps])
    runs, nodes, pumps = len(network.runs), len(network.nodes), len(network.pumps)
    inlets = [p.a for p in network.pumps] + [p.a for p in network.boosters]
    return Conditions(
        ambient=ambient,
        air_density=fp.air_density(ambient, fp.ambient_temperature(height)),
        density=rho,
        viscosity=fp.viscosity(temperature),
        head=_heads(network, bottom, level, weight),
        gate=_gates(network, states, level),
        lost=alike(np.zeros(runs)),
        extra=alike(np.zeros(runs)),
        reverse=alike([0.0 if run.one_way else 1.0 for run in network.runs]),
        hole=alike(np.zeros(runs)),
        scale=alike(np.ones(runs)),
        on=_table(
            states,
            len(network.boosters),
            lambda s: [
                float(p.part in s.boosters or p.part in s.open_valves) for p in network.boosters
            ],
        ),
        shutoff=alike([p.shutoff for p in network.boosters]),
        curve=alike([p.curve for p in network.boosters]),
        rate=displaced * _table(states, pumps, lambda s: _speeds(network, s)),
        slip=alike(displaced * SLIP_SHARE),
        air_area=alike(np.zeros(len(inlets))),
        air_at=np.tile(np.asarray(inlets, dtype=np.intp), (len(states), 1)),
        air_share=alike(np.zeros(len(inlets))),
        relief=alike([p.relief for p in network.pumps]),
        gain=alike([p.gain for p in network.pumps]),
        relief_hole=alike(np.zeros(pumps)),
        reducing=alike([v.setting for v in network.reducing]),
        least=alike(np.zeros(len(network.reducing))),
        most=alike(np.ones(len(network.reducing))),
        wanted=wanted,
        demand=demand,
        capacity=capacity,
        flood=alike(np.zeros(len(network.meters))),
        intake=_table(
            states,
            len(network.meters),
            lambda s: [INTAKE_SUCTION[s.power.get(m.engine, "none")] for m in network.meters],
        ),
        primed=alike(np.zeros(len(network.meters))),
        primed_at=np.tile(
            np.asarray([m.node for m in network.meters], dtype=np.intp), (len(states), 1)
        ),
        primed_lift=alike(np.zeros(len(network.meters))),
        holds=alike(holds),
        lifted=alike(lifted),
        vent=alike([v.area for v in network.vents]),
        vent_back=vent_back,
        vent_head=vent_head,
        leak=alike(np.zeros(nodes)),
        temperature=temperature + figure("engine_heat") * _engine_nodes(network),
        rvp=np.repeat(figure("rvp"), nodes, axis=1),
        volume=volume,
        level=level,
        loss_rate=alike(np.zeros(len(network.tanks))),
        spill=alike(np.zeros(len(network.tanks))),
        rising=np.repeat(figure("rising"), len(network.engines), axis=1),
    )


def _table(states: Sequence[Settings], width: int, row: Callable[[Settings], list[float]]) -> Array:
    """Return a row of ``width`` figures for each state."""
    return np.asarray([row(s) for s in states], dtype=float).reshape(len(states), width)


def _speeds(network: Network, s: Settings) -> list[float]:
    """Return the speed of each engine pump as a share of that at take-off."""
    engines = [network.engines[network.engine_index[p.engine]] for p in network.pumps]
    return [e.speed[s.power.get(e.id, "none")] for e in engines]


def _levels(
    network: Network, shares: Array, pitch: Array, roll: Array
) -> tuple[Array, Array, Array]:
    """Return volume, fuel over the outlet and height of the outlet, tank by tank, as tilted."""
    t = {
        f: np.asarray([getattr(tank, f) for tank in network.tanks], dtype=float)
        for f in ("capacity", "area", "depth", "bottom", "aft", "lateral", "outlet_aft",
                  "outlet_lateral")
    }  # fmt: skip
    volume = t["capacity"] * shares
    # fuel runs aft when the nose is up and to starboard when that wing is down
    tilt = t["outlet_aft"] * np.tan(pitch) + t["outlet_lateral"] * np.tan(roll)
    level = np.clip(volume / t["area"] + tilt, 0.0, t["depth"])
    sink = (t["aft"] + t["outlet_aft"]) * np.sin(pitch)
    sink = sink + (t["lateral"] + t["outlet_lateral"]) * np.sin(roll)
    return volume, level, t["bottom"] - sink


def _heads(network: Network, bottom: Array, level: Array, weight: Array) -> Array:
    """Return the static pressure that helps each run's flow from a to b [Pa]."""
    tanks = {t.node: i for i, t in enumerate(network.tanks)}
    out = np.zeros((level.shape[0], len(network.runs)))
    for i, run in enumerate(network.runs):
        high, low = (
            bottom[:, tanks[node]] if node in tanks else run.heads[end]
            for end, node in enumerate((run.a, run.b))
        )
        out[:, i] = high - low
        if run.top_tank >= 0:  # enters the air space: against the air pressure there only
            out[:, i] += level[:, run.top_tank] - network.tanks[run.top_tank].depth
    return weight * out


def _gates(network: Network, states: Sequence[Settings], level: Array) -> Array:
    """Return how far each gate stands open, 0 to 1."""
    out = np.zeros((len(states), len(network.gates)))
    for i, gate in enumerate(network.gates):
        if gate.kind == "cock":
            part = network.layout.parts[gate.part]
            opens = {name: float(gate.pair in set(map(frozenset, pairs)))
                     for name, pairs in part.positions.items()}  # fmt: skip
            at = [s.positions.get(gate.part, part.normal) for s in states]
            out[:, i] = [opens.get(position, 0.0) for position in at]
        elif gate.kind == "valve":
            out[:, i] = [float(gate.part in s.open_valves) for s in states]
        elif gate.kind == "standing":
            out[:, i] = [float(gate.part not in s.boosters) for s in states]
        else:
            tank = network.tanks[gate.tank]
            # drawn down past the unusable level the lowest outlet takes in air, others at their own
            dry = max(tank.unusable / tank.area, 0.003)
            lowest = min(g.standpipe for g in network.gates
                         if g.kind == "wet" and g.tank == gate.tank)  # fmt: skip
            high = gate.standpipe > max(dry, lowest) or tank.unusable <= 0.0
            bare = max(gate.standpipe, 0.5 * dry) if high else 0.5 * dry
            out[:, i] = np.clip((level[:, gate.tank] - bare) / max(0.5 * dry, 0.003), 0.0, 1.0)
    return out


def _meters(network: Network, states: Sequence[Settings]) -> tuple[Array, Array, Array]:
    """Return flow wanted, flow metered and inlet capacity of each meter, (B, M) each."""
    wanted, demand, capacity = (np.zeros((len(states), len(network.meters))) for _ in range(3))
    for i, meter in enumerate(network.meters):
        powers = [s.power.get(meter.engine, "none") for s in states]
        can = np.asarray([power == "can" for power in powers])
        wanted[:, i] = [0.0 if power == "can" else meter.burn[power] for power in powers]
        demand[:, i] = np.where(can, 1.0, wanted[:, i])  # a can takes whatever comes
        capacity[:, i] = np.where(can, meter.union_capacity, meter.capacity)
    return wanted, demand, capacity


def _vents(
    network: Network, shares: Array, level: Array, weight: Array, ram: Array
) -> tuple[Array, Array]:
    """Return the share of each vent open outwards and the static pressure that helps air in."""
    back = np.ones((len(level), len(network.vents)))
    head = np.zeros_like(back)
    for i, vent in enumerate(network.vents):
        head[:, i] = weight[:, 0] * level[:, vent.tank]
        if vent.other >= 0:
            head[:, i] -= weight[:, 0] * level[:, vent.other]
        else:
            head[:, i] += ram[:, 0]
        if network.tanks[vent.tank].header:
            # quite full: fuel stands in the vent and holds the feed's pressure; air still gets in
            back[shares[:, vent.tank] >= 0.999, i] = 1e-6
    return back, head


_PUSHED_OPEN = {"float-carburettor": (1.1, 0.15)}
_OTHERS_PUSHED_OPEN = (1.1, 0.05)
"""Share of the highest normal pressure that a float needle, or the poppet of a pressure regulator,
holds, and of the full flow area it opens when pushed off by more (common practice, no source).  A
regulator answers less than a needle: it is felt at idle long before it is felt at power."""


def _needles(network: Network) -> tuple[list[float], list[float]]:
    """Return the hole each needle or poppet opens when pushed off, and the pressure it holds."""
    limit = network.layout.limits.get("fuel-pressure")
    if limit is None or limit.high is None:
        return [0.0] * len(network.meters), [0.0] * len(network.meters)
    hole = 0.62 * np.sqrt(2.0 / REFERENCE_DENSITY)
    pushed = [_PUSHED_OPEN.get(m.kind, _OTHERS_PUSHED_OPEN) for m in network.meters]
    lifted = [
        share * m.capacity / hole for m, (_, share) in zip(network.meters, pushed, strict=True)
    ]
    return lifted, [held * limit.high for held, _ in pushed]


@lru_cache(maxsize=64)
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
