"""``diagnose fuel vapour``: the margin before fuel boils, as page, JSON and drawing."""

from __future__ import annotations

from pathlib import Path

import pytest
from fuel_pages import FILES, FOOT, PSI, US_GALLON_HOUR, data, drawing, says_what_it_is, text

from diagnose.knowledge_files import load_layout


@pytest.mark.parametrize("layout", FILES)
def test_vapour_gives_a_margin_at_every_pump_inlet(layout: str, tmp_path: Path) -> None:
    """Every pump of the layout, or the carburettor without one, and the first place to boil."""
    grid = ["--temperature", "43degC", "--altitude", "0ft", "--altitude", "3000 m", "--rvp", "7psi"]
    file = tmp_path / "plot.svg"
    page = text("vapour", layout, *grid, "--svg", str(file))
    body = data("vapour", layout, *grid)
    drawing(file, layout)

    says_what_it_is(page, layout)
    parts = load_layout(FILES[layout]).parts.values()
    kinds = ("booster-pump", "engine-pump", "hand-pump", "transfer-pump")
    pumps = {p.id for p in parts if p.kind in kinds}
    inlets = {i["id"] for i in body["inlets"]}
    assert inlets == (pumps or {"carburettor"})
    low, high = body["conditions"]
    for condition in (low, high):
        assert condition["converged"] is True
        assert {m["id"] for m in condition["margins"]} == inlets
        first = condition["first_to_boil"]
        assert first["margin_Pa"] <= min(m["margin_Pa"] for m in condition["margins"]) + 1e-6
        assert first["place"] in page
    assert high["first_to_boil"]["margin_Pa"] < low["first_to_boil"]["margin_Pa"]
    for inlet in body["inlets"]:
        assert f"Margin at the {inlet['label']}" in page


@pytest.mark.outside
def test_the_fuel_is_that_of_the_worked_tables() -> None:
    """RVP 7 at 80 to 120 degF: psia by AP-42 chapter 7.1, and by ISO 2533 the feet it boils at."""
    degrees = [x for f in (80, 100, 110, 120) for x in ("--temperature", f"{f} degF")]
    body = data("vapour", "high-wing-single", *degrees, "--rvp", "7psi", "--altitude", "0ft")
    fuel = body["fuel"]

    pressures = [row["vapour_pressure_Pa_abs"] / PSI for row in fuel]
    assert pressures == pytest.approx([5.05, 7.38, 8.83, 10.50], abs=0.03)
    heights = [row["boils_in_a_vented_tank_m"] / FOOT for row in fuel]
    assert heights == pytest.approx([26800, 17900, 13400, 9000], abs=200)


LIFT = """\
layout: suction-lift
title: A pump two feet above the fuel, one psi lost on the way
invented: yes
notes: For a check of the vapour margin.
traits: {feed: pumped, carburettor: float}
parts:
  - {part: tank, kind: tank, name: fuel tank, capacity: 1000 l, unusable: 1 l, height: HEIGHT,
     depth: 1 m}
  - {part: vent, kind: tank-vent, name: tank vent, of: tank, bore: 30 mm, length: 0.1 m, loss: 0}
  - {part: screen, kind: outlet-screen, name: outlet screen, of: tank, bore: 40 mm, loss: 0}
  - {part: supply, kind: supply-line, name: supply line, of: engine, bore: 8 mm, length: 0.01 m,
     loss: LOSS, height: 0 m}
  - {part: pump, kind: engine-pump, name: engine pump, of: engine, height: 0 m,
     displacement: 200 US gal/h, relief: 5 psi, relief-rise: 1 psi}
  - {part: carburettor, kind: float-carburettor, name: carburettor, of: engine, height: 0 m,
     burn-take-off: 30 US gal/h, burn-cruise: 20 US gal/h, burn-run-up: 20 US gal/h,
     burn-idle: 2 US gal/h}
  - {part: engine, kind: engine, name: engine}
lines:
  - {line: outlet, from: tank, to: screen, bore: 40 mm, length: 0.01 m, loss: 0}
  - {line: feed, from: screen, to: supply, bore: 40 mm, length: 0.01 m, loss: 0}
  - {line: to-pump, from: supply, to: pump, bore: 40 mm, length: 0.01 m, loss: 0}
  - {line: delivery, from: pump, to: carburettor, bore: 12 mm, length: 0.1 m, loss: 0}
  - {line: to-engine, from: carburettor, to: engine, bore: 12 mm, length: 0.1 m, loss: 0}
run-states:
  - {state: run-up, title: Run-up, stage: run-up, settings: {}, minutes: 2, start-minutes: 15,
     engine-running: yes, needs: [chocks, fire guard, no fuel leak, no fuel smell]}
"""


def lifted(folder: Path, lift_ft: float, loss_psi: float) -> str:
    """Write a layout whose pump draws 20 US gal/h over a lift and a loss; return its file."""
    flow, area, rho = 20 * US_GALLON_HOUR, 3.14159265 / 4 * 0.008**2, 720.0
    loss = loss_psi * PSI / (0.5 * rho * (flow / area) ** 2)
    # half full, one metre deep: the surface stands half a metre above the tank's bottom
    height = -lift_ft * FOOT - 0.5
    file = folder / "suction-lift.yaml"
    file.write_text(LIFT.replace("HEIGHT", f"{height:.4f} m").replace("LOSS", f"{loss:.3f}"))
    return str(file)


@pytest.mark.outside
@pytest.mark.parametrize(
    ("lift", "loss", "height", "degrees", "rvp", "margin"),
    [
        (2.0, 1.0, "8000 ft", 110, "7psi", 0.47),
        (2.0, 1.0, "8000 ft", 110, "6psi", 1.71),
        (2.0, 1.0, "10000 ft", 80, "7psi", 3.43),
        (2.0, 1.0, "15000 ft", 60, "7psi", 3.32),
        (-3.0, 0.3, "0 ft", 60, "7psi", 11.97),
        (-3.0, 0.3, "0 ft", 110, "7psi", 6.49),
    ],
)
def test_margin_under_suction_and_head_agrees_with_worked_values(
    lift: float, loss: float, height: str, degrees: int, rvp: str, margin: float, tmp_path: Path
) -> None:
    """Air (ISO 2533) - 0.312 psi/ft of lift - line loss [psi] - vapour (AP-42) [psi].

    The pump is large, so that it still passes the whole flow where its fill falls off.
    """
    file = lifted(tmp_path, lift, loss)
    body = data("vapour", file, "--altitude", height, "--temperature", f"{degrees}degF", "--rvp",
                rvp)  # fmt: skip

    # the worked values take 0.72 kg/l at every temperature; warm fuel is up to 3 % lighter
    (found,) = body["conditions"][0]["margins"]
    assert found["margin_Pa"] / PSI == pytest.approx(margin, abs=0.06)


def test_a_blocked_line_is_the_first_place_to_boil() -> None:
    """With the strainer blocked fuel boils behind it, not at the tank."""
    grid = ["--temperature", "30degC", "--altitude", "0ft", "--rvp", "7psi"]
    body = data("vapour", "low-wing-single", *grid, "--cause", "strainer-plugged", "--grade",
                "severe")  # fmt: skip

    first = body["conditions"][0]["first_to_boil"]
    assert first["place"] == "inlet of engine-driven fuel pump"
    assert first["margin_Pa"] < 2.0 * PSI


def test_fuel_fed_by_gravity_boils_first_at_the_free_surface_of_its_tank() -> None:
    """No place below a vented tank has less pressure on it than the surface the air lies on."""
    body = data("vapour", "header-biplane", "--temperature", "30 degC", "--altitude", "10000 ft")
    for condition in body["conditions"]:
        assert condition["first_to_boil"]["place"].startswith("surface of ")


def test_each_cell_of_the_page_is_the_margin_of_its_own_height_vapour_pressure_and_warmth() -> None:
    """Every margin of the table stands in the plain data under the conditions of its cell."""
    heights, fuels, degrees = ("0 ft", "5000 ft"), ("7 psi", "9 psi"), ("30 degC", "43 degC")
    asked = [x for h in heights for x in ("--altitude", h)]
    asked += [x for r in fuels for x in ("--rvp", r)]
    asked += [x for t in degrees for x in ("--temperature", t)]
    page = text("vapour", "low-wing-single", *asked, "--plain").splitlines()
    body = data("vapour", "low-wing-single", *asked)

    title = next(k for k, line in enumerate(page) if line.startswith("Margin at the inlet of e"))
    rows = [line.split(": ", 1) for line in page[title + 1 : title + 5]]
    assert [row[0].strip() for row in rows] == [f"{h}, {r}" for h in heights for r in fuels]
    shown = [float(cell.removeprefix(t).split()[0]) for _, cells in rows
             for t, cell in zip(degrees, cells.split("; "), strict=True)]  # fmt: skip
    margins = [c["margins"][0]["margin_Pa"] / PSI for c in body["conditions"]]
    assert shown == pytest.approx(margins, abs=0.01)
    warmth = [round(c["fuel_temperature_K"] - 273.15) for c in body["conditions"]]
    assert warmth == [30, 43] * 4
