"""The run state a report tells of a finding: a stage and settings, as far as they matter to it."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.clauses import Clause, clauses
from diagnose.job.hearing.what_fed import feeding
from diagnose.job.hearing.whereabouts import Where
from diagnose.model import State

STANDING = frozenset({"parked", "refuelling", "static", "after-shut-down"})
"""Stages with no engine running: a neighbour's words lend them to nothing read on a run."""

PARKED = "parked"
"""Told by when it was as well: overnight, by morning."""


def state_told(text: str, bench: Bench, question: str) -> State:
    """Return the run state that ``text`` tells, as far as it matters to ``question``.

    'cruise on the right tank', 'climb, boosters off'; an empty state where it tells none.
    """
    where, stage = Where(bench), ""
    settings: dict[str, str] = {}
    for clause in clauses(text):
        stage = stage or clause.stage
        fed = feeding(where, clause.text) or feeding(where, f"on {clause.text}")
        settings = {**clause.settings, **fed, **settings}
    return state_of(bench, question, stage, settings)


def stage_of(bench: Bench, question: str, clause: Clause) -> str:
    """Return the clause's stage, unless a neighbour lent one in which this cannot be seen.

    'Would not start in the morning' tells when, and nothing of an aeroplane that stands.
    """
    asked = bench.library.questions.get(question)
    unseen = asked is not None and asked.stages and clause.stage not in asked.stages
    elsewhere = clause.stage == PARKED or (clause.lent and clause.stage in STANDING)
    return "" if elsewhere and unseen else clause.stage


def state_of(bench: Bench, question: str, stage: str, settings: Mapping[str, str]) -> State:
    """Return of a clause's state what matters to the question it answers."""
    if not question:
        return State(stage, settings)
    matters = bench.library.effect_of(question).depends_on
    kept = {d: v for d, v in settings.items() if d in matters}
    return State(stage if "power" in matters else "", kept)
