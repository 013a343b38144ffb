"""The dangers of an exercise: which were met, which were run into, which nobody looked for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from diagnose.job.day.before_run import FOR_A_RUN
from diagnose.job.diagnosis import Bench, open_gates
from diagnose.planner import Reading
from diagnose.training.attempt import Attempt

WITHOUT: Mapping[str, str] = MappingProxyType(dict(zip(FOR_A_RUN, (
    "An engine that runs up can pull the aeroplane off its brakes, into people.",
    "A fire in the intake or below the cowling grows while somebody runs for an extinguisher.",
    "A propeller cannot be seen when it turns, and throws what lies loose.",
    "What was left open pours fuel out as soon as there is pressure behind it.",
), strict=True)))  # fmt: skip
"""What each thing put in place before a run is for (common practice, no source)."""


@dataclass(frozen=True)
class NotLookedFor:
    """A gate nobody looked at, and what the aeroplane would have shown there."""

    gate: Reading
    value: str
    safe: bool


def not_looked_for(attempt: Attempt) -> tuple[NotLookedFor, ...]:
    """Return the gates never looked at though a run was asked for or a part named.

    A part named is worked on and run; whoever gave up before that has run into nothing.
    """
    if not attempt.state.namings and not attempt.state.skipped:
        return ()
    bench = attempt.bench
    out = []
    for gate in open_gates(bench, ()):
        findings = attempt.state.findings.values()
        if any(f.question == gate.question and gate.place in f.places for f in findings):
            continue
        value = attempt.plane.reading(gate).value
        safe = value == bench.library.questions[gate.question].gate
        out.append(NotLookedFor(gate, value, safe))
    return tuple(out)


def risked(bench: Bench, owed: Iterable[str]) -> list[str]:
    """Return what whoever left out the safety steps ``owed`` would have risked, each once.

    A gate says why it is asked; what is put in place before a run is cautioned for every run.
    """
    questions = bench.library.questions
    out = []
    for step in owed:
        question = questions.get(step.partition(" ")[0])
        gate = question is not None and bool(question.gate)
        out.append(question.why if question and gate else WITHOUT.get(step, ""))
    return list(dict.fromkeys(filter(None, out)))


def met(attempt: Attempt) -> tuple[tuple[int, str], ...]:
    """Return every danger that was said at once: after which entry, and what was to be done."""
    return tuple(
        (int(e["n"]), str(e["text"])) for e in attempt.log.events if e["event"] == "danger"
    )
