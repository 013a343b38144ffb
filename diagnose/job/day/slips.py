"""Slips in a table read back: what looks mistaken is asked about, never put right silently.

Four kinds: a wrong unit, two engines exchanged, a value that cannot be, and a slip of the pen or
the keys.  A value is held against what the same box read before, its neighbours in the table and
the band of the layout; a fault may well explain it, so every doubt is a question.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import median

from diagnose.errors import UsageError
from diagnose.job.day.card import short_label
from diagnose.job.day.last_good import comparable
from diagnose.job.day.table import Cell, Table
from diagnose.job.diagnosis import Bench
from diagnose.knowledge_files import limit_of
from diagnose.model import Finding, State
from diagnose.signs import normal_class
from diagnose.units import parse

FAR = 2.5
"""Times more or less than expected from which a value is asked about."""

NEAR, OFF = 0.06, 0.15
"""Shares of the expected value: so near is as expected, so far off is not."""

UNITS: Mapping[str, tuple[str, ...]] = {
    "pressure": ("psi", "kPa", "bar", "inHg", "mmHg"),
    "flow": ("imp gal/h", "US gal/h", "l/h"),
    "volume": ("imp gal", "US gal", "l"),
    "current": ("A", "mA"),
}
"""Units that are taken for one another."""

_BESIDE = {a: {b for b in (chr(ord(a) - 1), chr(ord(a) + 1)) if b.isdigit()} for a in "0123456789"}
_BESIDE["0"] |= {"9"}
_BESIDE["9"] |= {"0"}


@dataclass(frozen=True)
class Doubt:
    """One question about a table: the cells it is about, what kind of slip, and the question."""

    kind: str
    cells: tuple[tuple[int, str], ...]
    text: str


Before = Mapping[tuple[int, str], Finding]
"""Card line and place -> what the same box read before, in a state that can be compared."""


def doubts(table: Table, findings: Iterable[Finding], bench: Bench) -> tuple[Doubt, ...]:
    """Return the doubts about ``table``, those of one cell first; cells said sure raise none.

    ``findings``: what the job knows already, in order.
    """
    before = _before(table, findings, bench)
    out: list[Doubt] = []
    for cell in table.cells.values():
        if cell.answer is not None and cell.figure is not None and not cell.sure:
            doubt = (
                _impossible(cell, bench)
                or _unexpected(cell, table, before, bench)
                or _lone_unit(cell, table, bench)
            )
            if doubt is not None:
                out.append(doubt)
    asked = {key for d in out for key in d.cells}
    for doubt in (*_exchanged(table, before, bench), *_lamp_against_gauge(table, bench)):
        if not asked & set(doubt.cells):
            out.append(doubt)
            asked |= set(doubt.cells)
    return tuple(out)


# ------------------------------------------------------------------ one cell


def _impossible(cell: Cell, bench: Bench) -> Doubt | None:
    value = cell.number or 0.0
    question = bench.library.questions[cell.line.question]
    if value < 0:
        return _doubt("impossible", cell, bench, f"{cell.typed} is below nothing")
    for kind in question.instruments:
        for part in bench.places.instrument_for(kind, cell.place):
            scale = bench.layout.parts[part].numbers.get("full-scale")
            if scale is not None and value > scale:
                return _doubt(
                    "impossible", cell, bench, f"{cell.typed} is beyond the scale of its gauge"
                )
    return None


def _unexpected(cell: Cell, table: Table, before: Before, bench: Bench) -> Doubt | None:
    """Return the doubt of a value far from all that is expected, or one slip away from it."""
    value = cell.number
    expected = _expected(cell, table, before, bench)
    if value is None or not expected or any(abs(value - e) <= OFF * e for e in expected):
        return None
    e = expected[0]
    others = " or ".join(dict.fromkeys(_in_its_unit(x, cell) for x in expected[:2]))
    unit = _other_unit(cell, expected, bench)
    far = not e / FAR <= value <= e * FAR
    if unit and far:
        return _doubt("unit", cell, bench, f"{cell.typed} where about {others} is expected; {unit}")
    slip = next(
        (s for s in _one_slip(cell) if any(abs(s[1] - e) <= NEAR * e for e in expected)), None
    )
    if slip is not None:
        text = f"{cell.typed} where about {others} is expected; is it {slip[0]}?"
        return _doubt("typing", cell, bench, text)
    if far:
        text = f"{cell.typed} is far from the {others} expected"
        return _doubt("typing", cell, bench, text)
    return None


def _lone_unit(cell: Cell, table: Table, bench: Bench) -> Doubt | None:
    """Return the doubt of the one figure of a row in another unit than all its neighbours."""
    others = {
        c.unit
        for c in table.of_line(cell.line.number)
        if c.place != cell.place and c.figure is not None
    }
    alike = [c for c in table.of_line(cell.line.number) if c.figure is not None]
    if len(alike) < 3 or len(others) != 1 or cell.unit in others:
        return None
    text = f"{cell.typed} where all the others are in {others.pop()}; is the unit right?"
    return _doubt("unit", cell, bench, text)


def _expected(cell: Cell, table: Table, before: Before, bench: Bench) -> list[float]:
    """Return what the box may be expected to read [SI]: as before, as its neighbours, the band."""
    out = []
    own = before.get(cell.key)
    if own is not None and own.number:
        out.append(own.number)
    row = table.of_line(cell.line.number)
    near = [c.number for c in row if c.place != cell.place and c.number]
    # two neighbours that agree say more than one
    if len(near) >= 2:
        out.append(median(near))
    limit = limit_of(bench.library.questions[cell.line.question], bench.layout)
    if limit is not None and limit.low is not None and limit.high is not None:
        out.append((limit.low + limit.high) / 2)
    elif len(near) == 1:
        out.append(near[0])
    return out


def _in_its_unit(value: float, cell: Cell) -> str:
    """Return an SI value in the unit of ``cell``, for people."""
    if not cell.figure or cell.number is None:
        return f"{value:.3g} in SI"
    return f"{value / (cell.number / cell.figure):.3g} {cell.unit}"


def _other_unit(cell: Cell, expected: Sequence[float], bench: Bench) -> str:
    dimension = bench.library.questions[cell.line.question].unit
    for unit in UNITS.get(dimension, ()):
        try:
            value = parse(f"{cell.figure} {unit}", dimension).value_si
        except UsageError:
            continue
        if any(0.5 * e <= value <= 1.6 * e for e in expected):
            return f"was it read in {unit}?"
    return ""


def _one_slip(cell: Cell) -> Iterator[tuple[str, float]]:
    """Yield (figure, SI value) one slip of the keys away from the one typed."""
    if not cell.figure or cell.number is None:
        return
    si = cell.number / cell.figure
    text = cell.typed.split()[0]
    tried = {text}
    whole = text.replace(".", "")
    point = [whole[:k] + "." + whole[k:] for k in range(1, len(whole))]
    gone = [text[:k] + text[k + 1 :] for k in range(len(text))]
    for a in range(len(text)):
        for b in range(a + 1, len(text)):
            if text[a].isdigit() and text[b].isdigit():
                swapped = list(text)
                swapped[a], swapped[b] = text[b], text[a]
                point.append("".join(swapped))
    beside = [text[:k] + d + text[k + 1 :] for k, c in enumerate(text) for d in _BESIDE.get(c, ())]
    more = [text[:k] + d + text[k:] for k in range(len(text) + 1) for d in "0123456789"]
    if len(whole) < 2:
        beside = []  # of one figure alone any other could be meant
    for other in (*point, *gone, *beside, *more, f"{whole}0"):
        try:
            value = float(other)
        except ValueError:
            continue
        if other not in tried:
            tried.add(other)
            yield f"{other} {cell.unit}", value * si


# ------------------------------------------------------------------ two engines exchanged


def _exchanged(table: Table, before: Before, bench: Bench) -> Iterator[Doubt]:
    """Yield the pairs of a row that would fit better the other way round.

    Those that do not fit the report come first: another row may be at odds with them alone.
    """
    found = list(_crosswise(table, before, bench))
    yield from sorted(found, key=lambda d: not any(key in before for key in d.cells))


def _crosswise(table: Table, before: Before, bench: Bench) -> Iterator[Doubt]:
    for number in dict.fromkeys(n for n, _ in table.cells):
        row = table.of_line(number)
        pairs = [(a, b) for k, a in enumerate(row) for b in row[k + 1 :] if not (a.sure and b.sure)]
        for a, b in pairs:
            if _fits_crosswise(a, b, table, before, bench):
                at, other = short_label(bench, a.place), short_label(bench, b.place)
                yield Doubt(
                    "exchanged",
                    (a.key, b.key),
                    f"card line {number}: {a.typed} at {at} and {b.typed} at {other} would fit "
                    f"{_held_against(a, b, table, before, bench)} the other way round; were they "
                    "exchanged?",
                )
                break


Said = Cell | Finding
"""What was read at one place: a class, and the figure behind it where there is one."""


def _fits_crosswise(a: Cell, b: Cell, table: Table, before: Before, bench: Bench) -> bool:
    if _alike(a, b):
        return False
    kept = crossed = 0.0
    for one, other in _comparisons(a, b, table, before, bench):
        if _alike(one, other):
            continue  # it says nothing of an exchange here
        kept += _distance(a, one) + _distance(b, other)
        crossed += _distance(a, other) + _distance(b, one)
    return kept >= 2 * OFF and crossed <= 0.4 * kept


def _held_against(a: Cell, b: Cell, table: Table, before: Before, bench: Bench) -> str:
    """Return in words what a pair is compared with."""
    if a.key in before or b.key in before:
        return "what was told or read before"
    rows = {
        one.line.number
        for one, other in _comparisons(a, b, table, before, bench)
        if isinstance(one, Cell) and not _alike(one, other)
    }
    lines = " and ".join(map(str, sorted(rows)))
    return f"line{'s' if len(rows) > 1 else ''} {lines}"


def _comparisons(
    a: Cell, b: Cell, table: Table, before: Before, bench: Bench
) -> Iterator[tuple[Said, Said]]:
    """Yield what both places read before, or in the other rows of the same question.

    Told amiss of one of them alone, it was not told of the other.
    """
    if a.key in before and b.key in before:
        yield before[a.key], before[b.key]
        return
    for one, other in ((a, b), (b, a)):
        told = before.get(one.key)
        if told and other.key not in before and told.value == other.value and _odd(other, bench):
            well = replace(told, at=other.place, value=one.value, number=None)
            yield (told, well) if one is a else (well, told)
    for (number, place), cell in table.cells.items():
        twin = table.cells.get((number, b.place))
        if place != a.place or number == a.line.number or cell.line.question != a.line.question:
            continue
        if cell.answer is not None and twin is not None and twin.answer is not None:
            yield cell, twin


def _distance(cell: Cell, said: Said) -> float:
    """Return how far a cell is from what was said: a share of it, or 1 for another class."""
    if said.number and cell.number is not None:
        return min(1.0, abs(cell.number - said.number) / said.number)
    return 0.0 if cell.value == said.value else 1.0


def _alike(one: Said, other: Said) -> bool:
    """Return whether two places read the same class, and figures that are near each other."""
    if one.value != other.value or one.number is None or other.number is None:
        return one.value == other.value
    most = max(abs(one.number), abs(other.number), 1e-9)
    return abs(one.number - other.number) / most < OFF


def _lamp_against_gauge(table: Table, bench: Bench) -> Iterator[Doubt]:
    """Yield pairs of places where two readings of one thing accuse different engines crosswise."""
    library = bench.library
    for one in table.cells.values():
        for other in table.cells.values():
            if (
                one.line.number >= other.line.number
                or one.line.set_up != other.line.set_up
                or one.place == other.place
                or library.questions[one.line.question].reads
                != library.questions[other.line.question].reads
            ):
                continue
            across = table.cells.get((one.line.number, other.place))
            down = table.cells.get((other.line.number, one.place))
            four = [one, other, across, down]
            if any(c is None or c.answer is None for c in four) or (one.sure and other.sure):
                continue
            odd = [_odd(c, bench) for c in four if c is not None]
            if odd == [True, True, False, False]:
                at, there = short_label(bench, one.place), short_label(bench, other.place)
                yield Doubt(
                    "exchanged",
                    (one.key, other.key),
                    f"card lines {one.line.number} and {other.line.number} read the same thing, "
                    f"yet one accuses {at} ({one.typed}) and the other {there} ({other.typed}); "
                    "were two engines exchanged?",
                )


def _odd(cell: Cell, bench: Bench) -> bool:
    question = bench.library.questions[cell.line.question]
    return cell.value != normal_class(question, bench.library)


# ------------------------------------------------------------------ what is known already


def _before(table: Table, findings: Iterable[Finding], bench: Bench) -> Before:
    """Return for each box the last finding that can be compared, 'the others normal' included."""
    out: dict[tuple[int, str], Finding] = {}
    listed = [f for f in findings if not f.check and (f.value or f.number is not None)]
    for cell in table.cells.values():
        state = cell.line.state
        here = state.state if state else State()
        question = bench.library.questions[cell.line.question]
        for f in listed:
            if f.question != question.id or not comparable(f.state, here):
                continue
            if f.at == cell.place:
                out[cell.key] = f
            elif f.others_normal and cell.key not in out:
                normal = normal_class(question, bench.library)
                out[cell.key] = Finding(question.id, cell.place, normal, f.state)
    return out


def _doubt(kind: str, cell: Cell, bench: Bench, text: str) -> Doubt:
    at = bench.places.label(cell.place)
    title = bench.library.questions[cell.line.question].title
    return Doubt(kind, (cell.key,), f"card line {cell.line.number}, {title}, {at}: {text}")
