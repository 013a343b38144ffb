"""All series of one aeroplane's readings, judged together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from diagnose.aeroplane.drift import Judged, judge
from diagnose.aeroplane.history import KINDS, Series
from diagnose.model import Layout


@dataclass(frozen=True)
class Trend:
    """One series, what was made of it, and the unit it is shown in."""

    series: Series
    judged: Judged
    unit: str


def trends_of(series: Sequence[Series], layout: Layout) -> tuple[Trend, ...]:
    """Return each series with what it says, held against the layout's limits.

    Only what was read since the part was fitted is judged; the unit is that of most readings.
    """
    out = []
    for s in series:
        limit = layout.limits.get(KINDS[s.what].limit)
        points = s.within(*s.stretch())
        said = judge(
            [float(date.fromisoformat(p.on).toordinal()) for p in points],
            [p.value for p in points],
            [p.condition for p in points],
            limit.low if limit else None,
            limit.high if limit else None,
            len(series),
        )
        (unit, _), *_ = Counter(p.unit for p in reversed(s.points)).most_common(1)
        out.append(Trend(s, said, unit))
    return tuple(out)
