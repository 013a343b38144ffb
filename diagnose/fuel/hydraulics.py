"""All element flows of a network at given node pressures, with their derivatives."""

from __future__ import annotations

from copy import copy

import numpy as np

from diagnose.fuel import elements as el
from diagnose.fuel.conditions import Conditions
from diagnose.fuel.friction import SOFTENING
from diagnose.fuel.network import Network
from diagnose.fuel.properties import GRAVITY, Array, vapour_pressure

MANY = 64
"""Rows from which eliminating them all together beats the dense solver row by row (measured)."""


def primed(c: Conditions, pressure: Array, soft: Array | float = SOFTENING) -> tuple[Array, Array]:
    """Return what each engine draws past its primer (B, M) [m3/s], and the slope by the pressure.

    It leaves where the primer is fed, and is drawn by the suction in the intake, which stands as
    high as the carburettor.
    """
    lift = c.density * GRAVITY * c.primed_lift
    drop = np.take_along_axis(pressure, c.primed_at, axis=1) - c.ambient + c.intake - lift
    return el.outward(drop, c.primed, c.density, soft)


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
        self.cracking = np.asarray([run.cracking for run in network.runs])
        # few runs have a flap or a leak, few nodes a hole: only those that have are worked out
        self.flaps = np.flatnonzero((conditions.reverse < 1.0).any(axis=0))
        self.passing = np.flatnonzero(conditions.hole.any(axis=0))
        self.brimming = bool((conditions.vent_back < 1.0).any())
        self.leaking = np.flatnonzero(conditions.leak.any(axis=0))
        self.priming = bool(conditions.primed.any())
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
        other = copy(self)
        other.c = self.c.take(rows)
        other.soft = self.soft[rows]
        other.vapour = {kind: values[rows] for kind, values in self.vapour.items()}
        other.booster_rate = self.booster_rate[rows]
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
        push, d_push = drop, None
        if self.flaps.size:
            at, push, d_push = self.flaps, drop.copy(), np.ones_like(drop)
            push[:, at], d_push[:, at] = el.one_way(
                drop[:, at], self.cracking[at], c.reverse[:, at], self.soft
            )
        q, slope = network.tables.flow(push, c.extra, c.density, c.viscosity, self.soft)
        q, slope = q * c.scale, slope * c.scale
        if d_push is not None:
            slope *= d_push
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
        if self.passing.size:
            at = self.passing
            leak, d_leak = el.orifice(drop[:, at], c.hole[:, at], c.density, self.soft)
            q[:, at] += leak
            da[:, at] += d_leak
            db[:, at] -= d_leak
        return q + el.CREEP * drop, da + el.CREEP, db - el.CREEP

    def _boosters(self, full: Array) -> el.Law:
        c = self.c
        pa, pb = self._pair(full, "boosters")
        q, da, db = el.booster_pump(
            pa, pb, self.vapour["boosters"], c.shutoff, c.curve, c.on, self.soft
        )
        count = len(self.network.pumps)
        kept, d_kept = el.air_kept(
            pa, c.ambient, self.booster_rate, c.air_area[:, count:], c.holed(full)[:, count:],
            c.air_share[:, count:], c.air_density,
        )  # fmt: skip
        return q * kept, da * kept + q * d_kept, db * kept

    def _pumps(self, full: Array) -> el.Law:
        c = self.c
        pa, pb = self._pair(full, "pumps")
        count = len(self.network.pumps)
        return el.displacement_pump(
            pa, pb, self.vapour["pumps"], c.ambient, c.rate, c.slip, c.air_area[:, :count],
            c.holed(full)[:, :count], c.air_share[:, :count], c.air_density,
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
        for drop, hole in ((pa - c.ambient, c.flood), (pa - c.ambient - c.holds, c.lifted)):
            if hole.any():
                extra, d_extra = el.outward(drop, hole, c.density, self.soft)
                q, da = q + extra, da + d_extra
        return q, da, db

    def _vents(self, full: Array) -> el.Law:
        c = self.c
        pa, pb = self._pair(full, "vents")
        drop = pa - pb + c.vent_head
        push, d_push = drop, np.ones_like(drop)
        if self.brimming:
            push, d_push = el.one_way(drop, 0.0, c.vent_back, self.soft)
        q, slope = el.orifice(push, c.vent, c.air_density, self.soft)
        slope = slope * d_push
        return q + el.CREEP * drop, slope + el.CREEP, -slope - el.CREEP

    def _leaks(self, full: Array) -> el.Law:
        c, at = self.c, self.leaking
        q, slope = np.zeros_like(c.leak), np.zeros_like(c.leak)
        if at.size:
            drop = full[:, at] - c.ambient
            q[:, at], slope[:, at] = el.outward(drop, c.leak[:, at], c.density, self.soft)
        if self.priming:
            drawn, d_drawn = primed(c, full, self.soft)
            rows = np.arange(len(q))[:, None]
            np.add.at(q, (rows, c.primed_at), drawn)
            np.add.at(slope, (rows, c.primed_at), d_drawn)
        return q, slope, -slope

    def balance(self, flow: Array) -> Array:
        """Return net flow into every node (B, N) [m3/s]."""
        return np.asarray(flow @ self.network.incidence)

    def move(self, da: Array, db: Array, tie: Array | float, net: Array) -> Array:
        """Return the pressure changes (B, N) that would balance the flows ``net`` into the nodes.

        ``da``, ``db`` are the slopes of all flows (B, E); ``tie`` (B, 1) [m3/s/Pa] holds every
        node back a little.
        """
        network, (order, starts, flat) = self.network, self.network.pattern
        count, rows = len(network.nodes), da.shape[0]
        values = np.concatenate([da, db, -da, -db], axis=1).take(order, axis=1)
        values = np.add.reduceat(values, starts, axis=1)
        if rows >= MANY:
            plan, places = network.elimination
            return plan.solve(places, values, tie, net)
        dense = np.zeros((rows, count * count))
        dense[:, flat] = values
        dense[:, :: count + 1] += tie
        return np.asarray(
            np.linalg.solve(dense.reshape(rows, count, count), net[:, :, None])[:, :, 0]
        )
