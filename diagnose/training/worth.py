"""What asking or checking something could tell at one moment, against the best there was."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from diagnose.belief import Posterior, odds
from diagnose.belief.hypotheses import Floats
from diagnose.job.diagnosis import Bench, Diagnosis, Step
from diagnose.model import CauseAt
from diagnose.planner import Action, Reading, Situation
from diagnose.planner.outlook import Outlook, check_table, reading_table
from diagnose.planner.worth import entropy_gain
from diagnose.training.progress import Progress
from diagnose.training.situation import price_of

TEN_DECIBANS = 10.0
"""Odds divided by this are ten decibans lower (General Report on Tunny, 1945): ruled out."""
OPEN = 0.01
"""A part with less belief than this is not among what is still possible (this project's choice)."""


FOR_LESS = 2.0 / 3.0
"""What tells as much for this share of the minutes or less is better (this project's choice)."""


@dataclass(frozen=True, eq=False)
class Option:
    """One question or check, and what its answer would tell.

    bits: expected, never below 0.  given: P(answer | hypothesis), shape (H, C).
    """

    action: Action
    answers: tuple[str, ...]
    bits: float
    given: Floats


@dataclass(frozen=True)
class Better:
    """A question or check that would have told as much or more for fewer minutes."""

    action: Action
    bits: float
    minutes: float


def option_of(outlook: Outlook, action: Action) -> Option:
    """Return what ``action``, a check or one reading, would tell."""
    if action.is_check:
        table = check_table(outlook.belief, action.check, action.at)
    else:
        table = reading_table(outlook.belief, action.readings[0])
    given = outlook.given(table)
    bits = max(entropy_gain(outlook.weights, given), 0.0)
    return Option(action, table.classes, bits, given)


def options(
    bench: Bench, diagnosis: Diagnosis, step: Step, situation: Situation
) -> tuple[Outlook, list[Option]]:
    """Return every question and check that can be done now and tells something, best first."""
    outlook, scored = bench.planner.sift(diagnosis.belief, step.posterior, situation)
    out = [Option(Action((s.reading,)), s.table.classes, max(s.bits, 0.0), s.given) for s in scored]
    if not situation.may_run:
        out = [o for o in out if not o.action.is_run]
    for check, at in bench.planner.catalogue.checks:
        if (check, at) not in situation.done and situation.has(bench.library.checks[check]):
            out.append(option_of(outlook, Action(check=check, at=at)))
    out.sort(key=lambda o: (-round(o.bits, 9), o.action.is_check, name_of(o.action)))
    return outlook, out


def name_of(action: Action) -> tuple[str, str, str]:
    """Return what an action is called by machines: question or check, place, run state."""
    if action.is_check:
        return (action.check, action.at, "")
    reading: Reading = action.readings[0]
    return reading.key


def half_split(outlook: Outlook, option: Option) -> float:
    """Return 1 - |2q - 1|, q the weight of what would answer otherwise than the likeliest answer.

    1 where half of what is possible lies on each side, 0 where all of it lies on one.
    """
    likeliest = int(np.argmax(outlook.weights @ option.given))
    side = float(outlook.weights[option.given[:, likeliest] < 0.5].sum())
    return 1.0 - abs(2.0 * min(max(side, 0.0), 1.0) - 1.0)


def better_than(bench: Bench, now: Progress, own: Option, found: Iterable[Option]) -> Better | None:
    """Return what tells at least as much as ``own`` for clearly less, the most bits a minute."""
    most = FOR_LESS * price_of(bench, now, own.action)[0]
    priced = (
        Better(o.action, o.bits, price_of(bench, now, o.action)[0])
        for o in found
        if o.bits >= own.bits
    )
    cheaper = (b for b in priced if b.minutes <= most)
    return max(
        cheaper, key=lambda b: (b.bits / max(b.minutes, 0.1), name_of(b.action)), default=None
    )


def part_chances(posterior: Posterior) -> Mapping[str, float]:
    """Return the belief by part, together 1; '' stands for what is not in the knowledge."""
    out: dict[str, float] = {}
    total = float(posterior.marginal.sum())
    for cause, p in zip(posterior.causes, posterior.marginal.tolist(), strict=True):
        out[cause.at] = out.get(cause.at, 0.0) + p / total
    return out


def cause_chance(posterior: Posterior, cause: CauseAt) -> float:
    """Return the belief in one cause, of a whole of 1."""
    total = float(posterior.marginal.sum())
    return float(posterior.marginal[posterior.causes.index(cause)]) / total


def is_ruled_out(first: float, now: float) -> bool:
    """Return whether a chance is not worth a thought now, or its odds a tenth of the first."""
    return now < OPEN or odds(now) * TEN_DECIBANS <= odds(first)


def ruled_out(before: Mapping[str, float], now: Mapping[str, float]) -> tuple[str, ...]:
    """Return the parts that were possible ``before`` and whose odds are a tenth of it ``now``."""
    return tuple(
        part
        for part, p in sorted(before.items(), key=lambda x: -x[1])
        if part and p >= OPEN and odds(now.get(part, 0.0)) * TEN_DECIBANS <= odds(p)
    )


def best_of(found: Iterable[Option]) -> Option | None:
    """Return the option that tells most, None where nothing does."""
    return max(found, key=lambda o: o.bits, default=None)
