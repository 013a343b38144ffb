"""Decision charts of the shipped single that the tests of charts look at, each made once."""

from __future__ import annotations

import re
from functools import lru_cache

from diagnosis.shipped import bench

from diagnose.chart.decision import grown, on_paper
from diagnose.chart.grow import Grower
from diagnose.chart.start import named
from diagnose.chart.tree import Chart
from diagnose.paper.blocks import A4
from diagnose.paper.sheets import Set

LAYOUT = "low-wing-single"
STARTS = (
    "fuel-pressure=low@engine",
    "mixture-signs=rich@engine",
    "cock-leaks-in-cabin@selector",
)
"""A tree of readings, one with an engine run in it, one that begins with a check."""

LONG = 24
"""Steps of the chart with a run: enough that the run and its readings stand among them."""

STATE = {STARTS[0]: "run-up-booster-off"}


@lru_cache(maxsize=8)
def chart(start: str) -> Chart:
    """Return a chart on the shipped single."""
    b = bench(LAYOUT)
    known = named(b, start, STATE.get(start, ""))
    if start == STARTS[1]:  # a run fills a page by itself: by steps, so that its readings show
        return Grower(b, known).grow(lambda c: len(c.tree) <= LONG)
    return grown(b, known, A4, 1)


def sheets(start: str) -> Set:
    """Return the sheets of a chart."""
    return on_paper(bench(LAYOUT), chart(start), A4)


def text_of(html: str) -> str:
    """Return what a reader sees."""
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())
