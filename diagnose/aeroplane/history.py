"""The history of an aeroplane's readings: a small CSV file, and the figures of its jobs.

One line a reading: date, what, at, state, value; less for what is subtracted from it (booster
off from booster on, gauge from stick); air or volts for the condition it was read in.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from types import MappingProxyType
from typing import Final

from diagnose.by_key import by_key
from diagnose.errors import CaseError, Problem, did_you_mean
from diagnose.knowledge_files.csv_table import Cell, csv_rows, table_bytes
from diagnose.model import AEROPLANE, TANKS, Layout
from diagnose.units import Quantity, UnitError, parse, unit_of

COLUMNS: Final = ("date", "what", "at", "state", "value", "less", "air", "volts", "note")


@dataclass(frozen=True)
class Kind:
    """One kind of reading that is followed.

    less: what is subtracted, '' for nothing.  condition: the column it is corrected for.  limit:
    the layout's limit it runs towards, '' for none.
    """

    title: str
    dimension: str
    at: tuple[str, ...]
    less: str = ""
    condition: str = "air"
    limit: str = ""
    read_on: str = ""  # kind of gauge whose error card corrects it
    less_on: str = ""


KINDS: Final[Mapping[str, Kind]] = MappingProxyType(
    {
        "fuel-pressure": Kind(
            "fuel pressure at fixed power",
            "pressure",
            ("engine",),
            limit="fuel-pressure",
            read_on="pressure-gauge",
        ),
        "booster-amps": Kind(
            "current of the electric pump",
            "current",
            ("booster-pump", "transfer-pump"),
            condition="volts",
        ),
        "booster-drop": Kind(
            "drop of pressure on booster off",
            "pressure",
            ("engine",),
            less="pressure with the booster off",
            read_on="pressure-gauge",
            less_on="pressure-gauge",
        ),
        "return-rate": Kind("vapour return", "flow", ("engine",), limit="return-flow"),
        "water-drained": Kind("water drained", "volume", TANKS, condition=""),
        "stick-gauge": Kind(
            "stick less gauge",
            "volume",
            TANKS,
            less="contents gauge",
            condition="",
            read_on="dip-stick",
            less_on="contents-gauge",
        ),
    }
)
"""What is followed, per engine and tank."""


@dataclass(frozen=True)
class Point:
    """One reading: ``value`` in SI, what is subtracted already taken off, by the error cards."""

    on: str
    what: str
    at: str
    state: str
    value: float
    unit: str
    condition: float | None = None
    note: str = ""


def load_history(path: Path, layout: Layout) -> tuple[Point, ...]:
    """Return the readings of a CSV file, in its order.

    Raises:
        CaseError: With every problem found, each with file, line and column.
    """
    problems: list[Problem] = []
    rows = csv_rows(table_bytes(path, "readings"), path.name, COLUMNS, "readings", problems)
    points = [p for row in rows if (p := _point(row, layout, problems)) is not None]
    if problems:
        raise CaseError(problems)
    return tuple(points)


def _point(row: Mapping[str, Cell], layout: Layout, problems: list[Problem]) -> Point | None:
    before = len(problems)
    start = next(iter(row.values())).origin

    def cell(name: str) -> Cell:
        return row.get(name, Cell("", start))

    def wrong(name: str, text: str) -> None:
        problems.append(Problem(cell(name).origin, f"{name}: {text}"))

    what = cell("what").text
    kind = KINDS.get(what)
    if kind is None:
        wrong("what", f"'{what[:40]}' is not followed{_hint(what, KINDS)}")
        return None
    at = cell("at").text
    fits = [p.id for p in layout.parts.values() if p.kind in kind.at]
    if at not in fits:
        wrong("at", f"'{at[:40]}' is not a place of '{kind.title}'{_hint(at, fits)}")
    try:
        date.fromisoformat(cell("date").text)
    except ValueError:
        wrong("date", f"'{cell('date').text[:40]}' is not a date; write it 2026-01-31")
    figures: dict[str, Quantity] = {}
    wanted = {"value": kind.dimension, "less": kind.dimension, "air": "temperature",
              "volts": "voltage"}  # fmt: skip
    for name, dimension in wanted.items():
        if not cell(name).text:
            if name == "value" or (name == "less" and kind.less):
                wrong(name, f"is empty; it is {kind.less if name == 'less' else kind.title}")
            continue
        if name == "less" and not kind.less:
            wrong(name, f"nothing is subtracted from '{kind.title}'; leave it empty")
            continue
        try:
            figures[name] = parse(cell(name).text, dimension)
        except UnitError as error:
            wrong(name, str(error))
    if len(problems) > before:
        return None
    value = _true(layout, kind.read_on, at, figures["value"].value_si)
    if kind.less:
        value -= _true(layout, kind.less_on, at, figures["less"].value_si)
    condition = figures.get(kind.condition) if kind.condition else None
    return Point(
        cell("date").text,
        cell("what").text,
        at,
        cell("state").text,
        value,
        unit_of(cell("value").text),
        condition.value_si if condition else None,
        cell("note").text,
    )


def _true(layout: Layout, gauge: str, at: str, shown: float) -> float:
    """Return a figure by the error card of the gauge it was read on, where there is one."""
    own = layout.aeroplane
    if own is None or not gauge:
        return shown
    cards = [c for p, c in own.cards.items()
             if layout.parts[p].kind == gauge and layout.parts[p].of == at]  # fmt: skip
    return cards[0].true(shown) if len(cards) == 1 else shown


def corrected(points: Iterable[Point], layout: Layout) -> tuple[Point, ...]:
    """Return points read plain, as jobs keep them, by the error cards of their gauges."""
    return tuple(
        replace(p, value=_true(layout, KINDS[p.what].read_on, p.at, p.value)) for p in points
    )


def _hint(name: str, known: Iterable[str]) -> str:
    listed = list(known)
    return did_you_mean(name, listed, f"; there are {', '.join(listed)}")


@dataclass(frozen=True)
class Series:
    """The readings of one kind at one place in one state, oldest first.

    breaks: days on which a part was fitted there; no line is drawn through them.
    """

    what: str
    at: str
    state: str
    points: tuple[Point, ...]
    breaks: tuple[str, ...] = ()

    def within(self, start: str, end: str) -> tuple[Point, ...]:
        """Return the readings from ``start`` on and before ``end``."""
        return tuple(p for p in self.points if p.on >= start and (not end or p.on < end))


def series_of(points: Sequence[Point], layout: Layout) -> tuple[Series, ...]:
    """Return the readings as series, in the order of kinds and of the layout."""
    found = by_key(((p.what, p.at, p.state), p) for p in points)
    kinds, parts = list(KINDS), list(layout.parts)
    keys = sorted(found, key=lambda k: (kinds.index(k[0]), parts.index(k[1]), k[2]))
    out = []
    for key in keys:
        row = tuple(sorted(found[key], key=lambda p: p.on))
        breaks = tuple(day for day in _fittings(layout, key[1]) if day > row[0].on)
        out.append(Series(*key, row, breaks))
    return tuple(out)


def _fittings(layout: Layout, at: str) -> tuple[str, ...]:
    """Return the days on which something was fitted at a place or as a part of it."""
    own = layout.aeroplane
    here = {at, *(p.id for p in layout.parts.values() if p.of == at)} - {AEROPLANE}
    return tuple(sorted({f.on for f in own.fitted if f.on and f.part in here})) if own else ()
