"""The fault dictionary of a layout: every cause with a physical form solved in every run state.

Rows that did not converge are solved again by themselves; what still has no steady state is left
out and counted, never used.  The same conditions and scatter serve the sound and the faulty
aeroplane, so that what a cause does not touch comes out as exactly nothing.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.fuel import (
    Fault,
    Network,
    Readings,
    Settings,
    Solution,
    build,
    classify,
    places_of,
    readings,
    solve,
)
from diagnose.fuel.faults import INSTRUMENTS, READ_CHANGES, has_form
from diagnose.how_far import HowFar, untold
from diagnose.model import CauseAt, Effect, Physical
from diagnose.predict.figures import FIGURES
from diagnose.predict.gather import Gathered, Looked, Rows, Words
from diagnose.predict.groups import ALONE, astray, needs_tank, packed, systems, turned_to
from diagnose.predict.severity import (
    GRADE_POINTS,
    POINTS,
    SCATTERS,
    points_of,
    pulled_down,
    scattered,
    without_air,
)
from diagnose.predict.solvable import Solvable
from diagnose.predict.states import Cell, cells_of, draws_of, settings_of
from diagnose.predict.tables import Tables, reads_in

SEED = 20251125
TOGETHER = 11
"""Run states solved at once."""


@dataclass(frozen=True)
class _Case:
    """One cause with its fault at each severity point; None where it has none."""

    faults: tuple[Fault | None, ...]
    shows_only: bool  # an instrument: the fuel does not feel it
    turn: str  # the tank to select for it


def _effects_read(network: Network, effects: Sequence[Effect]) -> dict[str, Effect]:
    """Return those of ``effects`` whose reading the model gives where the effect is."""
    at = _reading_kinds(network)
    return {e.id: e for e in effects if at(e.reading) & set(e.at)}


def _reading_kinds(network: Network) -> Callable[[str], set[str]]:
    found = readings(network, solve(network, [Settings()]))
    parts = network.layout.parts

    def kinds(reading: str) -> set[str]:
        return {parts[p].kind for p in places_of(found, reading)}

    return kinds


def compile_tables(asked: Solvable, progress: HowFar = untold) -> Tables:
    """Solve everything and return the tables.

    Causes whose physical form does not fit their part are left out.
    """
    network = build(asked.layout)
    effects = _effects_read(network, asked.effects)
    kept: list[CauseAt] = []
    cases: list[_Case] = []
    for cause, physical in asked.causes:
        case = _case(network, cause, physical)
        if case is not None:
            kept.append(cause)
            cases.append(case)
    cells = cells_of(asked.layout)
    needs = {part: needs_tank(network, part) for part in {c.at for c in kept}}
    gathered = Gathered(effects, tuple(kept), cells, tuple(needs[c.at] for c in kept))
    progress(0, len(cells))
    for first in range(0, len(cells), TOGETHER):
        part = list(enumerate(cells))[first : first + TOGETHER]
        _solve_cells(network, part, cases, gathered)
        progress(first + len(part), len(cells))
    return gathered.tables()


def _case(network: Network, cause: CauseAt, physical: Physical) -> _Case | None:
    """Return what to solve for a cause, None where its change has no form at its part."""
    if cause.at not in network.layout.parts:
        return None
    faults = tuple(
        None if v is None else Fault(cause.at, physical.change, v, physical.unit)
        for v in points_of(physical)
    )
    first = next((fault for fault in faults if fault is not None), None)
    if first is None or not has_form(network, first):
        return None
    kind = network.layout.parts[cause.at].kind
    shows = kind in INSTRUMENTS and physical.change in READ_CHANGES
    return _Case(faults, shows, turned_to(network, cause.at))


@dataclass(frozen=True)
class _Planned:
    """One run state with its rows among those of a batch.

    of: (severity point, tank turned to) -> number of the sound state.  steady: no tank is turned
    to, because the tank is said or none feeds.  points: severities solved.
    """

    number: int
    steady: bool
    points: Sequence[int]
    of: Mapping[tuple[int, str], int]


@dataclass(frozen=True)
class _Batch:
    """Rows of several run states, solved at once: the slowest rows then wait for each other.

    sound: every sound state.  aeroplane: number of the sound aeroplane each of them is seen on.
    """

    rows: Rows
    sound: list[Settings]
    aeroplane: list[int]
    planned: list[_Planned]


def _solve_cells(
    network: Network,
    cells: Sequence[tuple[int, Cell]],
    cases: Sequence[_Case],
    gathered: Gathered,
) -> None:
    """Solve a batch of run states and gather what they show."""
    batch = _Batch(Rows(), [], [], [])
    for number, cell in cells:
        _plan(network, number, cell, cases, batch)
    rows = batch.rows
    sound = solve(network, batch.sound)
    found = _solved(network, rows)
    converged = np.concatenate([f.converged for f in found])
    gathered.solved += len(rows.where)
    gathered.unsolved += sum(not converged[row] for row, _ in rows.where.values())
    words = _words(network, sound, found, batch)
    for plan in batch.planned:
        gathered.add(network, plan.number, batch.sound, _looked(plan, cases, rows), words)


def _plan(network: Network, number: int, cell: Cell, cases: Sequence[_Case], batch: _Batch) -> None:
    """Add the sound states and the rows of one run state to a batch."""
    draws = draws_of(cell, np.random.default_rng([SEED, zlib.crc32(repr(cell).encode())]), POINTS)
    steady = cell.tank != "" or cell.parked
    points = range(POINTS) if cell.usual else GRADE_POINTS
    gauges = reads_in("gauge-against-stick", cell)
    of: dict[tuple[int, str], int] = {}
    for turn in sorted({"" if steady else c.turn for c in cases} | {""}):
        for k in range(POINTS):
            state = of[(k, turn)] = len(batch.sound)
            batch.sound.append(settings_of(network, cell, draws[k], turn))
            batch.aeroplane.append(number * POINTS + k)
            if k not in points:
                continue
            separate = systems(network, batch.sound[-1])
            wanted = dict.fromkeys(
                f
                for c in cases
                if ("" if steady else c.turn) == turn and (f := c.faults[k]) is not None
                if (gauges or not c.shows_only) and not astray(network, separate, f)
            )
            _add_rows(network, batch.rows, batch.sound[-1], state, tuple(wanted))
    batch.planned.append(_Planned(number, steady, points, of))


def _looked(plan: _Planned, cases: Sequence[_Case], rows: Rows) -> Looked:
    """Return where to look for each cause in one run state."""
    shape = (len(cases), POINTS)
    state, row, system = (np.full(shape, -1, dtype=np.intp) for _ in range(3))
    has = np.zeros(shape, dtype=bool)
    for c, case in enumerate(cases):
        turn = "" if plan.steady else case.turn
        for k, fault in enumerate(case.faults):
            state[c, k] = plan.of[(k, turn)]
            if fault is not None and k in plan.points:
                # an instrument the fuel does not feel stays at the sound state; others not solved
                # have no say
                key = (int(state[c, k]), fault)
                has[c, k] = case.shows_only or key in rows.where
                row[c, k], system[c, k] = rows.where.get(key, (-1, ALONE))
    return Looked(state, row, system, has)


def _add_rows(
    network: Network,
    rows: Rows,
    settings: Settings,
    sound: int,
    faults: Sequence[Fault],
) -> None:
    for entries in packed(network, settings, faults):
        for i, system in entries:
            rows.where[(sound, faults[i])] = (len(rows.settings), system)
        rows.settings.append(settings)
        rows.faults.append(tuple(faults[i] for i, _ in entries))
        rows.sound.append(sound)


def _solved(network: Network, rows: Rows) -> list[Solution]:
    """Solve the rows; those that hold several faults and do not converge are taken apart.

    What was taken apart stands in a second solution, its rows behind those of the first.
    """
    found = solve(network, rows.settings, rows.faults)
    bad = [int(r) for r in np.flatnonzero(~found.converged) if len(rows.faults[r]) > 1]
    if not bad:
        return [found]
    by_row: dict[int, list[tuple[int, Fault]]] = {}
    for key, (row, _) in rows.where.items():
        by_row.setdefault(row, []).append(key)
    first = len(rows.settings)
    for row in bad:
        for key in by_row[row]:
            rows.where[key] = (len(rows.settings), ALONE)
            rows.settings.append(rows.settings[row])
            rows.faults.append((key[1],))
            rows.sound.append(rows.sound[row])
    return [found, solve(network, rows.settings[first:], rows.faults[first:])]


def _words(
    network: Network,
    sound: Solution,
    found: Sequence[Solution],
    batch: _Batch,
) -> Words:
    """Return the classes of all readings, as ``SCATTERS`` sound aeroplanes would show them."""
    sound_read = readings(network, sound)
    own = np.arange(len(sound.converged))
    aeroplane = np.asarray(batch.aeroplane, dtype=np.intp)
    count = int(aeroplane.max()) + 1

    def classes(
        solution: Solution, read: Readings, index: np.ndarray
    ) -> tuple[list[Mapping[str, np.ndarray]], list[Mapping[str, np.ndarray]]]:
        beside = Readings({n: v[index] for n, v in sound_read.values.items()}, sound_read.places)
        out: list[Mapping[str, np.ndarray]] = []
        figures: list[Mapping[str, np.ndarray]] = []
        for seed in range(SCATTERS):
            rng = np.random.default_rng([SEED, seed])
            shown = scattered(read, aeroplane[index], count, rng)
            words = classify(network, solution, shown, beside)
            if seed % 2:
                words = pulled_down(words, classify(network, solution, without_air(shown), beside))
            out.append(words)
            figures.append({name: shown.values[number] for name, number in FIGURES.items()})
        return out, figures

    straight, straight_figures = classes(sound, sound_read, own)
    bent, bent_figures, first = [], [], 0
    for solution in found:
        last = first + len(solution.converged)
        index = np.asarray(batch.rows.sound[first:last], dtype=np.intp)
        words, figures = classes(solution, readings(network, solution), index)
        bent.append(words)
        bent_figures.append(figures)
        first = last
    return Words(
        _joined(bent),
        _joined([straight]),
        {n: places_of(sound_read, n) for n in straight[0]},
        _joined(bent_figures),
        _joined([straight_figures]),
    )


def _joined(parts: Sequence[Sequence[Mapping[str, np.ndarray]]]) -> dict[str, np.ndarray]:
    """Return (S, rows, places) arrays from parts of the rows, each a list of S aeroplanes."""
    return {
        name: np.concatenate([np.stack([seen[name] for seen in part]) for part in parts], axis=1)
        for name in parts[0][0]
    }
