"""What one effect brings with it, worked into the causes that say nothing of it themselves.

A starved engine runs lean, hesitates and starts badly whatever starved it.  The effect says so
once, under ``follows``; here each fuel cause that gives the first effect gets the row for the
second, with the line that said it as origin.  A cause that has a row of its own keeps it alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from diagnose.model import GRADES, Cause, Effect, Follows, Produces


def with_followers(causes: Mapping[str, Cause], effects: Mapping[str, Effect]) -> dict[str, Cause]:
    """Return ``causes`` with the rows that follow from their own rows added."""
    return {
        name: cause if cause.outside else replace(cause, produces=_grown(cause, effects.values()))
        for name, cause in causes.items()
    }


def _grown(cause: Cause, effects: Iterable[Effect]) -> tuple[Produces, ...]:
    said = {row.effect for row in cause.produces}
    more: list[Produces] = []
    for effect in effects:
        if effect.id not in said:
            for line in effect.follows:
                more += _rows(cause, effect, line)
    return (*cause.produces, *more)


def _rows(cause: Cause, effect: Effect, line: Follows) -> list[Produces]:
    """Return one row for each place and state at which ``cause`` gives what ``line`` waits for."""
    together: dict[tuple[str, tuple[tuple[str, tuple[str, ...]], ...]], dict[str, float]] = {}
    for row in cause.produces:
        if row.effect != line.effect or row.value not in line.values or not _meets(row, line):
            continue
        when = tuple(sorted((d, v) for d, v in row.when.items() if d not in line.when))
        sums = together.setdefault((row.at, when), {})
        for grade in GRADES:
            if grade in row.how_often:
                # different values of one effect exclude each other, so their chances add up
                sums[grade] = min(sums.get(grade, 0.0) + row.how_often[grade], 1.0)
    return [
        Produces(
            effect=effect.id,
            value=line.value,
            at=at,
            how_often={g: p * line.share for g, p in sums.items()},
            said={g: f"{p * line.share:.2g}" for g, p in sums.items()},
            when=dict(when),
            origin=line.origin,
        )
        for (at, when), sums in together.items()
    ]


def _meets(row: Produces, line: Follows) -> bool:
    """Return whether ``row`` holds in the state the line asks for."""
    return all(set(values) & set(row.when.get(d, values)) for d, values in line.when.items())
