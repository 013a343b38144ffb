"""The dangers of an exercise: which were met, which were run into, which nobody looked for."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.job.diagnosis import open_gates
from diagnose.planner import Reading
from diagnose.training.attempt import Attempt


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


def met(attempt: Attempt) -> tuple[tuple[int, str], ...]:
    """Return every danger that was said at once: after which entry, and what was to be done."""
    return tuple(
        (int(e["n"]), str(e["text"])) for e in attempt.log.events if e["event"] == "danger"
    )
