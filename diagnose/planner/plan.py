"""Choosing the next action.

Every reading is scored by the bits it gives; the best are weighed by what they save: expected
minutes of the plain plan now, less its expectation after the answer, less the price of asking.
A run of the engine is one action: a bundle of readings whose start is paid once.  When nothing is
worth asking, the plain plan's first check is next.  Perishable evidence goes before what would
destroy it, and gates before any run.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from diagnose.belief import Held, Posterior
from diagnose.belief.hypotheses import Floats
from diagnose.by_key import by_key
from diagnose.planner.actions import (
    Action,
    Catalogue,
    Reading,
    Situation,
    evidence_lost,
    taken_along,
)  # fmt: skip
from diagnose.planner.check_order import LEAST_MASS, CheckOrder
from diagnose.planner.joint import bits_of, joint_gain, split
from diagnose.planner.outlook import ClassTable, Outlook, reading_table
from diagnose.planner.sequencing import Test, lookahead
from diagnose.planner.worth import HAND_OVER, LIKELIER, Purse, after, joint_minutes

SHORT_LIST = 40
"""Readings weighed in minutes after the first sift by bits."""

BUNDLE = 8
"""Most readings of one run that are weighed together."""

AHEAD_ACTIONS = 5
"""Singles looked at with one more question after each, by what they save alone."""

AHEAD_TELLING = 2
"""And by bits a minute: what tells much may save nothing before the question after it."""

ATTENTION = 0.5
"""Minutes an answer must save beyond its price to be asked for (this project's statement)."""

RETURN = 0.3
"""And share of its own price: eight minutes of dipping to save one are not worth the trust that the
figures deserve (this project's statement)."""

FADING = 0.5
"""What does not keep is asked before what is on paper if it saves this share of it (no source)."""

LEAST_BITS = 0.003
"""An answer that tells less than this is not worth a place on a card."""


@dataclass(frozen=True)
class Plan:
    """The next action, why, and what else was weighed.

    action: None when nothing here can help (hand over).  others: runners-up, best first.
    greedy: whether the deadline cut the weighing short.
    worth_it: whether the job is better gone on with than handed over; if not, ``action`` is only
    the next one down the ranking.
    """

    action: Action | None
    others: tuple[Action, ...]
    greedy: bool
    worth_it: bool = True


@dataclass(frozen=True, eq=False)
class Scored:
    """A reading, what its answer would say, and its bits about the hypothesis."""

    reading: Reading
    bits: float
    outlook: Outlook
    table: ClassTable

    @cached_property
    def given(self) -> Floats:
        """Return P(class | hypothesis), shape (H, C)."""
        return self.outlook.given(self.table)


@dataclass(frozen=True)
class _Sifted:
    """The readings that could move one belief, by bits, and the bundles chosen from them."""

    posterior: Posterior
    outlook: Outlook
    scored: tuple[Scored, ...]
    bundles: dict[tuple[tuple[str, str, str], ...], tuple[Scored, ...]]


class Planner(CheckOrder):
    """Plans for one layout; keeps the catalogue of what can be done."""

    def __init__(
        self, catalogue: Catalogue, clock: Callable[[], float] = time.perf_counter
    ) -> None:
        """Use ``catalogue``; ``clock`` in seconds."""
        super().__init__(catalogue)
        self._clock = clock
        self._last: _Sifted | None = None
        self._turn = {r.key: k for k, r in enumerate(catalogue.readings)}
        checks = catalogue.net.library.checks.values()
        self._same_act = by_key((check.same_as, check.id) for check in checks)

    def next(
        self,
        belief: Held,
        posterior: Posterior,
        situation: Situation,
        deadline: float,
    ) -> Plan:
        """Return the next action; the greedy answer stands if ``deadline`` seconds pass."""
        sifted = self._sifted(belief, posterior)
        started = self._clock()  # without the sift no plan is worth having, however late
        outlook = sifted.outlook
        purse = self.purse(outlook, situation)
        now = float(purse.value(outlook.weights[None, :])[0])
        scored = [s for s in sifted.scored if self._can_read(s.reading, situation)]
        singles = [s for s in scored if not s.reading.is_run]
        runs = [s for s in scored if s.reading.is_run] if situation.may_run else []
        weighed: list[Action] = []
        greedy = False
        for s in _short_list(singles, self.catalogue)[:SHORT_LIST]:
            if self._clock() - started > deadline:
                greedy = True
                break
            weighed.append(self.weigh(outlook, purse, now, (s,)))
        if runs and not greedy:
            bundle = self._bundle(sifted, runs)
            weighed.append(self.weigh(outlook, purse, now, bundle))
        weighed += self.narrowing(outlook, purse, now, situation)
        best_check = self.first_check(outlook, purse, situation)
        weighed.sort(key=lambda a: (-round(a.saves, 9), a.minutes, _name(a)))
        if not greedy and self._clock() - started < deadline / 2:
            weighed = self._look_further(outlook, purse, now, weighed, scored)
        best = next(
            (a for a in weighed if a.saves > max(ATTENTION, RETURN * a.minutes)), best_check
        )
        no_way_pays = now >= (1.0 - 1e-9) * HAND_OVER
        dear = best is not None and best is best_check and no_way_pays and best.chance < LIKELIER
        if best is None and weighed and weighed[0].gain > LEAST_BITS:
            best = weighed[0]
        if best is not None and best.is_run:
            best = self.check_before_run(best.minutes, outlook, purse, situation) or best
        if best is not None:
            best = self._before_it_is_lost(best, weighed)
            best = self._first_things_first(best, scored, outlook, purse, now, situation)
        others = tuple(a for a in weighed if a is not best)[:5]
        return Plan(best, others, greedy, not dear)

    # ------------------------------------------------------------------ scoring

    def sift(
        self, belief: Held, posterior: Posterior, situation: Situation
    ) -> tuple[Outlook, list[Scored]]:
        """Return the outlook, and the readings that tell something now, most telling first."""
        sifted = self._sifted(belief, posterior)
        return sifted.outlook, [s for s in sifted.scored if self._can_read(s.reading, situation)]

    def telling(
        self, belief: Held, posterior: Posterior, readings: Sequence[Reading]
    ) -> list[tuple[Reading, float]]:
        """Return ``readings`` with the bits each would give now, most telling first."""
        outlook = Outlook(belief, posterior)
        told = [(r, outlook.bits(reading_table(belief, r))) for r in readings]
        return sorted(told, key=lambda x: (-round(x[1], 9), x[0].key))

    def _sifted(self, belief: Held, posterior: Posterior) -> _Sifted:
        """Return every reading that could move the belief, by bits; kept while it stands still.

        A 'not checked' changes what may be asked next and nothing else, so its plan is made of
        what the plan before it was made of.
        """
        if self._last is not None and self._last.posterior is posterior:
            return self._last
        outlook = Outlook(belief, posterior)
        scored = []
        for r in self.catalogue.readings:
            table = reading_table(belief, r)
            if outlook.mass_on(table.active) < LEAST_MASS:
                continue  # whatever it showed, it could not move the belief
            bits = outlook.bits(table)
            if bits > LEAST_BITS:
                scored.append(Scored(r, bits, outlook, table))
        scored.sort(key=lambda s: (-s.bits, s.reading.key))
        self._last = _Sifted(posterior, outlook, tuple(scored), {})
        return self._last

    def _can_read(self, reading: Reading, situation: Situation) -> bool:
        """Return whether ``reading`` may still be asked for with what is at hand."""
        q = self.catalogue.net.library.questions[reading.question]
        if reading.key in situation.asked or self.catalogue.gone(reading, situation.lost):
            return False
        # what was looked at as a check, or could not be, is not asked for once more as a reading
        same = self._same_act.get(reading.question, ())
        if any((check, reading.place) in situation.done for check in same):
            return False
        return situation.has(q)

    def _bundle(self, sifted: _Sifted, runs: Sequence[Scored]) -> tuple[Scored, ...]:
        pool = tuple(s.reading.key for s in runs[: 3 * BUNDLE])
        if pool not in sifted.bundles:
            sifted.bundles[pool] = self.bundle(sifted.outlook, runs)
        return sifted.bundles[pool]

    def bundle(
        self, outlook: Outlook, runs: Sequence[Scored], size: int = BUNDLE
    ) -> tuple[Scored, ...]:
        """Return the readings of ONE run that together tell most, chosen one after another."""
        weights = outlook.weights[None, :]
        chosen: list[Scored] = []
        pool = list(runs[: 3 * size])
        while pool and len(chosen) < size:
            gains = [joint_gain(weights, s.given) for s in pool]
            k = int(np.argmax(gains))
            if gains[k] < LEAST_BITS * 3:
                break
            s = pool.pop(k)
            chosen.append(s)
            weights = split(weights, s.given)
        return tuple(chosen) or (runs[0],)

    def weigh(self, outlook: Outlook, purse: Purse, now: float, scored: Sequence[Scored]) -> Action:
        """Return the readings ``scored`` as one action, weighed against ``now`` minutes."""
        joint = outlook.weights[None, :]
        for s in scored:
            joint = split(joint, s.given)
        mass = joint.sum(axis=1)
        value = purse.value(joint / np.maximum(mass, 1e-300)[:, None])
        minutes = self.minutes_of([s.reading for s in scored], purse.opened)
        gain = scored[0].bits if len(scored) == 1 else bits_of(outlook.weights, joint)
        return Action(
            tuple(s.reading for s in scored),
            minutes=minutes,
            gain=gain,
            saves=now - float(mass @ value) - minutes,
        )

    def minutes_of(
        self, readings: Sequence[Reading], opened: frozenset[str] = frozenset()
    ) -> float:
        """Return the price of a bundle: one start, each state set up once, each reading taken.

        What is carried from place to place, a stick, a jar, takes its full time at the first alone.
        ``opened``: what is paid for already, a joint among it.
        """
        library = self.catalogue.net.library
        states = {r.run_state.id: r.run_state for r in readings if r.run_state is not None}
        start = max((s.start_minutes for s in states.values() if s.engine_running), default=0.0)
        held = sum(s.minutes for s in states.values())
        taken, begun = 0.0, set()
        for r in readings:
            q = library.questions[r.question]
            # the jar in hand goes to the other drain too
            go = (q.tools or (r.question,), r.state_id)
            minutes = q.next_minutes if q.next_minutes and go in begun else q.minutes
            taken += minutes * (1.0 + 0.5 * (q.hands - 1))
            begun.add(go)
        asked = {r.question for r in readings}
        joint = max((joint_minutes(library.questions[q], opened) for q in asked), default=0.0)
        return start + held + taken + joint

    def _look_further(
        self,
        outlook: Outlook,
        purse: Purse,
        now: float,
        weighed: list[Action],
        scored: Sequence[Scored],
    ) -> list[Action]:
        """Weigh the best few singles again with one more question after each."""
        of_key = {s.reading.key: s for s in scored}
        singles = [a for a in weighed if len(a.readings) == 1]
        telling = sorted(singles, key=lambda a: (-a.gain / (a.minutes + 1.0), _name(a)))
        few = list(
            {_name(a): a for a in (*singles[:AHEAD_ACTIONS], *telling[:AHEAD_TELLING])}.values()
        )
        tests = [Test(of_key[a.readings[0].key].given, a.minutes) for a in few]
        again: list[Action] = []
        for k, a in enumerate(few):
            rest = [t for j, t in enumerate(tests) if j != k]
            mass, posts = after(outlook.weights, tests[k].given)
            cost = a.minutes + sum(
                float(m) * lookahead(p, rest, purse.value, 1)[0]
                for m, p in zip(mass, posts, strict=True)
                if m > 1e-6
            )
            again.append(replace(a, saves=now - cost))
        rest_of = [a for a in weighed if a not in few]
        return sorted([*again, *rest_of], key=lambda a: (-round(a.saves, 9), a.minutes, _name(a)))

    # ------------------------------------------------------------------ order of things

    def before_it(
        self, action: Action, belief: Held, posterior: Posterior, situation: Situation
    ) -> Action:
        """Return what is looked at before ``action`` destroys it at any of its places, or that."""
        outlook, scored = self.sift(belief, posterior, situation)
        purse = self.purse(outlook, situation)
        now = float(purse.value(outlook.weights[None, :])[0])
        return self._first_things_first(action, scored, outlook, purse, now, situation)

    def _before_it_is_lost(self, best: Action, weighed: Sequence[Action]) -> Action:
        """Return what does not keep and is worth its minutes, where ``best`` is only on paper.

        A docket says the same tomorrow; the drop in the strainer is gone once something is opened.
        """
        questions = self.catalogue.net.library.questions
        if best.is_check or not all(questions[r.question].on_paper for r in best.readings):
            return best
        fading = (
            a
            for a in weighed
            if a.saves > max(ATTENTION, FADING * best.saves)
            and not a.is_run
            and a.readings
            and all(questions[r.question].perishable for r in a.readings)
        )
        return next(fading, best)

    def _first_things_first(
        self,
        best: Action,
        scored: Sequence[Scored],
        outlook: Outlook,
        purse: Purse,
        now: float,
        situation: Situation,
    ) -> Action:
        if best.is_run and situation.open_gates:
            return best  # the gates are asked before it, and the plan is made anew
        once = [s for s in scored if s.bits > 5 * LEAST_BITS and not s.reading.is_run]
        passed = {r.key for r in best.readings}
        while True:
            destroys = self._destroyed_by(best)
            before = (
                s
                for s in once
                if s.reading.key not in passed and self.catalogue.gone(s.reading, destroys)
            )
            s = next(before, None)
            if s is None:
                return self.check_kept_first(destroys, outlook, purse, situation) or best
            # the same act would destroy what is seen at the next place as well
            question = self.catalogue.net.library.questions[s.reading.question]
            go = (
                [s]
                if not taken_along(question)
                else [
                    x
                    for x in once
                    if x.reading.question == s.reading.question
                    and x.reading.state_id == s.reading.state_id
                    and x.reading.key not in passed
                    and self.catalogue.gone(x.reading, destroys)
                ]
            )
            go.sort(key=lambda x: self._turn[x.reading.key])
            passed.update(x.reading.key for x in go)
            best = self.weigh(outlook, purse, now, go)

    def _destroyed_by(self, action: Action) -> frozenset[str]:
        """Return the evidence that can be had only before ``action``."""
        library = self.catalogue.net.library
        if action.is_check:
            check = library.checks[action.check]
            return frozenset(x for at in action.places for x in evidence_lost(check, at))
        asked = [(library.questions[r.question], r.place) for r in action.readings]
        return frozenset(x for q, place in asked for x in evidence_lost(q, place))


def _name(action: Action) -> tuple[tuple[str, str, str], ...]:
    return tuple(r.key for r in action.readings) or ((action.check, action.at, ""),)


def _short_list(scored: Sequence[Scored], catalogue: Catalogue) -> list[Scored]:
    """Return the readings by bits per minute, with the most telling ones in any case."""
    library = catalogue.net.library

    def rate(s: Scored) -> float:
        state = s.reading.run_state
        return s.bits / (
            library.questions[s.reading.question].minutes + (state.minutes if state else 0.0) + 1.0
        )

    by_rate = sorted(scored, key=lambda s: (-rate(s), s.reading.key))
    return list({s.reading.key: s for s in [*by_rate[: SHORT_LIST - 10], *scored[:10]]}.values())
