"""All knowledge of one edition."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from diagnose.model.cases import Finding
from diagnose.model.causes import Cause, Difference
from diagnose.model.checks import Check, Hazard
from diagnose.model.layouts import Layout
from diagnose.model.questions import Effect, Question
from diagnose.model.states import nothing
from diagnose.model.symptoms import Symptom
from diagnose.model.words import Source, ToldAs, Words


@dataclass(frozen=True)
class Library:
    """All knowledge of one edition, frozen; ``edition`` is the hash of every file read.

    ``steps`` are the texts that items share, by id; the items hold them in full.
    """

    root: str
    edition: str
    effects: Mapping[str, Effect]
    questions: Mapping[str, Question]
    symptoms: Mapping[str, Symptom]
    causes: Mapping[str, Cause]
    checks: Mapping[str, Check]
    hazards: Mapping[str, Hazard]
    sources: Mapping[str, Source]
    words: Words
    steps: Mapping[str, str] = field(default_factory=nothing)
    differences: tuple[Difference, ...] = ()  # where the fuel-system model may contradict rows
    unsaid: tuple[Difference, ...] = ()  # what it may show though no row speaks of it
    accounts: tuple[tuple[ToldAs, ...], ...] = ()  # reports told before, by what they told

    def asked(self, finding: Finding) -> Question | Check:
        """Return what ``finding`` is of: a question that it answers, or a check that showed it."""
        return (self.checks if finding.check else self.questions)[finding.question]

    def effect_of(self, question: str) -> Effect:
        """Return the effect that the question of that name reads."""
        return self.effects[self.questions[question].reads]

    def opened_by(
        self, layout: Layout, checks: Iterable[tuple[str, str]], questions: Iterable[str] = ()
    ) -> frozenset[str]:
        """Return what is paid for once these are made and read: access, and the look at joints.

        ``checks``: each with the part at which it was made.
        """
        opened = (self.checks[c].opens(layout.owner_of(at)) for c, at in checks)
        made = frozenset(name for names in opened for name in names)
        return made.union(name for q in questions for name in self.questions[q].opens)
