"""Fault coverage, fault isolation and ambiguity, from the matrix of causes and what reveals them.

A cause is *covered* when a check that can be made on the layout is more likely than not to find
it.  Causes that exactly the same results would reveal are one ambiguity group; its size counts
parts, since a part is what is changed.  Figures after the testability practice of MIL-STD-2165:
FD = sum l(covered) / sum l(all), FI(n) = sum l(in groups of at most n parts) / sum l(covered), mean
group size weighed by l, with l replaced by our priors.  Single faults only, which flatters them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from diagnose.belief import Belief
from diagnose.by_key import by_key
from diagnose.job.diagnosis import Bench
from diagnose.merit.telling import Telling

LIKELY = 0.5
"""A result reveals a cause when it is at least this likely under it, and was not without it."""

Revealed = frozenset[tuple[str, ...]]
"""The results that reveal a cause: (check or question, part, run state or '', result)."""


@dataclass(frozen=True)
class Isolation:
    """Figures of one matrix.

    coverage: share of causes, weighed by prior, that something reveals.  to_one, to_three: share
    of those in groups of at most one and three parts.  group_size: mean, in parts.  groups:
    number of groups of two parts and more.
    """

    coverage: float
    to_one: float
    to_three: float
    group_size: float
    groups: int


def isolation(
    revealed: Sequence[Revealed], parts: Sequence[str], rate: Sequence[float]
) -> Isolation:
    """Return the figures of causes that stand at ``parts`` and occur at ``rate``."""
    members = by_key((results, i) for i, results in enumerate(revealed) if results)
    size = {results: len({parts[i] for i in group}) for results, group in members.items()}
    mass = {results: sum(rate[i] for i in group) for results, group in members.items()}
    covered = sum(mass.values())
    whole = max(covered, 1e-300)
    return Isolation(
        covered / max(sum(rate), 1e-300),
        sum(m for r, m in mass.items() if size[r] <= 1) / whole,
        sum(m for r, m in mass.items() if size[r] <= 3) / whole,
        sum(m * size[r] for r, m in mass.items()) / whole,
        sum(s > 1 for s in size.values()),
    )


def figures(bench: Bench) -> Mapping[str, Isolation]:
    """Return the figures by ``readings`` alone, by ``checks`` alone, and by ``both``.

    Fuel causes only: whatever is not fuel is handed over, whatever is no fault needs no part.
    """
    belief = Belief(bench.net, paired=1)
    fuel = [i for i, o in enumerate(belief.prior.outside) if o == ""]
    parts = [belief.prior.causes[i].at for i in fuel]
    rate = [float(belief.prior.prior[i]) for i in fuel]
    by_check = _by_checks(bench)
    by_reading = _by_readings(bench, belief)
    checks = [by_check.get(i, frozenset()) for i in fuel]
    readings = [by_reading.get(i, frozenset()) for i in fuel]
    both = [c | r for c, r in zip(checks, readings, strict=True)]
    return {
        "readings": isolation(readings, parts, rate),
        "checks": isolation(checks, parts, rate),
        "both": isolation(both, parts, rate),
    }


def _by_checks(bench: Bench) -> Mapping[int, Revealed]:
    possible = set(bench.planner.catalogue.checks)
    out: dict[int, Revealed] = {}
    for i, c in enumerate(bench.net.instances):
        out[i] = frozenset(
            (k.check, place, "", k.result)
            for k, place in bench.settling(c)
            if (k.check, place) in possible and k.chance >= LIKELY
        )
    return out


def _by_readings(bench: Bench, belief: Belief) -> Mapping[int, Revealed]:
    telling = Telling(bench, belief)
    found: dict[int, set[tuple[str, ...]]] = {}
    for k, reading in enumerate(telling.readings):
        classes = tuple(bench.library.questions[reading.question].classes)
        for column, cause in telling.likely(k, LIKELY):
            found.setdefault(cause, set()).add((*reading.key, classes[column]))
    return {i: frozenset(results) for i, results in found.items()}
