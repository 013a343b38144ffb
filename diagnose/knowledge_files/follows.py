"""What one effect brings with it, worked into the causes that say nothing of it themselves.

A starved engine runs lean, hesitates and starts badly whatever starved it.  The effect says so
once, under ``follows``; here each fuel cause that gives the first effect gets the row for the
second, with the line that said it as origin.  A cause that has rows of its own keeps them alone,
but for the powers at which none of them speaks of the same value: there it follows too.  A check
says the same of its results, for all causes that do not name it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from diagnose.by_key import by_key
from diagnose.model import (
    DIMENSIONS,
    GRADES,
    Cause,
    CauseCheck,
    Check,
    Effect,
    Follows,
    Produces,
    overlap,
)

POWER = "power"

LEAST, MOST = 0.03, 0.95
"""Below the one a result is a false find like any other; nothing that follows is surer than the
other (common practice, no source)."""

_Where = tuple[str, tuple[tuple[str, tuple[str, ...]], ...], tuple[tuple[str, str], ...], bool]
"""Relation, settings in which a row holds, traits without which it does not, and whether in one
position of the cock only."""


def with_followers(
    causes: Mapping[str, Cause], effects: Mapping[str, Effect], checks: Mapping[str, Check]
) -> dict[str, Cause]:
    """Return ``causes`` with what follows from their own rows, of other effects and at checks."""
    out = {}
    for name, cause in causes.items():
        grown = cause.produces if cause.outside else _grown(cause, effects.values())
        shown = _shown(cause, grown, checks.values())
        out[name] = replace(cause, produces=grown, also_shows=(*cause.also_shows, *shown))
    return out


def _shown(cause: Cause, rows: Iterable[Produces], checks: Iterable[Check]) -> list[CauseCheck]:
    """Return what checks that ``cause`` does not name show with it, by the effects it gives.

    A check is made once, in one state: of each value the likeliest row counts, over the grades.
    """
    named = {one.check for one in cause.at_checks}
    most: dict[tuple[str, str, str, str], tuple[float, Follows]] = {}
    for known, line in ((k, f) for k in checks if k.id not in named for f in k.follows):
        for row in rows:
            gives = row.effect == line.effect and row.value in line.values
            if gives and overlap(row.when, line.when):
                often = sum(cause.severity[g] * row.how_often.get(g, 0.0) for g in GRADES)
                key = (known.id, line.value, line.at or row.at, f"{line.effect} {row.value}")
                most[key] = max(most.get(key, (0.0, line))[0], often * line.share), line
    # different values of one effect exclude each other, so their chances add up
    shown: dict[tuple[str, str, str], CauseCheck] = {}
    for (check, result, at, _), (chance, line) in most.items():
        before = shown.get((check, result, at))
        total = min(chance + (before.chance if before else 0.0), MOST)
        shown[check, result, at] = CauseCheck(check, result, total, at, line.origin)
    return [one for one in shown.values() if one.chance >= LEAST]


def _grown(cause: Cause, effects: Iterable[Effect]) -> tuple[Produces, ...]:
    said = by_key((row.effect, row) for row in cause.produces)
    more: list[Produces] = []
    for effect in effects:
        own = said.get(effect.id, [])
        for line in effect.follows:
            same = [row for row in own if row.value == line.value]
            if same or not own:
                more += _beside(same, _rows(cause, effect, line))
    return (*cause.produces, *more)


def _beside(own: Sequence[Produces], rows: Sequence[Produces]) -> list[Produces]:
    """Return ``rows`` at the powers of which no row of the cause's ``own`` speaks."""
    if not own:
        return [*rows]
    spoken = {p for row in own for p in row.when.get(POWER, DIMENSIONS[POWER])}
    out = []
    for row in rows:
        left = tuple(p for p in row.when.get(POWER, DIMENSIONS[POWER]) if p not in spoken)
        if left:
            out.append(replace(row, when={**row.when, POWER: left}))
    return out


def _rows(cause: Cause, effect: Effect, line: Follows) -> list[Produces]:
    """Return one row for each place and state at which ``cause`` gives what ``line`` waits for."""
    given: dict[_Where, dict[str, dict[str, float]]] = {}
    for row in cause.produces:
        if (
            row.effect != line.effect
            or row.value not in line.values
            or not overlap(row.when, line.when)
        ):
            continue
        kept = {d: v for d, v in row.when.items() if d not in line.when}
        state = tuple(sorted((kept | dict(line.shows_in)).items()))
        traits = tuple(sorted(row.only_if.items()))
        where = (line.at or row.at, state, traits, row.one_position)
        most = given.setdefault(where, {}).setdefault(row.value, {})
        for grade, often in row.how_often.items():
            most[grade] = max(most.get(grade, 0.0), often)
    return [
        replace(
            _row(effect, line, at, dict(when), [*by_value.values()]),
            only_if=dict(only_if),
            one_position=one,
        )
        for (at, when, only_if, one), by_value in given.items()
    ]


def _row(
    effect: Effect,
    line: Follows,
    at: str,
    when: Mapping[str, tuple[str, ...]],
    given: Sequence[Mapping[str, float]],
) -> Produces:
    """Return the row for one place and state; ``given`` are the chances of the values, by grade.

    Different values of one effect exclude each other, so their chances add up.
    """
    sums = {g: min(sum(v.get(g, 0.0) for v in given), 1.0) for g in GRADES}
    shown = {g: p * line.share for g, p in sums.items() if any(g in v for v in given)}
    return Produces(
        effect=effect.id,
        value=line.value,
        at=at,
        how_often=shown,
        said={g: f"{p:.2g}" for g, p in shown.items()},
        when=when,
        origin=line.origin,
    )
