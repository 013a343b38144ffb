"""Worlds drawn from the knowledge itself: what is broken, and what a person would then find.

The same tables the belief inverts, run forwards: a cause (or two, or an unlisted failure of a
listed part) from the prior of the layout, its severity, the effects, and what each question shows.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from diagnose.belief.factors import stranger_nets
from diagnose.belief.hypotheses import STRANGERS, Floats, Hypotheses
from diagnose.belief.net import BeliefNet, Table, value_given_cause
from diagnose.model import Finding, KnownBy
from diagnose.planner import Reading
from diagnose.signs import InstanceKey, instance_of


@dataclass
class World:
    """What is wrong in one drawn job.

    causes: indices into the net's causes, one or two; the last index is *not in the knowledge*.
    grades: severity of each.  home, stranger: part and kind of the unlisted failure, -1 if none.
    values: effects already drawn, so that two questions on one effect see the same thing.
    """

    causes: tuple[int, ...]
    grades: tuple[int, ...]
    home: int = -1
    stranger: int = -1
    values: dict[InstanceKey, int] = field(default_factory=dict)


class Worlds:
    """Draws worlds and what is found in them, for one layout."""

    def __init__(self, net: BeliefNet, prior: Hypotheses, rng: np.random.Generator) -> None:
        """Draw by ``prior`` (work done before the report included) with ``rng``."""
        self.net = net
        self.prior = prior
        self._rng = rng
        odds = prior.odds
        left = np.maximum(prior.odds, 1e-300)
        scale = float(np.max(prior.prior / left, where=odds > 0, initial=0.0))
        pairs = scale * (odds.sum() ** 2 - (odds**2).sum()) / 2.0
        singles = prior.prior.sum()
        self._pair_share = float(pairs / (pairs + singles))
        self._single = prior.prior / singles
        self._odds = odds / max(odds.sum(), 1e-300)
        homes = net.home_mass(prior.prior)
        self._homes = homes / max(homes.sum(), 1e-300)
        self._strange: dict[InstanceKey, Mapping[int, Floats]] = {}

    def draw(self) -> World:
        """Return one world, nothing found in it yet."""
        rng = self._rng
        if rng.random() < self._pair_share:
            while True:
                a, b = rng.choice(len(self._odds), size=2, p=self._odds)
                if a != b:
                    break
            causes: tuple[int, ...] = (int(a), int(b))
        else:
            causes = (int(rng.choice(len(self._single), p=self._single)),)
        if causes[0] == len(self._single) - 1:
            home = int(rng.choice(len(self._homes), p=self._homes))
            return World(causes, (0,), home, int(rng.integers(len(STRANGERS))))
        grades = tuple(int(rng.choice(3, p=self.prior.grades[c])) for c in causes)
        return World(causes, grades)

    def find(self, world: World, reading: Reading, known_by: KnownBy) -> Finding:
        """Return what ``reading`` shows in ``world`` to one who knows it by ``known_by``."""
        rng, key = self._rng, self.key_of(reading)
        value = world.values.get(key)
        if value is None:
            value = world.values[key] = self.value(world, key, rng)
        if rng.random() >= self.net.library.words.trust[known_by]:
            value = 0  # overlooked: what a sound aeroplane shows
        shown = self.shown(world, reading, value, rng)
        return Finding(reading.question, reading.place, shown, reading.state, known_by)

    def key_of(self, reading: Reading) -> InstanceKey:
        """Return the effect instance of which ``reading`` speaks."""
        effect = self.net.library.effect_of(reading.question)
        return instance_of(effect, reading.place, reading.state.known(), 0)

    def value(self, world: World, key: InstanceKey, rng: np.random.Generator) -> int:
        """Return the number of a value that the effect, or the check, ``key`` has in ``world``."""
        p = self._values(world, key)
        return int(rng.choice(len(p), p=p))

    def chances(self, world: World, key: InstanceKey) -> Floats:
        """Return P(value) of the effect, or check, ``key``, by the one cause of ``world`` alone."""
        table, cause = self.net.table(key), world.causes[0]
        row = table.row_of(cause)
        own = table.net[row, world.grades[0]] if row >= 0 else np.zeros(len(table.background))
        p = np.concatenate([[max(1.0 - float(own.sum()), 0.0)], own])
        return np.asarray(p / p.sum())

    def brought_about(self, world: World, key: InstanceKey, share: float) -> int:
        """Return its value where the cause shows that ``share`` of what it can, below 1.

        Of one share, what comes oftener shows wherever what comes seldomer does.
        """
        within = np.cumsum(self.chances(world, key))
        return min(int(np.searchsorted(within, share, side="right")), len(within) - 1)

    def shown(
        self,
        world: World,
        reading: Reading,
        value: int,
        rng: np.random.Generator,
        least: float = 0.0,
    ) -> str:
        """Return the class that ``reading`` shows in ``world`` where its effect has ``value``.

        What is shown less often than ``least`` of such a value is a slip, and is not drawn.
        """
        shown = self._shown(world, reading)[value]
        shown = np.where(shown >= least, shown, 0.0)
        k = int(rng.choice(len(shown), p=shown / shown.sum()))
        return tuple(self.net.library.questions[reading.question].classes)[k]

    def _values(self, world: World, key: InstanceKey) -> Floats:
        table = self.net.table(key)
        if world.home >= 0:
            nets = self._strangers(key, table).get(world.home)
            return table.usual if nets is None else value_given_cause(table, nets[world.stranger])
        nets_of = [
            table.net[r, g]
            for c, g in zip(world.causes, world.grades, strict=True)
            if (r := table.row_of(c)) >= 0
        ]
        if len(nets_of) < 2:
            return value_given_cause(table, nets_of[0]) if nets_of else table.usual
        b = table.background
        stay = (1.0 - b.sum()) * float(np.prod([1.0 - n.sum() for n in nets_of]))
        weight = b + sum(nets_of)
        return np.concatenate([[stay], (1.0 - stay) * weight / max(weight.sum(), 1e-300)])

    def _strangers(self, key: InstanceKey, table: Table) -> Mapping[int, Floats]:
        found = self._strange.get(key)
        if found is None:
            homes, mean = self.net.strangers(table, self.prior.prior)
            found = dict(zip(homes.tolist(), stranger_nets(mean), strict=True))
            self._strange[key] = found
        return found

    def _shown(self, world: World, reading: Reading) -> Floats:
        state = reading.state.known()
        distorted = self.net.instruments.bent(reading.question, reading.place, state)
        acting = zip(world.causes, world.grades, strict=True)
        views = [distorted[c][grade] for c, grade in acting if c in distorted]
        if views:
            out: Floats = np.mean(views, axis=0)  # two faults of one chain: either may rule
            return out
        return self.net.instruments.shown(
            self.net.library.questions[reading.question], reading.place, state
        )
