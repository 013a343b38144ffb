"""What a person finds on an aeroplane of the model that is broken: answers, and what he reports."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagnose.casebook.watch import ANY_TIME, GAUGED, cell_of, figure_of
from diagnose.fuel import Fault, Readings, classify, places_of, readings
from diagnose.fuel import solve as solve_rows
from diagnose.job.diagnosis import Bench
from diagnose.merit.drawn import REPORTED
from diagnose.merit.unlike import Aeroplane, Taken, noisy
from diagnose.model import CauseAt, Finding, State
from diagnose.planner import Key, Reading
from diagnose.predict.states import CAN
from diagnose.predict.tables import reads_in
from diagnose.signs import is_normal


@dataclass(frozen=True)
class Modelled:
    """One job: the true cause, what was reported, and what can be asked beside it."""

    cause: CauseAt
    reported: tuple[Finding, ...]
    answers: Mapping[Key, Finding]


def askable(bench: Bench) -> list[tuple[Reading, Taken]]:
    """Return the readings the model can give, each with the state it is taken in."""
    out = []
    for r in bench.planner.catalogue.readings:
        reading = bench.library.effect_of(r.question).reading
        state = r.state if r.run_state else ANY_TIME.get(reading, State("static"))
        if reading and state.stage != "cranking":
            cell = cell_of(reading, state)
            if reads_in(reading, cell):
                settings = tuple(sorted(state.settings.items()))
                out.append((r, Taken(state.stage, settings, cell.power == CAN)))
    return out


def answers_to(
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
            if usual is not None and is_normal(usual, bench.library):
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


def reported(
    bench: Bench,
    cause: CauseAt,
    answers: Mapping[Key, tuple[Finding, bool]],
    rng: np.random.Generator,
) -> Modelled | None:
    """Return the job a fault makes; None where it shows nothing that is not normal."""
    wrong = [k for k, (f, _) in answers.items() if not is_normal(f, bench.library)]
    if not any(answers[k][1] for k in wrong):
        return None
    count = min(int(rng.integers(1, REPORTED + 1)), len(wrong))
    while True:  # what is reported is real in part at least
        picked = [wrong[int(k)] for k in rng.choice(len(wrong), size=count, replace=False)]
        if any(answers[k][1] for k in picked):
            break
    told = tuple(replace(answers[k][0], known_by="told") for k in picked)
    return Modelled(cause, told, {k: f for k, (f, _) in answers.items() if k not in picked})
