"""A session: findings come, change and go one at a time, and the conclusions follow exactly."""

from __future__ import annotations

import itertools
import weakref
from collections.abc import Callable, Iterable
from typing import Any

from diagnose.model import Finding, Literal
from diagnose.rules.assemble import Known, Where, assemble, evidence_of, symptom_at
from diagnose.rules.book import Book
from diagnose.rules.facts import HOLDS, LiteralFact, RecordingEngine, SignFact
from diagnose.rules.outcome import Evidence, Outcome, SymptomAt
from diagnose.rules.plain import PlainRules
from diagnose.rules.standing import (
    UNKNOWN,
    Slot,
    Slots,
    Standing,
    by_question,
    check_finding,
    judge_sign,
    judge_symptom,
    judge_together,
    slots_of,
)
from diagnose.signs import Sign, signs_in

Spot = tuple[int, str, int]
"""(atom, place of the rule, epoch)."""

Spots = set[Spot]


class Session:
    """The findings of one job and what the rules make of them."""

    def __init__(
        self,
        book: Book,
        plain: PlainRules,
        engine: RecordingEngine,
        give_back: Callable[[RecordingEngine], None],
    ) -> None:
        """Take an empty ``engine``, given back when nobody holds the session any more.

        Use ``RuleBase.session``.
        """
        self._book = book
        self._plain = plain
        self._engine = engine
        weakref.finalize(self, give_back, engine)
        self._findings: dict[int, Finding] = {}
        self._own: dict[int, tuple[Sign, ...]] = {}
        self._slots: Slots = {}
        self._sign_facts: dict[Slot, Any] = {}
        self._signs: dict[str, Sign] = {}
        self._count = 0
        self._rows: dict[str, set[int]] = {}
        self._evidence: dict[str, tuple[Evidence, ...]] = {}
        self._standings: dict[Spot, Standing] = {}
        self._literal_facts: dict[tuple[Spot, bool], Any] = {}
        self._ways: dict[Where, set[int]] = {}
        self._used: dict[int, list[tuple[Where, int]]] = {}
        self._known: dict[Where, SymptomAt] = {}
        self._stale: set[Where] = set()
        self._outcome: Outcome | None = None
        self._fired: list[tuple[int, str]] = []  # (row, '') or (way, place), in order

    # ------------------------------------------------------------------ for callers

    def set(self, key: int, finding: Finding | None) -> None:
        """Give, change or (None) withdraw the finding with the caller's ``key``.

        Raises:
            UsageError: If the finding names an unknown question, place or class; nothing changes.
        """
        if finding == self._findings.get(key):
            return
        if finding is None:
            del self._findings[key], self._own[key]
        else:
            check_finding(finding, self._book.library, self._book.layout)
            self._own[key] = signs_in(finding, self._book.library, self._book.layout, key)
            self._findings[key] = finding
        self._outcome = None
        fresh = slots_of(self._own)
        changed = [s for s in {**self._slots, **fresh} if self._slots.get(s) != fresh.get(s)]
        self._slots = fresh
        self._fired = []
        self._change_signs(changed)
        self._judge(self._touched_by(changed))
        self._run()
        self._climb()

    @property
    def fired(self) -> tuple[str, ...]:
        """Return the names of the rules that fired for the last answer, in order."""
        ways, rows = self._book.ways, self._book.rows
        return tuple(
            f"{ways[n].symptom}@{at}:{n}" if at else f"{rows[n].cause}:{n}" for n, at in self._fired
        )

    def outcome(self) -> Outcome:
        """Return everything concluded from the findings as they stand."""
        if self._outcome is None:
            signs = sorted(self._signs.items(), key=lambda kv: (kv[1].index, kv[1].place))
            evidence = itertools.chain(
                itertools.chain.from_iterable(self._evidence_on(n, s) for n, s in signs),
                self._plain.evidence_left_open(self._findings),
            )
            known = Known(self._findings, self._slots, self._known.values(), evidence)
            confirmed = self._plain.confirmed(self._findings)
            possible = self._plain.possible(self._findings)
            self._outcome = assemble(self._book, known, confirmed, possible)
        return self._outcome

    def _evidence_on(self, number: str, sign: Sign) -> tuple[Evidence, ...]:
        # All rules on a sign fire in the answer that brings it, so this is worked out once.
        if number not in self._evidence:
            self._evidence[number] = evidence_of(self._book, sign, self._rows.get(number, ()))
        return self._evidence[number]

    # ------------------------------------------------------------------ facts in

    def _change_signs(self, changed: Iterable[Slot]) -> None:
        for slot in changed:
            old = self._sign_facts.pop(slot, None)
            if old is not None:
                number = old["sign"]
                self._engine.retract(old)
                self._rows.pop(number, None)
                self._evidence.pop(number, None)
                self._signs.pop(number, None)
            signs = self._slots.get(slot)
            if signs is None or signs[0].check:
                continue  # what a check showed is weighed with the check itself
            sign = signs[0]
            self._count += 1
            number = str(self._count)
            self._signs[number] = sign
            question = self._book.library.questions[sign.question]
            self._sign_facts[slot] = self._engine.declare(
                SignFact(sign=number, question=question.id, effect=question.reads)
            )

    def _touched_by(self, changed: Iterable[Slot]) -> Spots:
        book = self._book
        out: Spots = set()
        for check, question, (_, place, _, epoch) in changed:
            for number in book.signs_read.get((check, question), ()):
                out.update((number, p, epoch) for p in book.spots_near(number, place))
        return out

    def _judge(self, touched: Iterable[Spot]) -> None:
        """Bring the facts of the ``touched`` atoms in line with what is known now."""
        arranged: dict[int, Any] = {}
        for spot in sorted(touched):
            number, place, epoch = spot
            atom = self._book.atoms[number]
            if isinstance(atom, Literal) and atom.kind == "symptom":
                new = judge_symptom(self._book, number, place, self._pairs(atom.name, epoch))
            else:
                if epoch not in arranged:
                    arranged[epoch] = by_question(self._slots, epoch)
                judge = judge_sign if isinstance(atom, Literal) else judge_together
                new = judge(self._book, number, place, arranged[epoch])
            if new != self._standings.get(spot, UNKNOWN):
                self._take(spot, new)

    def _pairs(self, symptom: str, epoch: int) -> dict[str, tuple[bool, bool]]:
        out = {}
        for place in self._book.spots[symptom]:
            item = self._known.get((symptom, place, epoch))
            if item is not None:
                out[place] = (item.verdict != "false", item.verdict != "true")
        return out

    def _take(self, spot: Spot, new: Standing) -> None:
        number, place, epoch = spot
        if new == UNKNOWN:
            self._standings.pop(spot, None)
        else:
            self._standings[spot] = new
        for side, holds in ((True, new.true), (False, new.false)):
            fact = self._literal_facts.get((spot, side))
            if holds and fact is None:
                self._literal_facts[spot, side] = self._engine.declare(
                    LiteralFact(literal=str(number), holds=HOLDS[side], at=place, epoch=str(epoch))
                )
            elif fact is not None and not holds:
                del self._literal_facts[spot, side]
                self._engine.retract(fact)
                for where, way in self._used.pop(fact["__factid__"], ()):
                    self._ways.get(where, set()).discard(way)
        # The rules stay, but the findings they rest on may be others.
        for symptom in self._book.used_by[number]:
            if place in self._book.spots[symptom]:
                self._stale.add((symptom, place, epoch))

    # ------------------------------------------------------------------ conclusions out

    def _run(self) -> None:
        engine = self._engine
        engine.run()
        for kind, number, bound in engine.fired:
            if kind == "row":
                self._rows.setdefault(bound["sign"]["sign"], set()).add(number)
                self._fired.append((number, ""))
                continue
            way = self._book.ways[number]
            if bound["at"] not in self._book.spots[way.symptom]:
                continue  # a literal shared with a symptom of another kind of place
            where = (way.symptom, bound["at"], int(bound["epoch"]))
            self._ways.setdefault(where, set()).add(number)
            self._stale.add(where)
            self._fired.append((number, bound["at"]))
            for name, fact in bound.items():
                if name not in ("at", "epoch"):
                    self._used.setdefault(fact["__factid__"], []).append((where, number))
        engine.fired.clear()

    def _climb(self) -> None:
        """Carry changed symptoms upwards, one stratum at a time."""
        book = self._book
        for layer in range(len(book.strata)):
            here = {w for w in self._stale if book.level[w[0]] == layer}
            self._stale -= here
            touched: Spots = set()
            for where in here:
                if self._renew(where):
                    symptom, place, epoch = where
                    for number in book.symptoms_read.get(symptom, ()):
                        near = book.spots_near(number, place)
                        touched.update((number, p, epoch) for p in near)
            if touched:
                self._judge(touched)
                self._run()

    def _renew(self, where: Where) -> bool:
        """Rebuild what is known at ``where``; return whether its verdict changed."""
        old = self._known.pop(where, None)
        new = symptom_at(
            self._book,
            where,
            self._ways.get(where, ()),
            lambda number, place, epoch: self._standings.get((number, place, epoch), UNKNOWN),
        )
        if new is not None:
            self._known[where] = new
        else:
            self._ways.pop(where, None)
        return (old and old.verdict) != (new and new.verdict)
