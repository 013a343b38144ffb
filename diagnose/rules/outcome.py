"""What the rules conclude from the findings: frozen, ordered, each item with its trace.

``finding`` and ``findings`` are the keys the caller gave its findings (their index in the job).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal as Choice
from typing import NamedTuple

from diagnose.errors import Origin
from diagnose.model import CauseAt, Finding
from diagnose.rules.conditions import Atom

Verdict = Choice["true", "false", "conflict"]
"""What is known of a symptom at a place; one of which nothing is known is absent."""


@dataclass(frozen=True)
class Dispute:
    """Findings that give one question different classes at one place in one state.

    The last of ``findings`` is the one that counts as evidence.
    """

    question: str  # or the check
    at: str
    findings: tuple[int, ...]


@dataclass(frozen=True)
class Ground:
    """One atom a rule rested on, and what made it known: findings, or lower symptoms."""

    atom: Atom
    holds: bool
    findings: tuple[int, ...]
    symptoms: tuple[tuple[str, str], ...]  # (symptom, place), of the same epoch


@dataclass(frozen=True)
class Trace:
    """One rule that fired: ``shows`` is the side."""

    symptom: str
    at: str
    epoch: int
    shows: bool
    origin: Origin
    grounds: tuple[Ground, ...]


@dataclass(frozen=True)
class SymptomAt:
    """What is known of one symptom at one place in one epoch, and every rule that says so."""

    symptom: str
    at: str
    epoch: int
    verdict: Verdict
    traces: tuple[Trace, ...]


@dataclass(frozen=True)
class Points:
    """The causes a true symptom names.

    ``never`` are the causes it makes impossible; none unless it rests on confirmed findings.
    """

    symptom: str
    at: str
    to: tuple[CauseAt, ...]
    against: tuple[CauseAt, ...]
    never: tuple[CauseAt, ...]


class Evidence(NamedTuple):
    """One row of a cause that speaks of one sign; belief weighs exactly these.

    ``at`` is the place of the sign: the finding's own, or another when it said that the others
    are normal.
    """

    finding: int
    at: str
    cause: CauseAt
    row: Origin


@dataclass(frozen=True)
class Caution:
    """A warning or a stop of a symptom.

    ``disputed`` when the symptom is in conflict, or may be true by an answer left open.  ``epoch``:
    between which repairs it was seen.
    """

    symptom: str
    at: str
    text: str
    origin: Origin
    disputed: bool
    epoch: int


@dataclass(frozen=True)
class Step:
    """One line of a chain: how deep, and the rule, ground or finding there."""

    depth: int
    item: Trace | Ground | int


@dataclass(frozen=True)
class Outcome:
    """Everything concluded from one set of findings.

    ``symptoms`` holds, per (symptom, place), the latest epoch that knows it; what earlier epochs
    knew is in ``earlier``.
    """

    findings: Mapping[int, Finding]
    disputes: tuple[Dispute, ...]
    symptoms: Mapping[tuple[str, str], SymptomAt]
    earlier: tuple[SymptomAt, ...]
    evidence: tuple[Evidence, ...]
    points: tuple[Points, ...] = ()
    cautions: tuple[Caution, ...] = ()
    before_run: tuple[Caution, ...] = ()
    stops: tuple[Caution, ...] = ()

    def verdict(self, symptom: str, at: str) -> Verdict | None:
        """Return what is known of ``symptom`` at ``at``, None when nothing is."""
        found = self.symptoms.get((symptom, at))
        return found.verdict if found else None

    def traces(self, symptom: str, at: str, epoch: int) -> tuple[Trace, ...]:
        """Return the rules that spoke of ``symptom`` at ``at`` in ``epoch``."""
        now = self.symptoms.get((symptom, at))
        if now and now.epoch == epoch:
            return now.traces
        for old in self.earlier:
            if (old.symptom, old.at, old.epoch) == (symptom, at, epoch):
                return old.traces
        return ()

    def chain(self, symptom: str, at: str) -> Iterator[Step]:
        """Yield every step from ``symptom`` down to the findings it rests on, depth first."""
        now = self.symptoms.get((symptom, at))
        for trace in now.traces if now else ():
            yield from self._below(trace, 0)

    def _below(self, trace: Trace, depth: int) -> Iterator[Step]:
        # Strata forbid cycles, so this ends.
        yield Step(depth, trace)
        for ground in trace.grounds:
            yield Step(depth + 1, ground)
            for key in ground.findings:
                yield Step(depth + 2, key)
            for symptom, at in ground.symptoms:
                for lower in self.traces(symptom, at, trace.epoch):
                    if lower.shows == ground.holds:
                        yield from self._below(lower, depth + 2)

    def leaves(self, symptom: str, at: str) -> tuple[int, ...]:
        """Return the keys of all findings that ``symptom`` at ``at`` rests on, in order."""
        return tuple(sorted({s.item for s in self.chain(symptom, at) if isinstance(s.item, int)}))
