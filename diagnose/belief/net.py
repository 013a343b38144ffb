"""Tables of what each cause does to an effect instance, compiled lazily for one layout.

For an effect instance (effect, place, known settings) the table lists the causes that act on it
and, for each, P(value | cause alone, grade) net of background for every value but the normal one.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Protocol

import numpy as np
from numpy.typing import NDArray

from diagnose.belief.hypotheses import CEILING, UNKNOWN, Floats
from diagnose.belief.instruments import Instruments
from diagnose.model import (
    AEROPLANE,
    ELSEWHERE,
    GRADES,
    CauseAt,
    Check,
    Library,
    Produces,
    shows_each_try,
)
from diagnose.signs import InstanceKey

if TYPE_CHECKING:  # the belief asks places, it does not know pipes
    from diagnose.places import Places

Ints = NDArray[np.int64]

HOLDS = 0.9
"""Chance that what made an engine do wrong on one tank does so on the next, where it is of both."""
GOES = 0.6
"""Share of what goes by itself in the end that is gone by then (both: common practice, no source;
on 81 judged reports, left out of the fit, .9 and .6 brought 3.432 nats to 3.385)."""


@dataclass(frozen=True)
class Table:
    """What the causes do to one effect instance with V values (the first normal).

    background: rate of values 1..V-1, shape (V-1,).
    active: indices of causes that act here, shape (a,), ascending.
    net: P(value | this cause alone, grade) net of background, shape (a, 3, V-1).
    """

    values: tuple[str, ...]
    background: Floats
    active: Ints
    net: Floats

    @cached_property
    def index(self) -> Mapping[int, int]:
        """Return cause -> its row in ``net``."""
        return {i: r for r, i in enumerate(self.active.tolist())}

    @cached_property
    def usual(self) -> Floats:
        """Return P(value | none of our causes), shape (V,)."""
        return value_given_cause(self, np.zeros(len(self.background)))

    @cached_property
    def given(self) -> Floats:
        """Return P(value | cause alone, grade), shape (a, 3, V)."""
        return value_given_cause(self, self.net)

    def row_of(self, cause: int) -> int:
        """Return the row of ``cause`` in ``net``, or -1."""
        return self.index.get(cause, -1)

    def rows(self, causes: Ints) -> tuple[Floats, Floats]:
        """Return ``net`` and ``given`` for ``causes``, ascending; who has no row does nothing."""
        if causes is self.active:
            return self.net, self.given
        net = np.zeros((len(causes), *self.net.shape[1:]))
        given = np.tile(self.usual, (len(causes), self.net.shape[1], 1))
        mine = np.isin(self.active, causes, assume_unique=True)
        at = np.searchsorted(causes, self.active[mine])
        net[at], given[at] = self.net[mine], self.given[mine]
        return net, given


def value_given_cause(table: Table, net: Floats) -> Floats:
    """Return P(value | cause, grade), shape net.shape[:-1] + (V,), background included."""
    b = table.background
    stay = (1.0 - b.sum()) * (1.0 - net.sum(axis=-1))
    weight = b + net
    leave = (1.0 - stay)[..., None] * weight / np.maximum(weight.sum(axis=-1), 1e-300)[..., None]
    return np.concatenate([stay[..., None], leave], axis=-1)


Predict = Callable[
    [str, str, Mapping[str, str], Mapping[CauseAt, Floats]], "Mapping[CauseAt, Floats] | None"
]
"""(effect, place, settings, stated net rates by cause) -> the rates to use by cause, (3, V-1).

None keeps what is stated; causes that are not of this library are passed over."""


class Fit(Protocol):
    """How well a figure fits causes, given that the effect has ``value``.

    ratio: density of the figure over that under all causes together, by cause and grade, (3,);
    a cause without one has 1.
    """

    @property
    def value(self) -> str:
        """Return the value."""

    @property
    def ratio(self) -> Mapping[CauseAt, Floats]:
        """Return the ratios."""


Figures = Callable[[str, str, Mapping[str, str], str, float], "Fit | None"]
"""(question, place, settings, class shown, figure in SI) -> how well it fits; None: unknown."""


class BeliefNet:
    """Library and layout compiled to tables; shared by all jobs on that layout."""

    def __init__(
        self,
        library: Library,
        places: Places,
        predict: Predict | None = None,
        known: Iterable[CauseAt] = (),
        figures: Figures | None = None,
    ) -> None:
        """Index the ``produces`` rows, checks and distortions of ``library`` for ``places``.

        ``known``: defects that are there whatever else is.  What they do becomes part of the
        background and of how their instruments show, so that they explain what they do and
        nothing they do counts for or against any other cause.
        ``figures``: what the figure of a reading adds to its class; without it, nothing.
        """
        self.figures = figures
        self.library = library
        self.places = places
        self.layout = places.layout
        self.instances: tuple[CauseAt, ...] = places.cause_instances(library)
        self.index = {c: i for i, c in enumerate((*self.instances, UNKNOWN))}
        self.predict = predict
        self.known = frozenset(self.index[c] for c in known if c in self.index)
        self._at: dict[str, list[int]] = {}
        for i, c in enumerate(self.instances):
            self._at.setdefault(c.cause, []).append(i)
        self.instruments = Instruments(library, places, self._at, self.instances, self.known)
        self._parts = {mode: [self.instances[i].at for i in at] for mode, at in self._at.items()}
        self._rows: dict[str, list[tuple[str, Produces, tuple[float, ...]]]] = {}
        self._checks: dict[str, list[tuple[str, str, str, float]]] = {}
        for cause in library.causes.values():
            if cause.id not in self._at:
                continue
            for row in cause.produces:
                often = tuple(row.how_often.get(g, 0.0) for g in GRADES)
                self._rows.setdefault(row.effect, []).append((cause.id, row, often))
            for k in cause.at_checks:
                self._checks.setdefault(k.check, []).append((cause.id, k.result, k.at, k.chance))
        self._tables: dict[InstanceKey, Table] = {}
        fuel = [library.causes[c.cause].outside == "" for c in self.instances]
        self.homes: tuple[str, ...] = tuple(
            dict.fromkeys(c.at for c, f in zip(self.instances, fuel, strict=True) if f)
        )
        number = {p: k for k, p in enumerate(self.homes)}
        self.home = np.array(
            [number[c.at] if f else -1 for c, f in zip(self.instances, fuel, strict=True)],
            dtype=np.int64,
        )
        self.shows: Mapping[int, float] = {
            i: p
            for i, c in enumerate(self.instances)
            if (p := shows_each_try(library.causes[c.cause])) < 1.0
        }
        self.grades = np.array(
            [[library.causes[c.cause].severity[g] for g in GRADES] for c in self.instances]
        ).reshape(-1, len(GRADES))

    # ------------------------------------------------------------------ effect tables

    def table(self, key: InstanceKey) -> Table:
        """Return the table of an effect or check instance (epoch plays no part here)."""
        key = (*key[:3], 0)
        found = self._tables.get(key)
        if found is None:
            name, place, known, _ = key
            found = (
                self._check_table(self.library.checks[name], place)
                if name in self.library.checks and name not in self.library.effects
                else self._effect_table(name, place, dict(known))
            )
            self._tables[key] = found
        return found

    def _effect_table(self, name: str, place: str, known: Mapping[str, str]) -> Table:
        effect = self.library.effects[name]
        nets = self._merged(name, place, known, self.stated(name, place, known))
        background = np.array([effect.background.get(v, 1e-4) for v in effect.values[1:]])
        if known.get(ELSEWHERE) == "yes":
            self._hold(nets, background, self._of_all_tanks(name, place, known, nets))
        return self._beside_known(_table(effect.values, background, nets))

    def _of_all_tanks(
        self, name: str, place: str, known: Mapping[str, str], nets: Mapping[int, Floats]
    ) -> Collection[int]:
        """Return the causes of ``nets`` that act on the other tank as they acted on the first.

        A position that joins several tanks has the first among them: only what acts alike on each
        is not of that one.
        """
        if known["tank"] in self.places.tanks:
            return nets.keys()
        each = [self.stated(name, place, {**known, "tank": tank}) for tank in self.places.tanks]
        return {i for i in nets if all(i in one and (one[i] == each[0][i]).all() for one in each)}

    def _hold(
        self, nets: Mapping[int, Floats], background: Floats, shared: Collection[int]
    ) -> None:
        """Raise the rates of what acts here as on the tank on which the engine did wrong.

        It did wrong there; what both tanks share acts on, so that a good run on the other tank
        speaks for the tank.  What the background does as often need not have acted at all.
        """
        gone: dict[int, Floats] = {}
        for effect in self.library.effects.values():
            if effect.passing:
                gone |= self.stated(effect.id, AEROPLANE, {})
        for i in shared:
            net = nets[i]
            rate = net.sum(axis=1, keepdims=True)
            acted = rate / np.maximum(rate + background.sum(), 1e-12)
            goes = gone[i].sum(axis=1, keepdims=True) if i in gone else 0.0
            held = rate + HOLDS * (1.0 - GOES * goes) * acted * (1.0 - rate)
            net *= np.where(rate > 0.0, held / np.maximum(rate, 1e-12), 1.0)

    def _beside_known(self, table: Table) -> Table:
        """Return ``table`` with the rates of known defects worked into its background."""
        rows = [r for r, i in enumerate(table.active.tolist()) if i in self.known]
        if not rows:
            return table
        stay, weight = 1.0 - table.background.sum(), table.background.copy()
        for r in rows:
            # how bad it is is not in the papers: the mean over the grades
            rate = self.grades[table.active[r]] @ table.net[r]
            stay *= 1.0 - rate.sum()
            weight += rate
        background = (1.0 - stay) * weight / weight.sum()
        rest = [r for r in range(len(table.active)) if r not in rows]
        return Table(table.values, background, table.active[rest], table.net[rest])

    def stated(self, name: str, place: str, known: Mapping[str, str]) -> dict[int, Floats]:
        """Return the net rates that rows state for an effect instance: cause -> (3, V-1)."""
        effect = self.library.effects[name]
        column = {v: k for k, v in enumerate(effect.values[1:])}
        shape = (len(GRADES), len(column))
        empty = [0.0] * (shape[0] * shape[1])
        nets: dict[int, list[float]] = {}
        most: dict[int, list[float]] = {}
        for mode, row, often in self._rows.get(name, ()):
            v = column.get(row.value)
            if v is None:  # a row that says 'normal' only confirms absence
                continue
            shares = self.places.shares(row, self._parts[mode], place, known)
            for i, part in zip(self._at[mode], shares, strict=True):
                if part > 0.0:
                    net, top = nets.setdefault(i, empty[:]), most.setdefault(i, empty[:])
                    # rows for different states add up over what was not stated; rows that
                    # overlap do not: no row makes an effect likelier than its own word
                    for k, word in zip(range(v, len(net), shape[1]), often, strict=True):
                        top[k] = max(top[k], word)
                        net[k] = min(net[k] + word * part, top[k])
        return dict(zip(nets, np.array(list(nets.values())).reshape(-1, *shape), strict=True))

    def _merged(
        self, name: str, place: str, known: Mapping[str, str], nets: dict[int, Floats]
    ) -> dict[int, Floats]:
        """Return the net rates with the predictions worked in, if there are any."""
        if self.predict is None:
            return nets
        stated = {self.instances[i]: net for i, net in nets.items()}
        # the model knows which tank feeds only where the effect depends on it
        depends = self.library.effects[name].depends_on
        asked = {d: v for d, v in known.items() if d in depends}
        merged = self.predict(name, place, asked, stated)
        if merged is None:
            return nets
        return {self.index[c]: net for c, net in merged.items() if c in self.index}

    def _check_table(self, check: Check, place: str) -> Table:
        results = tuple(check.results)
        column = {r: k for k, r in enumerate(results[1:])}
        nets: dict[int, Floats] = {}
        for mode, result, relation, chance in self._checks.get(check.id, ()):
            for i in self._at[mode]:
                if self.places.related(self.instances[i].at, relation, {}).get(place, 0.0) > 0.0:
                    net = nets.setdefault(i, np.zeros((len(GRADES), len(column))))
                    net[:, column[result]] = chance
        each = check.false_find / max(len(column), 1)
        return self._beside_known(_table(results, np.full(len(column), each), nets))

    # ------------------------------------------------------------------ strangers

    def strangers(
        self, table: Table, prior: Floats, removed: frozenset[int] = frozenset()
    ) -> tuple[Ints, Floats]:
        """Return what an unlisted failure of a listed part would do to an effect instance.

        It is taken to do what the listed failures of that part do on average, weighed by
        ``prior``, shape (n+1,).  Result: indices of ``homes`` whose failures act here, shape (h,),
        and their mean net rates, shape (h, V-1).  Causes in ``removed`` count as doing nothing.
        """
        keep = self.home[table.active] >= 0
        active = table.active[keep]
        weight = prior[active]
        if removed:
            weight = weight * ~np.isin(active, sorted(removed))
        mean = np.einsum("a,agv,ag->av", weight, table.net[keep], self.grades[active])
        homes, where = np.unique(self.home[active], return_inverse=True)
        out = np.zeros((len(homes), len(table.background)))
        np.add.at(out, where, mean)
        return homes, out / np.maximum(self.home_mass(prior)[homes, None], 1e-300)

    def home_mass(self, prior: Floats) -> Floats:
        """Return the prior mass of the fuel causes of each home, shape (len(homes),)."""
        mine = self.home >= 0
        out: Floats = np.bincount(  # type: ignore[assignment]
            self.home[mine], weights=prior[:-1][mine], minlength=len(self.homes)
        )
        return out


def _table(values: tuple[str, ...], background: Floats, nets: Mapping[int, Floats]) -> Table:
    order = sorted(nets)
    net = (
        np.array([nets[i] for i in order]) if order else np.zeros((0, len(GRADES), len(background)))
    )
    if order:
        total = net.sum(axis=2, keepdims=True)
        net *= np.where(total > CEILING, CEILING / np.maximum(total, 1e-12), 1.0)
    return Table(values, background, np.array(order, dtype=np.int64), net)
