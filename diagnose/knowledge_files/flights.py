"""A small file of flights: CSV or YAML to figures in SI.

Every figure carries a unit, in its cell or once in the column's head ('stick [imp gal]').  All
problems are told at once, each with file, line and column.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from diagnose.errors import CaseError, Origin, Problem, did_you_mean
from diagnose.knowledge_files.csv_table import Cell, csv_rows, known_column, table_bytes
from diagnose.knowledge_files.reader import Mapping as Keys
from diagnose.knowledge_files.reader import Scalar, Sequence, UnreadableError, read_yaml
from diagnose.model import TANKS, Flight, Layout, Part
from diagnose.units import UnitError, parse, show

FIGURES = ("stick", "gauge", "uplift", "burnt")
COLUMNS = ("flight", "tank", *FIGURES)
SHOWN = ("stick", "gauge")  # uplift and burn may be of several fillings
WHAT = "flights"


def load_flights(path: Path, layout: Layout) -> tuple[Flight, ...]:
    """Return the flights of a file in its order.

    Raises:
        CaseError: the file cannot be read, a column or tank is unknown, or a figure is wrong.
    """
    problems: list[Problem] = []
    rows = _rows(path, problems)
    flights = [f for k, row in enumerate(rows) if (f := _flight(row, k, layout, problems))]
    if not problems and not flights:
        problems.append(Problem(Origin(path.name), "there is no flight in it"))
    if problems:
        raise CaseError(problems)
    return tuple(flights)


def _rows(path: Path, problems: list[Problem]) -> list[dict[str, Cell]]:
    """Return the cells of each line by column."""
    data = table_bytes(path, WHAT)
    if path.suffix.lower() in (".yaml", ".yml"):
        return _yaml_rows(data, path.name, problems)
    return csv_rows(data, path.name, COLUMNS, WHAT, problems)


def _yaml_rows(data: bytes, file: str, problems: list[Problem]) -> list[dict[str, Cell]]:
    try:
        node = read_yaml(data, file)
    except UnreadableError as error:
        raise CaseError(error.problems) from None
    top = node.entries if isinstance(node, Keys) else {}
    flights = top["flights"][1] if "flights" in top else None
    if not isinstance(flights, Sequence):
        problems.append(Problem(node.origin, "has no list 'flights:'"))
        return []
    for name, (origin, _) in top.items():
        if name != "flights":
            problems.append(Problem(origin, f"'{name[:40]}' is not understood; only 'flights' is"))
    out = []
    for item in flights.items:
        if not isinstance(item, Keys):
            problems.append(Problem(item.origin, "a flight is written as 'key: value' pairs"))
            continue
        row = {}
        for name, (origin, value) in item.entries.items():
            known_column(name, origin, COLUMNS, WHAT, problems)
            if isinstance(value, Scalar):
                row[name] = Cell(value.text.strip(), value.origin)
            else:
                problems.append(Problem(value.origin, f"'{name[:40]}' is one figure or word"))
        out.append(row)
    return out


def _flight(
    row: Mapping[str, Cell], number: int, layout: Layout, problems: list[Problem]
) -> Flight | None:
    """Return one flight; None where it has a problem, which is noted."""
    before = len(problems)
    where = next(iter(row.values())).origin if row else Origin("")
    tanks = [p.id for p in layout.parts.values() if p.kind in TANKS]
    name = row["tank"].text if "tank" in row else ""
    if not name and len(tanks) == 1:
        name = tanks[0]
    if name not in tanks:
        at = row["tank"].origin if "tank" in row else where
        hint = did_you_mean(name, tanks, f"; there are {', '.join(tanks)}")
        said = f"'{name[:40]}' is not a tank of {layout.id}" if name else "no tank is named"
        problems.append(Problem(at, said + hint))
    tank = layout.parts[name] if name in tanks else None
    values = {f: _volume(row.get(f), f, tank, problems) for f in FIGURES}
    if len(problems) > before:
        return None
    flight = row["flight"].text if "flight" in row else ""
    return Flight(flight or str(number + 1), name, values["stick"], values["gauge"],
                  values["uplift"] or 0.0, values["burnt"] or 0.0)  # fmt: skip


def _volume(
    cell: Cell | None, name: str, tank: Part | None, problems: list[Problem]
) -> float | None:
    """Return a figure; ``tank``: that it is of, None where it is not known."""
    if cell is None or not cell.text:
        return None
    try:
        value = parse(cell.text, "volume").value_si
    except UnitError as error:
        problems.append(Problem(cell.origin, f"{name}: {error}"))
        return None
    if value < 0:
        problems.append(Problem(cell.origin, f"{name}: '{cell.text}' is below nothing"))
    elif name in SHOWN and tank is not None and not tank.may_hold(value):
        told = f"{show(tank.brim, 'imp gal')} ({show(tank.brim, 'l')})"
        problems.append(Problem(cell.origin, f"{name}: '{cell.text}' is more than the tank takes "
                                f"to its brim, {told}"))  # fmt: skip
    return value
