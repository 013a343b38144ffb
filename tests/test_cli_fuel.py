"""``diagnose fuel``: pressures and vapour margin on the screen, as JSON and as drawings."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from typer.testing import CliRunner, Result

from diagnose.cli.fuel import commands as fuel
from diagnose.cli.fuel.commands import app
from diagnose.errors import DiagnoseError
from diagnose.fuel import march
from diagnose.knowledge_files import list_layouts, load_layout
from diagnose.places import Places

FILES = list_layouts(Path(__file__).parents[1] / "knowledge")
PSI = 6894.757293168361
FOOT = 0.3048
US_GALLON_HOUR = 3.785411784e-3 / 3600.0
COLOURS = {None, "none", "black", "white"}


def run(*arguments: str) -> Result:
    """Run ``diagnose fuel`` and return what it printed and left with."""
    return CliRunner().invoke(app, list(arguments))


def text(*arguments: str) -> str:
    """Return the page of a command that must succeed, each entry on one line."""
    result = run(*arguments, "--plain")
    assert result.exit_code == 0, result.exception
    return result.stdout


def data(*arguments: str) -> dict[str, Any]:
    """Return the JSON of a command that must succeed, and hold what all of them promise."""
    result = run(*arguments, "--json")
    assert result.exit_code == 0, result.exception
    body: dict[str, Any] = json.loads(result.stdout, parse_constant=pytest.fail)
    assert list(body)[:5] == ["schema_version", "command", "layout", "certifies", "assumptions"]
    assert body["certifies"] == "nothing"
    assert body["command"] == arguments[0]
    assert body["layout"]["id"] == arguments[1] or Path(arguments[1]).stem == body["layout"]["id"]
    assert body["layout"]["invented"] is True
    return body


def both(*arguments: str) -> tuple[str, dict[str, Any]]:
    """Return page and JSON of one command, worked out once: what is long need not run twice."""
    say = fuel.say

    def twice(_: bool, *answer: Any) -> None:
        say(False, *answer)
        say(True, *answer)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(fuel, "say", twice)
        result = run(*arguments, "--plain")
    assert result.exit_code == 0, result.exception
    page, _, body = result.stdout.partition("\n{\n")
    return page + "\n", json.loads("{" + body, parse_constant=pytest.fail)


def refused(*arguments: str) -> DiagnoseError:
    """Return the error of a command that must be refused, told on one line."""
    error = run(*arguments).exception
    assert isinstance(error, DiagnoseError), error
    assert len(str(error).splitlines()) == 1
    return error


def says_what_it_is(page: str, layout: str) -> None:
    """Hold that a page names the layout, says 'invented' and that it certifies nothing."""
    assert page.splitlines()[0].startswith(f"{layout}: ")
    assert "INVENTED" in page
    assert "certifies nothing" in page
    assert "Rests on:" in page


def drawing(path: Path, layout: str) -> ElementTree.Element:
    """Return a drawing, held to be well formed, described in words and without colour."""
    root = ElementTree.parse(path).getroot()
    name = "{http://www.w3.org/2000/svg}"
    assert root.tag == f"{name}svg"
    assert root.get("role") == "img"
    title, description = root.find(f"{name}title"), root.find(f"{name}desc")
    assert title is not None
    assert title.text is not None
    assert layout in title.text
    assert description is not None
    assert len(description.text or "") > 20
    for element in root.iter():
        assert element.get("fill") in COLOURS
        assert element.get("stroke") in COLOURS
        assert element.get("style") is None
    words = " ".join(root.itertext())
    assert "INVENTED layout" in words
    assert "certifies nothing" in words
    assert "nan" not in words.lower().split()
    return root


# ------------------------------------------------------------------ pressures


@pytest.mark.parametrize("layout", FILES)
def test_pressures_name_every_node_engine_and_tank(layout: str, tmp_path: Path) -> None:
    """List, JSON and drawing of every layout say the same places, converged."""
    file = tmp_path / "drawing.svg"
    page = text("pressures", layout, "--svg", str(file))
    body = data("pressures", layout)
    root = drawing(file, layout)
    places = Places(load_layout(FILES[layout]))

    says_what_it_is(page, layout)
    sound = body["sound"]
    assert sound["converged"] is True
    assert body["with_cause"] is None
    assert {e["id"] for e in sound["engines"]} == set(places.engines)
    assert {t["id"] for t in sound["tanks"]} == set(places.tanks)
    for node in sound["nodes"]:
        assert f"  {node['label']}: sound " in page
        assert node["pressure_Pa_abs"] > node["pressure_Pa_gauge"]
    for engine in sound["engines"]:
        assert engine["running"] == "normal"
        assert engine["flow_m3_per_s"] == pytest.approx(engine["wanted_flow_m3_per_s"], rel=0.03)
    drawn = {e.text for e in root.iter("{http://www.w3.org/2000/svg}title")}
    assert {n["label"] for n in sound["nodes"]} <= drawn
    assert {e["label"] for e in sound["engines"]} <= drawn


def test_gauge_and_absolute_pressures_differ_by_the_air_outside() -> None:
    """At 5000 ft the air outside is 12.228 psi (ISA, ISO 2533) between gauge and absolute."""
    body = data("pressures", "low-wing-single", "--altitude", "5000ft")

    for node in body["sound"]["nodes"]:
        between = node["pressure_Pa_abs"] - node["pressure_Pa_gauge"]
        assert between / PSI == pytest.approx(12.228, abs=2e-3)


def test_a_blocked_strainer_is_shown_beside_the_sound_aeroplane() -> None:
    """The cause put in moves the pressure below the limit; the sound column stays."""
    body = data(
        "pressures", "low-wing-single", "--cause", "strainer-plugged@strainer", "--grade", "severe"
    )
    (sound,), (broken,) = body["sound"]["engines"], body["with_cause"]["engines"]

    assert (sound["against_limit"], broken["against_limit"]) == ("normal", "low")
    assert broken["metering_pressure_Pa_gauge"] < 0.3 * sound["metering_pressure_Pa_gauge"]
    assert broken["vapour_margin_Pa"] < 1.0 * PSI
    assert body["conditions"]["cause"][0]["change"] == "blocked"


def test_a_cause_that_can_be_at_one_part_only_needs_no_part() -> None:
    """'strainer-plugged' alone is the one strainer; the page says which and how bad."""
    page = text("pressures", "low-wing-single", "--cause", "strainer-plugged")

    assert "with: main strainer element plugged at main strainer, half (blocked 0.95" in page


@pytest.mark.parametrize(
    ("unit", "factor"), [("psi", PSI), ("kPa", 1e3), ("bar", 1e5), ("inHg", 3386.389)]
)
def test_pressures_are_printed_in_any_usual_unit(unit: str, factor: float) -> None:
    """The printed metering pressure is the JSON figure over the unit's factor."""
    (engine,) = data("pressures", "low-wing-single")["sound"]["engines"]
    page = text("pressures", "low-wing-single", "--unit", unit)

    line = next(x for x in page.splitlines() if "pressure at the metering inlet" in x)
    assert f"[{unit}]" in line
    shown = float(line.rsplit(" ", 1)[1])
    assert shown * factor == pytest.approx(engine["metering_pressure_Pa_gauge"], rel=6e-3)


def test_settings_are_laid_on_the_run_state() -> None:
    """Booster on, the other tank selected and its contents: all arrive, and are printed."""
    sets = ["--set", "selector=right", "--set", "booster=on", "--set", "right-tank=20 l"]
    body = data("pressures", "low-wing-single", *sets)
    page = text("pressures", "low-wing-single", *sets)

    assert body["conditions"]["cocks"] == {"selector": "right"}
    assert body["conditions"]["pumps_on"] == ["booster"]
    assert body["conditions"]["contents_m3"]["right-tank"] == pytest.approx(0.020)
    rates = {t["id"]: t["rate_m3_per_s"] for t in body["sound"]["tanks"]}
    assert rates["right-tank"] < -1e-6 < rates["left-tank"]
    assert "electric fuel pump on" in page
    assert "right tank 4.4 imp gal (24 %)" in page
    assert "left tank 9 imp gal (50 %, assumed)" in page


def test_a_cock_shut_starves_the_engine() -> None:
    """With the selector off nothing is burnt and the engine does not run normally."""
    (engine,) = data("pressures", "low-wing-single", "--set", "selector=off")["sound"]["engines"]

    assert engine["flow_m3_per_s"] < 0.1 * engine["wanted_flow_m3_per_s"]
    assert engine["running"] in ("stops", "fades")


def test_a_standing_engine_without_limit_concludes_no_low_or_high() -> None:
    """Where no approved figure is entered for the state, the page says so and names no class."""
    body = data("pressures", "low-wing-single", "--state", "static")

    (engine,) = body["sound"]["engines"]
    assert engine["running"] == "stands"
    assert engine["against_limit"] is None
    assert "no approved figure entered" in text("pressures", "low-wing-single", "--state", "static")


def test_the_lamp_lights_when_the_pressure_is_gone() -> None:
    """Static without booster the lamps are lit; in the run-up they are out."""
    still = data("pressures", "four-engine-injection", "--state", "static")["sound"]["engines"]
    running = data("pressures", "four-engine-injection")["sound"]["engines"]

    assert {e["lamp"] for e in still} == {"lit"}
    assert {e["lamp"] for e in running} == {"out"}


def test_a_state_without_solution_is_said_and_never_shown_as_a_reading(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """No figure of an unsolved state stands on the page, in the JSON or in the drawing."""
    monkeypatch.setattr(sys.modules["diagnose.fuel.solve"], "COLD", (march.Plan((30.0,), 20.0, 1),))
    monkeypatch.setattr(march, "NEWTON", 0)
    file = tmp_path / "drawing.svg"
    page = text("pressures", "low-wing-single", "--svg", str(file))
    sound = data("pressures", "low-wing-single")["sound"]

    assert "no steady state found" in page
    assert "Pressures [" not in page
    assert sound["converged"] is False
    assert "left over at" in sound["trouble"]
    for rows in ("nodes", "engines", "tanks", "flows"):
        for row in sound[rows]:
            assert not [v for v in row.values() if isinstance(v, float)]
    assert "no steady state found" in " ".join(drawing(file, "low-wing-single").itertext())


def test_plain_puts_each_entry_on_one_line_and_otherwise_lines_fit_a_terminal() -> None:
    """Without --plain no table is wider than 79 columns."""
    wide = run("pressures", "four-engine-injection").stdout.splitlines()

    assert max(len(x) for x in wide if not x.endswith(":")) <= 79


# ------------------------------------------------------------------ vapour


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
    pumps = {p.id for p in parts if p.kind in ("booster-pump", "engine-pump", "hand-pump")}
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
@pytest.mark.parametrize(
    ("rvp", "worked"),
    [
        ("5.5psi", (2.56, 3.91, 5.78, 6.96, 8.33)),
        ("7psi", (3.36, 5.05, 7.38, 8.83, 10.50)),
        ("9psi", (4.45, 6.60, 9.52, 11.31, 13.37)),
    ],
)
def test_vapour_pressure_agrees_with_the_worked_table(rvp: str, worked: tuple[float, ...]) -> None:
    """Psia at 60, 80, 100, 110, 120 degF, worked by the other form of AP-42 chapter 7.1."""
    degrees = [x for f in (60, 80, 100, 110, 120) for x in ("--temperature", f"{f} degF")]
    body = data("vapour", "high-wing-single", *degrees, "--rvp", rvp, "--altitude", "0ft")

    found = [row["vapour_pressure_Pa_abs"] / PSI for row in body["fuel"]]
    assert found == pytest.approx(worked, abs=0.03)


@pytest.mark.outside
@pytest.mark.parametrize(
    ("degrees", "feet"), [(80, 26800), (100, 17900), (110, 13400), (120, 9000)]
)
def test_boiling_height_agrees_with_the_worked_table(degrees: int, feet: float) -> None:
    """Height at which RVP 7 fuel boils in a vented tank, from AP-42 and ISO 2533, within 200 ft."""
    body = data("vapour", "high-wing-single", "--temperature", f"{degrees}degF", "--rvp", "7psi",
                "--altitude", "0ft")  # fmt: skip

    assert body["fuel"][0]["boils_in_a_vented_tank_m"] / FOOT == pytest.approx(feet, abs=200)


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
    ("height", "degrees", "rvp", "margin"),
    [
        ("8000 ft", 110, "7psi", 0.47),
        ("8000 ft", 110, "6psi", 1.71),
        ("10000 ft", 80, "7psi", 3.43),
        ("15000 ft", 60, "7psi", 3.32),
    ],
)
def test_margin_under_suction_agrees_with_worked_values(
    height: str, degrees: int, rvp: str, margin: float, tmp_path: Path
) -> None:
    """Lift 2 ft, line loss 1 psi: air (ISO 2533) - 0.312 psi/ft - loss - vapour (AP-42) [psi].

    The pump is large, so that it still passes the whole flow where its fill falls off.
    """
    file = lifted(tmp_path, 2.0, 1.0)
    body = data("vapour", file, "--altitude", height, "--temperature", f"{degrees}degF", "--rvp",
                rvp)  # fmt: skip

    # the worked values take 0.72 kg/l at every temperature; warm fuel is up to 3 % lighter
    (found,) = body["conditions"][0]["margins"]
    assert found["margin_Pa"] / PSI == pytest.approx(margin, abs=0.06)


@pytest.mark.outside
@pytest.mark.parametrize(("degrees", "margin"), [(60, 11.97), (110, 6.49)])
def test_margin_under_a_head_agrees_with_worked_values(
    degrees: int, margin: float, tmp_path: Path
) -> None:
    """Sea level, head 3 ft, loss 0.3 psi, RVP 7: the same sum [psi]."""
    file = lifted(tmp_path, -3.0, 0.3)
    body = data("vapour", file, "--altitude", "0ft", "--temperature", f"{degrees}degF", "--rvp",
                "7psi")  # fmt: skip

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


# ------------------------------------------------------------------ what is refused


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["pressures", "low-wing-singel"], "did you mean 'low-wing-single'"),
        (["pressures", "low-wing-single", "--state", "run-up"], "is not a run state"),
        (["pressures", "low-wing-single", "--set", "selector"], "is not part=setting"),
        (["pressures", "low-wing-single", "--set", "selecter=left"], "did you mean 'selector'"),
        (["pressures", "low-wing-single", "--set", "selector=both"], "say left, right, off"),
        (["pressures", "low-wing-single", "--set", "booster=open"], "say on, off"),
        (["pressures", "low-wing-single", "--set", "engine=fast"], "say none, cranking, idle"),
        (["pressures", "low-wing-single", "--set", "left-tank=9 gal"], "which gallon"),
        (["pressures", "low-wing-single", "--set", "left-tank=9 psi"], "neither a volume"),
        (["pressures", "low-wing-single", "--set", "left-tank=99 imp gal"], "not within"),
        (["pressures", "low-wing-single", "--temperature", "15"], "has no unit"),
        (["pressures", "low-wing-single", "--temperature", "90degC"], "outside -40 to 60 degC"),
        (["pressures", "low-wing-single", "--altitude", "50000ft"], "outside -500"),
        (["pressures", "low-wing-single", "--rvp", "7 ft"], "is a length"),
        (["pressures", "low-wing-single", "--rvp", "40 psi"], "outside 2 to 20 psi"),
        (["pressures", "low-wing-single", "--unit", "ft"], "not a unit of pressure"),
        (["pressures", "low-wing-single", "--volume", "gal"], "which gallon"),
        (["pressures", "low-wing-single", "--grade", "half"], "name the cause too"),
        (["pressures", "low-wing-single", "--cause", "strainer-pluged"], "strainer-plugged"),
        (["pressures", "low-wing-single", "--cause", "strainer-plugged@booster"], "strainer"),
        (["pressures", "four-engine-float", "--cause", "strainer-plugged"], "several parts"),
        (["pressures", "low-wing-single", "--cause", "strainer-plugged", "--grade", "bad"],
         "say slight, half, severe"),
        (["pressures", "low-wing-single", "--svg", "no-such-folder/x.svg"], "cannot be written"),
        (["vapour", "low-wing-single", "--temperature", "wrong"], "not a figure"),
        (["vapour", "low-wing-single", *("--altitude 0ft " * 90).split()], "more than 400"),
    ],
)  # fmt: skip
def test_what_cannot_be_understood_is_refused_in_one_line(arguments: list[str], said: str) -> None:
    """The line says what is wrong and what there is; the exit code is that of usage."""
    error = refused(*arguments)

    assert said in str(error)
    assert error.exit_code == 2


def test_a_cause_without_physical_form_is_refused() -> None:
    """A cause that moves no pressure or flow says so instead of showing a sound aeroplane."""
    assert "no physical form" in str(
        refused("pressures", "low-wing-single", "--cause", "ledger-gallons-mixed@ledger")
    )


def test_help_needs_no_arrays_and_starts_each_command_with_an_example() -> None:
    """Importing the commands brings neither numpy nor the rules; help opens with an example."""
    code = "import sys, diagnose.cli.main; print({'numpy', 'experta'} & set(sys.modules))"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert out.stdout.strip() == "set()"
    for name in ("pressures", "vapour", "siphon", "return", "transfer", "endurance", "contents"):
        lines = [x.strip() for x in run(name, "--help").stdout.splitlines() if x.strip()]
        assert lines[1].startswith(f"Example: diagnose fuel {name} ")
