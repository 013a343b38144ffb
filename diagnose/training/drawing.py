"""Drawing an exercise: a fault that the layout can have, how bad, and what the pilot reports.

The same seed gives the same exercise.  Families are drawn evenly, so that rare kinds are practised
too; within a family the prior of the knowledge decides.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

import numpy as np

from diagnose.casebook.draw import chosen
from diagnose.casebook.watch import Seen
from diagnose.errors import UsageError, did_you_mean
from diagnose.how_far import HowFar, untold
from diagnose.job.diagnosis import Bench, Diagnosis
from diagnose.job.gates import need_of_reading, pumped_by_hand
from diagnose.job.keeping.finding_data import finding_as_json
from diagnose.job.ranking import grouped
from diagnose.job.starting import STARTING
from diagnose.job.telling import told_in_words
from diagnose.model import AEROPLANE, GRADES, CauseAt, Finding
from diagnose.planner import Reading
from diagnose.training.attempt import Attempt, Unkept
from diagnose.training.hidden import Hidden
from diagnose.training.route import best_route
from diagnose.training.simulated import ORDINARY, Simulated

LEVELS: Mapping[str, int] = MappingProxyType({"easy": 12, "medium": 30, "hard": 10_000})
"""Level -> most failure modes that share the report (this project's choice)."""
SHARED = 0.8
"""The modes that together hold so much of the belief after the report share it."""
TRIES = 60
"""Exercises drawn before a level or a family is given up."""
TOLD_AMISS, TOLD_WELL = 2, 1
"""Findings a pilot tells that are amiss, and that are in order, at most."""


@dataclass(frozen=True)
class Drawn:
    """An exercise: what is hidden, the report in words and as findings, and who shares it.

    modes: failure modes that together hold ``SHARED`` of the belief after the report.
    """

    hidden: Hidden
    reported: str
    told: tuple[Finding, ...]
    modes: int

    @property
    def level(self) -> str:
        """Return how hidden it is, in a word."""
        return next(name for name, most in LEVELS.items() if self.modes <= most)


def draw(
    bench: Bench,
    seed: int,
    family: str = "",
    level: str = "",
    fault: CauseAt | None = None,
    tell: HowFar = untold,
) -> Drawn:
    """Return the exercise of ``seed``; with ``fault`` only severity and report are drawn.

    Raises:
        UsageError: If family, level or fault is none, or nothing fits in ``TRIES`` draws.
    """
    if level and level not in LEVELS:
        raise UsageError(f"'{level}' is no level; there are {', '.join(LEVELS)}.")
    by_family = _can_be_drawn(bench, family, fault)
    for k in range(TRIES):
        tell(k + 1, TRIES)
        rng = np.random.default_rng([seed, k, zlib.crc32(bench.layout.id.encode())])
        causes, weights = by_family[sorted(by_family)[int(rng.integers(len(by_family)))]]
        cause = causes[int(rng.choice(len(causes), p=weights))]
        shares = [bench.library.causes[cause.cause].severity[g] for g in GRADES]
        grade = GRADES[int(rng.choice(3, p=np.array(shares) / sum(shares)))]
        plane = Simulated(bench, Hidden(cause, grade, seed * TRIES + k))
        told = report(plane, rng)
        if not told:
            continue
        drawn = Drawn(plane.hidden, told_in_words(bench, told), told, sharing(bench, told))
        fits = not level or drawn.level == level
        # a fault that the planner cannot find either teaches nobody; an instructor may want it
        if fits and (fault is not None or solvable(bench, plane, drawn)):
            return drawn
    what = str(fault) if fault else f"a fault of {family or 'any family'}"
    why = f" that is {level}" if level else ""
    raise UsageError(
        f"in {TRIES} draws {what} gave no report{why} on {bench.layout.id}; take another "
        "seed, family or level."
    )


def solvable(bench: Bench, plane: Simulated, drawn: Drawn) -> bool:
    """Return whether the planner's own route finds the part."""
    opening = {"n": 1, "event": "opened", **opening_of(drawn)}
    return bool(best_route(Attempt(bench, plane, Unkept([opening]))).attempt.state.solved)


def opening_of(
    drawn: Drawn, hands: int = 2, may_run: bool = True, tools: Sequence[str] | None = None
) -> dict[str, Any]:
    """Return what the opening of an exercise carries of what was drawn and what is at hand."""
    return {
        "reported": drawn.reported,
        "told": [finding_as_json(f) for f in drawn.told],
        "modes": drawn.modes,
        "hands": hands,
        "may_run": may_run,
        "tools": None if tools is None else list(tools),
    }


def _can_be_drawn(
    bench: Bench, family: str, fault: CauseAt | None
) -> Mapping[str, tuple[Sequence[CauseAt], np.ndarray]]:
    """Return the causes to draw from with their shares, by family.

    What lies outside the fuel system is drawn only where its family is asked for.
    """
    prior = Diagnosis(bench, engine=False).belief.prior
    families: dict[str, list[CauseAt]] = {}
    for c in bench.net.instances:
        known = bench.library.causes[c.cause]
        if c == fault or (fault is None and (known.family == family or not known.outside)):
            families.setdefault(known.family, []).append(c)
    if fault is not None and not families:
        near = did_you_mean(str(fault), map(str, bench.net.instances))
        raise UsageError(
            f"'{fault}' is no cause of layout {bench.layout.id}{near} `diagnose words --json` "
            "lists causes and parts, and it is written CAUSE@PART."
        )
    if fault is not None and family and family not in families:
        raise UsageError(f"'{fault}' is of the family {', '.join(families)}; leave '{family}' out.")
    if family and fault is None and family not in families:
        raise UsageError(
            f"'{family}' is no family of failure modes here{did_you_mean(family, families)} "
            f"There are: {', '.join(families)}."
        )
    kept = {family: families[family]} if family and fault is None else families
    out = {}
    for name, causes in kept.items():
        share = np.array([prior.prior[prior.index[c]] for c in causes])
        out[name] = (causes, share / share.sum())
    return out


def report(plane: Simulated, rng: np.random.Generator) -> tuple[Finding, ...]:
    """Return what the pilot tells, () where the fault shows nothing that a pilot sees."""
    bench = plane.bench
    seen = [
        Seen(replace(plane.reading(r), state=r.state), plane.is_amiss(r))
        for r in bench.planner.catalogue.readings
        if _seen_by_a_pilot(bench, r)
    ]
    gates = {q.id for q in bench.library.questions.values() if q.gate}
    told = [f for f in chosen(bench.library, seen, rng) if not _is_context(bench, f)]
    amiss = {(s.finding.question, s.finding.at, str(s.finding.state)) for s in seen if s.amiss}
    bad = [f for f in told if (f.question, f.at, str(f.state)) in amiss]
    good = [f for f in told if f not in bad and f.question not in gates]
    if not bad:
        return ()
    if any(f.value == STARTING[1] for f in bad if f.question == STARTING[0]):
        bad, good = [f for f in bad if f.question == STARTING[0]], []  # it never ran
    bad = bad[: int(rng.integers(1, TOLD_AMISS + 1))]
    # what is well elsewhere would point to where the fault is
    good = [f for f in good if f.at in {b.at for b in bad}]
    picked = [*bad, *good[:TOLD_WELL]]
    return tuple(replace(f, known_by="told", after="", others_normal=False) for f in picked)


def _seen_by_a_pilot(bench: Bench, reading: Reading) -> bool:
    """Return whether one sees it from the cockpit or on the walk round, without tools or help."""
    question = bench.library.questions[reading.question]
    # a primer is worked by whoever starts the engine, and felt
    powered = need_of_reading(bench, reading) == "power" and not pumped_by_hand(question)
    return not question.tools and question.hands == 1 and not powered


def _is_context(bench: Bench, finding: Finding) -> bool:
    """Return whether it tells of the day or of the make, which nobody reports as a defect."""
    question = bench.library.questions[finding.question]
    of_the_day = question.at == (AEROPLANE,) and not question.gate
    often = sum(bench.library.effects[question.reads].background.values()) > ORDINARY
    return of_the_day or often


def sharing(bench: Bench, told: Sequence[Finding]) -> int:
    """Return how many failure modes together hold ``SHARED`` of the belief after the report."""
    step = Diagnosis(bench, engine=False).see(told)
    groups = grouped(step.posterior)
    total, held = sum(g.probability for g in groups), 0.0
    for k, g in enumerate(groups, start=1):
        held += g.probability
        if held >= SHARED * total:
            return k
    return len(groups)
