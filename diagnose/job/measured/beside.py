"""One figure beside the same figure elsewhere: engine with engine, tank with tank, no conclusion.

What the approved data do not class, the tool does not class either; it lays the figures side by
side and says how far each stands from the others.
"""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.job.diagnosis import Bench
from diagnose.job.measured.exchange import serial_of
from diagnose.model import Finding
from diagnose.planner import Reading
from diagnose.units import show, unit_of


def beside_others(
    bench: Bench, findings: Sequence[Finding], reading: Reading
) -> tuple[tuple[str, str], ...]:
    """Return (place, figure in words) for each place with a figure in the state of ``reading``.

    Only figures of the epoch of the last one are laid side by side, in the order of the layout;
    each but a lone one with its distance from the mean of the others, in the unit it was typed in.
    """
    state = reading.state.known()
    same = [
        f
        for f in findings
        if f.question == reading.question and f.number is not None and f.state.known() == state
    ]
    now = max((f.epoch for f in same), default=0)
    last = {f.at: f for f in same if f.epoch == now}
    out = []
    for place in bench.layout.parts:
        f = last.get(place)
        if f is None or f.number is None:
            continue
        others = [g.number for g in last.values() if g is not f and g.number is not None]
        words = f.typed or f"{f.number:g}"
        if others and f.typed:
            off = f.number - sum(others) / len(others)
            side = "above" if off >= 0 else "below"
            words += f", {show(abs(off), unit_of(f.typed))} {side} the mean of the others"
        gauges = read_on(bench, reading.question, place)
        out.append((bench.places.label(place), words + (f" ({gauges})" if gauges else "")))
    return tuple(out)


def read_on(bench: Bench, question: str, place: str) -> str:
    """Return the instruments a question is read on at ``place``, with serials the file gives."""
    kinds = bench.library.questions[question].instruments
    parts = [p for k in kinds for p in bench.places.instrument_for(k, place)]
    known = [(p, serial_of(bench.layout, p)) for p in parts]
    return "; ".join(f"{bench.layout.parts[p].name} serial {s}" for p, s in known if s)
