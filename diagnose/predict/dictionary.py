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
    FaultError,
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
from diagnose.fuel.conditions import prepare
from diagnose.fuel.faults import INSTRUMENTS, READ_CHANGES, apply
from diagnose.model import CauseAt, Effect, Layout, Library
from diagnose.predict.gather import Gathered, Looked, Rows, Words
from diagnose.predict.groups import ALONE, astray, needs_tank, packed, systems, turned_to
from diagnose.predict.severity import GRADE_POINTS, POINTS, SCATTERS, points_of, scattered
from diagnose.predict.states import Cell, cells_of, draws_of, settings_of
from diagnose.predict.tables import Tables, reads_in

Progress = Callable[[int, int], None]
"""Told (states done, states in all)."""
SEED = 20251125


@dataclass(frozen=True)
class _Case:
    """One cause with its fault at each severity point; None where it has none."""

    faults: tuple[Fault | None, ...]
    shows_only: bool  # an instrument: the fuel does not feel it
    turn: str  # the tank to select for it


def effects_read(library: Library, layout: Layout) -> dict[str, Effect]:
    """Return the effects that name a reading the model gives where the effect is."""
    network = build(layout)
    at = _reading_kinds(network)
    return {
        e.id: e for e in library.effects.values() if e.reading and at(e.reading) & set(e.at)
    }  # fmt: skip


def _reading_kinds(network: Network) -> Callable[[str], set[str]]:
    found = readings(network, solve(network, [Settings()]))
    parts = network.layout.parts

    def kinds(reading: str) -> set[str]:
        return {parts[p].kind for p in places_of(found, reading)}

    return kinds


def compile_tables(
    library: Library,
    layout: Layout,
    causes: Sequence[CauseAt],
    progress: Progress = lambda done, total: None,
) -> Tables:
    """Solve everything and return the tables; ``causes`` are those to look at, any order.

    Causes without a physical form, or with one that does not fit their part, are left out.
    """
    network = build(layout)
    effects = effects_read(library, layout)
    kept: list[CauseAt] = []
    cases: list[_Case] = []
    scratch = Settings()
    for cause in causes:
        case = _case(library, network, cause, scratch)
        if case is not None:
            kept.append(cause)
            cases.append(case)
    cells = cells_of(layout)
    needs = {part: needs_tank(network, part) for part in {c.at for c in kept}}
    gathered = Gathered(effects, tuple(kept), cells, tuple(needs[c.at] for c in kept))
    progress(0, len(cells))
    for number, cell in enumerate(cells):
        _solve_cell(network, cell, cases, gathered, number)
        progress(number + 1, len(cells))
    return gathered.tables()


def _case(library: Library, network: Network, cause: CauseAt, state: Settings) -> _Case | None:
    """Return what to solve for a cause, None where its change has no form at its part."""
    physical = library.causes[cause.cause].physical
    if physical is None or cause.at not in network.layout.parts:
        return None
    faults = tuple(
        None if v is None else Fault(cause.at, physical.change, v, physical.unit)
        for v in points_of(physical)
    )
    try:
        for fault in faults:
            if fault is not None:
                apply(network, prepare(network, [state]), 0, state, fault)
                break
        else:
            return None
    except FaultError:
        return None
    kind = network.layout.parts[cause.at].kind
    shows = kind in INSTRUMENTS and physical.change in READ_CHANGES
    return _Case(faults, shows, turned_to(network, cause.at))


def _solve_cell(
    network: Network, cell: Cell, cases: Sequence[_Case], gathered: Gathered, number: int
) -> None:
    rng = np.random.default_rng([SEED, zlib.crc32(repr(cell).encode())])
    draws = draws_of(cell, rng, POINTS)
    steady = cell.tank != "" or cell.parked  # the tank is said, or no tank feeds
    turns = sorted({"" if steady else c.turn for c in cases} | {""})
    points = range(POINTS) if cell.usual else GRADE_POINTS
    kinds = [(k, turn) for k in range(POINTS) for turn in turns]
    sound_states = [settings_of(network, cell, draws[k], turn) for k, turn in kinds]
    rows = Rows([], [], [], {})
    gauges = reads_in("gauge-against-stick", cell)
    for s, (k, turn) in enumerate(kinds):
        if k not in points:
            continue
        separate = systems(network, sound_states[s])
        wanted = dict.fromkeys(
            f
            for c in cases
            if ("" if steady else c.turn) == turn and (f := c.faults[k]) is not None
            if (gauges or not c.shows_only) and not astray(network, separate, f)
        )
        _add_rows(network, rows, sound_states[s], s, (k, turn), tuple(wanted))
    sound = solve(network, sound_states)
    found = _solved(network, rows)
    converged = np.concatenate([f.converged for f in found])
    gathered.solved += len(rows.where)
    gathered.unsolved += sum(not converged[row] for row, _ in rows.where.values())
    of = {kind: s for s, kind in enumerate(kinds)}
    shape = (len(cases), POINTS)
    state, row, system = (np.full(shape, -1, dtype=np.intp) for _ in range(3))
    has = np.zeros(shape, dtype=bool)
    for c, case in enumerate(cases):
        turn = "" if steady else case.turn
        for k, fault in enumerate(case.faults):
            state[c, k] = of[(k, turn)]
            if fault is not None and k in points:
                # an instrument the fuel does not feel stays at the sound state; others not solved
                # have no say
                has[c, k] = case.shows_only or (k, turn, fault) in rows.where
                row[c, k], system[c, k] = rows.where.get((k, turn, fault), (-1, ALONE))
    gathered.add(
        network,
        number,
        sound_states,
        Looked(state, row, system, has),
        _words(network, sound, found, rows, rng),
    )


def _add_rows(
    network: Network,
    rows: Rows,
    settings: Settings,
    sound: int,
    kind: tuple[int, str],
    faults: Sequence[Fault],
) -> None:
    for entries in packed(network, settings, faults):
        for i, system in entries:
            rows.where[(*kind, faults[i])] = (len(rows.settings), system)
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
    by_row: dict[int, list[tuple[int, str, Fault]]] = {}
    for key, (row, _) in rows.where.items():
        by_row.setdefault(row, []).append(key)
    first = len(rows.settings)
    for row in bad:
        for key in by_row[row]:
            rows.where[key] = (len(rows.settings), ALONE)
            rows.settings.append(rows.settings[row])
            rows.faults.append((key[2],))
            rows.sound.append(rows.sound[row])
    return [found, solve(network, rows.settings[first:], rows.faults[first:])]


def _words(
    network: Network,
    sound: Solution,
    found: Sequence[Solution],
    rows: Rows,
    rng: np.random.Generator,
) -> Words:
    """Return the classes of all readings, as ``SCATTERS`` sound aeroplanes would show them."""
    sound_read = readings(network, sound)
    own = np.arange(len(sound.converged))
    seeds = [int(rng.integers(2**32)) for _ in range(SCATTERS)]

    def classes(
        solution: Solution, read: Readings, index: np.ndarray
    ) -> list[Mapping[str, np.ndarray]]:
        beside = Readings({n: v[index] for n, v in sound_read.values.items()}, sound_read.places)
        return [
            classify(
                network,
                solution,
                scattered(read, index, len(own), np.random.default_rng(seed)),
                beside,
            )
            for seed in seeds
        ]

    straight = classes(sound, sound_read, own)
    bent, first = [], 0
    for solution in found:
        last = first + len(solution.converged)
        index = np.asarray(rows.sound[first:last], dtype=np.intp)
        bent.append(classes(solution, readings(network, solution), index))
        first = last
    return Words(
        {
            n: np.concatenate([np.stack([w[n] for w in b]) for b in bent], axis=1)
            for n in straight[0]
        },
        {n: np.stack([w[n] for w in straight]) for n in straight[0]},
        {n: places_of(sound_read, n) for n in straight[0]},
    )
