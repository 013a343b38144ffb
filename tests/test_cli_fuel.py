"""``diagnose fuel pressures`` as page, JSON and drawing; what no command of it takes."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from fuel_pages import FILES, PSI, data, drawing, refused, run, says_what_it_is, text

from diagnose.fuel import march
from diagnose.knowledge_files import load_layout
from diagnose.places import Places

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


@pytest.mark.parametrize("asked", ["selector=off", "left-tank=0 imp gal"])
def test_a_sound_aeroplane_without_pressure_is_not_called_normal(asked: str) -> None:
    """What stands against the limit is the figure itself, not what is usual for such a state."""
    (engine,) = data("pressures", "low-wing-single", "--set", asked)["sound"]["engines"]

    assert engine["metering_pressure_Pa_gauge"] < 3.0 * PSI
    assert engine["against_limit"] == "low"


def test_what_runs_into_a_can_is_not_called_burnt() -> None:
    """With the union open nothing is burnt or wanted, and the delivery limit is the one that holds.

    By hand for the header tank's head of 0.875 m, 63.8 imp gal/h: the losses of 11.5 velocity
    heads, 2.2 m of pipe by Churchill and the strainer take up 5.9 of its 6.2 kPa.
    """
    page = text("pressures", "header-biplane", "--set", "engine=can")
    (engine,) = data("pressures", "header-biplane", "--set", "engine=can")["sound"]["engines"]

    assert engine["flow_m3_per_s"] * 3600 / 4.54609e-3 == pytest.approx(63.8, rel=0.03)
    assert (engine["limit"], engine["against_limit"]) == ("delivery", "normal")
    assert "runs into the can [imp gal/h]" in page
    assert "fuel burnt" not in page


def test_no_pressure_limit_is_held_against_a_start() -> None:
    """While the starter turns the engine its pressure is only coming up."""
    (engine,) = data("pressures", "low-wing-single", "--state", "cranking")["sound"]["engines"]

    assert engine["against_limit"] is None


def test_a_leak_is_among_the_flows(tmp_path: Path) -> None:
    """Four square millimetres under 0.11 m of fuel lose 2.88 imp gal/h (Torricelli, Cd 0.62)."""
    file = tmp_path / "drawing.svg"
    page = text("pressures", "low-wing-single", "--state", "parked-overnight", "--cause",
                "tank-drain-leaks@left-drain", "--grade", "severe", "--svg", str(file))  # fmt: skip

    line = next(x for x in page.splitlines() if "lost at the outlet of left tank" in x)
    assert line.endswith("sound 0; with the cause 2.88")
    assert "fuel stands still everywhere" not in page
    drawn = " ".join(drawing(file, "low-wing-single").itertext())
    assert "lost at the outlet of left tank: " in drawn


def test_fuel_that_boils_in_its_tank_is_told() -> None:
    """At 18 000 ft fuel of 40 degC and 9 psi Reid has a vapour pressure above the air outside."""
    hot = ["--altitude", "18000 ft", "--temperature", "40 degC", "--rvp", "9 psi"]
    boils = data("pressures", "low-wing-single", *hot)

    assert "the fuel boils in the tank itself" in boils["warnings"][0]
    assert boils["sound"]["engines"][0]["against_limit"] == "low"  # it stops; nothing swings
    assert data("pressures", "low-wing-single")["warnings"] == []


def test_a_tank_at_its_unusable_fuel_is_told_where_an_engine_runs_on_it() -> None:
    """The engine runs in the model, level and still; the page says that it is no more than that."""
    page = text("pressures", "header-biplane", "--state", "run-up", "--set", "upper-tank=0 imp gal",
                "--set", "header-tank=0.3 imp gal")  # fmt: skip

    assert "header tank (fuselage) holds no more than its unusable fuel" in page
    assert "upper-wing tank holds no more" not in page  # it feeds the header tank, no engine


def test_suction_behind_an_empty_tank_is_told_to_be_none() -> None:
    """A dry outlet passes air, but stands shut in the model: the suctions are no readings."""
    (said,) = data("pressures", "low-wing-single", "--set", "left-tank=0 imp gal")["warnings"]

    assert said.startswith("left tank holds no more than its unusable fuel, and its outlet takes")
    assert data("pressures", "low-wing-single", "--set", "right-tank=0 imp gal")["warnings"] == []


def test_small_pressures_are_cut_alike_in_every_unit() -> None:
    """A bar is printed to thousandths, as a psi to hundredths."""
    page = text("pressures", "low-wing-single", "--unit", "bar")

    figures = [w for x in page.splitlines() if " of " in x for w in x.split() if "0.00" in w]
    assert figures
    assert max(len(w.strip(";").partition(".")[2]) for w in figures) == 3


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
        (["pressures", "low-wing-single", "--set", "booster=on", "--set", "booster=off"],
         "sets booster twice"),
        (["pressures", "low-wing-single", "--set", "engine=fast"], "say none, cranking, idle"),
        (["pressures", "low-wing-single", "--set", "left-tank=9 gal"], "which gallon"),
        (["pressures", "low-wing-single", "--set", "left-tank=9 psi"], "neither a volume"),
        (["pressures", "low-wing-single", "--set", "left-tank=full"], "write '9 imp gal' or"),
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
