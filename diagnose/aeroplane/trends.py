"""All series of one aeroplane's readings, judged together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from diagnose.aeroplane.drift import FEWEST, Judged, judge
from diagnose.aeroplane.history import KINDS, Series
from diagnose.model import Layout


@dataclass(frozen=True)
class Trend:
    """One series, what was made of it, and the unit it is shown in."""

    series: Series
    judged: Judged
    unit: str


def stretch(s: Series) -> tuple[str, str]:
    """Return (first day, day before which it ends) of the stretch of a series that is judged.

    The newest between fittings with readings enough for a line, else the newest with any; '' for
    an open end.
    """
    edges = ("", *s.breaks, "")
    spans = [(start, end) for start, end in pairwise(edges) if s.within(start, end)]
    long = [span for span in spans if len(s.within(*span)) >= FEWEST]
    return (long or spans)[-1]


def trends_of(series: Sequence[Series], layout: Layout) -> tuple[Trend, ...]:
    """Return each series with what it says, held against the layout's limits.

    Only what was read since the part was fitted is judged; the unit is that of most readings.
    """
    out = []
    for s in series:
        limit = layout.limits.get(KINDS[s.what].limit)
        points = s.within(*stretch(s))
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
