"""``diagnose fuel pressures``: one state solved, sound and with a cause, as list and plain data."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from diagnose.cli.fuel import page
from diagnose.cli.fuel.ask import Asked
from diagnose.cli.layout_view import wrap
from diagnose.fuel import Readings, Settings, Solution, classify, places_of, readings, solve
from diagnose.fuel import properties as fp
from diagnose.knowledge_files.cutting import NO_FIGURE
from diagnose.model import Limit
from diagnose.units import show

STILL = 0.05e-3 / 3600.0
"""Flow below which fuel is said to stand still [m3/s]: 0.05 l/h, the leak of a shut cock."""
CORRELATION = (
    "vapour pressure by AP-42 chapter 7.1 for new fuel (constants checked on its table 7.1-2); "
    "weathered fuel boils later"
)
_KINDS = {
    "bypass": "bypass of", "standing": "through the stopped", "return": "vapour return",
}  # fmt: skip


@dataclass(frozen=True)
class Solved:
    """A question solved: row 0 sound, row 1 with the cause, if there is one."""

    question: Asked
    settings: Settings
    solution: Solution
    found: Readings
    words: Mapping[str, Any]  # reading -> class (rows, places)

    @property
    def rows(self) -> int:
        """Return how many rows there are."""
        return len(self.solution.converged)

    @property
    def last(self) -> int:
        """Return the row that is drawn: with the cause, else the sound one."""
        return self.rows - 1

    def at(self, reading: str, place: str, row: int) -> float:
        """Return one reading; NaN in a row without a steady state."""
        return float(self.found.at(reading, place)[row])

    def word(self, reading: str, place: str, row: int) -> str:
        """Return the class of one reading, '' where there is none."""
        places = places_of(self.found, reading)
        return str(self.words[reading][row, places.index(place)]) if place in places else ""

    def gauge(self, node: int, row: int) -> float:
        """Return the pressure at a node against the air outside [Pa]."""
        c = self.solution.conditions
        return float(self.solution.pressure[row, node] - c.ambient[row, 0])

    def margin(self, node: int, row: int) -> float:
        """Return the pressure at a node above the vapour pressure there [Pa]."""
        c, p = self.solution.conditions, self.solution.pressure[row, node]
        return float(fp.vapour_margin(p, c.temperature[row, node], c.rvp[row, node]))


def solved(question: Asked) -> Solved:
    """Solve the question's state, sound and with its cause."""
    rows = [(), question.faults] if question.faults else [()]
    solution = solve(question.network, [question.settings], rows)
    found = readings(question.network, solution)
    sound = Readings({k: np.repeat(v[:1], len(rows), axis=0) for k, v in found.values.items()},
                     found.places)  # fmt: skip
    words = classify(question.network, solution, found, sound)
    return Solved(question, question.settings, solution, found, words)


# ------------------------------------------------------------------ words for places


def node_label(question: Asked, node: int) -> str:
    """Return what a node of the model is called: the part, and which end of it."""
    name, _, end = question.network.nodes[node].partition(".")
    words = {"in": "inlet of ", "out": "outlet of ", "": "outlet of "}
    return words.get(end, "") + question.label(name)


@dataclass(frozen=True)
class Passage:
    """A way fuel can take between two nodes (``b`` -1 = overboard or to an engine's primer)."""

    label: str
    role: str
    a: int
    b: int
    parts: tuple[str, ...]
    kind: str  # element kind and number in it, for the flow
    number: int


def passages(question: Asked) -> tuple[Passage, ...]:
    """Return every way of the fuel in the network, in the order of its elements."""
    network, out = question.network, []
    air = len(network.nodes)
    for k, run in enumerate(network.runs):
        parts = tuple(dict.fromkeys(p.part for p in run.pieces if p.part in network.layout.parts))
        names = [question.label(p) for p in parts]
        ends = f"{_end(question, run.a)} to {_end(question, run.b)}"
        if run.role in ("bypass", "standing"):
            text = f"{_KINDS[run.role]} {names[0]}"
        elif run.role == "return":
            text = f"vapour return, {ends}"
        else:
            text = f"{ends}, by {names[-1]}" if run.b == air and names else ends
        out.append(Passage(text, run.role, run.a, -1 if run.b == air else run.b, parts, "runs", k))
    for k, pump in enumerate(network.boosters):
        out.append(Passage(question.label(pump.part), "pump", pump.a, pump.b, (pump.part,),
                           "boosters", k))  # fmt: skip
    for k, engine_pump in enumerate(network.pumps):
        label = question.label(engine_pump.part)
        ends_of = (engine_pump.a, engine_pump.b, (engine_pump.part,))
        out.append(Passage(label, "pump", *ends_of, "pumps", k))
        back = (engine_pump.b, engine_pump.a, (engine_pump.part,))
        out.append(Passage(f"{label}, back through its relief", "relief", *back, "reliefs", k))
    for k, meter in enumerate(network.meters):
        text = f"{question.label(meter.part)} to {question.label(meter.engine)}"
        out.append(Passage(text, "burn", meter.node, -1, (meter.part,), "meters", k))
    return tuple(out)


def _end(question: Asked, node: int) -> str:
    if node == len(question.network.nodes):
        return "overboard or primer"
    return question.label(question.network.nodes[node].partition(".")[0])


def flow_of(done: Solved, passage: Passage, row: int) -> float:
    """Return the flow of a passage [m3/s], positive from ``a`` to ``b``."""
    return float(done.solution.part(passage.kind)[row, passage.number])


# ------------------------------------------------------------------ text


def text(done: Solved, plain: bool) -> str:
    """Return the page: conditions, pressures, engines, tanks, flows."""
    q, s = done.question, done.solution
    out = page.head(q.places, plain) + page.conditions(q, done.settings, plain)
    for row in range(done.rows):
        if not s.converged[row]:
            out += ["", *wrap(f"{_row_name(row)}: {s.trouble(row)}. No pressure or flow is "
                                   "shown for it: there is none to trust.", plain, 2)]  # fmt: skip
    if s.converged.any():
        air = float(s.conditions.ambient[0, 0])
        unit = q.shown.pressure
        title = (
            f"Pressures [{unit}, gauge: against the air outside of {show(air, unit, 4)} absolute"
        )
        title += "; above boiling: with the cause]" if done.rows > 1 else "]"
        out += page.titled(title, _pressures(done, plain))
        for engine in q.network.engines:
            out += page.titled(q.label(engine.id)[0].upper() + q.label(engine.id)[1:],
                               _engine(done, engine.id, plain))  # fmt: skip
        out += page.titled(f"Tanks [{q.shown.volume}, {q.shown.flow}]", _tanks(done, plain))
        out += page.titled(f"Flows [{q.shown.flow}]", _flows(done, plain))
    said = [CORRELATION]
    return "\n".join(out + page.titled("Rests on", page.items(said, plain)))


def assumptions(done: Solved) -> list[str]:
    """Return what the figures rest on."""
    return [
        *page.air_assumptions(done.question, done.settings),
        CORRELATION,
    ]


def _row_name(row: int) -> str:
    return ("sound", "with the cause")[row]


def _columns(done: Solved) -> list[str]:
    return [_row_name(row) for row in range(done.rows)]


def _pressures(done: Solved, plain: bool) -> list[str]:
    unit = done.question.shown.pressure
    header = ["place", *_columns(done), "above boiling"]
    rows = []
    for node in range(len(done.question.network.nodes)):
        cells = [page.number(done.gauge(node, row), unit) for row in range(done.rows)]
        cells.append(page.number(done.margin(node, done.last), unit))
        rows.append([node_label(done.question, node), *cells])
    return page.table(header, rows, plain)


def _engine(done: Solved, engine: str, plain: bool) -> list[str]:
    q = done.question
    pressure, flow = q.shown.pressure, q.shown.flow
    lines = [
        ("pressure at the metering inlet", "metering-pressure", pressure),
        ("pressure gauge shows", "pressure-gauge", pressure),
        ("above boiling at the pump", "vapour-margin", pressure),
        ("fuel burnt", "flow", flow),
        ("fuel wanted", "wanted-flow", flow),
        ("vapour return", "return-flow", flow),
    ]
    names = {e.id: e for e in q.network.engines}
    if names[engine].pump < 0:
        lines = [line for line in lines if line[1] != "vapour-margin"]
    if names[engine].meter < 0 or q.network.meters[names[engine].meter].returns < 0:
        lines = [line for line in lines if line[1] != "return-flow"]
    if not q.network.parts_of(engine, "pressure-gauge"):
        lines = [line for line in lines if line[1] != "pressure-gauge"]
    rows = []
    for name, reading, unit in lines:
        cells = [page.number(done.at(reading, engine, row), unit) for row in range(done.rows)]
        rows.append([f"{name} [{unit}]", *cells])
    rows.append(["warning lamp", *(lamp_word(done, engine, row) for row in range(done.rows))])
    rows.append(["engine", *(running_word(done, engine, row) for row in range(done.rows))])
    out = page.table(["reading", *_columns(done)], rows, plain)
    return out + page.items([against_limit(done, engine)], plain)


def lamp_word(done: Solved, engine: str, row: int) -> str:
    """Return lit, out, 'none fitted', or that no approved figure says when it lights."""
    if not done.question.network.parts_of(engine, "warning-lamp"):
        return "none fitted"
    value = done.at("pressure-lamp", engine, row)
    if math.isnan(value):
        return NO_FIGURE if done.solution.converged[row] else "-"
    return "lit" if value > 0.5 else "out"


def running_word(done: Solved, engine: str, row: int) -> str:
    """Return how the engine runs, or that it stands."""
    if not done.solution.converged[row]:
        return "-"
    if done.settings.power.get(engine, "none") in ("none", "can"):
        return "stands"
    return done.word("engine-running", engine, row)


def limit_here(done: Solved, engine: str) -> Limit | None:
    """Return the limit that holds for the metering pressure in this state, if one is entered."""
    limits = done.question.places.layout.limits
    s = done.settings
    if s.power.get(engine, "none") != "none":
        return limits.get("fuel-pressure")
    if not s.boosters:
        return None
    kinds = {done.question.network.layout.parts[b].kind for b in s.boosters}
    return limits.get("hand-pump-pressure" if "hand-pump" in kinds else "booster-pressure")


def against_limit(done: Solved, engine: str) -> str:
    """Return how the metering pressure stands to the limit, or that there is none."""
    limit = limit_here(done, engine)
    if limit is None:
        return f"limit for this state: {NO_FIGURE}; neither low nor high is concluded"
    said = [f"{_row_name(row)} {word}" for row in range(done.rows)
            if (word := done.word("metering-pressure", engine, row))]  # fmt: skip
    return f"against {limit.name}, {limit.shown} ({limit.reference}): {', '.join(said)}"


def _tanks(done: Solved, plain: bool) -> list[str]:
    q = done.question
    header = ["tank", "holds", *(f"gains, {name}" for name in _columns(done))]
    rows = []
    for tank in q.network.tanks:
        cells = [page.number(done.settings.levels.get(tank.id, 0.5) * tank.capacity,
                             q.shown.volume)]  # fmt: skip
        cells += [page.number(done.at("tank-rate", tank.id, row), q.shown.flow)
                  for row in range(done.rows)]  # fmt: skip
        rows.append([q.label(tank.id), *cells])
    return page.table(header, rows, plain)


def _flows(done: Solved, plain: bool) -> list[str]:
    rows = []
    for p in passages(done.question):
        flows = [flow_of(done, p, row) for row in range(done.rows)]
        if any(abs(f) > STILL for f in flows if math.isfinite(f)):
            cells = [page.number(f, done.question.shown.flow) for f in flows]
            rows.append([p.label, *cells])
    still = ["fuel stands still everywhere"]
    return page.table(["way", *_columns(done)], rows, plain) or page.items(still, plain)


# ------------------------------------------------------------------ plain data


def as_object(done: Solved) -> dict[str, Any]:
    """Return the page as plain data, SI with the unit in the key."""
    q = done.question
    out = page.body("pressures", q.places, assumptions(done))
    out["conditions"] = page.conditions_object(q, done.settings)
    out["sound"] = _row_object(done, 0)
    out["with_cause"] = _row_object(done, 1) if done.rows > 1 else None
    return out


def _row_object(done: Solved, row: int) -> dict[str, Any]:
    q, s = done.question, done.solution
    nodes = [
        {"id": name, "label": node_label(q, k), "pressure_Pa_gauge": done.gauge(k, row),
         "pressure_Pa_abs": float(s.pressure[row, k]), "vapour_margin_Pa": done.margin(k, row)}
        for k, name in enumerate(q.network.nodes)
    ]  # fmt: skip
    flows = [
        {"label": p.label, "role": p.role, "parts": list(p.parts),
         "flow_m3_per_s": flow_of(done, p, row)}
        for p in passages(q)
    ]  # fmt: skip
    return {
        "converged": bool(s.converged[row]),
        "trouble": s.trouble(row),
        "nodes": nodes,
        "engines": [_engine_object(done, e.id, row) for e in q.network.engines],
        "tanks": [
            {"id": t.id, "label": q.label(t.id),
             "rate_m3_per_s": done.at("tank-rate", t.id, row),
             "air_pressure_Pa_gauge": done.at("tank-air-pressure", t.id, row),
             "overboard_m3_per_s": done.at("overboard-flow", t.id, row)}
            for t in q.network.tanks
        ],
        "flows": flows,
    }  # fmt: skip


def _engine_object(done: Solved, engine: str, row: int) -> dict[str, Any]:
    limit = limit_here(done, engine)
    return {
        "id": engine,
        "label": done.question.label(engine),
        "metering_pressure_Pa_gauge": done.at("metering-pressure", engine, row),
        "pressure_gauge_shows_Pa_gauge": done.at("pressure-gauge", engine, row),
        "pump_inlet_pressure_Pa_abs": done.at("pump-inlet-pressure", engine, row),
        "vapour_margin_Pa": done.at("vapour-margin", engine, row),
        "flow_m3_per_s": done.at("flow", engine, row),
        "wanted_flow_m3_per_s": done.at("wanted-flow", engine, row),
        "return_flow_m3_per_s": done.at("return-flow", engine, row),
        "lamp": lamp_word(done, engine, row),
        "running": running_word(done, engine, row),
        "limit": None if limit is None else limit.name,
        "limit_reference": None if limit is None else limit.reference,
        "against_limit": done.word("metering-pressure", engine, row) if limit else None,
    }
