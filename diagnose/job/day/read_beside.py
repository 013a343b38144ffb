"""What is read off the panel beside a reading: lamp beside gauge, gauge beside engine.

A rule that holds two signs of one run state against each other has nothing to hold where the other
was not read; the eyes are on the panel anyway.
"""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.job.diagnosis import Bench
from diagnose.model import Combination, Condition, literals_of
from diagnose.model.symptoms import ONE_STATE
from diagnose.planner import Reading


def read_beside(bench: Bench, readings: Iterable[Reading]) -> tuple[Reading, ...]:
    """Return what instruments show in the place and state of ``readings`` that rules hold to them.

    Of one thing in several states the first is enough.  Without what ``readings`` are themselves.
    """
    given = {r.key: r for r in readings}
    first: dict[tuple[str, str], Reading] = {}
    for r in given.values():
        first.setdefault((r.question, r.place), r)
    offered = {r.key: r for r in bench.planner.catalogue.readings}
    beside = (
        (other, r.place, r.state_id)
        for r in first.values()
        for other in held_against(bench, r.question)
    )
    return tuple(offered[key] for key in dict.fromkeys(beside) if key in offered.keys() - given)


def held_against(bench: Bench, question: str) -> tuple[str, ...]:
    """Return the questions read off an instrument that a rule holds against ``question``."""
    questions = bench.library.questions
    out: dict[str, None] = {}
    for symptom in bench.library.symptoms.values():
        signs = dict.fromkeys(name for one in _of_one_state(symptom.when) for name in _signs(one))
        if question in signs:
            out |= dict.fromkeys(q for q in signs if q != question and questions[q].instruments)
    return tuple(q for q in out if not questions[q].tools)


def _of_one_state(condition: Condition) -> Iterable[Condition]:
    """Yield each part of ``condition`` that must be met in one run state."""
    if isinstance(condition, Combination):
        if condition.op == ONE_STATE:
            yield condition
        else:
            for part in condition.parts:
                yield from _of_one_state(part)


def _signs(condition: Condition) -> list[str]:
    return [x.name for x in literals_of(condition) if x.kind == "sign"]
