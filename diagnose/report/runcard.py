"""The card of one engine run: what must be known, when to stop, what to read and write down."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from diagnose.job.diagnosis import Bench
from diagnose.job.job import FOR_A_RUN
from diagnose.planner import Action, Reading

STOP_AT_ONCE = (
    "Fuel seen or smelt: mixture to cut-off, switches off, cocks shut, everybody out and up wind.",
    "Fire: follow the approved drill; the fire guard acts.",
    "Signal lost with the fire guard, or anyone near the propellers: stop.",
)
"""Stop limits of any run (common practice, no source); the approved data rules."""


def runcard(bench: Bench, action: Action, gates: Sequence[Reading], fmt: str) -> str:
    """Return the card of ``action`` as ``text`` or ``html``."""
    lines = list(_lines(bench, action, gates))
    if fmt == "text":
        return "\n".join(lines)
    body = escape("\n".join(lines))
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Run card</title><style>'
        "@page{size:A4;margin:15mm}body{color:#000;background:#fff}"
        "pre{font:10pt monospace;white-space:pre-wrap}</style></head>"
        f"<body><pre>{body}</pre></body></html>"
    )


def _lines(bench: Bench, action: Action, gates: Sequence[Reading]) -> list[str]:
    label, library = bench.places.label, bench.library
    out = [
        f"RUN CARD  layout {bench.layout.id}  knowledge {library.edition}  UNREVIEWED  page 1 of 1",
        "Not approved data, not a release to service. Layout invented."
        if bench.layout.invented
        else "Not approved data, not a release to service.",
        "",
        "STOP AT ONCE",
        *(f"  ! {s}" for s in STOP_AT_ONCE),
        "",
        "BEFORE START (an unknown blocks the run)",
        *(f"  [ ] {item}" for item in FOR_A_RUN),
        *(f"  [ ] {library.questions[g.question].ask}  {label(g.place)}" for g in gates),
        "",
    ]
    states = {r.run_state.id: r.run_state for r in action.readings if r.run_state is not None}
    for state in states.values():
        out.append(f"{state.title.upper()}  (hold, then read)")
        for r in action.readings:
            if r.run_state is not None and r.run_state.id == state.id:
                q = library.questions[r.question]
                hands = f"  {q.hands} people" if q.hands > 1 else ""
                out.append(f"  [____________]  {q.title}, {label(r.place)}{hands}")
                out.append(f"                  {' / '.join(q.classes.values())}")
        out.append("")
    out += ["AFTER SHUT-DOWN  look first at what cools: hot parts, the cap hiss, the lamp.", ""]
    out.append("Read by: ____________________   Time: ____________")
    return out
