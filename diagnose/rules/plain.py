"""The plain evaluator: the same conclusions by nested loops over the tree of each condition.

It is slow on a whole job but needs no compiled network.  It answers the first question while the
rules compile, looks ahead ('what would follow if'), and is the oracle the engine is tested
against; so it shares the definitions in ``book`` but not the code that tests them.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from copy import copy
from dataclasses import replace

from diagnose.in_places import told_each
from diagnose.model import (
    ONE_STATE,
    Combination,
    Condition,
    Finding,
    Layout,
    Library,
    Literal,
    fits,
    literals_of,
)
from diagnose.rules.assemble import Known, Where, assemble, evidence_of, symptom_at
from diagnose.rules.book import Book, Relations
from diagnose.rules.conditions import Atom, inside
from diagnose.rules.outcome import Evidence, Outcome, SymptomAt, Verdict
from diagnose.rules.standing import UNKNOWN, Standing, Support, check_finding, slots_of
from diagnose.signs import Sign, of_one_state, signs_in

Pair = tuple[bool, bool]
"""(known true, known false)."""


def is_confirmed(finding: Finding, library: Library) -> bool:
    """Return whether ``finding`` is sure enough to exclude a cause.

    What a check showed, what was measured, and what was seen or read where the question names no
    instrument whose fault could have given the same reading.  Hearsay and assumption never are.
    """
    if finding.check or finding.known_by == "measured":
        return True
    instruments = library.questions[finding.question].instruments
    return finding.known_by in ("seen", "read") and not instruments


class View:
    """One set of findings as the plain evaluator sees it; answers are worked out when asked."""

    def __init__(
        self, book: Book, findings: Mapping[int, Finding], *, may_be: bool = False
    ) -> None:
        """Take ``findings`` under the caller's keys.

        ``may_be``: take an answer left open for each of its classes at once, so that what it may
        make true is true (and what it may make false is false), as if it were in dispute.

        Raises:
            UsageError: If one names an unknown question, place or class.
        """
        self._book = book
        self._may_be = may_be
        self.findings = findings
        own = {}
        for key, finding in findings.items():
            check_finding(finding, book.library, book.layout)
            own[key] = signs_in(finding, book.library, book.layout, key)
        self.slots = slots_of(own)
        self.epochs = sorted({instance[3] for _, _, instance in self.slots})
        self._pairs: dict[Where, Pair] = {}
        self._atoms: dict[tuple[int, str, int], Standing] = {}

    # ------------------------------------------------------------------ three values

    def pair(self, symptom: str, place: str, epoch: int) -> Pair:
        """Return (known true, known false) for ``symptom`` at ``place`` in ``epoch``."""
        where = (symptom, place, epoch)
        if where not in self._pairs:
            when = self._book.library.symptoms[symptom].when
            self._pairs[where] = self._evaluate(when, place, epoch)
        return self._pairs[where]

    def _evaluate(self, condition: Condition, place: str, epoch: int) -> Pair:
        if isinstance(condition, Literal) or condition.op == ONE_STATE:
            standing = self.atom(condition, place, epoch)
            return standing.true, standing.false
        parts = [self._evaluate(part, place, epoch) for part in condition.parts]
        if condition.op == "not":
            return parts[0][1], parts[0][0]
        if condition.op == "all":
            return all(t for t, _ in parts), any(f for _, f in parts)
        return any(t for t, _ in parts), all(f for _, f in parts)

    def atom(self, atom: Atom, place: str, epoch: int) -> Standing:
        """Return the standing of ``atom`` for a rule at ``place``."""
        spot = (self._book.number_of(atom), place, epoch)
        if spot not in self._atoms:
            over = self._over_places if isinstance(atom, Literal) else self._over_states
            self._atoms[spot] = over(atom, place, epoch)  # type: ignore[arg-type]  # as tested
        return self._atoms[spot]

    def _over_states(self, atom: Combination, place: str, epoch: int) -> Standing:
        """Ask ``atom`` of each run state a finding states, with the signs of that state alone."""
        each = [
            view._held(inside(atom), place, epoch) for view in self._in_each(atom, place, epoch)
        ]
        true = any(s.true for s in each)
        false = bool(each) and all(s.false for s in each)
        return Standing(
            true,
            false,
            _listed(x for s in each if s.true for x in s.by_true),
            _listed(x for s in each for x in s.by_false) if false else (),
        )

    def _in_each(self, atom: Combination, place: str, epoch: int) -> Iterator[View]:
        library, literals = self._book.library, list(literals_of(atom))
        seen = set()
        for (check, question, instance), signs in self.slots.items():
            named = signs[0]
            bears = any(
                self._book.bears(self._book.number_of(x), place, named.place, named.known)[0]
                for x in literals
                if x.name == question
            )
            if check or instance[3] != epoch or not bears or (named.place, named.known) in seen:
                continue
            seen.add((named.place, named.known))
            part = copy(self)
            part._atoms, part.slots = (
                {},
                {
                    slot: found
                    for slot, found in self.slots.items()
                    if not found[0].check
                    and of_one_state(found[0], named, library.effect_of(slot[1]))
                },
            )
            if any(part.atom(x, place, epoch) != UNKNOWN for x in literals):
                yield part

    def _held(self, condition: Condition, place: str, epoch: int) -> Standing:
        """Return the standing of a condition over signs, with the findings behind each side."""
        if isinstance(condition, Literal):
            return self.atom(condition, place, epoch)
        parts = [self._held(part, place, epoch) for part in condition.parts]
        if condition.op == "not":
            return Standing(parts[0].false, parts[0].true, parts[0].by_false, parts[0].by_true)
        true, false = self._evaluate(condition, place, epoch)
        return Standing(
            true,
            false,
            _listed(x for s in parts for x in s.by_true) if true else (),
            _listed(x for s in parts for x in s.by_false) if false else (),
        )

    def _over_places(self, literal: Literal, place: str, epoch: int) -> Standing:
        asked = self._book.asked_places(self._book.number_of(literal), place)
        seen: dict[str, tuple[bool, bool, bool, list[object], list[object]]] = {}
        for other in self._places_known(literal):
            found = self._at(literal, place, other, epoch)
            if found is not None and (found[2] or other in asked):
                seen[other] = found
        if len(asked) < literal.least:
            return UNKNOWN
        certain = {q: s for q, s in seen.items() if s[2]}
        everywhere = len(asked) > 0 and set(asked) <= set(seen)
        if literal.every:
            true = everywhere and not [q for q, s in seen.items() if not s[0]]
            false = bool([q for q, s in certain.items() if s[1]])
            yes, no = seen, {q: s for q, s in certain.items() if s[1]}
        else:
            true = len([q for q, s in certain.items() if s[0]]) >= literal.least
            left = {*asked, *seen} - {q for q, s in seen.items() if s[1]}
            false = len(left) < literal.least
            yes, no = {q: s for q, s in certain.items() if s[0]}, seen
        return Standing(
            true,
            false,
            _listed(x for s in yes.values() for x in s[3]) if true else (),
            _listed(x for s in no.values() for x in s[4]) if false else (),
        )

    def _places_known(self, literal: Literal) -> list[str]:
        if literal.kind == "symptom":
            return list(self._book.spots[literal.name])
        return sorted({key[2][1] for key in self.slots if key[1] == literal.name})

    def _at(
        self, literal: Literal, place: str, other: str, epoch: int
    ) -> tuple[bool, bool, bool, list[object], list[object]] | None:
        """Return (true, false, surely related, for, against) at one place; None if unknown."""
        book, number = self._book, self._book.number_of(literal)
        if literal.kind == "symptom":
            true, false = self.pair(literal.name, other, epoch)
            counts, sure = book.bears(number, place, other, book.own_state(number))
            if not counts or not (true or false):
                return None
            me: list[object] = [(literal.name, other)]
            return true, false, sure, me if true else [], me if false else []
        yes: list[object] = []
        no: list[object] = []
        sure = False
        verdicts: list[Pair] = []
        for signs in self._slots_at(literal, other, epoch):
            fitting = []
            for sign in signs:
                if fits(sign.settings(), literal.state):
                    counts, surely = book.bears(number, place, other, sign.known)
                    if counts:
                        fitting.append(sign)
                        sure = sure or surely
            has = [s.index for s in fitting if set(s.classes) <= set(literal.value)]
            has_not = [s.index for s in fitting if not set(s.classes) & set(literal.value)]
            if signs[0] in fitting and signs[0].index not in (*has, *has_not):
                # what counts leaves it open, whatever disputes it
                has = has_not = [signs[0].index] if self._may_be else []
            if fitting:
                verdicts.append((bool(has), bool(has_not)))
                yes += has
                no += has_not
        if not verdicts:
            return None
        return any(t for t, _ in verdicts), all(f for _, f in verdicts), sure, yes, no

    def _slots_at(self, literal: Literal, place: str, epoch: int) -> Iterator[tuple[Sign, ...]]:
        check = literal.name not in self._book.library.questions
        for (is_check, name, instance), signs in self.slots.items():
            here = (instance[1], instance[3]) == (place, epoch)
            if here and (is_check, name) == (check, literal.name):
                yield signs

    # ------------------------------------------------------------------ everything

    def symptoms(self) -> Iterator[SymptomAt]:
        """Yield what is known of every symptom; the verdict is the tree's, not the rules'."""
        book = self._book
        for symptom in book.library.symptoms.values():
            for place in book.spots[symptom.id]:
                for epoch in self.epochs:
                    true, false = self.pair(symptom.id, place, epoch)
                    if true or false:
                        verdict: Verdict = "conflict" if true and false else _word(true)
                        fired = self._fired(symptom.id, place, epoch)
                        item = symptom_at(book, (symptom.id, place, epoch), fired, self._standing)
                        bare = SymptomAt(symptom.id, place, epoch, verdict, ())
                        yield replace(item or bare, verdict=verdict)

    def _standing(self, number: int, place: str, epoch: int) -> Standing:
        return self.atom(self._book.atoms[number], place, epoch)

    def _fired(self, symptom: str, place: str, epoch: int) -> list[int]:
        out = []
        for number in self._book.ways_of[symptom]:
            wants = self._book.ways[number].wants
            found = [(self.atom(atom, place, epoch), side) for _, side, atom in wants]
            if all(s.true if side else s.false for s, side in found):
                out.append(number)
        return out

    def evidence(self, only: Collection[int] = ()) -> Iterator[Evidence]:
        """Yield the evidence of every sign that counts; ``only``: of these findings, empty: all."""
        winners = [signs[0] for signs in self.slots.values() if not signs[0].check]
        winners = [s for s in winners if not only or s.index in only]
        for sign in sorted(winners, key=lambda s: (s.index, s.place)):
            reads = self._book.library.questions[sign.question].reads
            rows = self._book.rows_on
            both = (*rows.get((False, reads), ()), *rows.get((True, sign.question), ()))
            yield from evidence_of(self._book, sign, both)


def _word(true: bool) -> Verdict:
    return "true" if true else "false"


def _listed(items: Iterator[object]) -> Support:
    return tuple(sorted(set(items)))  # type: ignore[type-var, return-value]  # one kind of item only


class PlainRules:
    """The plain evaluator of one rule book."""

    def __init__(self, book: Book) -> None:
        """Evaluate the rules of ``book``."""
        self.book = book

    @classmethod
    def of(cls, library: Library, layout: Layout, places: Relations) -> PlainRules:
        """Return the evaluator of ``library`` on ``layout``; needs no compiled network.

        Raises:
            KnowledgeError: With every problem found in the rules.
        """
        return cls(Book(library, layout, places))

    def view(self, findings: Mapping[int, Finding]) -> View:
        """Return ``findings`` as the rules see them, to be asked about single symptoms."""
        return View(self.book, findings)

    def outcome(self, findings: Mapping[int, Finding]) -> Outcome:
        """Return everything concluded from ``findings``, keyed by the caller.

        Raises:
            UsageError: If a finding names an unknown question, place or class.
        """
        view = self.view(findings)
        evidence = (*view.evidence(), *self.evidence_left_open(findings))
        known = Known(findings, view.slots, tuple(view.symptoms()), evidence)
        return assemble(self.book, known, self.confirmed(findings), self.possible(findings))

    def possible(self, findings: Mapping[int, Finding]) -> Iterator[Where]:
        """Yield where a symptom that warns or stops is true for some class or place left open.

        Those true anyway are among them.  Nothing where every answer is known.
        """
        if not any(f.one_of or f.one_of_places for f in findings.values()):
            return
        for way in self._ways(findings):
            view = View(self.book, way, may_be=True)
            for symptom in self.book.library.symptoms.values():
                if symptom.warns or symptom.before_run or symptom.stops:
                    for place in self.book.spots[symptom.id]:
                        for epoch in view.epochs:
                            if view.pair(symptom.id, place, epoch)[0]:
                                yield (symptom.id, place, epoch)

    def evidence_left_open(self, findings: Mapping[int, Finding]) -> tuple[Evidence, ...]:
        """Return the evidence of the findings whose place is left open, in any way they are meant.

        Rules conclude nothing from them; the belief weighs each way.
        """
        left = {key for key, f in findings.items() if f.one_of_places}
        if not left:
            return ()
        each = (View(self.book, way).evidence(left) for way in self._ways(findings))
        found = dict.fromkeys(e for some in each for e in some)
        return tuple(sorted(found, key=lambda e: (e.finding, e.at, str(e.cause), str(e.row))))

    def _ways(self, findings: Mapping[int, Finding]) -> Iterator[Mapping[int, Finding]]:
        keys = sorted(findings)
        for way in told_each([findings[k] for k in keys], self.book.library):
            yield dict(zip(keys, way, strict=True))

    def confirmed(self, findings: Mapping[int, Finding]) -> Callable[[Where], bool]:
        """Return a test: is a symptom true, and only true, on the confirmed findings alone?"""
        views: list[View] = []

        def test(where: Where) -> bool:
            if not views:
                sure = {k: f for k, f in findings.items() if is_confirmed(f, self.book.library)}
                views.append(self.view(sure))
            return views[0].pair(*where) == (True, False)

        return test
