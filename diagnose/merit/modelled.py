"""Jobs drawn from the fuel-system model, with noise, on other aeroplanes than the tables know.

A cause with a physical form is drawn by its prior, its damage anywhere round its grade, and every
run state of the layout is solved, a can filled at the open union and a night parked among them.  A
person reports up to four things that are not normal, then answers what tells most of what the
model can answer.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagnose.belief import Belief
from diagnose.belief.hypotheses import Floats
from diagnose.casebook.watch import ANY_TIME, GAUGED, cell_of, figure_of
from diagnose.fuel import Fault, FaultError, Readings, Settings, classify, places_of, readings
from diagnose.fuel import solve as solve_rows
from diagnose.fuel.conditions import prepare
from diagnose.fuel.faults import apply
from diagnose.job.diagnosis import Bench
from diagnose.merit.drawn import ASKED, PAIRED, REPORTED, Told, silent
from diagnose.merit.scores import Standing, standing, summary
from diagnose.merit.telling import Key, Telling
from diagnose.merit.unlike import Aeroplane, Taken, noisy, severity_at
from diagnose.model import GRADES, CauseAt, Finding, State
from diagnose.planner import Reading
from diagnose.predict.states import CAN
from diagnose.predict.tables import reads_in
from diagnose.signs import normal_class

AEROPLANES = 16
"""Aeroplanes built for each layout, each on its own day."""
TOGETHER = 256
"""Rows solved at once."""
TRIES = 50
"""Faults tried for each job before the model is taken to show too little."""


@dataclass(frozen=True)
class Modelled:
    """One job: the true cause, what was reported, and what can be asked beside it."""

    cause: CauseAt
    reported: tuple[Finding, ...]
    answers: Mapping[Key, Finding]


@dataclass(frozen=True)
class Lot:
    """Jobs drawn from the model.

    unseen: faults that showed nothing to report.  unsolved: without a steady state somewhere.
    can: the causes that can be drawn, those with a physical form; share: their prior share.
    """

    jobs: tuple[Modelled, ...]
    unseen: int
    unsolved: int
    can: tuple[CauseAt, ...]
    share: float


def model_lot(bench: Bench, jobs: int, seed: int, told: Told = silent) -> Lot:
    """Return ``jobs`` jobs on the layout of ``bench``, the same for the same ``seed``.

    Fewer where the model can break or show too little on the layout.
    """
    rng = np.random.default_rng([seed, zlib.crc32(bench.layout.id.encode()), 7])
    asked = _askable(bench)
    states = list(dict.fromkeys(state for _, state in asked))
    if not asked:
        return Lot((), 0, 0, (), 0.0)
    planes = [Aeroplane(bench.layout, states, rng) for _ in range(AEROPLANES)]
    causes, weight, share = _drawable(bench, planes[0])
    each = max(TOGETHER // len(states), 1)
    made: list[Modelled] = []
    unseen = unsolved = turn = 0
    while causes and len(made) < jobs and turn * each < TRIES * jobs + TOGETHER:
        plane = planes[turn % AEROPLANES]
        turn += 1
        faults = [_damaged(bench, causes, weight, rng) for _ in range(each)]
        for (cause, _), answers in zip(
            faults, _solved(bench, plane, faults, asked, states, rng), strict=True
        ):
            if answers is None:
                unsolved += 1
                continue
            job = _reported(bench, cause, answers, rng)
            if job is None:
                unseen += 1
            elif len(made) < jobs:
                made.append(job)
        told(len(made), jobs)
    return Lot(tuple(made), unseen, unsolved, tuple(causes), share)


def rank_lot(bench: Bench, lot: Lot, told: Told = silent) -> Mapping[str, Mapping[str, object]]:
    """Return the scores of ``lot`` ranked on ``bench``: from the report, and after questions.

    The last of them is also held among the causes that can be drawn alone, because the belief
    rightly gives much of its chance to those that never are.
    """
    belief = Belief(bench.net, paired=PAIRED)
    telling = Telling(bench, belief)
    can = np.zeros(len(belief.prior.causes))
    can[[bench.net.index[c] for c in lot.can]] = 1.0
    first: list[Standing] = []
    later: list[Standing] = []
    among: list[Standing] = []
    for k, job in enumerate(lot.jobs):
        truth = (bench.net.index[job.cause],)
        marginal = belief.update(job.reported).marginal
        first.append(standing(marginal, truth))
        more = telling.most(marginal, ASKED, job.answers)
        after = belief.update([*job.reported, *(job.answers[r.key] for r in more)])
        later.append(standing(after.marginal, truth))
        left = after.single * can
        among.append(standing(left / max(left.sum(), 1e-300), truth))
        told(k + 1, len(lot.jobs))
    return {
        "report": summary(first),
        "after_questions": summary(later),
        "after_questions_among_drawable": summary(among),
    }


# ------------------------------------------------------------------ what is broken


def _drawable(bench: Bench, plane: Aeroplane) -> tuple[list[CauseAt], Floats, float]:
    """Return the causes with a physical form that fits, their weights, and their prior share."""
    prior = Belief(bench.net, paired=1).prior
    causes: list[CauseAt] = []
    weight: list[float] = []
    for i, c in enumerate(bench.net.instances):
        if _has_form(bench, plane, c):
            causes.append(c)
            weight.append(float(prior.prior[i]))
    w = np.array(weight)
    return causes, w / max(w.sum(), 1e-300), float(w.sum() / prior.prior.sum())


def _has_form(bench: Bench, plane: Aeroplane, cause: CauseAt) -> bool:
    physical = bench.library.causes[cause.cause].physical
    if physical is None or cause.at not in bench.layout.parts or not physical.grades:
        return False
    state = Settings()
    value = float(next(iter(physical.grades.values())))
    fault = Fault(cause.at, physical.change, value, physical.unit)
    try:
        apply(plane.network, prepare(plane.network, [state]), 0, state, fault)
    except FaultError:
        return False
    return True


def _damaged(
    bench: Bench, causes: Sequence[CauseAt], weight: Floats, rng: np.random.Generator
) -> tuple[CauseAt, Fault]:
    while True:  # a grade that has no figure is drawn again
        cause = causes[int(rng.choice(len(causes), p=weight))]
        known = bench.library.causes[cause.cause]
        grade = int(rng.choice(len(GRADES), p=[known.severity[g] for g in GRADES]))
        if known.physical is not None:
            value = severity_at(known.physical, grade, float(rng.uniform(-0.5, 0.5)))
            if value is not None:
                return cause, Fault(cause.at, known.physical.change, value, known.physical.unit)


# ------------------------------------------------------------------ what a person then finds


def _askable(bench: Bench) -> list[tuple[Reading, Taken]]:
    """Return the readings the model can give, each with the state it is taken in."""
    out = []
    for r in bench.planner.catalogue.readings:
        reading = bench.library.effects[bench.library.questions[r.question].reads].reading
        state = r.state if r.run_state else ANY_TIME.get(reading, State("static"))
        if reading and state.stage != "cranking":
            cell = cell_of(reading, state)
            if reads_in(reading, cell):
                settings = tuple(sorted(state.settings.items()))
                out.append((r, Taken(state.stage, settings, cell.power == CAN)))
    return out


def _solved(
    bench: Bench,
    plane: Aeroplane,
    faults: Sequence[tuple[CauseAt, Fault]],
    asked: Sequence[tuple[Reading, Taken]],
    states: Sequence[Taken],
    rng: np.random.Generator,
) -> list[dict[Key, tuple[Finding, bool]] | None]:
    """Return what each fault answers to ``asked``, and whether that is no error of reading.

    None where a state has no steady solution.
    """
    n = len(states)
    found = solve_rows(
        plane.network,
        [s for _ in faults for s in plane.settings],
        [(f,) for _, f in faults for _ in plane.settings],
    )
    read = readings(plane.network, found)
    sound = {k: np.tile(v, (len(faults), 1)) for k, v in plane.sound.values.items()}
    beside = Readings(sound, plane.sound.places)
    shown = noisy(read, rng)
    words = classify(plane.network, found, shown, beside)
    truly = classify(plane.network, found, read, beside)
    places = {name: places_of(read, name) for name in words}
    number = {s: k for k, s in enumerate(states)}
    out: list[dict[Key, tuple[Finding, bool]] | None] = []
    for k in range(len(faults)):
        if not found.converged[k * n : (k + 1) * n].all():
            out.append(None)
            continue
        answers: dict[Key, tuple[Finding, bool]] = {}
        for reading, state in asked:
            at = number[state]
            # who knows his aeroplane does not report what it always does
            usual = _answer(bench, reading, plane.words, places, at)
            if usual is not None and usual.value == _normal(bench, reading.question):
                answer = _answer(bench, reading, words, places, k * n + at)
                true = _answer(bench, reading, truly, places, k * n + at)
                if answer is not None:
                    right = true is not None and true.value == answer.value
                    question = bench.library.questions[reading.question]
                    effect = bench.library.effects[question.reads]
                    figure = figure_of(question, effect, reading.place, shown, k * n + at)
                    answers[reading.key] = (replace(answer, number=figure), right)
        out.append(answers)
    return out


def _answer(
    bench: Bench,
    reading: Reading,
    words: Mapping[str, np.ndarray],
    places: Mapping[str, tuple[str, ...]],
    row: int,
) -> Finding | None:
    """Return what a person reads in one solved row; None where there is nothing to read."""
    question = bench.library.questions[reading.question]
    effect = bench.library.effects[question.reads]
    name = GAUGED.get(question.id, effect.reading)
    if reading.place not in places[name]:
        return None
    word = str(words[name][row, places[name].index(reading.place)])
    if word in effect.values:  # the error is in the reading; it is told as what it looks like
        shown = question.shows[word]
        word = max(shown, key=lambda c: (shown[c], c))
    if word not in question.classes:
        return None
    return Finding(question.id, reading.place, word, reading.state, "read")


def _reported(
    bench: Bench,
    cause: CauseAt,
    answers: Mapping[Key, tuple[Finding, bool]],
    rng: np.random.Generator,
) -> Modelled | None:
    """Return the job a fault makes; None where it shows nothing that is not normal."""
    wrong = [k for k, (f, _) in answers.items() if f.value != _normal(bench, f.question)]
    if not any(answers[k][1] for k in wrong):
        return None
    count = min(int(rng.integers(1, REPORTED + 1)), len(wrong))
    while True:  # what is reported is real in part at least
        picked = [wrong[int(k)] for k in rng.choice(len(wrong), size=count, replace=False)]
        if any(answers[k][1] for k in picked):
            break
    told = tuple(replace(answers[k][0], known_by="told") for k in picked)
    return Modelled(cause, told, {k: f for k, (f, _) in answers.items() if k not in picked})


def _normal(bench: Bench, question: str) -> str:
    asked = bench.library.questions[question]
    return normal_class(asked, bench.library)
