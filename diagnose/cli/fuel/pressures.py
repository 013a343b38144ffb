"""``diagnose fuel pressures``: one state solved, sound and with a cause, as list and plain data."""

from __future__ import annotations

import math
from typing import Any

from diagnose.chart.solved import draw as draw
from diagnose.chart.solved import lamp_word, running_word
from diagnose.cli.fuel import page
from diagnose.cli.fuel.page import CORRELATION, HYDRAULICS
from diagnose.cli.printing import items, wrap
from diagnose.fuel.asked.figures import number
from diagnose.fuel.asked.setup import Asked
from diagnose.fuel.asked.steady import (
    STILL,
    Solved,
    against,
    boiling,
    flow_of,
    limit_here,
    lost,
    node_label,
    passages,
    unusable,
)
from diagnose.grammar import capital
from diagnose.knowledge_files.cutting import NO_FIGURE
from diagnose.units import show

# ------------------------------------------------------------------ text


def text(q: Asked, done: Solved) -> str:
    """Return the page: conditions, pressures, engines, tanks, flows."""
    s = done.solution
    out = page.head(q.places) + page.conditions(q, done.setup.settings)
    for row in range(done.rows):
        if not s.converged[row]:
            out += ["", *wrap(f"{_row_name(row)}: {s.trouble(row)}. No pressure or flow is "
                                   "shown for it: there is none to trust.", 2)]  # fmt: skip
    if s.converged.any():
        air = float(s.conditions.ambient[0, 0])
        unit = q.shown.pressure
        title = (
            f"Pressures [{unit}, gauge: against the air outside of {show(air, unit, 4)} absolute"
        )
        title += "; above boiling: with the cause]" if done.rows > 1 else "]"
        out += page.titled(title, _pressures(q, done))
        for engine in q.network.engines:
            out += page.titled(capital(q.label(engine.id)), _engine(q, done, engine.id))
        tanks = _tanks(q, done) + items(tank_warnings(q, done))
        out += page.titled(f"Tanks [{q.shown.volume}, {q.shown.flow}]", tanks)
        out += page.titled(f"Flows [{q.shown.flow}]", _flows(q, done))
    return "\n".join(out + page.titled("Rests on", items([CORRELATION, HYDRAULICS])))


def assumptions(q: Asked, done: Solved) -> list[str]:
    """Return what the figures rest on."""
    return [
        *page.air_assumptions(q, done.setup.settings),
        CORRELATION,
        HYDRAULICS,
    ]


def _row_name(row: int) -> str:
    return ("sound", "with the cause")[row]


def _columns(done: Solved) -> list[str]:
    return [_row_name(row) for row in range(done.rows)]


def _pressures(q: Asked, done: Solved) -> list[str]:
    unit = q.shown.pressure
    header = ["place", *_columns(done), "above boiling"]
    rows = []
    for node in range(len(q.network.nodes)):
        cells = [number(done.gauge(node, row), unit) for row in range(done.rows)]
        cells.append(number(done.margin(node, done.last), unit))
        rows.append([node_label(done.setup, node), *cells])
    return page.table(header, rows)


def _engine(q: Asked, done: Solved, engine: str) -> list[str]:
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
    open_union = done.setup.settings.power.get(engine) == "can"
    if open_union:  # the delivery test: nothing is burnt, and nothing wanted
        kept = [line for line in lines if line[1] not in ("flow", "wanted-flow")]
        lines = [*kept, ("runs into the can", "flow", flow)]
    rows = []
    for name, reading, unit in lines:
        cells = [number(done.at(reading, engine, row), unit) for row in range(done.rows)]
        rows.append([f"{name} [{unit}]", *cells])
    rows.append(["warning lamp", *(lamp_word(done, engine, row) for row in range(done.rows))])
    rows.append(["engine", *(running_word(done, engine, row) for row in range(done.rows))])
    out = page.table(["reading", *_columns(done)], rows)
    return out + items([against_limit(done, engine)])


def against_limit(done: Solved, engine: str) -> str:
    """Return how the metering pressure stands to the limit, or that there is none."""
    limit = limit_here(done, engine)
    if limit is None:
        return f"limit for this state: {NO_FIGURE}; neither low nor high is concluded"
    said = [f"{_row_name(row)} {word}" for row in range(done.rows)
            if (word := against(limit, done, engine, row))]  # fmt: skip
    return f"against {limit.name}, {limit.shown} ({limit.reference}): {', '.join(said)}"


def _tanks(q: Asked, done: Solved) -> list[str]:
    header = ["tank", "holds", *(f"gains, {name}" for name in _columns(done))]
    rows = []
    for tank in q.network.tanks:
        cells = [number(done.setup.settings.levels.get(tank.id, 0.5) * tank.capacity,
                             q.shown.volume)]  # fmt: skip
        cells += [number(done.at("tank-rate", tank.id, row), q.shown.flow)
                  for row in range(done.rows)]  # fmt: skip
        rows.append([q.label(tank.id), *cells])
    return page.table(header, rows)


def tank_warnings(q: Asked, done: Solved) -> list[str]:
    """Return what of the tanks makes the figures doubtful: fuel that boils, or is not usable."""
    out = []
    for row in range(done.rows):
        boils = boiling(done, row) if done.solution.converged[row] else []
        if boils:
            names = ", ".join(q.label(t) for t in boils)
            out.append(f"{_row_name(row)}: the fuel boils in the tank itself, {names}; an engine "
                       "gets vapour, and no pressure here would be steady")  # fmt: skip
    drawn, dry = unusable(done)
    out += [f"{q.label(t)} holds no more than its unusable fuel: what it gives here it gives "
            "level and undisturbed only" for t in drawn]  # fmt: skip
    out += [f"{q.label(t)} holds no more than its unusable fuel, and its outlet takes in air: it "
            "stands as shut in the model, so a suction behind it says no more than that nothing "
            "comes" for t in dry]  # fmt: skip
    return out


def _flows(q: Asked, done: Solved) -> list[str]:
    rows = []
    for p in passages(done.setup):
        flows = [flow_of(done, p, row) for row in range(done.rows)]
        if any(abs(f) > STILL for f in flows if math.isfinite(f)):
            cells = [number(f, q.shown.flow) for f in flows]
            rows.append([p.label, *cells])
    rows += [[label, *(number(f, q.shown.flow) for f in flows)] for label, flows in lost(done)]
    still = ["fuel stands still everywhere"]
    return page.table(["way", *_columns(done)], rows) or items(still)


# ------------------------------------------------------------------ plain data


def as_object(q: Asked, done: Solved) -> dict[str, Any]:
    """Return the page as plain data, SI with the unit in the key."""
    out = page.body("pressures", q.places, assumptions(q, done))
    out["conditions"] = page.conditions_object(q, done.setup.settings)
    out["warnings"] = tank_warnings(q, done)
    out["sound"] = _row_object(done, 0)
    out["with_cause"] = _row_object(done, 1) if done.rows > 1 else None
    return out


def _row_object(done: Solved, row: int) -> dict[str, Any]:
    q, s = done.setup, done.solution
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
        "label": done.setup.label(engine),
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
        "against_limit": against(limit, done, engine, row) if limit else None,
    }
