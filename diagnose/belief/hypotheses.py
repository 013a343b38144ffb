"""The causes of a layout with their prior odds and severity grades.

Given a report, *not fuel*, *no fault* and *not in the knowledge* take stated shares and the fuel
causes share the rest by how common they are.  How common is said of a failure mode per complaint,
so a mode is shared out over the parts of the layout that can have it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from operator import itemgetter
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from diagnose.model import (
    AEROPLANE,
    FUEL,
    FUEL_ABOARD,
    GRADES,
    CauseAt,
    Layout,
    Library,
    Words,
    Work,
)

Floats = NDArray[np.float64]

Lifted = dict[int, tuple[float, str]]
"""Number of a cause -> the factor on its odds, and the work that gives it."""

UNKNOWN = CauseAt("not-in-the-knowledge", AEROPLANE)
"""The hypothesis that none of the listed causes explains the findings."""

SECOND_FAULT = 0.1
"""Sum S of the scaled prior odds: about the chance of a second, independent fault."""

KNOWN_ALONE = 0.1
"""Prior share of 'nothing but the known defects' where there are any (common practice, no source):
people report again what is already in the papers."""

CEILING = 0.98
"""No cause leaves less than this much doubt about an effect: 1 - CEILING stays normal."""

NOTHING: Mapping[CauseAt, str] = MappingProxyType({})
"""No defect listed."""

STRANGERS = (0.5, 1.0, 2.0)
"""*Not in the knowledge* is mixed over causes half as, as, and twice as busy as the listed mean."""


def odds(p: float) -> float:
    """Return the odds of a chance, of none and of certainty too."""
    p = min(max(p, 1e-12), 1.0 - 1e-12)
    return p / (1.0 - p)


@dataclass(frozen=True)
class Hypotheses:
    """All causes of a layout, ``UNKNOWN`` last.

    causes: n cause instances.  prior: P(single cause | report) up to one common factor, shape (n,).
    odds: odds scaled to sum ``SECOND_FAULT`` over the fuel causes, 0 for the others, shape (n,).
    grades: P(severity grade | cause), shape (n, 3), rows sum to 1.
    outside: '' for fuel causes, else 'not-fuel', 'no-fault' or 'unknown'.
    """

    causes: tuple[CauseAt, ...]
    index: Mapping[CauseAt, int]
    prior: Floats
    odds: Floats
    grades: Floats
    outside: tuple[str, ...]
    lifted: Mapping[int, tuple[float, str]]

    @cached_property
    def alphabetic(self) -> NDArray[np.int64]:
        """Return the place of each cause in the order of their names, shape (n,)."""
        names = [str(c) for c in self.causes]
        return np.argsort(sorted(range(len(names)), key=names.__getitem__))

    @property
    def count(self) -> int:
        """Return the number of hypotheses that are single causes, ``UNKNOWN`` included."""
        return len(self.causes)


def hypotheses(
    library: Library,
    layout: Layout,
    instances: Sequence[CauseAt],
    before: Iterable[Work],
    listed: Mapping[CauseAt, str],
    known: Mapping[CauseAt, str],
) -> Hypotheses:
    """Return the hypotheses for ``instances``, odds lifted where work was done (``before``).

    ``listed``: causes the aeroplane's papers list as open defects, with the entry in words; they
    are lifted like work.  ``known``: those of them that are there whatever else is; they share
    ``KNOWN_ALONE`` and make no pairs: alone they stand for 'nothing but the known defect'.

    Judged reports have their say on how common each is (``Cause.judged``).

    Sources: scale of commonness and second-fault sum are this project's own statement; no
    published base rates exist for these systems.
    """
    causes = [*instances, UNKNOWN]
    parts_of_mode: dict[str, int] = {}
    for c in instances:
        parts_of_mode[c.cause] = parts_of_mode.get(c.cause, 0) + 1
    raw = np.zeros(len(causes))
    grades = np.full((len(causes), len(GRADES)), 1.0 / len(GRADES))
    outside: list[str] = []
    lifted: Lifted = {}
    works = tuple(before)
    for i, c in enumerate(instances):
        cause = library.causes[c.cause]
        common = cause.how_common**library.words.common_weight
        p = common / parts_of_mode[c.cause]
        raw[i] = cause.judged * p / (1.0 - p)
        done = [w for w in works if _touches(w, c, cause.after_work, layout)]
        if done:
            lifted[i] = max(((_lift(w, library.words, layout), w.what) for w in done), key=_FACTOR)
            raw[i] *= lifted[i][0]
        if c in listed and c not in known:
            raw[i] *= library.words.work_lift
            lifted[i] = (library.words.work_lift * lifted.get(i, (1.0, ""))[0], listed[c])
        grades[i] = [cause.severity[g] for g in GRADES]
        outside.append(cause.outside)
    outside.append("unknown")
    kinds = np.array(outside)
    shares = _after_work(library.words.shares, kinds, raw, lifted)
    fuel = kinds == ""
    there = np.array([c in known for c in causes])
    odds = np.where(fuel & ~there, raw, 0.0)
    odds *= SECOND_FAULT / max(odds.sum(), 1e-300)
    prior = np.zeros(len(causes))
    left = 1.0
    if there.any():
        prior[there] = KNOWN_ALONE / there.sum()
        left -= KNOWN_ALONE
    for kind, share in (
        ("not-fuel", shares["not-fuel"]),
        ("no-fault", shares["no-fault"]),
        ("unknown", shares["not-in-the-knowledge"]),
    ):
        here = kinds == kind
        if kind == "unknown":
            raw[here] = 1.0
        if here.any():
            prior[here] = share * raw[here] / raw[here].sum()
            left -= share
    # singles weigh o, pairs o*o; together they hold what the outside shares leave
    pair_sum = (odds.sum() ** 2 - (odds**2).sum()) / 2.0
    scale = left / (odds.sum() + pair_sum) if fuel.any() else 0.0
    prior += scale * odds
    for i in np.flatnonzero(there).tolist():
        unlisted = scale * SECOND_FAULT * raw[i] / raw[fuel].sum()
        lifted[i] = (float(prior[i] / unlisted), known[causes[i]])
    return Hypotheses(
        tuple(causes),
        {c: i for i, c in enumerate(causes)},
        prior,
        odds,
        grades,
        tuple(outside),
        lifted,
    )


def _after_work(
    shares: Mapping[str, float], kinds: NDArray[np.str_], raw: Floats, lifted: Lifted
) -> dict[str, float]:
    """Return the shares of what is not a fault of our parts, by what work can have caused.

    Work lifts the causes it can have led to, ours and others; the shares were stated for an
    aeroplane nobody had worked on.  What is not in the knowledge comes of work as our causes do.
    """
    without = raw.copy()
    for i, (factor, _) in lifted.items():
        without[i] /= factor
    grown = {
        kind: raw[kinds == kind].sum() / max(without[kinds == kind].sum(), 1e-300)
        for kind in ("", "not-fuel", "no-fault")
        if (kinds == kind).any()
    }
    ours = grown.get("", 1.0)
    weights = {name: share * grown.get(name, ours) for name, share in shares.items()}
    total = (1.0 - sum(shares.values())) * ours + sum(weights.values())
    return {name: weight / total for name, weight in weights.items()}


_FACTOR = itemgetter(0)


def _lift(work: Work, words: Words, layout: Layout) -> float:
    """Return the factor on the odds of what ``work`` can have caused."""
    part = layout.parts.get(work.at)
    fuelled = part is not None and part.kind in (FUEL, FUEL_ABOARD)
    return words.fuelling_lift if fuelled else words.work_lift


def _touches(work: Work, cause: CauseAt, after_work: Sequence[str], layout: Layout) -> bool:
    """Return whether ``work`` was done where it can have caused ``cause``."""
    place = "aeroplane" if work.at in ("airframe", AEROPLANE) else work.at
    if place == AEROPLANE:
        return AEROPLANE in after_work
    part = layout.parts.get(place)
    if part is None:
        return False
    if part.kind == FUEL_ABOARD:  # it was fuelled, and nobody said into which tank
        return not {FUEL, FUEL_ABOARD}.isdisjoint(after_work)
    if part.kind not in after_work:
        return False
    here = layout.parts.get(cause.at)
    if here is None or here.id == part.id:
        return True
    if here.of == AEROPLANE:
        return True
    # same tank, same engine, or one belongs to the other; on a single-engine aeroplane any
    owners = {part.id, part.of} - {"", AEROPLANE}
    return bool(owners & {here.id, here.of}) or (
        sum(p.kind == "engine" for p in layout.parts.values()) == 1 and part.side in ("", here.side)
    )
