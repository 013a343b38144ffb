"""Counts as rows of a cause: which row of the knowledge each speaks of, and what it becomes."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from diagnose.capture.asks_counts import OF, finding_asked, value_asked
from diagnose.capture.counts import Count
from diagnose.capture.drafting import (
    Basis,
    flow_rows,
    part_of,
    relation_to,
    state_that_matters,
    values_text,
)
from diagnose.knowledge_files.yaml_writing import flow_text, scalar_text
from diagnose.model import (
    DIMENSIONS,
    GRADES,
    Cause,
    Finding,
    Produces,
    SourceRef,
    narrower,
    overlap,
)

SAME = 0.05
"""A pooled count this near to the present row says the same (half the step between two words)."""
NEAR = 0.1
"""So near to his count a row still says it (half a step between two words in the middle)."""
LEAST, MOST = 0.01, 0.99
"""No row says less or more: nothing is that certain."""


@dataclass(frozen=True)
class RowDraft:
    """A count as a row of a cause: the present row it changes, None for a new one.

    present: the rate stated now, mean over the grades; None where nothing is stated.
    exact: whether the row's own state was asked, no more and no less.  wide: the present row of
    which this one speaks of one state; it stays for the others.
    """

    count: Count
    row: Produces
    old: Produces | None
    present: float | None
    exact: bool
    wide: Produces | None = None

    @property
    def agrees(self) -> bool:
        """Return whether the present row says the same already."""
        return self.present is not None and abs(self.present - self.count.pool.value) < SAME


def row_of(
    basis: Basis, count: Count, part: str, cause: Cause | None, beside: Sequence[Produces] = ()
) -> RowDraft | str:
    """Return what a count makes of a row of ``cause`` at ``part``; in words why it makes none.

    ``beside``: the rows of the cause that nobody counted, which the new one must leave room for.
    """
    bench = basis.ground.bench
    f = finding_asked(count.about)
    reads, value = value_asked(count.about, basis.ground)
    effect = bench.library.effects[reads]
    state = state_that_matters(bench, f)
    old = _present_row(basis, cause, part, f, effect.id, value) if cause else None
    weights = cause.severity if cause else {}
    present = _mean(old.how_often, weights) if old else None
    pool = count.pool.value
    if pool <= effect.background.get(value, 0.0) or not any(o.chance for o in count.own):
        return "no more often than without any fault: no row is drafted for that"
    when = {d: (v,) for d, v in state.items()}
    used = [r.at for r in cause.own_rows if r.effect == effect.id] if cause else []
    where = relation_to(bench, part, f.at, f.state.known(), used)
    if not where:
        return "no relation leads from the part to the place it was seen at"
    if old is not None and narrower(when, old.when) and not narrower(old.when, when):
        # what was asked is one state of several that the row speaks of: a row of its own
        fresh = replace(old, when=MappingProxyType(when))
        old_row, wide = None, old
    else:
        fresh = old or Produces(effect.id, value, where, {}, {}, MappingProxyType(when))
        old_row, wide = old, None
    room = room_beside(fresh, beside)
    rates = shifted(old.how_often, weights, pool, room) if old else {}
    level = {g: min(pool, room[g]) for g in GRADES}
    if not rates and weights and _mean(level, weights) < pool - SAME:
        return _no_room(fresh, beside, weights)
    said = rates or {g: _written(p) for g, p in level.items()}
    source = _cited(basis, count)
    row = replace(fresh, said=MappingProxyType(said), source=source)
    exact = old is not None and narrower(old.when, when) and narrower(when, old.when)
    return RowDraft(count, row, old_row, present, exact, wide)


def for_the_rest(wide: Produces, narrow: Produces) -> Produces:
    """Return ``wide`` for the states that ``narrow`` does not speak of, itself where it cannot.

    Of two rows that fit a state the higher counts, so that beside the whole of it a lower count
    would say nothing.
    """
    states = {d: wide.when.get(d, DIMENSIONS[d]) for d in narrow.when}
    other = [d for d, values in states.items() if set(values) != set(narrow.when[d])]
    if len(other) != 1:
        return wide
    (d,) = other
    left = tuple(v for v in states[d] if v not in narrow.when[d])
    return replace(wide, when=MappingProxyType({**wide.when, d: left})) if left else wide


def own_entries(basis: Basis, count: Count) -> tuple[int, ...]:
    """Return where in the interview itself a count was given; () where only blind."""
    return tuple(o.entry for o in count.own if o.expert is basis.experts[0])


def _cited(basis: Basis, count: Count) -> SourceRef:
    """Return where a count was given: in the interview, or in the first blind sitting."""
    own = own_entries(basis, count)
    if own:
        return SourceRef(basis.source, part_of(own), count.words)
    first = count.own[0].expert
    entries = tuple(o.entry for o in count.own if o.expert is first)
    return SourceRef(first.source, part_of(entries), count.words)


def _present_row(
    basis: Basis, cause: Cause, part: str, f: Finding, effect: str, value: str
) -> Produces | None:
    """Return the row of a cause's own file that speaks most of what was asked, None."""
    places = basis.ground.bench.places
    known = f.state.known()
    reach = [
        (places.reach(row, part, known).get(f.at, 0.0), len(row.when), -k, row)
        for k, row in enumerate(cause.own_rows)
        if (row.effect, row.value) == (effect, value)
    ]
    fits = [r for r in reach if r[0] > 0.0]
    return max(fits, key=lambda r: r[:3])[3] if fits else None


def _mean(rates: Mapping[str, float], weights: Mapping[str, float]) -> float:
    return sum(weights.get(g, 0.0) * p for g, p in rates.items())


def room_beside(row: Produces, beside: Sequence[Produces]) -> dict[str, float]:
    """Return per grade what is left for ``row``: an effect has one value at a time.

    The other values at the same place in a state that fits both take theirs first.
    """
    room = dict.fromkeys(GRADES, MOST)
    for grade in GRADES:
        taken: dict[str, float] = {}
        for other in _rivals(row, beside):
            rate = other.how_often.get(grade, 0.0)
            taken[other.value] = max(taken.get(other.value, 0.0), rate)
        # written to two places, rounded down, so that the whole never passes 1
        room[grade] = min(
            MOST, max(0.0, math.floor((1.0 - sum(taken.values())) * 100 + 1e-9) / 100)
        )
    return room


def as_rated(rows: Sequence[Produces]) -> list[Produces]:
    """Return drafted rows with what they say as figures."""
    return [replace(r, how_often={g: float(p) for g, p in r.said.items()}) for r in rows]


def shared_out(
    rows: Sequence[RowDraft], weights: Mapping[str, float], beside: Sequence[Produces]
) -> list[RowDraft]:
    """Return the rows with what is counted of one thing drawn in, per grade, until it fits.

    18 of 20 that fade and 2 that stop are all there are; moved alike, each by itself, they would be
    more in the severe grade.  What would then say another count than his is left as it was.
    """
    rated = as_rated([r.row for r in rows])
    out = []
    for made, mine in zip(rows, rated, strict=True):
        rivals = _rivals(mine, rated)
        room = room_beside(
            mine, [r for r in beside if (r.effect, r.value) != (mine.effect, mine.value)]
        )
        fitted = {}
        for grade, rate in mine.how_often.items():
            values = {r.value: r.how_often.get(grade, 0.0) for r in rivals}
            whole = rate + sum(values.values())
            least = room.get(grade, MOST)
            fitted[grade] = rate if whole <= least else math.floor(rate / whole * least * 100) / 100
        far = abs(_mean(fitted, weights) - made.count.pool.value) > NEAR if weights else False
        if far or fitted == mine.how_often:
            out.append(made)
        else:
            said = {g: _written(p) for g, p in fitted.items()}
            out.append(replace(made, row=replace(made.row, said=MappingProxyType(said))))
    return out


def _rivals(row: Produces, beside: Sequence[Produces]) -> list[Produces]:
    return [
        other
        for other in beside
        if (other.effect, other.at) == (row.effect, row.at)
        and other.value != row.value
        and overlap(row.when, other.when)
    ]


def _no_room(row: Produces, beside: Sequence[Produces], weights: Mapping[str, float]) -> str:
    """Return that the present rows leave no room for a count, and what they say."""
    rivals = {r.value: max(_mean(r.how_often, weights), 0.0) for r in _rivals(row, beside)}
    said = ", ".join(f"{value} {share:.2f}" for value, share in sorted(rivals.items()))
    return (
        f"beside what the knowledge says of the same thing ({said}) there is no room for it; "
        "ask him how many of the 20 show that instead, or mend the file by hand"
    )


def shifted(
    rates: Mapping[str, float],
    weights: Mapping[str, float],
    target: float,
    room: Mapping[str, float],
) -> dict[str, str]:
    """Return the rates per grade moved alike in log odds so that their mean is ``target``.

    Whoever counts aeroplanes counts all grades together; how the grades stand to each other stays
    as the knowledge has it, but for none being more than its ``room``.  {} where the grades stated
    cannot reach the target.
    """
    if len(set(rates.values())) < 2 and len(rates) == len(GRADES):
        return {}

    def moved(shift: float) -> dict[str, float]:
        logs = {g: math.log(p / (1.0 - p)) + shift for g, p in rates.items()}
        return {g: min(1.0 / (1.0 + math.exp(-x)), room[g]) for g, x in logs.items()}

    low, high = -12.0, 12.0
    if _mean(moved(high), weights) < target:
        return {}
    for _ in range(60):
        mid = (low + high) / 2.0
        low, high = (mid, high) if _mean(moved(mid), weights) < target else (low, mid)
    return {g: _written(p) for g, p in moved(high).items()}


def _written(rate: float) -> str:
    return f"{min(max(rate, LEAST), MOST):.2f}".lstrip("0")


def row_text(row: Produces) -> str:
    """Return one row as the list item of a cause file."""
    items = {"effect": row.effect, "is": scalar_text(row.value), "at": row.at}
    if row.when:
        items["when"] = values_text(row.when)
    if row.only_if:
        items["only-if"] = flow_text(dict(row.only_if))
    words = set(row.said.values())
    if len(words) == 1 and len(row.said) == len(GRADES):
        items["how-often"] = words.pop()
    else:
        items["how-often"] = "{" + ", ".join(f"{g}: {w}" for g, w in row.said.items()) + "}"
    if row.source:
        s = row.source
        items["source"] = flow_text({"id": s.id, "part": s.part, "gives": s.gives})
    return flow_rows(items)


def summary(basis: Basis, rows: Sequence[RowDraft]) -> str:
    """Return what the rows say, in a line and in his own form: so many of twenty."""
    words = basis.ground.finding_words
    return "; ".join(
        f"{words(finding_asked(r.count.about))}: {r.count.pool.value * OF:.0f} of {OF}"
        + (f" (was {r.present * OF:.0f})" if r.present is not None else " (new)")
        for r in rows
    )
