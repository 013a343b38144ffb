"""What in a layout is worth a second look: not wrong, but unlike every layout that is shipped.

A slip of the pen (10 cm for 10 mm) is a good figure with a good unit; only beside other
aeroplanes does it look odd.  And a part that was forgotten can never be blamed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain

from diagnose.by_key import by_key
from diagnose.errors import Origin, Problem
from diagnose.knowledge_files.figures import FIGURES, SIGNED
from diagnose.knowledge_files.vocabulary import FLOW_KINDS
from diagnose.model import Layout, Part
from diagnose.units import SI_UNIT, show

BEYOND = 3.0
"""A figure this many times outside the range of the shipped layouts is told (no source)."""

_LINE = {"bore": "length", "length": "length", "loss": "number"}
_IN = {"length": "mm", "volume": "imp gal", "flow": "imp gal/h", "pressure": "psi"}
"""Units in which people know such figures; others are told in SI."""


def second_look(layout: Layout, shipped: Iterable[Layout]) -> tuple[Problem, ...]:
    """Return what of ``layout`` is unlike all of the ``shipped`` ones, in file order.

    Problems only in their form: each may be quite right.
    """
    others = list(shipped)
    found = (
        _odd(layout, others),
        _tall(layout, others),
        _thirsty(layout),
        _missing(layout, others),
        _unheard_traits(layout, others),
        _no_run(layout),
        _off_the_lines(layout, others),
    )
    return tuple(sorted(chain.from_iterable(found)))


def _figures(layout: Layout) -> Iterator[tuple[tuple[str, str], str, str, float, Origin]]:
    """Yield (kind, key), dimension, what it is of, figure [SI] and where it stands."""
    for part in layout.parts.values():
        for key, dimension in FIGURES.get(part.kind, {}).items():
            if key in part.numbers and key not in SIGNED:
                value = part.numbers[key]
                yield (part.kind, key), dimension, f"'{part.id}'", value, part.origin
    for line in layout.lines:  # one to a jettison valve is no measure for one to a strainer
        to = layout.parts[line.end.partition(".")[0]].kind
        for key, dimension in _LINE.items():
            value = float(getattr(line, key))
            kind = "line" if key == "length" else f"line to {to}"
            yield (kind, key), dimension, f"line '{line.id}'", value, line.origin


def _odd(layout: Layout, others: Iterable[Layout]) -> Iterator[Problem]:
    """Yield figures far outside the range of all shipped ones of their kind."""
    seen = by_key(
        (key, value) for other in others for key, _, _, value, _ in _figures(other) if value > 0.0
    )
    for key, dimension, what, value, origin in _figures(layout):
        usual = seen.get(key, [])
        if value > 0.0 and usual and not min(usual) / BEYOND <= value <= max(usual) * BEYOND:
            unit = _IN.get(dimension, SI_UNIT[dimension])
            said = " to ".join(dict.fromkeys(show(x, unit) for x in (min(usual), max(usual))))
            here = f"{key[1]} of {what} is {show(value, unit)}"
            yield Problem(origin, f"{here}; in the shipped layouts it is {said}")


def _span(layout: Layout) -> float:
    """Return how far the highest part stands above the lowest [m]."""
    heights = [p.numbers["height"] for p in layout.parts.values() if "height" in p.numbers]
    return max(heights) - min(heights) if heights else 0.0


def _tall(layout: Layout, others: Iterable[Layout]) -> Iterator[Problem]:
    """Yield the highest part where heights lie further apart than on any shipped aeroplane."""
    most = max((_span(x) for x in others), default=0.0)
    if most and _span(layout) > BEYOND * most:
        high = max(layout.parts.values(), key=lambda p: p.numbers.get("height", 0.0))
        yield Problem(
            high.origin,
            f"'{high.id}' stands {show(_span(layout), 'm')} above the lowest part; in the shipped "
            f"layouts parts lie within {show(most, 'm')}",
        )


def _thirsty(layout: Layout) -> Iterator[Problem]:
    """Yield carburettors that would burn more at some other power than at take-off."""
    for part in layout.parts.values():
        burns = {k: v for k, v in part.numbers.items() if k.startswith("burn-")}
        most = max(burns, key=lambda k: burns[k], default="burn-take-off")
        if burns and burns[most] > burns.get("burn-take-off", burns[most]):
            yield Problem(part.origin, f"{most} of '{part.id}' is more than its burn-take-off")


def _missing(layout: Layout, others: Iterable[Layout]) -> Iterator[Problem]:
    """Yield the kinds of part that every shipped layout fed in the same way has, in one line."""
    alike = [x for x in others if x.traits.get("feed") == layout.traits.get("feed")]
    if not alike:
        return
    always = set.intersection(*({p.kind for p in x.parts.values()} for x in alike))
    lacking = sorted(always - {p.kind for p in layout.parts.values()} - {"aeroplane"})
    if lacking:
        yield Problem(
            layout.origin,
            f"no part of kind {', '.join(lacking)}, which every shipped layout fed that way has; "
            "what is not in the file is never asked about and never blamed",
        )


def _traits(layout: Layout) -> Iterator[tuple[str, str, str, Origin]]:
    """Yield whose trait it is (a kind, or the layout), trait, value and where it stands."""
    for key, value in layout.traits.items():
        yield "the layout", key, value, layout.origin
    for part in layout.parts.values():
        for key, value in part.traits.items():
            if key not in ("to", "with"):  # tanks, held against the parts already
                yield part.kind, key, value, part.origin


def _unheard_traits(layout: Layout, others: Iterable[Layout]) -> Iterator[Problem]:
    """Yield traits, and values of traits, that no shipped layout has: nothing may heed them."""
    heard: dict[tuple[str, str], set[str]] = {}
    for other in others:
        for whose, key, value, _ in _traits(other):
            heard.setdefault((whose, key), set()).add(value)
    told: set[tuple[str, str, str]] = set()
    for whose, key, value, origin in _traits(layout):
        known = heard.get((whose, key))
        if (known and value in known) or (whose, key, value) in told or not heard:
            continue
        told.add((whose, key, value))
        usual = (
            f"in the shipped layouts it is {' or '.join(sorted(known))}"
            if known
            else ("no shipped layout has it")
        )
        of = f" of a part of kind {whose}" if whose != "the layout" else ""
        yield Problem(origin, f"trait '{key}: {value}'{of}: {usual}")


def _off_the_lines(layout: Layout, others: Iterable[Layout]) -> Iterator[Problem]:
    """Yield parts that carry fuel and lie on no line, of kinds that elsewhere always lie on one."""
    always = set(FLOW_KINDS) - {p.kind for x in others for p in _unjoined(x)}
    for part in _unjoined(layout):
        if part.kind in always:
            yield Problem(
                part.origin,
                f"no line leads to or from '{part.id}': no fuel passes it in the model, and nobody "
                "is asked what it does to the pressure",
            )


def _unjoined(layout: Layout) -> list[Part]:
    ends = {end.partition(".")[0] for x in layout.lines for end in (x.start, x.end)}
    return [p for p in layout.parts.values() if p.kind in FLOW_KINDS and p.id not in ends]


def _no_run(layout: Layout) -> Iterator[Problem]:
    """Yield a layout on which no engine can be run: no reading of a running engine is asked."""
    if not any(state.engine_running for state in layout.run_states):
        yield Problem(
            layout.origin,
            "no run state with a running engine; what shows only then is never asked",
        )
