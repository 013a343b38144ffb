"""One symptom put to the engine and to the plain evaluator at once."""

from __future__ import annotations

from typing import Any

from rules.rules_kit import (
    FakePlaces,
    found,
    library,
    question,
    sign,
    symptom,
    two_sides,
)

from diagnose.model import Condition, Finding, Library
from diagnose.rules import Outcome, RuleBase

PRESSURE = "fuel-pressure"
LOW = found(PRESSURE, "low", booster="off")
LOW_TOO = found(PRESSURE, "low", at="engine-2", booster="off")
NORMAL = found(PRESSURE, "normal", booster="off")
NORMAL_TOO = found(PRESSURE, "normal", at="engine-2", booster="off")


def concluded(book: Library, *findings: Finding, engines: int = 2) -> Outcome:
    """The outcome of ``findings`` from the engine; the plain evaluator must agree."""
    layout = two_sides(engines)
    base = RuleBase.compile(book, layout, FakePlaces(layout))
    session = base.session()
    for key, finding in enumerate(findings):
        session.set(key, finding)
    outcome = session.outcome()
    assert outcome == base.plain.outcome(dict(enumerate(findings)))
    return outcome


def verdict(
    when: Condition, *findings: Finding, at: str = "engine", spot: str = "engine-1", **more: Any
) -> str | None:
    """The verdict on one symptom 's' at ``spot``."""
    questions = [
        question(PRESSURE, ("normal", "low", "high")),
        question("contents", ("some", "none"), at="tank", depends_on=()),
    ]
    floor = symptom("floor", sign(PRESSURE, "low"))
    book = library(questions, [symptom("s", when, at=at), floor])
    return concluded(book, *findings, **more).verdict("s", spot)
