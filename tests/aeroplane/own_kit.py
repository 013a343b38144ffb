"""One invented aeroplane laid over a shipped layout, for the tests of aeroplanes' files."""

from __future__ import annotations

from diagnosis.shipped import CASES, bench, library

from diagnose.job.diagnosis import Bench
from diagnose.knowledge_files import lay_over
from diagnose.model import Finding, Layout, State

FOUR = "four-engine-injection"
DEMO = (CASES / "aeroplanes" / "X-DEMO.yaml").read_text(encoding="utf-8")

HEAD = f"aeroplane: X-ONE\nlayout: {FOUR}\ninvented: yes\n"

GAUGE_LOW = """\
deferred:
  - {defect: D1, what: gauge reads low, cause: pressure-gauge-reads-low, at: no3-pressure-gauge,
     since: 2026-11-01, limit: 30 days, reference: list item 1, known-by: measured}
"""

CARD = """\
cards:
  - {at: no2-pressure-gauge, reference: card 3, points: [{shows: 5 psi, true: 5 psi},
     {shows: 13 psi, true: 14.5 psi}, {shows: 20 psi, true: 23 psi}]}
"""

RUN_UP = State("run-up", {"booster": "off", "crossfeed": "shut"})


def laid(text: str, layout: str = FOUR) -> Layout:
    """Return a shipped layout with ``text`` laid over it."""
    return lay_over(text.encode(), "X-ONE.yaml", library(), bench(layout).layout)


def own_bench(text: str, layout: str = FOUR) -> Bench:
    """Return the bench of the aeroplane ``text`` describes."""
    return Bench(library(), laid(text, layout))


def pressure(engine: str, value: str, **more: object) -> Finding:
    """Return what the pressure gauge of an engine showed at run-up, booster off."""
    known = {"known_by": "read", **more}
    return Finding("fuel-pressure", engine, value, RUN_UP, **known)  # type: ignore[arg-type]
