"""``diagnose fuel``: siphon and return, contents over time; what all of them refuse."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from fuel_pages import (
    FILES,
    PSI,
    US_GALLON_HOUR,
    both,
    by_id,
    data,
    drawing,
    refused,
    says_what_it_is,
)

from diagnose.fuel import march

KNOT = 1852 / 3600
INCH = 0.0254
LITRE = 1e-3
RETURNS = ("four-engine-injection", "radial-single-hand-pump")


@pytest.fixture
def unsolved(monkeypatch: pytest.MonkeyPatch) -> None:
    """Take away what the solver needs to find a steady state."""
    monkeypatch.setattr(sys.modules["diagnose.fuel.solve"], "COLD", (march.Plan((30.0,), 20.0, 1),))
    monkeypatch.setattr(march, "NEWTON", 0)


# ------------------------------------------------------------------ siphon


@pytest.mark.parametrize("layout", FILES)
def test_siphon_loses_no_fuel_and_tells_levels(layout: str, tmp_path: Path) -> None:
    """Every way of joining the tanks keeps the sum; the levels stand on the page."""
    file = tmp_path / "plot.svg"
    page, body = both("siphon", layout, "--for", "2 h", "--svg", str(file))
    drawing(file, layout)

    says_what_it_is(page, layout)
    assert "hold 75 % and the others 25 %" in page
    assert {one["name"] for one in body["at_rest"]} >= {"cocks shut"}
    for one in body["at_rest"]:
        assert one["complete"] is True
        start = sum(t["start_m3"] for t in one["tanks"])
        kept = sum(t["end_m3"] + t["overboard_m3"] for t in one["tanks"])
        assert kept == pytest.approx(start, abs=0.1 * LITRE)
        for tank in one["tanks"]:
            assert f"{tank['label']}: surface {1000 * tank['surface_at_start_m']:.0f}" in page
    shut = body["at_rest"][0]
    if layout != "header-biplane":  # its header tank is filled through an open air space
        assert all(abs(t["end_m3"] - t["start_m3"]) < 0.5 * LITRE for t in shut["tanks"])


def test_siphon_with_both_tanks_selected_ends_level() -> None:
    """The high-wing single on 'both': the tanks end alike and stay so."""
    body = data("siphon", "high-wing-single")
    both = by_id(next(x for x in body["at_rest"] if "normal" in x["name"])["tanks"])

    left, right = both["left-tank"], both["right-tank"]
    assert left["first_rate_m3_per_s"] < -1e-6
    assert left["end_m3"] == pytest.approx(right["end_m3"], abs=0.5 * LITRE)


JOINED = """\
layout: joined-tanks
title: Two tanks that one cock joins
invented: yes
notes: For a check of the siphon.
traits: {feed: gravity, carburettor: float}
parts:
  - {part: high, kind: tank, name: high tank, side: port, capacity: 2000 l, unusable: 1 l,
     height: 1 m, depth: 2 m}
  - {part: high-vent, kind: tank-vent, name: high vent, of: high, bore: 60 mm, length: 0 m, loss: 0}
  - {part: low, kind: tank, name: low tank, side: starboard, capacity: 2000 l, unusable: 1 l,
     height: 1 m, depth: 2 m}
  - {part: low-vent, kind: tank-vent, name: low vent, of: low, bore: 60 mm, length: 0 m, loss: 0}
  - {part: selector, kind: selector-cock, name: fuel selector, height: 1 m, bore: 60 mm, loss: 0,
     positions: {both: [[high, out], [low, out]], off: []}, normal: both}
  - {part: carburettor, kind: float-carburettor, name: carburettor, of: engine, height: 0 m,
     burn-take-off: 5 imp gal/h, burn-cruise: 4 imp gal/h, burn-run-up: 3 imp gal/h,
     burn-idle: 1 imp gal/h}
  - {part: engine, kind: engine, name: engine}
lines:
  - {line: from-high, from: high, to: selector.high, bore: 15 mm, length: 3 m, loss: 4}
  - {line: from-low, from: low, to: selector.low, bore: 15 mm, length: 3 m, loss: 4}
  - {line: out, from: selector.out, to: carburettor, bore: 8 mm, length: 1 m, loss: 2}
  - {line: to-engine, from: carburettor, to: engine, bore: 8 mm, length: 0.1 m, loss: 0}
run-states:
  - {state: parked, title: Parked, stage: parked, settings: {power: none}, minutes: 60}
"""


def test_a_layout_without_a_parked_state_is_at_rest_all_the_same(tmp_path: Path) -> None:
    """Nothing is asked at rest with an engine burning, and 'cocks shut' has the selector off."""
    file = tmp_path / "joined-tanks.yaml"
    at, ran = JOINED.split("run-states:\n")
    running = (
        "  - {state: run, title: Run, stage: run-up, settings: {}, minutes: 2, "
        "engine-running: yes}\n"
    )
    ran = ran.replace("stage: parked", "stage: static").replace("state: parked", "state: static")
    file.write_text(f"{at}run-states:\n{running}{ran}")
    body = data("siphon", str(file), "--for", "1 h")

    shut, normal = body["at_rest"][:2]
    assert body["conditions"]["state"] == "static"
    assert body["conditions"]["cocks"] == {"selector": "off"}
    assert not [t for t in shut["tanks"] if t["end_m3"] != pytest.approx(t["start_m3"], rel=1e-3)]
    ends = {t["id"]: t["end_m3"] for t in normal["tanks"]}
    held = sum(t["start_m3"] for t in normal["tanks"])
    assert sum(ends.values()) == pytest.approx(held, abs=0.1 * LITRE)
    assert ends["low"] > 0.5
    assert body["over_the_wing"]["tanks"] == []  # no cap in the file, none to be loose


@pytest.mark.outside
def test_suction_over_the_wing_agrees_with_worked_values() -> None:
    """Half rho v squared at sea level (ISO 2533): psi and inches of 720 kg/m3 fuel."""
    body = data("siphon", "low-wing-single", "--for", "1 min")
    found = body["over_the_wing"]["suction"]

    knots = [row["speed_m_per_s"] / KNOT for row in found]
    assert knots == pytest.approx([60, 100, 150, 200])
    psi = [row["suction_Pa"] / PSI for row in found]
    assert psi == pytest.approx([0.085, 0.235, 0.53, 0.94], rel=0.01)
    inches = [row["lifts_fuel_m"] / INCH for row in found]
    assert inches == pytest.approx([3.25, 9.0, 20.3, 36.0], rel=0.01)


def test_a_gap_at_the_cap_loses_what_the_suction_left_over_drives_through_it() -> None:
    """Nothing below the speed that lifts the fuel; above it as a sharp-edged hole passes."""
    body = data("siphon", "low-wing-single", "--set", "left-tank=100 %")["over_the_wing"]
    tank = by_id(body["tanks"])["left-tank"]
    pressures = [row["suction_Pa"] for row in body["suction"]]

    assert tank["surface_below_top_m"] == pytest.approx(0.0, abs=1e-9)
    for rate, pressure in zip(tank["first_rate_m3_per_s"], pressures, strict=True):
        assert rate == pytest.approx(0.62 * 10e-6 * (2.0 * pressure / 720.0) ** 0.5, rel=1e-3)
    low = by_id(data("siphon", "low-wing-single")["over_the_wing"]["tanks"])
    for t in low.values():
        speed = t["drawn_from_speed_m_per_s"]
        for rate, row in zip(t["first_rate_m3_per_s"], body["suction"], strict=True):
            assert (rate > 0.0) is (row["speed_m_per_s"] > speed)


def test_a_loose_cap_draws_from_the_speed_that_lifts_fuel_to_it() -> None:
    """Just above that speed less is left than there is; just below it all is."""
    tank = "left-tank"
    first = data("siphon", "low-wing-single", "--for", "1 min")
    wing = by_id(first["over_the_wing"]["tanks"])[tank]
    edge = wing["drawn_from_speed_m_per_s"]
    speeds = ["--speed", f"{0.98 * edge:.4f} m/s", "--speed", f"{1.02 * edge:.4f} m/s"]
    body = data("siphon", "low-wing-single", "--for", "1 min", *speeds)

    below, above = by_id(body["over_the_wing"]["tanks"])[tank]["left_m3"]
    there = body["conditions"]["contents_m3"][tank]
    assert below == pytest.approx(there)
    assert above < there - 0.1 * LITRE


# ------------------------------------------------------------------ return


@pytest.mark.parametrize("layout", RETURNS)
def test_return_is_told_for_every_tank_that_can_feed(layout: str, tmp_path: Path) -> None:
    """The receiving tank fills when another feeds, and falls when it feeds itself."""
    file = tmp_path / "plot.svg"
    asked = ["--flow", "10 US gal/h", "--ullage", "1 l"]
    page, body = both("return", layout, *asked, "--svg", str(file))
    drawing(file, layout)

    says_what_it_is(page, layout)
    assert "each engine returns 10 US gal/h, as asked" in page
    assert len(body["fillings"]) >= 3
    for f in body["fillings"]:
        assert f["verdict"] in page
        assert f["returned_m3_per_s"] / US_GALLON_HOUR == pytest.approx(
            10.0 * len(f["engines"]), rel=2e-3
        )
        if f["receives"] == f["fed_from"]:
            assert f["full_min"] is None
            assert "does not fill" in f["verdict"]
        else:
            assert f["full_min"] is not None


@pytest.mark.outside
@pytest.mark.parametrize(
    ("layout", "feeds", "minutes"),
    [
        ("radial-single-hand-pump", "right-tank", 25.7),
        ("four-engine-injection", "port-middle-tank", 12.9),
    ],
)
def test_return_fills_three_gallons_in_the_worked_time(
    layout: str, feeds: str, minutes: float
) -> None:
    """3 US gal of ullage at 7 US gal/h: 25.7 min; two engines into one tank, 14: 12.9 min."""
    body = data("return", layout, "--flow", "7 US gal/h", "--ullage", "3 US gal")

    (found,) = [f for f in body["fillings"] if f["fed_from"] == feeds]
    assert found["full_min"] == pytest.approx(minutes, abs=0.1)


def test_return_overflows_after_the_expansion_space_is_full() -> None:
    """With a little ullage the tank is full first and overflows later, overboard."""
    body = data("return", "radial-single-hand-pump", "--flow", "10 US gal/h", "--ullage", "0.5 l",
                "--set", "right-tank=95 %")  # fmt: skip
    (found,) = [f for f in body["fillings"] if f["fed_from"] == "right-tank"]

    assert found["overflow_min"] > found["full_min"] > 0.0
    assert by_id(found["run"]["tanks"])["left-tank"]["overboard_m3"] > 0.0
    assert "overflows at the vent in" in found["verdict"]


def test_what_overflows_only_from_unusable_fuel_is_told_in_that_order() -> None:
    """The feeding tank gives out first; the overflow after it is no contradiction."""
    body = data("return", "radial-single-hand-pump", "--flow", "7 US gal/h", "--ullage", "3 US gal")
    (found,) = [f for f in body["fillings"] if f["fed_from"] == "right-tank"]

    assert found["full_min"] < found["feed_gives_out_min"] < found["overflow_min"]
    in_order = [found["verdict"].index(x) for x in ("full in", "gives out", "drawn on below that")]
    assert in_order == sorted(in_order)
    assert "overflows at the vent in" not in found["verdict"]


@pytest.mark.usefixtures("unsolved")
def test_runs_without_solution_conclude_nothing() -> None:
    """No time is told where a step has no steady state."""
    page, body = both("endurance", "low-wing-single")
    rest = data("siphon", "low-wing-single")

    assert "no steady state found" in page
    assert all(t["lasts_min"] is None and t["used_in_test_run_m3"] is None for t in body["tanks"])
    assert all(one["complete"] is False for one in rest["at_rest"])
    error = refused("return", "radial-single-hand-pump", "--flow", "7 US gal/h")
    assert "cannot return that much" in str(error)


def test_a_return_that_cannot_be_given_names_the_most_that_can() -> None:
    """Whoever asked for too much reads what to ask for, and gets it."""
    error = refused("return", "radial-single-hand-pump", "--flow", "900 imp gal/h")
    most = str(error).partition("the most is about ")[2].partition(" (")[0]
    assert most.endswith(" imp gal/h")
    page, _ = both("return", "radial-single-hand-pump", "--flow", most)
    assert f"each engine returns {most}, as asked" in page


# ------------------------------------------------------------------ what is refused


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["return", "low-wing-single"], "has no vapour return"),
        (["transfer", "low-wing-single"], "has no transfer between tanks"),
        (["return", "radial-single-hand-pump", "--flow", "7 gal/h"], "which gallon"),
        (["return", "radial-single-hand-pump", "--flow", "7 gal"], "which gallon"),
        (["return", "radial-single-hand-pump", "--flow", "7 l"], "not a flow"),
        (["return", "radial-single-hand-pump", "--flow", "900 imp gal/h"], "cannot return"),
        (["return", "radial-single-hand-pump", "--ullage", "99 imp gal"], "more than left-tank"),
        (["return", "radial-single-hand-pump", "--ullage", "-1 l"], "below nothing"),
        (
            ["return", "radial-single-hand-pump", "--power", "full"],
            "is not a power; say idle",
        ),
        (["siphon", "low-wing-single", "--for", "12"], "has no unit"),
        (["siphon", "low-wing-single", "--for", "9 d"], "not within 1 to 1440 min"),
        (["siphon", "low-wing-single", "--speed", "60"], "has no unit"),
        (["siphon", "low-wing-single", "--speed", "9000 kn"], "'9000 kn' is outside 0 to 300 kn"),
        (["endurance", "low-wing-single", "--power", "none"], "No engine runs"),
        (["endurance", "low-wing-single", "--state", "static"], "No engine runs"),
    ],
)
def test_what_cannot_be_understood_is_refused_in_one_line(arguments: list[str], said: str) -> None:
    """The line says what is wrong and what there is; the exit code is that of usage."""
    error = refused(*arguments)

    assert said in str(error)
    assert error.exit_code == 2
