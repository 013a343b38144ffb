"""How the readings of one aeroplane move, as lines."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.aeroplane.trends import Trend
from diagnose.aeroplane.trends_told import METHOD, said, title
from diagnose.cli.printing import wrap
from diagnose.model import Layout
from diagnose.units import show


def lines(shown: Sequence[Trend], layout: Layout, unread: Sequence[str]) -> list[str]:
    """Return the history in words: what drifts first, then every series."""
    own = layout.its_aeroplane
    out = [f"Trend of {own.registration} over {len(shown)} series"]
    if own.invented:
        out.append("INVENTED for demonstration: no such aeroplane, no such readings.")
    out += wrap(METHOD)
    flagged = [s for s in shown if s.judged.word in ("drift", "step")]
    out += ["", "Look at:" if flagged else "Nothing drifts and nothing has stepped."]
    for s in flagged:
        out += wrap(f"  {title(s, layout)}: {said(s, layout)}", 6)
    for s in shown:
        out += ["", *wrap(f"{title(s, layout)}:")]
        for p in s.series.points:
            note = f"  {p.note}" if p.note else ""
            out.append(f"  {p.on}  {show(p.value, s.unit):>14}{note}")
        out += [f"  {day}  part fitted there: the line ends and begins" for day in s.series.breaks]
        out += wrap(f"  {said(s, layout)}", 4)
    if unread:
        out += ["", f"Jobs that cannot be read and are left out: {', '.join(unread)}."]
    return out
