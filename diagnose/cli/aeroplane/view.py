"""One aeroplane for people and for machines."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict
from datetime import date
from typing import Any

from diagnose.aeroplane import recent_work, since_when, warnings
from diagnose.cli.printing import items, wrap
from diagnose.knowledge_files.cutting import NO_FIGURE
from diagnose.model import Aeroplane, Layout
from diagnose.places import Places
from diagnose.units import show

RULES = "The aeroplane's approved data and its papers rule; this is a copy of them by hand."
NOT_DECIDED = "Whether a defect may stay open is not for this tool to say."


def list_row(name: str, layout: Layout) -> dict[str, object]:
    """Return what a list says of the aeroplane whose file is called ``name``."""
    own = layout.its_aeroplane
    return {
        "registration": name,
        "state": "in order",
        "layout": own.layout,
        "invented": own.invented,
        "deferred_open": len(own.deferred),
        "edition": own.edition,
    }


def list_lines(rows: Sequence[Mapping[str, object]]) -> list[str]:
    """Return the aeroplanes of a list, one a line."""
    out = []
    for r in rows:
        told = f"{r.get('layout', ''):<26} deferred open: {r.get('deferred_open', '-')}"
        out.append(f"{r['registration']:<12} {r['state']:<10} {told}".rstrip())
    return out or ["No aeroplanes yet. Write one with: diagnose aeroplane new REG --layout ..."]


def lines(layout: Layout, today: date) -> list[str]:
    """Return one aeroplane as lines, what must be minded first."""
    own = layout.its_aeroplane
    places = Places(layout)
    out = [f"{own.registration}: {layout.title} ({layout.id})"]
    if own.invented:
        out.append("INVENTED for demonstration: no such aeroplane, no such figures.")
    out += wrap(RULES)
    for w in warnings(layout, today):
        out += wrap(f"WARNING {w}.", 2)
    for heading, told in (
        ("Particulars:", _particulars(own)),
        ("Limits:", _limits(layout)),
        ("Open deferred defects:", _deferred(own, places)),
        (f"Work since {since_when(own, today)}:", _work(own, places, today)),
        ("Modifications:", _modifications(own)),
        ("Parts fitted:", _fitted(own, places)),
        ("Error cards:", _cards(own, places)),
        ("Known of it:", _quirks(own, places)),
        ("Uplifts:", _uplifts(own, places)),
    ):
        out += ["", heading, *(items(told) or ["  none entered"])]
    return out


def _particulars(own: Aeroplane) -> Iterator[str]:
    if own.serial:
        yield f"serial number: {own.serial}"
    if own.hours is not None:
        yield f"hours: {show(own.hours, 'h', 6)}"
    yield from (f"{k}: {v}" for k, v in own.particulars.items())
    for a in own.approved:
        yield f"approved data: {a.document}, revision {a.revision}, {a.on}"
    if own.notes:
        yield own.notes
    yield f"edition of this file: {own.edition}"


def _limits(layout: Layout) -> Iterator[str]:
    own = layout.aeroplane
    for limit in layout.limits.values():
        whose = "" if own and limit.name in own.limits else "of the layout: "
        yield f"{limit.name}: {limit.shown} ({whose}{limit.reference})"
    which = "every other" if layout.limits else "none at all"
    yield f"{which}: {NO_FIGURE}; engine is compared with engine"


def _deferred(own: Aeroplane, places: Places) -> Iterator[str]:
    for d in own.deferred:
        weighed = (
            "taken to be there in every job"
            if d.is_proved
            else "lifts the odds of its cause"
            if d.cause.cause
            else "told, not weighed"
        )
        until = f" until {d.until}" if d.until else ""
        yield (
            f"{d.id}: {d.what}, {places.label(d.cause.at)}; since {d.since}{until}, {d.limit}; "
            f"{d.reference}; known by: {d.known_by} ({weighed})"
        )
    if own.deferred:
        yield NOT_DECIDED


def _work(own: Aeroplane, places: Places, today: date) -> Iterator[str]:
    for w in recent_work(own, today):
        yield f"{w.what}, {places.label(w.at)} (lifts the odds of what such work can leave)"


def _modifications(own: Aeroplane) -> Iterator[str]:
    for m in own.modifications:
        state = "embodied" if m.embodied else "NOT embodied"
        when = f" {m.on}" if m.on else ""
        yield f"{m.id} {m.title}: {state}{when}; {m.reference or 'no reference'}"


def _fitted(own: Aeroplane, places: Places) -> Iterator[str]:
    for f in own.fitted:
        told = [
            f"number {f.number}" if f.number else "",
            f"serial {f.serial}" if f.serial else "",
            f"fitted {f.on}" if f.on else "",
            f"from {f.source}" if f.source else "",
            f"{show(f.hours, 'h')} run" if f.hours is not None else "",
            f"overhaul at {show(f.overhaul_at, 'h')}" if f.overhaul_at is not None else "",
            f"overhaul due {f.overhaul_due}" if f.overhaul_due else "",
            f"shelf life to {f.shelf_until}" if f.shelf_until else "",
            f.reference,
        ]
        yield f"{places.label(f.part)}: {', '.join(t for t in told if t) or 'nothing stated'}"


def _cards(own: Aeroplane, places: Places) -> Iterator[str]:
    for c in own.cards.values():
        told = [c.reference, f"of {c.on}" if c.on else "", f"by {c.by}" if c.by else ""]
        told.append(f"due {c.due}" if c.due else "")
        name = ", ".join(t for t in told if t)
        yield f"{places.label(c.part)}: {'; '.join(c.shown)} ({name or 'no reference'})"


def _quirks(own: Aeroplane, places: Places) -> Iterator[str]:
    for q in own.quirks:
        yield f"{q.text}, {places.label(q.at)}"


def _uplifts(own: Aeroplane, places: Places) -> Iterator[str]:
    for u in own.uplifts:
        amount = f", {show(u.amount, 'l')}" if u.amount is not None else ""
        batch = f", batch {u.batch}" if u.batch else ""
        tanks = "; ".join(places.label(t) for t in u.tanks)
        yield f"{u.on}: {u.source}{batch}{amount}" + (f" into {tanks}" if tanks else "")


# ---------------------------------------------------------------------- for machines


def as_object(layout: Layout, today: date) -> dict[str, Any]:
    """Return the aeroplane as plain data: stable ids, labels beside them, units in the keys."""
    own = layout.its_aeroplane
    places = Places(layout)
    return {
        "registration": own.registration,
        "layout": layout.id,
        "invented": own.invented,
        "edition": own.edition,
        "layout_edition": own.laid_on,
        "warnings": list(warnings(layout, today)),
        "limits": [
            {
                "id": x.name,
                "shown": x.shown,
                "reference": x.reference,
                "own": x.name in own.limits,
            }
            for x in layout.limits.values()
        ],
        "deferred": [
            {
                "id": d.id,
                "what": d.what,
                "cause": d.cause.cause,
                "at": d.cause.at,
                "place_label": places.label(d.cause.at),
                "since": d.since,
                "until": d.until,
                "limit": d.limit,
                "reference": d.reference,
                "known_by": d.known_by,
                "taken_to_be_there": d.is_proved,
            }
            for d in own.deferred
        ],
        "work_since": since_when(own, today),
        "work": [
            {"what": w.what, "at": w.at, "place_label": places.label(w.at)}
            for w in recent_work(own, today)
        ],
        "modifications": [_plain(m) for m in own.modifications],
        "fitted": [
            {
                **{k: v for k, v in _plain(f).items() if k not in ("hours", "overhaul_at")},
                "hours_s": f.hours,
                "overhaul_at_s": f.overhaul_at,
                "place_label": places.label(f.part),
            }
            for f in own.fitted
        ],
        "cards": [
            {
                "part": c.part,
                "place_label": places.label(c.part),
                "dimension": c.dimension,
                "points_si": [{"shows": a, "true": b} for a, b in c.points],
                "on": c.on,
                "due": c.due,
                "reference": c.reference,
            }
            for c in own.cards.values()
        ],
        "quirks": [_plain(q) for q in own.quirks],
        "uplifts": [
            {**{k: v for k, v in _plain(u).items() if k != "amount"}, "amount_m3": u.amount}
            for u in own.uplifts
        ],
    }


def _plain(item: Any) -> dict[str, Any]:
    return {k: v for k, v in asdict(item).items() if k != "origin"}
