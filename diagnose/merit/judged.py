"""How common each failure mode is, fitted to reports that were judged.

A judgement gives a report's likely modes with shares.  The shares ask for a factor on the odds of
each mode, the same in every report; it is fitted by least cross-entropy, and held back by a penalty
towards the word its writer chose (ridge regression on the log odds: Hoerl and Kennard 1970, from
memory).  What a mode does is left alone: rows have reasons of their own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagnose.belief import UNKNOWN
from diagnose.belief.hypotheses import Floats
from diagnose.job.diagnosis import Bench, Diagnosis
from diagnose.model import Case, Library

RIDGE = 0.1
"""Weight of the penalty; of .03, .1 and .3 this foretold reports left out best (in six parts)."""
LEAST = 1e-9
"""Probability below which a mode counts as not there."""
ROUNDS = 100
STILL = 1e-9
"""Change of every log factor at which the fit ends."""
CONSIDERED = 3
"""Lines of the tool in which the judges' first choice is looked for."""


@dataclass(frozen=True)
class Reports:
    """Reports as the tool ranks them and as they were judged.

    modes: names of the columns.  held: the tool's probability of each mode, rows summing to 1.
    named: mean share the judgements give it.  wanted: the same, with what they leave to others
    spread as the tool spreads it over modes not named, rows summing to 1.  All of shape (R, M).
    """

    modes: tuple[str, ...]
    held: Floats
    named: Floats
    wanted: Floats


@dataclass(frozen=True)
class Agreement:
    """How far a ranking agrees with the judgements, as means over the reports.

    cross_entropy: of the wanted shares, in nats.  first, in_three: how often the judgements' first
    choice is the tool's first, or among its first three.  mass: share the judgements give the
    tool's first three.  best_mass: the most that any three could have.
    """

    reports: int
    cross_entropy: float
    first: float
    in_three: float
    mass: float
    best_mass: float


def by_word(library: Library) -> Library:
    """Return ``library`` without what judged reports say: as common as the writers' words."""
    causes = {c.id: replace(c, judged=1.0) for c in library.causes.values()}
    return replace(library, causes=causes)


def ranked(cases: Sequence[Case], bench_of: Callable[[str], Bench]) -> Reports:
    """Return the judged reports ``cases`` as the tool ranks them from their findings.

    ``bench_of``: what is compiled for the layout of a name.

    Raises:
        ValueError: If a case was not judged.
    """
    rows: list[Mapping[str, float]] = []
    for case in cases:
        if not case.judged:
            raise ValueError(f"{case.id} was not judged")
        step = Diagnosis(bench_of(case.layout), case.before, engine=False).see(case.findings)
        row: dict[str, float] = {}
        for cause, p in zip(step.posterior.causes, step.posterior.marginal.tolist(), strict=True):
            if cause != UNKNOWN:
                row[cause.cause] = row.get(cause.cause, 0.0) + p
        rows.append(row)
    modes = tuple(sorted({m for row in rows for m in row}))
    held = np.array([[row.get(m, 0.0) for m in modes] for row in rows])
    held = np.maximum(held, LEAST * (held > 0.0))
    held /= held.sum(axis=1, keepdims=True)
    named = np.array(
        [[sum(j.get(m, 0.0) for j in c.judged) / len(c.judged) for m in modes] for c in cases]
    )
    named *= held > 0.0  # a mode of a part the layout has not is one of the others
    return Reports(modes, held, named, wanted_of(held, named))


def wanted_of(held: Floats, named: Floats) -> Floats:
    """Return ``named`` with what it leaves spread over the modes it does not name, as ``held``."""
    rest = np.where(named > 0.0, 0.0, held)
    left = np.maximum(1.0 - named.sum(axis=1, keepdims=True), 0.0)
    out = named + left * rest / np.maximum(rest.sum(axis=1, keepdims=True), LEAST)
    whole: Floats = out / out.sum(axis=1, keepdims=True)
    return whole


def fit(held: Floats, wanted: Floats, ridge: float = RIDGE) -> Floats:
    """Return the log factor on the odds of each mode, shape (M,), that fits ``wanted`` best.

    Minimises sum of cross-entropy + ridge * (sum of squared log factors), which is convex, by
    Newton's steps, each halved until the loss falls.
    """
    factor = np.zeros(held.shape[1])
    loss, tilted = _loss(factor, held, wanted, ridge)
    for _ in range(ROUNDS):
        gradient = (tilted - wanted).sum(axis=0) + 2.0 * ridge * factor
        curve = np.diag(tilted.sum(axis=0) + 2.0 * ridge) - tilted.T @ tilted
        step = np.linalg.solve(curve, gradient)
        new, then = _loss(factor - step, held, wanted, ridge)
        while new > loss and np.abs(step).max() > STILL:
            step /= 2.0
            new, then = _loss(factor - step, held, wanted, ridge)
        if new > loss:
            break
        factor, loss, tilted = factor - step, new, then
        if np.abs(step).max() <= STILL:
            break
    return factor


def _loss(factor: Floats, held: Floats, wanted: Floats, ridge: float) -> tuple[float, Floats]:
    tilted = tilt(held, factor)
    fit_to = -float((wanted * np.log(np.maximum(tilted, 1e-300))).sum())
    return fit_to + ridge * float(factor @ factor), tilted


def tilt(held: Floats, factor: Floats) -> Floats:
    """Return ``held`` with the odds of each mode multiplied by exp(``factor``)."""
    out = held * np.exp(factor)
    whole: Floats = out / out.sum(axis=1, keepdims=True)
    return whole


def agreement(held: Floats, reports: Reports) -> Agreement:
    """Return how far ``held`` (as ``Reports.held``) agrees with the judgements of ``reports``."""
    order = np.argsort(-held, axis=1, kind="stable")[:, :CONSIDERED]
    choice = reports.named.argmax(axis=1)
    best = -np.sort(-reports.named, axis=1)[:, :CONSIDERED]
    entropy = -(reports.wanted * np.log(np.maximum(held, 1e-300))).sum(axis=1)
    return Agreement(
        len(held),
        float(entropy.mean()),
        float((order[:, 0] == choice).mean()),
        float((order == choice[:, None]).any(axis=1).mean()),
        float(np.take_along_axis(reports.named, order, axis=1).sum(axis=1).mean()),
        float(best.sum(axis=1).mean()),
    )


def left_out(reports: Reports) -> Agreement:
    """Return the agreement on reports left out of the fit: every sixth in turn."""
    held = reports.held.copy()
    which = np.arange(len(held)) % 6
    for part in range(6):
        out = which == part
        factor = fit(reports.held[~out], reports.wanted[~out])
        held[out] = tilt(reports.held[out], factor)
    return agreement(held, reports)


def factors(reports: Reports) -> Mapping[str, float]:
    """Return the factor on the odds of each mode that ``reports`` ask for, two figures.

    ``reports``: ranked with the library taken ``by_word``.
    """
    fitted = np.exp(fit(reports.held, reports.wanted))
    return {m: float(f"{f:.2g}") for m, f in zip(reports.modes, fitted, strict=True)}


def judged_text(odds: Mapping[str, float], reports: int) -> str:
    """Return the text of judged.yaml for the factors ``odds``, fitted to so many ``reports``."""
    head = [f"# {line}".rstrip() for line in _HEAD.format(reports=reports).splitlines()]
    lines = [f"  {mode}: {factor:g}" for mode, factor in sorted(odds.items())]
    return "\n".join([*head, "odds:", *lines, ""])


_HEAD = """\
Factor on the odds of each failure mode that {reports} judged reports (cases/judged) put beside the
word of its own file for how common it is.  Written by `diagnose cases judged --write`, not by hand.
The reports are invented and nobody licensed judged them; no published rates exist (common practice,
no source)."""
