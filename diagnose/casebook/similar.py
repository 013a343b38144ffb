"""Finished cases like the one in hand: what is alike, what differs, and what was found then.

Two findings are held against each other when they are of one effect at one kind of place and their
run states disagree in nothing that both state.  What is out of the ordinary counts by how seldom
it is among the past cases (its surprise in bits, as in inverse document frequency, Sparck Jones
1972); what is in order counts little.  The likeness is the weight of what is alike over the weight
of all that either tells (Jaccard's ratio, weighted).  Nothing here reaches the ranking.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from diagnose.model import AEROPLANE, Case, CauseAt, Finding, Layout, Library, agree
from diagnose.signs import is_normal

IN_ORDER = 0.25
"""Weight of a finding that is in order [bit]."""
LEAST = 0.5
"""Weight of a finding amiss, however often it was seen [bit]."""
LIKE = 0.15
"""Likeness from which a past case is shown."""


@dataclass(frozen=True)
class Trait:
    """A finding freed from its layout: effect, kind of place, classes, and the state as stated."""

    effect: str
    kind: str
    classes: tuple[str, ...]  # one, or those of an answer left open
    question: str
    amiss: bool
    state: Mapping[str, str]

    @property
    def slot(self) -> tuple[str, str]:
        """Return what two findings must share to be held against each other."""
        return (self.effect, self.kind)

    @property
    def label(self) -> tuple[str, str, tuple[str, ...]]:
        """Return what makes it rare or common: effect, kind of place and classes."""
        return (self.effect, self.kind, self.classes)


@dataclass(frozen=True)
class Alike:
    """One past case held against the findings in hand.

    likeness: 0 to 1.  shared: pairs (finding here, finding then).  differing: the same thing
    looked at, with another answer.  only_then: what was amiss then and is not told here.
    found: what it turned out to be.
    """

    case: Case
    likeness: float
    shared: tuple[tuple[Finding, Finding], ...]
    differing: tuple[tuple[Finding, Finding], ...]
    only_then: tuple[Finding, ...]
    found: tuple[CauseAt, ...]


class PastCases:
    """Past cases made ready to be searched; they may have happened on any of ``layouts``."""

    def __init__(
        self, library: Library, layouts: Mapping[str, Layout], cases: Iterable[Case]
    ) -> None:
        """Index ``cases``; those on other layouts are passed over."""
        self._library = library
        self._layouts = layouts
        self._cases = [
            (case, self._traits(case.findings, layouts[case.layout]))
            for case in cases
            if case.layout in layouts
        ]
        seen = Counter(
            label for _, traits in self._cases for label in {t.label for _, t in traits if t.amiss}
        )
        count = len(self._cases)
        self._bits = {k: max(LEAST, math.log2((1 + count) / (1 + n))) for k, n in seen.items()}
        self._new = max(LEAST, math.log2(1 + count))

    def like(self, findings: Sequence[Finding], layout: Layout, most: int = 5) -> tuple[Alike, ...]:
        """Return the cases most like ``findings`` on ``layout``, best first.

        Only cases that share something out of the ordinary are among them; ties are broken by
        name.
        """
        here = self._traits(findings, layout)
        if not any(t.amiss for _, t in here):
            return ()
        held = (self._held(case, here, there) for case, there in self._cases)
        good = [a for a in held if a is not None and a.likeness >= LIKE]
        return tuple(sorted(good, key=lambda a: (-round(a.likeness, 9), a.case.id))[:most])

    def _traits(
        self, findings: Iterable[Finding], layout: Layout
    ) -> tuple[tuple[Finding, Trait], ...]:
        """Return each answered reading with its trait, once."""
        out: dict[tuple[object, ...], tuple[Finding, Trait]] = {}
        for f in findings:
            question = None if f.check else self._library.questions.get(f.question)
            at = f.places[0]  # those it may be at are of one kind, as a rule
            part = layout.parts.get(at)
            if question is None or not f.value or (part is None and at != AEROPLANE):
                continue
            effect = self._library.effects[question.reads]
            amiss = not is_normal(f, self._library)
            # a state says something only where the effect can depend on it
            state = {d: v for d, v in f.state.known().items() if d in effect.depends_on}
            state.pop("tank", None)  # tanks are named by their layout
            kind = AEROPLANE if part is None else part.kind
            trait = Trait(effect.id, kind, f.classes, question.id, amiss, state)
            out.setdefault((trait.label, question.id, *sorted(state.items())), (f, trait))
        return tuple(out.values())

    def _weight(self, trait: Trait) -> float:
        return self._bits.get(trait.label, self._new) if trait.amiss else IN_ORDER

    def _held(
        self,
        case: Case,
        here: Sequence[tuple[Finding, Trait]],
        there: Sequence[tuple[Finding, Trait]],
    ) -> Alike | None:
        """Return ``case`` held against the findings here; None when nothing amiss is shared."""
        left = list(there)
        shared: list[tuple[Finding, Finding]] = []
        differing: list[tuple[Finding, Finding]] = []
        alike = total = 0.0
        amiss = False
        for f, t in here:
            same = next((x for x in left if _comparable(t, x[1]) and _same(t, x[1])), None)
            total += self._weight(t)
            if same is not None:
                left.remove(same)
                shared.append((f, same[0]))
                alike += self._weight(t)
                amiss = amiss or t.amiss
        if not amiss:
            return None
        met = {id(f) for f, _ in shared}
        for f, t in here:
            other = next((x for x in left if _comparable(t, x[1])), None)
            if id(f) not in met and other is not None:
                left.remove(other)
                differing.append((f, other[0]))
                total += self._weight(other[1])
        only_then = [f for f, t in left if t.amiss]
        total += sum(self._weight(t) for _, t in left if t.amiss)
        weight = {id(f): self._weight(t) for f, t in here}
        shared.sort(key=lambda pair: -weight[id(pair[0])])  # what tells most comes first
        found = tuple(c for c in case.causes if c.cause)
        return Alike(case, alike / total, tuple(shared), tuple(differing), tuple(only_then), found)


def _comparable(a: Trait, b: Trait) -> bool:
    """Return whether two findings are of one thing, in states that do not disagree."""
    return a.slot == b.slot and agree(a.state, b.state)


def _same(a: Trait, b: Trait) -> bool:
    """Return whether they say the same: one class of one question, or both of them in order.

    An answer left open says the same as one of its classes.
    """
    alike = bool(set(a.classes) & set(b.classes))
    if a.question == b.question:
        return alike
    return a.amiss == b.amiss and (alike or not a.amiss)
