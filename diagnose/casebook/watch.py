"""What one aeroplane with one failure shows to who asks: the fuel-system model, with noise.

Every reading the tool could ask for on the layout is taken in its run state, and running ones once
more on a hot day.  The conditions of the day and the scatter of the aeroplane are drawn, and what
people make of a reading is drawn from the question's own table.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from diagnose.fuel import (
    Fault,
    Network,
    Readings,
    Settings,
    classify,
    places_of,
    readings,
    solve,
)
from diagnose.job.diagnosis import Bench
from diagnose.model import RUNNING, Effect, Finding, Question, State
from diagnose.predict.figures import FIGURES
from diagnose.predict.severity import pulled_down, scattered, without_air
from diagnose.predict.states import CAN, Cell, draws_of, settings_of
from diagnose.predict.tables import reads_in
from diagnose.signs import normal_class

Words = Mapping[str, np.ndarray]

GAUGED: Mapping[str, str] = MappingProxyType(
    {
        "fuel-pressure": "pressure-gauge",
        "booster-pressure": "pressure-gauge",
        "pressure-lamp": "pressure-lamp",
        "booster-lamp": "pressure-lamp",
        "flow-indication": "flow-meter",
    }
)
"""Question -> reading of the model that has the faults of the question's own instruments in it."""
MEASURED: Mapping[str, str] = MappingProxyType(
    {"pressure-gauge": "metering-pressure", "flow-meter": "flow"}
)
"""Reading of a gauge -> the reading of what it measures, at the same engine."""
ANY_TIME: Mapping[str, State] = MappingProxyType(
    {
        "trend-running": State("cruise"),
        "gauge-against-stick": State("static"),
    }
)
"""Reading -> where it is taken when the question may be asked at any time."""


@dataclass(frozen=True)
class Seen:
    """A finding as the aeroplane shows it, and whether it is out of the ordinary.

    amiss: what was noted is not the normal class, and the model says so too.  figure: what the
    gauge shows beside it, SI; None where it gives none.
    """

    finding: Finding
    amiss: bool
    figure: float | None = None


@dataclass(frozen=True)
class _Look:
    """One question at one place in one state; ``row`` of the solved states."""

    question: Question
    effect: Effect
    normal: str
    place: str
    state: State
    row: int


def watch(
    bench: Bench,
    network: Network,
    fault: Fault | None,
    rng: np.random.Generator,
    least: float = 0.0,
    true_gauges: bool = False,
) -> list[Seen]:
    """Return everything that can be read on the layout of ``bench`` with ``fault`` at work.

    Without a fault it is what a sound aeroplane shows.  Readings of run states without a steady
    solution are left out.  A class noted less often than ``least`` of what is there is a slip of
    whoever looked, and is not drawn.  ``true_gauges``: a gauge with nothing wrong shows what a
    master gauge at its tapping does.

    Raises:
        diagnose.fuel.FaultError: The fault has no physical form at its part.
    """
    looks, cells = _looks(bench)
    states = _settings(network, cells, rng)
    rows = len(states)
    broken = (fault,) if fault else ()
    solution = solve(network, [*states, *states], [()] * rows + [broken] * rows)
    found = readings(network, solution)
    noisy = scattered(found, np.zeros(2 * rows, dtype=np.intp), 1, rng)
    if true_gauges:
        noisy = _gauges_true(found, noisy)
    sound = Readings(
        {n: np.concatenate([v[:rows], v[:rows]]) for n, v in found.values.items()}, found.places
    )
    words = classify(network, solution, noisy, sound)
    if rng.random() < 0.5:  # one who tells the mean of a swinging needle
        words = pulled_down(words, classify(network, solution, without_air(noisy), sound))
    kind = network.layout.parts[fault.part].kind if fault else ""
    out = []
    for look in looks:
        seen = _seen(look, words, found, kind, rows, rng, least)
        if seen is not None:
            q = look.question
            figure = figure_of(q, look.effect, look.place, noisy, rows + look.row)
            out.append(replace(seen, figure=_on_its_scale(bench, look, figure)))
    return out


def _gauges_true(found: Readings, noisy: Readings) -> Readings:
    """Return ``noisy`` with every gauge as far off ``found`` as what it measures."""
    values = dict(noisy.values)
    for shown, measured in MEASURED.items():
        off = noisy.values[measured] / np.where(found.values[measured], found.values[measured], 1.0)
        values[shown] = found.values[shown] * np.where(found.values[measured], off, 1.0)
    return Readings(values, noisy.places)


def _on_its_scale(bench: Bench, look: _Look, figure: float | None) -> float | None:
    """Return ``figure`` no higher than the end of the scale that it is read on."""
    scales = [
        bench.layout.parts[part].numbers.get("full-scale")
        for kind in look.question.instruments
        for part in bench.places.instrument_for(kind, look.place)
    ]
    return figure if figure is None else min([figure, *(x for x in scales if x is not None)])


def figure_of(
    question: Question, effect: Effect, place: str, shown: Readings, row: int
) -> float | None:
    """Return the figure a person writes down beside the class, SI; None where there is none."""
    name = FIGURES.get(effect.reading, "")
    if not question.unit or not name:
        return None
    figure = float(shown.at(GAUGED.get(question.id, name), place)[row])
    return figure if np.isfinite(figure) else None


def _looks(bench: Bench) -> tuple[list[_Look], list[Cell]]:
    """Return what can be looked at, and the states it takes."""
    library = bench.library
    rows: dict[Cell, int] = {}
    looks = []
    for reading in bench.planner.catalogue.readings:
        question = library.questions[reading.question]
        effect = library.effects[question.reads]
        if not effect.reading:
            continue
        normal = normal_class(question, library)
        state = reading.state
        if reading.run_state is None:
            state = ANY_TIME.get(effect.reading, State())
        for one in _cool_and_hot(effect, state):
            cell = cell_of(effect.reading, one)
            if reads_in(effect.reading, cell):
                row = rows.setdefault(cell, len(rows))
                looks.append(_Look(question, effect, normal, reading.place, one, row))
    return looks, list(rows)


def _cool_and_hot(effect: Effect, state: State) -> Iterable[State]:
    yield state
    running = state.known().get("power") in RUNNING
    if running and "heat" in effect.depends_on and "heat" not in state.settings:
        yield replace(state, settings={**state.settings, "heat": "hot"})


def cell_of(reading: str, state: State) -> Cell:
    """Return the standard run state in which ``reading`` is taken when people say ``state``."""
    known = state.known()
    power = CAN if reading == "delivery" else known.get("power", "none")
    return Cell.stated(power, known, parked=state.stage == "parked")


def _settings(network: Network, cells: Sequence[Cell], rng: np.random.Generator) -> list[Settings]:
    """Return the settings of each state, all on one day with one fuel."""
    day = draws_of(Cell("none"), rng, 1)[0]
    out = []
    for cell in cells:
        here = replace(draws_of(cell, rng, 1)[0], rvp=day.rvp, height=day.height)
        out.append(settings_of(network, cell, here))
    return out


def _seen(
    look: _Look,
    words: Words,
    found: Readings,
    faulty_kind: str,
    rows: int,
    rng: np.random.Generator,
    least: float,
) -> Seen | None:
    """Return what is noted of one look, None where the model has no reading."""
    q = look.question
    gauged = faulty_kind in q.instruments and q.id in GAUGED
    reading = GAUGED[q.id] if gauged else look.effect.reading
    if reading not in words or look.place not in places_of(found, reading):
        return None
    at = places_of(found, reading).index(look.place)
    word = str(words[reading][rows + look.row, at])
    sound = str(words[reading][look.row, at])
    if not word or not sound:
        return None
    if word in look.effect.values:
        shows = q.shows[word]
        value = str(rng.choice(list(shows), p=_normed(x if x >= least else 0.0
                                                      for x in shows.values())))  # fmt: skip
    elif word in q.classes:
        value = word
    else:
        return None
    amiss = value != look.normal and word != sound
    return Seen(Finding(q.id, look.place, value, look.state, q.known_there), amiss)


def _normed(values: Iterable[float]) -> np.ndarray:
    p = np.asarray(list(values))
    return np.asarray(p / p.sum())
