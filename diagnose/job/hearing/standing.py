"""What is read with the engine stopped and a pump on: 'no pressure' then is the pump's, no run's.

A gauge or lamp that is asked of a run has a question of its own for the engine that stands: the
one read off the same instruments in a stage without a run.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.clauses import Clause
from diagnose.job.hearing.trouble import is_amiss
from diagnose.job.hearing.vocabulary import Suggestion, Vocabulary, asked_here
from diagnose.model import RUNNING, STAGES, Question

STARTING, SLOW = "engine-start", "slow"
"""What tells that an engine stands, unless it only started slowly."""
PUMP_HEARD, SILENT = "booster-noise", "silent"
"""What tells that an electric pump is on, unless nothing is heard of it."""
STATIC = "static"
"""The stage of an engine that stands and is tried."""


class Standing:
    """Whether an engine stands from clause to clause, and what is read of it then."""

    def __init__(self, bench: Bench) -> None:
        self._bench = bench
        self._twins = _twins(bench)
        self._would_not_start = False
        self._pumping = -1  # the sentence in which a pump was last heard running

    def settings(self, clause: Clause) -> Mapping[str, str]:
        """Return the settings of ``clause``; a pump that is heard running in it is on."""
        return {"booster": "on", **clause.settings} if self._is_pumped(clause) else clause.settings

    def _is_pumped(self, clause: Clause) -> bool:
        return self._pumping == clause.sentence

    def stage(self, clause: Clause) -> str:
        """Return the stage of ``clause``; what will not start stands where no run is told."""
        running = clause.own and STAGES.get(clause.stage) in RUNNING
        return STATIC if self._would_not_start and not running else clause.stage

    def take(self, said: list[Suggestion], clause: Clause) -> None:
        """Hold whether the engine stands after what a clause ``said``."""
        if any(s.question == PUMP_HEARD and s.value not in ("", SILENT) for s in said):
            self._pumping = clause.sentence
        starts = [s for s in said if s.question == STARTING and s.value and s.value != SLOW]
        if starts:
            self._would_not_start = any(is_amiss(self._bench, s) for s in starts)
        elif clause.own and STAGES.get(clause.stage) in RUNNING:
            self._would_not_start = False

    def twin(self, question: str, clause: Clause) -> str:
        """Return the question that asks the same of the engine as it stands, else ``question``."""
        twin = self._twins.get(question)
        if twin is None or self.stage(clause) not in twin.stages:
            return question
        return twin.id if twin.needs.items() <= self.settings(clause).items() else question

    def as_read(self, s: Suggestion, clause: Clause) -> Suggestion:
        """Return ``s`` as it is read of the engine as it stands."""
        question = self.twin(s.question, clause)
        if question == s.question:
            return s
        asked = self._bench.library.questions[question]
        at = clause.text.find(s.phrase)
        how = Vocabulary.of(self._bench).how
        said = [
            (hit.words, -k, value)
            for k, value in enumerate(asked.classes)
            for hit in how(asked, value).found(clause.text)
            if hit.start <= at + len(s.phrase) and at <= hit.end
        ]
        value = max(said)[2] if said else s.value if s.value in asked.classes else ""
        means = asked.classes[value] if value else s.phrase
        asks = (question,) if s.asks or not value else ()
        return replace(s, question=question, value=value, means=means, asks=asks, one_of=())


def _twins(bench: Bench) -> Mapping[str, Question]:
    """Return by question of a run the one that reads the same of an engine that stands."""
    asked = [q for q in asked_here(bench) if q.instruments and q.stages]
    runs = [q for q in asked if all(STAGES[s] in RUNNING for s in q.stages)]
    stand = [q for q in asked if not any(STAGES[s] in RUNNING for s in q.stages)]
    return {q.id: t for q in runs for t in stand if (t.instruments, t.at) == (q.instruments, q.at)}
