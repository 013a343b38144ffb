"""How each physical change lands on the elements of one row of conditions."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType

import numpy as np

from diagnose.fuel import metered
from diagnose.fuel.job import SQUARE_MM, FaultError, Job
from diagnose.fuel.reach import downstream, pumps_fed
from diagnose.fuel.settings import joined, position_of
from diagnose.model import COCKS, FUEL_ABOARD, METERS, TANKS

_NO_STREAM = ("none", "cranking", "idle", "can")
_SPILL = 2e-3 / 3600.0  # [m3/s] from an open vent with fuel at it; common practice, no source


def _blocked(j: Job) -> None:
    left = 1.0 - j.value
    if j.part.kind in METERS:
        for m in j.meters_in_use():
            j.c.capacity[j.row, m] *= max(left, 1e-6)
    elif j.part.kind == "engine-pump":
        for p in j.pumps():
            j.c.rate[j.row, p] *= max(left, 0.0)
    elif j.part.kind in ("tank-vent", "filler-cap"):
        _vent_blocked(j)
    elif j.part.kind in ("gauge-line", "pressure-switch"):
        return  # slow to follow, right in the end
    elif j.boosters():
        for b in j.boosters():
            j.c.curve[j.row, b] /= max(left, 1e-4) ** 2
        _narrow(j, j.beside(), left)
    else:
        where = list(j.runs())
        if not where:
            j.refuse()
        for run, piece in where:
            j.c.lost[j.row, run] += j.network.runs[run].pieces[piece].added_loss(max(left, 1e-8))


def _narrow(j: Job, runs: Iterable[int], left: float) -> None:
    for run in runs:
        j.c.lost[j.row, run] += j.network.runs[run].pieces[0].added_loss(max(left, 1e-8))


def _leaks_out(j: Job) -> None:
    area = j.value * SQUARE_MM
    if j.part.kind == "filler-cap":
        _cap_open(j, area)
        return
    j.c.leak[j.row, j.node()] += _through_orifice(j, area)
    _let_air_in(j, area, at=j.node())


def _through_orifice(j: Job, area: float) -> float:
    """Return the hole as the node feels it, which a return orifice before it may limit."""
    if j.part.kind not in ("vapour-return", "non-return-valve"):
        return area
    for run, _ in j.runs():
        if j.network.runs[run].role == "return":
            first = j.network.runs[run].pieces[0]
            orifice = first.area / np.sqrt(max(first.loss, 1e-9)) / 0.62
            return float((area**-2 + orifice**-2) ** -0.5) if area > 0.0 else 0.0
    return area


def _cap_open(j: Job, area: float) -> None:
    tank = j.tank()
    for i, vent in enumerate(j.network.vents):
        if vent.tank == tank:
            j.c.vent[j.row, i] += area


def _leaks_through(j: Job) -> None:
    area = j.value * SQUARE_MM
    kind = j.part.kind
    if kind in METERS:
        for m in j.meters():
            j.c.flood[j.row, m] += area
    elif kind == "primer":  # what passes it is drawn into its engine's intake
        for m in j.meters():
            j.c.primed[j.row, m] += area
            at, intake = j.node(), j.network.meters[m].node
            j.c.primed_at[j.row, m] = at
            j.c.primed_lift[j.row, m] = j.network.height[intake] - j.network.height[at]
    elif kind == "pump-relief" or (kind == "engine-pump" and not j.beside()):
        for p in j.pumps():
            j.c.relief_hole[j.row, p] += area
    elif kind == "reducing-valve":
        for i, valve in enumerate(j.network.reducing):
            if valve.part == j.part.id:
                full = j.network.runs[valve.run].pieces[-1].area
                j.c.least[j.row, i] = min(area / full, 1.0)
    else:
        runs = j.beside() or [run for run, _ in j.runs()]
        if not runs:
            j.refuse()
        for run in runs:
            j.c.hole[j.row, run] += area


def _output(j: Job) -> None:
    if j.part.kind == "engine-pump":
        for p in j.pumps():
            j.c.rate[j.row, p] *= j.value
            j.c.slip[j.row, p] *= min(j.value, 1.0)
    elif j.boosters():
        _output_of(j, max(j.value, 1e-3))
    elif j.part.kind != "primer":
        j.refuse()


def _slip(j: Job) -> None:
    """Let worn vanes or valves pass back ``value`` of the full output at the relief pressure.

    It goes with the pressure and not with the speed, so at cranking and idle it takes the most.
    """
    for p in j.pumps():
        pump = j.network.pumps[p]
        j.c.slip[j.row, p] += j.value * pump.displacement / max(pump.relief, 1.0)


def _dead(j: Job) -> None:
    network = j.network
    if j.part.kind == "bus":
        dead = {p.id for p in network.layout.parts.values() if p.bus == j.part.id}
    else:
        dead = {j.part.id}
    for b, pump in enumerate(network.boosters):
        if pump.part in dead:
            j.c.on[j.row, b] = 0.0
            for i, gate in enumerate(network.gates):
                if gate.kind == "standing" and gate.part == pump.part:
                    j.c.gate[j.row, i] = 1.0
    for p, engine_pump in enumerate(network.pumps):
        if engine_pump.part in dead:
            j.c.rate[j.row, p] = 0.0
            j.c.slip[j.row, p] = 0.0


def _relief_set(j: Job) -> None:
    if j.part.kind == "reducing-valve":
        for i, valve in enumerate(j.network.reducing):
            if valve.part == j.part.id:
                j.c.reducing[j.row, i] *= j.value
    elif j.part.kind in ("pump-relief", "engine-pump"):
        for p in j.pumps():
            j.c.relief[j.row, p] *= j.value
    else:
        j.refuse()


def _stuck_open(j: Job) -> None:
    kind, share = j.part.kind, min(j.value, 1.0)
    if j.gates():
        for g in j.gates():
            j.c.gate[j.row, g] = max(j.c.gate[j.row, g], share)
    elif kind == "non-return-valve":
        for run, _ in j.runs():
            j.c.reverse[j.row, run] = max(j.c.reverse[j.row, run], share)
    elif j.beside():
        for run in j.beside():
            j.c.reverse[j.row, run] = max(j.c.reverse[j.row, run], share)
    elif kind == "pump-relief":
        for p in j.pumps():
            j.c.relief[j.row, p] *= 1.0 - 0.8 * share
    elif kind == "reducing-valve":
        for i, valve in enumerate(j.network.reducing):
            if valve.part == j.part.id:
                j.c.least[j.row, i] = share
    elif kind in METERS:
        for m in j.meters():
            j.c.flood[j.row, m] += 2.0 * SQUARE_MM * share
    elif kind == "mixture-control":
        for m in j.meters():
            j.c.demand[j.row, m] *= 1.0 + 0.2 * share
    elif kind == "tank-drain":
        bore = j.part.numbers.get("bore", 0.006)
        j.c.leak[j.row, j.node()] += share * 0.25 * np.pi * bore**2
    elif kind == "filler-cap":
        _cap_open(j, share * 0.25 * np.pi * j.part.numbers.get("bore", 0.058) ** 2)
    elif kind == "transfer-pump":
        for b in j.boosters():
            j.c.on[j.row, b] = 1.0
    elif kind == "tank-vent":
        _spills(j)
    else:
        j.refuse()


def _spills(j: Job) -> None:
    """A vent check that stays open spills a little while fuel stands at the vent."""
    tank = j.tank()
    name = j.network.tanks[tank].id
    if j.state.levels.get(name, 0.5) >= 0.9 or j.state.pitch or j.state.roll:
        j.c.loss_rate[j.row, tank] += _SPILL * min(j.value, 1.0)
        j.c.spill[j.row, tank] += _SPILL * min(j.value, 1.0)


def _stuck_shut(j: Job) -> None:
    kind, left = j.part.kind, 1.0 - min(j.value, 1.0)
    if j.gates():
        for g in j.gates():
            j.c.gate[j.row, g] = min(j.c.gate[j.row, g], left)
    elif j.beside():
        _narrow(j, j.beside(), left)
    elif kind == "pump-relief":
        for p in j.pumps():
            j.c.gain[j.row, p] *= max(left, 1e-3)
    elif kind == "reducing-valve":
        for i, valve in enumerate(j.network.reducing):
            if valve.part == j.part.id:
                j.c.most[j.row, i] = max(left, 1e-4)
    elif kind == "mixture-control":
        for m in j.meters():
            j.c.demand[j.row, m] *= left
    else:
        _blocked(j)


def _stuck_at(j: Job) -> None:
    """A cock stopped on its way: ``value`` of the travel from the next position is done."""
    done = min(max(j.value, 0.0), 1.0)
    if j.part.kind in COCKS:
        here = joined(j.network, j.state, j.part.id)
        names = list(j.part.positions)
        at = position_of(j.network, j.state, j.part.id)
        if at not in names:
            raise FaultError(f"{j.part.id} has no position {at!r}")
        pairs = j.part.positions[names[(names.index(at) + 1) % len(names)]]
        there = {frozenset(pair) for pair in pairs}
        for g in j.gates():
            pair = j.network.gates[g].pair
            j.c.gate[j.row, g] = done * (pair in here) + (1.0 - done) * (pair in there)
    elif j.gates():
        for g in j.gates():
            j.c.gate[j.row, g] = done
    elif j.part.kind == "reducing-valve":
        for i, valve in enumerate(j.network.reducing):
            if valve.part == j.part.id:
                j.c.least[j.row, i] = j.c.most[j.row, i] = max(done, 1e-4)
    elif j.part.kind == "mixture-control":
        for m in j.meters():
            j.c.demand[j.row, m] *= done
    else:
        j.refuse()


def _air_in(j: Job) -> None:
    if j.boosters():
        _output_of(j, 1.0 - min(j.value, 0.999))  # an air-bound pump: that share of it is gas
    elif j.unit == "fraction":
        _let_air_in(j, share=j.value)
    else:  # some joint of the line, by its very name one that stands below the outside pressure
        area = j.value * SQUARE_MM
        j.c.leak[j.row, j.node()] += area
        _let_air_in(j, area)


def _air_left(j: Job) -> None:
    """Leave air in the line: a share of what the pumps draw, and no hole that could wet."""
    if not j.network.pumps:
        j.refuse()  # nothing draws; the air rises out of a gravity feed
    _let_air_in(j, share=j.value)


def _output_of(j: Job, factor: float) -> None:
    """Scale a centrifugal pump's pressure and, by the curve, its free flow alike."""
    for b in j.boosters():
        j.c.shutoff[j.row, b] *= factor
        j.c.curve[j.row, b] /= factor


def _let_air_in(j: Job, area: float = 0.0, share: float = 0.0, at: int | None = None) -> None:
    """Let the pumps that draw past the part take in air while it is drawn below the outside.

    The hole is at node ``at``, by default at each pump's inlet, where suction is most; of two
    holes the pump feels the pressure at the larger.
    """
    for pump in pumps_fed(j.network, j.state, j.node()):
        if at is not None and area > j.c.air_area[j.row, pump]:
            j.c.air_at[j.row, pump] = at
        j.c.air_area[j.row, pump] += area
        j.c.air_share[j.row, pump] = min(j.c.air_share[j.row, pump] + share, 1.0)


def _vent_blocked(j: Job) -> None:
    tank, whole = j.tank(), j.part.kind in TANKS
    mine = [i for i, vent in enumerate(j.network.vents)
            if vent.tank == tank and (whole or vent.part == j.part.id)]  # fmt: skip
    if not mine:
        j.refuse()  # a cap without an air hole has nothing to block
    for i in mine:
        j.c.vent[j.row, i] *= max(1.0 - j.value, 0.0)


def _return_open(j: Job) -> None:
    for m in j.meters():
        run = j.network.meters[m].returns
        if run < 0:
            j.refuse()
        j.c.scale[j.row, run] *= j.value


def _heat(j: Job) -> None:
    start = j.node()
    if j.part.kind == "vapour-return":  # what it carries warms the tank it runs to
        start = j.network.runs[next(iter(j.runs()))[0]].b
    nodes = list(downstream(j.network, j.state, start))
    j.c.temperature[j.row, nodes] += j.value


_BAY_HOT = 5.0
"""Heat of an engine bay above the fuel from which it counts as hot [K] (common practice)."""


def _soak(j: Job) -> None:
    """Add the heat that only a hot engine bay gives; a cool one gives none."""
    if j.state.engine_heat >= _BAY_HOT:
        _heat(j)


def _vapour_pressure(j: Job) -> None:
    if j.part.kind == FUEL_ABOARD:  # it is in every tank
        j.c.rvp[j.row, :] += 1000.0 * j.value
        return
    tank = j.part.kind in TANKS or j.part.kind == "fuel"
    start = j.network.tanks[j.tank()].node if tank else j.node()
    j.c.rvp[j.row, list(downstream(j.network, j.state, start))] += 1000.0 * j.value


def _contents_loss(j: Job) -> None:
    lost = j.value * 1e-3 / 3600.0
    j.c.loss_rate[j.row, j.tank()] += lost
    if j.part.kind == "tank-vent":
        j.c.spill[j.row, j.tank()] += lost


def _drawn_off(j: Job) -> None:
    """Lose fuel to the air stream over an open filler or past a turned vent, while there is one."""
    if any(power not in _NO_STREAM for power in j.state.power.values()):
        _contents_loss(j)


APPLY: Mapping[str, Callable[[Job], None]] = MappingProxyType(
    {
        "blocked": _blocked,
        "leaks-out": _leaks_out,
        "leaks-through": _leaks_through,
        "output": _output,
        "slip": _slip,
        "dead": _dead,
        "relief-set": _relief_set,
        "stuck-open": _stuck_open,
        "stuck-shut": _stuck_shut,
        "stuck-at": _stuck_at,
        "air-in": _air_in,
        "air-left": _air_left,
        "vent-blocked": _vent_blocked,
        "return-open": _return_open,
        "heat": _heat,
        "soak": _soak,
        "vapour-pressure": _vapour_pressure,
        "float-level": metered.float_level,
        "metering": metered.metering,
        "main-metering": metered.main_metering,
        "enrichment": metered.enrichment,
        "contents-loss": _contents_loss,
        "drawn-off": _drawn_off,
    }
)
"""Change of the flow -> what makes it."""
