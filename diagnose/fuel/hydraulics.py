"""All element flows of a network at given node pressures, with their derivatives."""

from __future__ import annotations

import numpy as np

from diagnose.fuel import elements as el
from diagnose.fuel.conditions import Conditions
from diagnose.fuel.friction import SOFTENING
from diagnose.fuel.network import Network
from diagnose.fuel.properties import Array, vapour_pressure


class Hydraulics:
    """Flows of one batch: conditions with what can be worked out before iterating."""

    def __init__(self, network: Network, conditions: Conditions) -> None:
        """Index the ends of every kind of element and take vapour pressures at pump inlets."""
        self.network = network
        self.c = conditions
        self.soft = np.full_like(conditions.ambient, SOFTENING)
        spans = network.spans
        first, second = network.ends
        self.first, self.second = first, second
        self.ends = {name: (first[at], second[at]) for name, at in spans.items()}
        self.valve_runs = np.asarray([v.run for v in network.reducing], dtype=np.intp)
        wet = np.concatenate(
            [self.ends["boosters"][0], self.ends["pumps"][0], self.ends["meters"][0]]
        )
        vapour = vapour_pressure(conditions.temperature[:, wet], conditions.rvp[:, wet])
        k, p = len(network.boosters), len(network.pumps)
        self.vapour = {
            "boosters": vapour[:, :k], "pumps": vapour[:, k : k + p], "meters": vapour[:, k + p :]
        }  # fmt: skip
        # booster curves do not pass back, so their air is a loss of swept flow at free flow
        self.booster_rate = np.sqrt(conditions.shutoff / conditions.curve)

    def take(self, rows: np.ndarray) -> Hydraulics:
        """Return the same for some rows."""
        other = Hydraulics(self.network, self.c.take(rows))
        other.soft = self.soft[rows]
        return other

    def flows(self, pressure: Array) -> tuple[Array, Array, Array]:
        """Return flow of every element (B, E) [m3/s] and slopes by its two end pressures."""
        c = self.c
        full = np.concatenate([pressure, c.ambient], axis=1)
        groups = [
            self._runs(full),
            self._boosters(full),
            self._pumps(full),
            self._reliefs(full),
            self._meters(full),
            self._vents(full),
            self._leaks(full),
        ]
        q, da, db = (np.concatenate([g[i] for g in groups], axis=1) for i in range(3))
        return q, da, db

    def _pair(self, full: Array, kind: str) -> tuple[Array, Array]:
        a, b = self.ends[kind]
        return full[:, a], full[:, b]

    def _runs(self, full: Array) -> el.Law:
        c, network = self.c, self.network
        pa, pb = self._pair(full, "runs")
        drop = pa - pb + c.head
        cracking = np.asarray([run.cracking for run in network.runs])
        push, d_push = el.one_way(drop, cracking, c.reverse, self.soft)
        q, slope = network.tables.flow(push, c.extra, c.density, c.viscosity, self.soft)
        q, slope = q * c.scale, slope * c.scale * d_push
        da, db = slope, -slope
        if self.valve_runs.size:
            at = self.valve_runs
            share, d_share = el.reducing_share(
                pb[:, at], c.ambient, c.reducing, c.least, c.most, self.soft
            )
            raw = q[:, at]
            q[:, at] = raw * share
            da[:, at] *= share
            db[:, at] = db[:, at] * share + raw * d_share
        leak, d_leak = el.orifice(drop, c.hole, c.density, self.soft)
        q = q + leak + el.CREEP * drop
        return q, da + d_leak + el.CREEP, db - d_leak - el.CREEP

    def _boosters(self, full: Array) -> el.Law:
        c = self.c
        pa, pb = self._pair(full, "boosters")
        q, da, db = el.booster_pump(
            pa, pb, self.vapour["boosters"], c.shutoff, c.curve, c.on, self.soft
        )
        count = len(self.network.pumps)
        kept, d_kept = el.air_kept(
            pa, c.ambient, self.booster_rate, c.air_area[:, count:], c.air_share[:, count:],
            c.air_density,
        )  # fmt: skip
        return q * kept, da * kept + q * d_kept, db * kept

    def _pumps(self, full: Array) -> el.Law:
        c = self.c
        pa, pb = self._pair(full, "pumps")
        count = len(self.network.pumps)
        return el.displacement_pump(
            pa, pb, self.vapour["pumps"], c.ambient, c.rate, c.slip, c.air_area[:, :count],
            c.air_share[:, :count], c.air_density,
        )  # fmt: skip

    def _reliefs(self, full: Array) -> el.Law:
        c = self.c
        pb, pa = self._pair(full, "reliefs")
        return el.relief_valve(
            pb, pa, c.ambient, c.relief, c.gain, c.relief_hole, c.density, self.soft
        )

    def _meters(self, full: Array) -> el.Law:
        c = self.c
        pa, _ = self._pair(full, "meters")
        q, da, db = el.metering(
            pa, c.ambient, self.vapour["meters"], c.demand, c.capacity, self.soft
        )
        extra, d_extra = el.outward(pa - c.ambient, c.flood, c.density, self.soft)
        return q + extra, da + d_extra, db

    def _vents(self, full: Array) -> el.Law:
        c = self.c
        pa, pb = self._pair(full, "vents")
        drop = pa - pb + c.vent_head
        q, slope = el.orifice(drop, c.vent, c.air_density, self.soft)
        return q + el.CREEP * drop, slope + el.CREEP, -slope - el.CREEP

    def _leaks(self, full: Array) -> el.Law:
        c = self.c
        pa, pb = self._pair(full, "leaks")
        q, slope = el.outward(pa - pb, c.leak, c.density, self.soft)
        return q, slope, -slope

    def balance(self, flow: Array) -> Array:
        """Return net flow into every node (B, N) [m3/s]."""
        return np.asarray(flow @ self.network.incidence)

    def jacobian(self, da: Array, db: Array) -> Array:
        """Return d balance / d pressure (B, N, N) [m3/s/Pa]."""
        count = len(self.network.nodes)
        order, starts, flat = self.network.pattern
        values = np.concatenate([-da, -db, da, db], axis=1).take(order, axis=1)
        out = np.zeros((da.shape[0], count * count))
        out[:, flat] = np.add.reduceat(values, starts, axis=1)
        return out.reshape(-1, count, count)
