"""What to practise next and on which aeroplane, from one's own exercises; it ranks nobody.

Spaced practice beats massed practice (meta-analysis of 2021, 29 studies: g = 0.74), and widening
the gaps is no better than a fixed ladder (g = 0.03, not significant), so the days are fixed.  An
instructor begins with what is met most often, on a system that can be kept in the head, and takes
a larger one when the last was done well.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date, timedelta
from typing import Any

from diagnose.model import Layout, Library
from diagnose.places import Places

LADDER = (1, 6, 16, 42, 103)
"""Days until the next exercise of a family after the first, second ... one done well in a row (the
gaps that the published SM-2 rule gives for good answers)."""


@dataclass(frozen=True)
class Done:
    """One finished exercise: its family, when, and whether it was done well."""

    name: str
    family: str
    on: date
    well: bool


@dataclass(frozen=True)
class Due:
    """One family: how often it was practised and done well, and when it is due.

    on is None where it was never practised.  rung: how many were done well in a row, at last.
    """

    family: str
    done: int
    well: int
    on: date | None
    rung: int = 0


LAST = 10
"""Exercises looked back on for what keeps going wrong (no source)."""


@dataclass(frozen=True)
class Habit:
    """What went wrong in ``times`` of the last exercises, and what to do instead."""

    what: str
    times: int
    instead: str


def habits(rows: Sequence[Mapping[str, Any]]) -> tuple[int, tuple[Habit, ...]]:
    """Return of how many exercises that are over, and what went wrong in them, oftenest first.

    rows: the exercises as plain data, oldest first.
    """
    last = [r for r in rows if r["truth"]][-LAST:]
    found = (
        Habit("a safety step skipped", sum(bool(r["skipped"]) for r in last),
              "smell, a look at every engine bay and 'ready' come before any power or run"),
        Habit("a part named while others were likelier", sum(r["premature"] for r in last),
              "make the check that settles it first"),
        Habit("the part not found", sum(r["state"] == "not solved" for r in last),
              "read in the debrief what would have come next"),
        Habit("a hint taken", sum(bool(r["hints"]) for r in last),
              "ask first what would differ between the two likeliest"),
    )  # fmt: skip
    return len(last), tuple(sorted((h for h in found if h.times), key=lambda h: -h.times))


def due(done: Iterable[Done], families: Sequence[str]) -> tuple[Due, ...]:
    """Return every family, most overdue first, then those never practised, in their order."""
    by_family: dict[str, list[Done]] = {f: [] for f in families}
    for d in sorted(done, key=lambda d: (d.on, d.name)):
        by_family.setdefault(d.family, []).append(d)
    rows = [_row(family, found) for family, found in by_family.items()]
    rung = {r.family: k for k, r in enumerate(rows)}
    return tuple(sorted(rows, key=lambda r: (r.on is None, r.on or date.max, rung[r.family])))


def suggested(rows: Sequence[Due], today: date) -> Due | None:
    """Return what to practise today: what is due longest, else what never was, else the next."""
    overdue = [r for r in rows if r.on is not None and r.on <= today]
    never = [r for r in rows if r.on is None]
    return next(iter([*overdue, *never, *rows]), None)


def _row(family: str, found: Sequence[Done]) -> Due:
    if not found:
        return Due(family, 0, 0, None)
    rung = 0
    for d in found:
        rung = min(rung + 1, len(LADDER)) if d.well else 0
    days = LADDER[max(rung - 1, 0)]
    on = found[-1].on + timedelta(days=days)
    return Due(family, len(found), sum(d.well for d in found), on, rung)


def what_next(
    rows: Sequence[Mapping[str, Any]], library: Library, layouts: Iterable[Layout], today: date
) -> dict[str, Any]:
    """Return what to practise next as plain data; ``rows``: one's own exercises, oldest first."""
    done = [
        Done(r["exercise"], r["family"], date.fromisoformat(r["day"]), r["well"])
        for r in rows
        if r["truth"]
    ]
    of, wrong = habits(rows)
    by_family = layouts_by_family(library, layouts)
    found = due(done, families_by_commonness(library))
    pick = suggested(found, today)
    return {
        "suggested": pick.family if pick else None,
        "looked_back_on": of,
        "went_wrong": [asdict(h) for h in wrong],
        "suggested_layout": layout_for(by_family.get(pick.family, ()), pick.rung) if pick else None,
        "families": [
            {
                "family": d.family,
                "done": d.done,
                "done_well": d.well,
                "well_in_a_row": d.rung,
                "layout": layout_for(by_family.get(d.family, ()), d.rung),
                "due": d.on.isoformat() if d.on else None,
            }
            for d in found
        ],
    }


def families_by_commonness(library: Library) -> tuple[str, ...]:
    """Return the families of fuel failures, the commonest first by the words of the knowledge."""
    common: dict[str, float] = {}
    for cause in library.causes.values():
        if not cause.outside:
            common[cause.family] = common.get(cause.family, 0.0) + cause.how_common
    return tuple(sorted(common, key=lambda f: (-common[f], f)))


def layouts_by_family(library: Library, layouts: Iterable[Layout]) -> Mapping[str, tuple[str, ...]]:
    """Return for each family the layouts that can have it, fewest engines and parts first."""
    out: dict[str, list[str]] = {}
    for layout in sorted(layouts, key=_size):
        causes = Places(layout, library.words.unstated).cause_instances(library)
        for family in sorted({library.causes[c.cause].family for c in causes}):
            out.setdefault(family, []).append(layout.id)
    return {family: tuple(ids) for family, ids in out.items()}


def layout_for(layouts: Sequence[str], rung: int) -> str:
    """Return the layout to practise on after ``rung`` exercises done well in a row, '' of none."""
    return layouts[min(rung, len(layouts) - 1)] if layouts else ""


def _size(layout: Layout) -> tuple[int, int, str]:
    engines = sum(p.kind == "engine" for p in layout.parts.values())
    return engines, len(layout.parts), layout.id
