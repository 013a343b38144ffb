"""Which failures are drawn on which layouts: every mode with a physical form, some times each."""

from __future__ import annotations

import zlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.casebook.draw import Draw, draw
from diagnose.job.diagnosis import Bench
from diagnose.model import GRADES, Case, Cause, CauseAt, Library

SEED = 1
"""Seed of the kept draws."""


@dataclass(frozen=True)
class Drawn:
    """What was drawn.

    cases: the jobs.  silent: modes with a physical form that nothing on any layout shows.
    """

    cases: tuple[Case, ...]
    silent: tuple[str, ...]


def draw_all(
    library: Library,
    benches: Mapping[str, Bench],
    *,
    each: int,
    seed: int,
    only: Sequence[str],
    progress: Callable[[str], None],
) -> Drawn:
    """Return ``each`` jobs for every cause with a physical form, on layouts in turn.

    Layout, part and grade come from the seed and the cause's name, never from how the job ranks.
    A draw that shows nothing amiss is drawn again worse, then on the next layout.
    """
    cases: list[Case] = []
    silent: list[str] = []
    wanted = [c for c in sorted(library.causes) if not only or c in only]
    for n, name in enumerate(wanted, start=1):
        cause = library.causes[name]
        if cause.physical is None:
            continue
        progress(f"{n} of {len(wanted)}: {name}")
        found = _of_one(cause, benches, each, seed)
        cases += found
        if not found and any(b.parts_of(name) for b in benches.values()):
            silent.append(name)
    return Drawn(tuple(cases), tuple(silent))


def _of_one(cause: Cause, benches: Mapping[str, Bench], each: int, seed: int) -> list[Case]:
    rng = np.random.default_rng([seed, zlib.crc32(cause.id.encode())])
    there = [n for n in sorted(benches) if benches[n].parts_of(cause.id)]
    layouts = [there[i] for i in rng.permutation(len(there))]
    out: list[Case] = []
    for name in layouts * each:  # a mode of one layout only is drawn there again
        if len(out) == each:
            break
        bench = benches[name]
        places = bench.parts_of(cause.id)
        at = places[int(rng.integers(len(places)))]
        start = _grade(cause, rng)
        for grade in GRADES[GRADES.index(start) :]:
            if cause.physical is None or grade not in cause.physical.grades:
                continue
            what = Draw(CauseAt(cause.id, at), grade, int(rng.integers(1, 10_000)))
            case = draw(bench, what, f"model-{cause.id}-{len(out) + 1}")
            if case is not None:
                out.append(case)
                break
    return out


def _grade(cause: Cause, rng: np.random.Generator) -> str:
    share = np.asarray([cause.severity.get(g, 0.0) for g in GRADES])
    return GRADES[int(rng.choice(len(GRADES), p=share / share.sum()))]
