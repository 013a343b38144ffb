"""The lesson of an exercise: what it was and why it shows so, and what tells it from its likes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from diagnose.job.diagnosis import Bench
from diagnose.job.explain import source_words
from diagnose.job.wording import after_finding
from diagnose.model import CauseAt
from diagnose.planner import Reading
from diagnose.planner.apart import APART, answers_of, differ

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
        here = [c for c in bench.net.instances if c.cause == like.cause]
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
