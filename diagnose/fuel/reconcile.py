"""Gauge, stick and ledger of a tank laid before the model: one set of figures, or flights."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from diagnose.errors import UsageError
from diagnose.fuel import contents as fc
from diagnose.model import TANKS, Flight, Part
from diagnose.places import Places
from diagnose.units import Quantity, show

FULL_START = (
    "ledger without --uplift and --burnt: taken as burnt down from a full tank since the last "
    "uplift to full"
)
FEWEST = 3  # pairs of stick and gauge from which a pattern is read


@dataclass(frozen=True)
class Reading:
    """The figures for one tank at one time, and what they say together."""

    tank: str
    when: str
    sources: tuple[fc.Source, ...]
    verdict: fc.Verdict


@dataclass(frozen=True)
class Trend:
    """Stick against ledger over flights: residual and spread of each [m3], and the test."""

    tank: str
    flights: tuple[str, ...]
    stick: tuple[float, ...]
    ledger: tuple[float, ...]
    residuals: tuple[float, ...]
    sigmas: tuple[float, ...]
    test: fc.Trend
    since: int | None  # index of the flight the loss seems to begin in
    loss: float | None  # a flight, since then [m3]
    smallest: float  # loss a flight that so many flights are as likely as not to show [m3]
    pattern: fc.Pattern | None  # gauge against stick
    impossible: tuple[str, ...] = ()  # flights whose uplift and burn the tank cannot have had


@dataclass(frozen=True)
class Contents:
    """Readings now, and trends where a file of flights was given."""

    places: Places
    readings: tuple[Reading, ...]
    trends: tuple[Trend, ...]
    notes: tuple[str, ...]


# ------------------------------------------------------------------ one set of figures


def tank_of(places: Places, name: str) -> Part:
    """Return the tank meant; the only one where none is named.

    Raises:
        UsageError: no such tank, or several and none named.
    """
    tanks = [p for p in places.layout.parts.values() if p.kind in TANKS]
    found = [t for t in tanks if t.id == name] if name else tanks
    if len(found) != 1:
        said = f"'{name}' is not a tank of this layout" if name else "Name the tank with --tank"
        raise UsageError(f"{said}; there are {', '.join(t.id for t in tanks)}.")
    return found[0]


def _figure_of(places: Places, tank: Part, kind: str, key: str) -> float:
    """Return a figure of the tank's part of a kind; 0 where there is none."""
    for part in places.layout.parts.values():
        if part.kind == kind and part.of == tank.id and key in part.numbers:
            return part.numbers[key]
    return 0.0


def gauge_sigma(places: Places, tank: Part, value: float) -> float:
    """Return the spread of the tank's contents gauge by its type; a float where not stated."""
    kinds = {p.traits.get("type", "float") for p in places.layout.parts.values()
             if p.kind == "contents-sender" and p.of == tank.id}  # fmt: skip
    capacity = tank.numbers["capacity"]
    if "capacitance" in kinds:
        return fc.capacitance_gauge_sigma(capacity)
    if "sight" in kinds:
        return fc.stick_sigma(capacity)
    return fc.float_gauge_sigma(value, capacity)


def stick_sigma(places: Places, tank: Part) -> float:
    """Return the spread of the tank's dip-stick."""
    division = _figure_of(places, tank, "dip-stick", "division")
    return fc.stick_sigma(tank.numbers["capacity"], division)


def compare(
    places: Places,
    tank: Part,
    figures: Mapping[str, Quantity],
    sigmas: Mapping[str, Quantity],
    uplift: Quantity | None,
    burnt: Quantity | None,
) -> Contents:
    """Hold the figures given for one tank against each other.

    Raises:
        UsageError: fewer than two figures, more than the tank holds, or a spread of nothing.
    """
    if len(figures) < 2:
        raise UsageError("Give at least two of --gauge, --stick and --ledger, or --flights FILE.")
    capacity, notes = tank.numbers["capacity"], []
    _begun(tank, figures.get("ledger"), uplift, burnt)
    sources = []
    for name, quantity in figures.items():
        value = quantity.value_si
        # gauge and stick cannot show more than the tank takes; a ledger can be that wrong
        if name != "ledger" and not tank.may_hold(value):
            raise UsageError(f"--{name} '{quantity.typed}' is more than {tank.id} holds, "
                             f"{_both(capacity)}.")  # fmt: skip
        if name in sigmas:
            sigma = sigmas[name].value_si
        elif name == "gauge":
            sigma = gauge_sigma(places, tank, value)
        elif name == "stick":
            sigma = stick_sigma(places, tank)
        elif uplift is None and burnt is None:
            sigma = fc.ledger_sigma(capacity, max(capacity - value, 0.0))
            notes.append(FULL_START)
        else:
            sigma = fc.ledger_sigma(*(0.0 if q is None else q.value_si for q in (uplift, burnt)))
        if sigma <= 0.0:
            raise UsageError(f"The spread of the {name} is nothing; state --{name}-sigma.")
        sources.append(fc.Source(name, value, sigma))
    reading = Reading(tank.id, "", tuple(sources), fc.reconcile(sources, capacity))
    return Contents(places, (reading,), (), tuple(notes))


def _begun(
    tank: Part, ledger: Quantity | None, uplift: Quantity | None, burnt: Quantity | None
) -> None:
    """Refuse a ledger that its own uplift and burn lead back to what the tank cannot have held."""
    if ledger is None or uplift is None or burnt is None:
        return
    begun = ledger.value_si - uplift.value_si + burnt.value_si
    if not tank.may_hold(begun):
        raise UsageError(
            f"--ledger '{ledger.typed}' less --uplift '{uplift.typed}' and with --burnt "
            f"'{burnt.typed}' back began at {show(begun, 'imp gal')}, and {tank.id} holds "
            f"{_both(tank.numbers['capacity'])}: one of the three is wrong."
        )


def _both(volume: float) -> str:
    return f"{show(volume, 'imp gal')} ({show(volume, 'l')})"


# ------------------------------------------------------------------ over flights


def over_flights(places: Places, flights: Sequence[Flight]) -> Contents:
    """Hold stick against ledger from flight to flight, and all figures of the last flight.

    Raises:
        UsageError: no tank has two flights with a stick reading.
    """
    readings, trends, notes = [], [], []
    for name in dict.fromkeys(f.tank for f in flights):
        tank = places.layout.parts[name]
        own = [f for f in flights if f.tank == name]
        if sum(f.stick is not None for f in own) < 2:
            notes.append(f"{places.label(name)}: fewer than two stick readings, nothing to compare")
            continue
        trend = _trend(places, tank, own)
        trends.append(trend)
        if not trend.impossible:
            readings.append(_latest(places, tank, own))
    if not trends:
        raise UsageError("No tank has two flights with a stick reading; there is nothing to "
                         "compare.")  # fmt: skip
    return Contents(places, tuple(readings), tuple(trends), tuple(notes))


def _trend(places: Places, tank: Part, own: Sequence[Flight]) -> Trend:
    """Test whether the stick keeps falling short of the ledger."""
    sigma = stick_sigma(places, tank)
    names, sticks, ledgers, residuals, sigmas = [], [], [], [], []
    first = next(k for k, f in enumerate(own) if f.stick is not None)
    at = own[first].stick or 0.0
    uplift = burnt = 0.0
    for flight in own[first + 1 :]:
        uplift, burnt = uplift + flight.uplift, burnt + flight.burnt
        if flight.stick is None:
            continue  # its uplift and burn count towards the next stick reading
        expected = at + uplift - burnt
        names.append(flight.name)
        sticks.append(flight.stick)
        ledgers.append(expected)
        residuals.append(flight.stick - expected)
        # each stick reading stands in two residuals with opposite signs, so it counts once
        sigmas.append(math.hypot(sigma, fc.ledger_sigma(uplift, burnt)))
        at, uplift, burnt = flight.stick, 0.0, 0.0
    test = fc.trend([r / s for r, s in zip(residuals, sigmas, strict=True)], 1.0)
    since = loss = None
    if test.alarm is not None:
        still = [k for k in range(test.alarm) if test.sums[k] == 0.0]
        since = still[-1] + 1 if still else 0
        shortfall = residuals[since:]
        loss = -sum(shortfall) / len(shortfall)
    smallest = fc.smallest_trend(len(residuals), sum(sigmas) / len(sigmas))
    return Trend(
        tank.id, tuple(names), tuple(sticks), tuple(ledgers), tuple(residuals), tuple(sigmas),
        test, since, loss, smallest, _pattern(places, tank, own),
        tuple(n for n, v in zip(names, ledgers, strict=True)
              if not tank.may_hold(v)),
    )  # fmt: skip


def _pattern(places: Places, tank: Part, own: Sequence[Flight]) -> fc.Pattern | None:
    """Return how the gauge stands to the stick over quantity; None for too few pairs."""
    pairs = [(f.stick, f.gauge) for f in own if f.stick is not None and f.gauge is not None]
    if len(pairs) < FEWEST:
        return None
    middle = sum(stick for stick, _ in pairs) / len(pairs)
    spread = math.hypot(gauge_sigma(places, tank, middle), stick_sigma(places, tank))
    return fc.pattern([s for s, _ in pairs], [g for _, g in pairs], spread)


def _latest(places: Places, tank: Part, own: Sequence[Flight]) -> Reading:
    """Hold the figures of the last flight with a stick reading against each other."""
    k = max(k for k, f in enumerate(own) if f.stick is not None)
    first = next(f for f in own if f.stick is not None)
    begun = own.index(first)
    uplift = sum(f.uplift for f in own[begun + 1 : k + 1])
    burnt = sum(f.burnt for f in own[begun + 1 : k + 1])
    stick = stick_sigma(places, tank)
    ledger = fc.Source("ledger", (first.stick or 0.0) + uplift - burnt,
                       math.hypot(stick, fc.ledger_sigma(uplift, burnt)))  # fmt: skip
    sources = [fc.Source("stick", own[k].stick or 0.0, stick), ledger]
    gauge = own[k].gauge
    if gauge is not None:
        sources.insert(0, fc.Source("gauge", gauge, gauge_sigma(places, tank, gauge)))
    verdict = fc.reconcile(sources, tank.numbers["capacity"])
    return Reading(tank.id, own[k].name, tuple(sources), verdict)
