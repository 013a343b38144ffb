"""The lesson of an exercise: why it shows so, what tells it from its likes, and its dangers.

Of the dangers: which were met, which were run into, which nobody looked for.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from diagnose.job.day.before_run import FOR_A_RUN
from diagnose.job.diagnosis import Bench, open_gates
from diagnose.job.explain import source_words
from diagnose.job.wording import after_finding
from diagnose.model import CauseAt
from diagnose.planner import Reading
from diagnose.planner.apart import APART, answers_of, differ
from diagnose.training.attempt import Attempt

MOST_LIKES = 3
"""Look-alikes told of besides what was named."""


@dataclass(frozen=True)
class ToldApart:
    """What tells the true cause from one that was named, or that is easily taken for it.

    text: as the knowledge says it, '' where it does not.  reading: the question whose answers lie
    furthest apart, None where none does; apart: by how much, 0 to 1.  origin: file and line.
    """

    named: CauseAt
    text: str
    reading: Reading | None
    apart: float
    origin: str


@dataclass(frozen=True)
class Lesson:
    """What the true cause is, why it shows so, where that stands, and what is to be done then."""

    because: str
    origin: str
    status: str
    sources: tuple[str, ...]
    then: tuple[tuple[str, str], ...]
    apart: tuple[ToldApart, ...]


def lesson(bench: Bench, truth: CauseAt, named: Iterable[CauseAt]) -> Lesson:
    """Return the lesson of ``truth``, against what was ``named`` instead."""
    known = bench.library.causes[truth.cause]
    return Lesson(
        known.because,
        str(known.origin),
        known.status,
        tuple(source_words(bench, s) for s in known.sources),
        after_finding(bench, truth),
        tuple(_told_apart(bench, truth, c) for c in taken_for(bench, truth, named)),
    )


def taken_for(bench: Bench, truth: CauseAt, named: Iterable[CauseAt]) -> tuple[CauseAt, ...]:
    """Return what ``truth`` was taken for, then what it is easily taken for, each once."""
    wrong = [c for c in named if c != truth]
    return tuple(dict.fromkeys([*wrong, *_likes(bench, truth)]))


def _likes(bench: Bench, truth: CauseAt) -> list[CauseAt]:
    """Return the look-alikes of ``truth`` that this layout has, each at the part nearest to it."""
    out = []
    for like in bench.library.causes[truth.cause].look_alikes[:MOST_LIKES]:
        here = [CauseAt(like.cause, at) for at in bench.parts_of(like.cause)]
        if here:
            out.append(min(here, key=lambda c: _far(bench, truth.at, c.at)))
    return out


def _far(bench: Bench, one: str, other: str) -> int:
    """Return 0 for the same part, 1 for parts of one owner, 2 for parts of one side, else 3."""
    a, b = bench.layout.parts[one], bench.layout.parts[other]
    owner = a.of or a.id, b.of or b.id
    return 0 if one == other else 1 if owner[0] == owner[1] else 2 if a.side == b.side else 3


def _told_apart(bench: Bench, truth: CauseAt, named: CauseAt) -> ToldApart:
    text, origin = "", ""
    for one, other in ((truth, named), (named, truth)):
        for like in bench.library.causes[one.cause].look_alikes:
            if like.cause == other.cause and not text:
                text, origin = like.told_apart_by, str(like.origin)
    readings = bench.planner.catalogue.readings
    answers = answers_of(bench.net, (truth, named), readings)
    best = max(differ(answers, truth, named), key=lambda x: x[1], default=None)
    if best is None or best[1] < APART:
        return ToldApart(named, text, None, 0.0, origin)
    return ToldApart(named, text, best[0], best[1], origin)


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
