"""What each answer would say: the likeliest hypotheses and P(class | hypothesis, data).

Look-ahead works on at most ``AHEAD`` hypotheses (single causes by grade, likely pairs, strangers);
the mass they cover is stated.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from weakref import WeakKeyDictionary

import numpy as np

from diagnose.belief import BeliefNet, Held, Mixed, Posterior
from diagnose.belief.factors import stranger_nets
from diagnose.belief.hypotheses import Floats
from diagnose.belief.net import Ints, value_given_cause
from diagnose.model import CauseAt
from diagnose.planner.actions import Reading
from diagnose.planner.worth import bits_left
from diagnose.signs import InstanceKey, instance_of

AHEAD = 600
"""Hypotheses looked ahead on."""

_STORES: WeakKeyDictionary[BeliefNet, dict[bytes, dict[object, ClassTable]]] = WeakKeyDictionary()
"""Class tables of untouched instances by prior, kept as long as their net lives."""

PRIORS_KEPT = 4
"""Priors (jobs with other work before them) whose tables are kept at once."""


@dataclass(frozen=True)
class ClassTable:
    """P(class | cause, grade) for one reading.

    default: for causes that do not act, shape (C,).  active: causes that do, shape (a,).
    rows: shape (a, 3, C).  homes, strangers: parts whose unlisted failures act here, shape (h,),
    and P(class | such a failure) for the three strangers, shape (h, 3, C).
    """

    classes: tuple[str, ...]
    default: Floats
    active: Ints
    rows: Floats
    homes: Ints
    strangers: Floats

    @cached_property
    def entropies(self) -> tuple[float, Floats]:
        """Return the bits left in the answer, by default and per row: a number and (a, 3)."""
        return float(bits_left(self.default)), bits_left(self.rows)


class Outlook:
    """The hypotheses of one posterior, and what each would answer."""

    def __init__(self, belief: Held, posterior: Posterior) -> None:
        """Take the likeliest single causes, all grades, until ``AHEAD`` hypotheses are held."""
        self.belief = belief
        self._names = posterior.causes
        n = len(posterior.causes)
        # a pair is carried by its members: the marginal is what a check of either can find
        still = posterior.marginal.copy()
        still[list(belief.removed)] = 0.0  # what was put right can be found no more
        mass = still / max(still.sum(), 1e-300)
        order = np.argsort(-mass, kind="stable")[: AHEAD // 3]
        self.causes: Ints = np.sort(order)
        self._mass: Floats = mass
        # by stranger: where it would be, given that it is that one
        whole = np.maximum(posterior.strangers.sum(axis=0, keepdims=True), 1e-300)
        self._strangers: Floats = posterior.strangers / whole
        weights = mass[self.causes, None] * posterior.grades[self.causes]
        self.weights: Floats = weights.ravel() / max(weights.sum(), 1e-300)
        self._place = np.full(n, -1, dtype=np.int64)
        self._place[self.causes] = np.arange(len(self.causes))
        self.unknown = int(self._place[n - 1])

    def mass_on(self, active: Ints) -> float:
        """Return the belief held by the causes ``active``."""
        return float(self._mass[active].sum())

    def given(self, table: ClassTable) -> Floats:
        """Return P(class | hypothesis), shape (H, C)."""
        k = len(self.causes)
        out = np.tile(table.default, (k, 3, 1))
        at = self._place[table.active]
        here = at >= 0
        out[at[here]] = table.rows[here]
        if self.unknown >= 0:
            out[self.unknown] = self._unlisted(table)
        return out.reshape(3 * k, -1)

    def _unlisted(self, table: ClassTable) -> Floats:
        """Return P(class | something not in the knowledge) for the three strangers, (3, C)."""
        share = self._strangers[table.homes]
        moved: Floats = np.einsum("hs,hsc->sc", share, table.strangers - table.default)
        return table.default + moved

    def bits(self, table: ClassTable) -> float:
        """Return the bits the answer is expected to give about the hypothesis.

        Equal to the entropy gain of ``given(table)``; whoever does not act here answers by
        default, so only those that do are looked at one by one.
        """
        weights = self.weights.reshape(-1, 3)
        at = self._place[table.active]
        here = at >= 0
        acts, (usual, each) = weights[at[here]], table.entropies
        mean = table.default + np.einsum("ag,agc->c", acts, table.rows[here] - table.default)
        inside = usual + float((acts * (each[here] - usual)).sum())
        if self.unknown >= 0:
            mine, rows = weights[self.unknown], self._unlisted(table)
            mean = mean + mine @ (rows - table.default)
            inside += float(mine @ (bits_left(rows) - usual))
        return float(bits_left(mean)) - inside

    def afterwards(self, given: Floats) -> tuple[Floats, Floats]:
        """Return P(class), shape (C,), and P(cause | class) of ``causes``, shape (k, C).

        given: P(class | hypothesis), shape (H, C).
        """
        per = (self.weights[:, None] * given).reshape(len(self.causes), 3, -1).sum(axis=1)
        chance = per.sum(axis=0)
        return chance, per / np.maximum(chance, 1e-300)

    def named(self, place: int) -> CauseAt:
        """Return the cause in row ``place`` of what this outlook gives by cause."""
        return self._names[int(self.causes[place])]

    def parted(self, given: Floats) -> tuple[CauseAt, ...]:
        """Return the likeliest cause and the one best told from it, by belief and difference.

        given: P(class | hypothesis), shape (H, C).  Empty when all answer much alike.  A stranger
        could answer anything; it is never named.
        """
        per = (self.weights[:, None] * given).reshape(len(self.causes), 3, -1).sum(axis=1)
        mass = per.sum(axis=1)
        if self.unknown >= 0:
            mass[self.unknown] = 0.0
        first = int(np.argmax(mass))
        says = per / np.maximum(per.sum(axis=1, keepdims=True), 1e-300)
        apart = 0.5 * np.abs(says - says[first]).sum(axis=1)
        worth = mass * np.where(apart > 0.2, apart, 0.0)
        other = int(np.argmax(worth))
        if worth[other] <= 0.0:
            return ()
        return tuple(self.named(k) for k in (first, other))


def reading_table(belief: Held, reading: Reading) -> ClassTable:
    """Return P(class | cause, grade, data) for ``reading``, its known signs included."""
    net = belief.net
    question = net.library.questions[reading.question]
    effect = net.library.effects[question.reads]
    state = belief.in_use.settings(reading.state.known(), effect, reading.place)
    key = instance_of(effect, reading.place, state, belief.epoch)
    if isinstance(belief, Mixed):
        each = [reading_table(b, reading) for b in belief.beliefs if key in belief.varying]
        return mixed_table(belief, each) if each else reading_table(belief.beliefs[0], reading)
    known = belief.factors.get(key)

    def made() -> ClassTable:
        like = known.like if known is not None else np.ones(len(effect.values))
        shown = net.instruments.shown(question, reading.place, state)
        bent = net.instruments.bent(question.id, reading.place, state)
        return _table(belief, key, tuple(question.classes), shown, like, bent)

    return made() if known is not None else _kept(belief, (question.id, *key[:3]), made)


def mixed_table(belief: Mixed, tables: Sequence[ClassTable]) -> ClassTable:
    """Return P(class | cause, grade, data) over the ways in which the findings can be meant.

    ``tables``: that of each way.  How likely a way is depends on the cause, so every cause has a
    row of its own.
    """
    n, classes = len(belief.prior.causes) - 1, len(tables[0].classes)
    top, bottom = np.zeros((n, 3, classes)), np.zeros((n, 3, 1))
    strange, strangers = np.zeros((3, classes)), np.zeros((3, 1))
    ways = zip(belief.chances.tolist(), belief.posteriors, tables, strict=True)
    for chance, posterior, table in ways:
        rows = np.tile(table.default, (n, 3, 1))
        rows[table.active] = table.rows
        # never quite nothing, so that a cause no way allows still answers something
        there = chance * (posterior.single[:-1, None] * posterior.grades[:-1])[..., None] + 1e-300
        top += there * rows
        bottom += there
        mass = posterior.strangers.sum(axis=0)
        share = posterior.strangers[table.homes] / np.maximum(mass, 1e-300)
        moved = np.einsum("hs,hsc->sc", share, table.strangers - table.default)
        unlisted = (chance * posterior.single[-1] * mass)[:, None] + 1e-300
        strange += unlisted * (table.default + moved)
        strangers += unlisted
    homes: Ints = np.arange(len(belief.net.homes))
    one = np.tile(strange / strangers, (len(homes), 1, 1))  # the same wherever it is
    default = belief.chances @ np.array([t.default for t in tables])
    return ClassTable(tables[0].classes, default, np.arange(n), top / bottom, homes, one)


def check_table(belief: Held, check: str, place: str) -> ClassTable:
    """Return P(result | cause, grade) for a check at a part."""
    results = tuple(belief.net.library.checks[check].results)
    key: InstanceKey = (check, place, (), belief.epoch)
    sure, open_ = np.eye(len(results)), np.ones(len(results))
    return _kept(belief, key[:3], lambda: _table(belief, key, results, sure, open_, {}))


def _kept(belief: Held, slot: object, made: Callable[[], ClassTable]) -> ClassTable:
    """Return the table of an instance on which nothing is known: the same for every such job."""
    if belief.removed:
        return made()
    by_prior = _STORES.setdefault(belief.net, {})
    prior = belief.prior.prior.tobytes()
    if prior not in by_prior:
        while len(by_prior) >= PRIORS_KEPT:
            del by_prior[next(iter(by_prior))]
        by_prior[prior] = {}
    store = by_prior[prior]
    if slot not in store:
        store[slot] = made()
    return store[slot]


def _table(
    belief: Held,
    key: InstanceKey,
    classes: tuple[str, ...],
    shown: Floats,
    like: Floats,
    distorted: dict[int, Floats],
) -> ClassTable:
    net = belief.net
    table = net.table(key)
    bent = np.array(sorted(distorted), dtype=np.int64)
    active: Ints = np.union1d(table.active, bent)
    gone = np.isin(active, sorted(belief.removed))
    values = np.where(gone[:, None, None], table.usual, table.rows(active)[1]) * like
    values /= np.maximum(values.sum(axis=-1, keepdims=True), 1e-300)
    rows = values @ shown
    for r, i in zip(np.searchsorted(active, bent).tolist(), bent.tolist(), strict=True):
        rows[r] = np.einsum("gv,gvc->gc", values[r], distorted[i])
    none = table.usual * like
    default = (none / none.sum()) @ shown
    homes, mean = net.strangers(table, belief.prior.prior, belief.removed)
    strange = value_given_cause(table, stranger_nets(mean)) * like
    strange /= np.maximum(strange.sum(axis=-1, keepdims=True), 1e-300)
    return ClassTable(classes, default, active, rows, homes, strange @ shown)
