"""Fuel in common: which uplifts an aeroplane shares with others, by source and batch."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Final

from diagnose.model import Aeroplane, Uplift

WITHIN_DAYS: Final = 7
"""Uplifts from one source so many days apart are taken for the same fuel where no batch is
written (common practice, no source)."""


@dataclass(frozen=True)
class SameFuel:
    """Another aeroplane that took on fuel from the same source."""

    registration: str
    theirs: Uplift
    same_batch: bool


def last_uplift(own: Aeroplane, tank: str, until: str) -> Uplift | None:
    """Return the last uplift into ``tank`` on or before the day ``until``.

    An uplift that names no tank is taken to have gone into each.
    """
    fits = [u for u in own.uplifts if u.on <= until and (not u.tanks or tank in u.tanks)]
    return max(fits, key=lambda u: u.on, default=None)


def fuelled_alike(own: Aeroplane, others: Iterable[Aeroplane], today: date) -> tuple[SameFuel, ...]:
    """Return the other aeroplanes fuelled from the sources of ``own``, one row a pair of uplifts.

    Batches decide where both are written down; else the same source within ``WITHIN_DAYS``.
    Uplifts after ``today`` are slips of the pen and do not count.
    """
    out = []
    for other in others:
        if other.registration == own.registration:
            continue
        out += [
            SameFuel(other.registration, b, bool(a.batch) and _name(a.batch) == _name(b.batch))
            for a, b in _pairs(own, other)
            if max(a.on, b.on) <= today.isoformat() and _alike(a, b)
        ]
    return tuple(sorted(out, key=lambda s: (not s.same_batch, s.registration, s.theirs.on)))


def _pairs(own: Aeroplane, other: Aeroplane) -> Iterator[tuple[Uplift, Uplift]]:
    for a in own.uplifts:
        for b in other.uplifts:
            if _name(a.source) == _name(b.source):
                yield a, b


def _alike(a: Uplift, b: Uplift) -> bool:
    if a.batch and b.batch:
        return _name(a.batch) == _name(b.batch)
    apart = abs((date.fromisoformat(a.on) - date.fromisoformat(b.on)).days)
    return apart <= WITHIN_DAYS


def _name(text: str) -> str:
    return " ".join(text.casefold().split())
