"""Tables of one run card with slips planted in them: a wrong unit, engines exchanged, a mistyping.

The readings are drawn for an invented aeroplane with one engine low at the run-up: what is
planted, and where, comes from a seeded generator that knows nothing of how slips are looked for.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass

ENGINES = 4
PRESSURE_LINES = (1, 3, 5)
LAMP_LINE = 4
KINDS = ("unit", "exchanged", "typing")


@dataclass(frozen=True)
class Drawn:
    """A table as it should be and as it was typed; ``kind`` '' when nothing is planted."""

    honest: dict[int, list[str]]
    typed: dict[int, list[str]]
    kind: str
    where: tuple[int, tuple[int, ...]]

    def text(self, rows: dict[int, list[str]] | None = None) -> str:
        """Return the table as it is typed."""
        lines = ["start: AB", "by: CD"]
        lines += [f"{n}: {', '.join(cells)}" for n, cells in (rows or self.typed).items()]
        return "\n".join(lines)


def drawn(chance: random.Random, kind: str) -> Drawn:
    """Return one table with a slip of ``kind``, or none for ''.

    Band 14 to 18 psi.  One engine is low with the booster off and its lamp is lit, most often no.
    2; in one table in five all engines are alike.
    """
    bad = chance.choice([1, 1, 1, 0, 2, 3])
    alike = chance.random() < 0.2
    honest: dict[int, list[str]] = {}
    for line in PRESSURE_LINES:
        figures = [chance.gauss(16.0, 0.4) for _ in range(ENGINES)]
        if line != 5 and not alike:
            figures[bad] = chance.uniform(7.0, 12.0)
        honest[line] = [f"{x:.{chance.choice([0, 1])}f} psi" for x in figures]
    lit = [("b" if k == bad and not alike else "a") for k in range(ENGINES)]
    honest[LAMP_LINE] = lit
    honest = dict(sorted(honest.items()))
    typed = {n: list(cells) for n, cells in honest.items()}
    where: tuple[int, tuple[int, ...]] = (0, ())
    if kind:
        where = _PLANT[kind](chance, typed)
    return Drawn(honest, typed, kind, where)


def _unit(chance: random.Random, rows: dict[int, list[str]]) -> tuple[int, tuple[int, ...]]:
    line, k = chance.choice(PRESSURE_LINES), chance.randrange(ENGINES)
    figure = rows[line][k].split()[0]
    rows[line][k] = f"{figure} {chance.choice(['kPa', 'bar', 'inHg', 'kPa'])}"
    return line, (k,)


def _exchanged(chance: random.Random, rows: dict[int, list[str]]) -> tuple[int, tuple[int, ...]]:
    while True:
        line = chance.choice([*PRESSURE_LINES, LAMP_LINE])
        a, b = chance.sample(range(ENGINES), 2)
        if _differ(rows[line][a], rows[line][b]):
            rows[line][a], rows[line][b] = rows[line][b], rows[line][a]
            return line, (a, b)
        if not any(
            _differ(cells[i], cells[j])
            for cells in rows.values()
            for i in range(4)
            for j in range(i)
        ):
            return _typing(chance, rows)  # nothing here can be exchanged and be noticed


def _differ(a: str, b: str) -> bool:
    """Return whether exchanging two cells would change what the table says."""
    if a.endswith("psi"):
        return abs(float(a.split()[0]) - float(b.split()[0])) > 2.0
    return a != b


def _typing(chance: random.Random, rows: dict[int, list[str]]) -> tuple[int, tuple[int, ...]]:
    """Lose the point, double, drop, exchange or mistype a figure, so that it says another thing."""
    while True:
        line, k = chance.choice(PRESSURE_LINES), chance.randrange(ENGINES)
        old = rows[line][k].split()[0]
        new = chance.choice(_SLIPS)(chance, old)
        try:
            apart = abs(float(new) - float(old)) / float(old)
        except ValueError:
            apart = 1.0  # not even a figure: refused, which is caught as well
        if apart > 0.15:
            rows[line][k] = f"{new} psi"
            return line, (k,)


def _lose_point(chance: random.Random, text: str) -> str:
    return text.replace(".", "")


def _double(chance: random.Random, text: str) -> str:
    k = chance.randrange(len(text))
    return text[: k + 1] + text[k:]


def _drop(chance: random.Random, text: str) -> str:
    k = chance.randrange(len(text))
    return text[:k] + text[k + 1 :]


def _turn(chance: random.Random, text: str) -> str:
    k = chance.randrange(max(1, len(text) - 1))
    return text[:k] + text[k : k + 2][::-1] + text[k + 2 :]


def _beside(chance: random.Random, text: str) -> str:
    k = chance.choice([k for k, c in enumerate(text) if c.isdigit()])
    keys = "1234567890"
    at = keys.index(text[k])
    return text[:k] + keys[(at + chance.choice([-1, 1])) % 10] + text[k + 1 :]


_SLIPS: tuple[Callable[[random.Random, str], str], ...] = (
    _lose_point,
    _double,
    _drop,
    _turn,
    _beside,
)
_PLANT = {"unit": _unit, "exchanged": _exchanged, "typing": _typing}
