"""``diagnose fuel transfer`` and ``endurance``: how fast, how long, what nobody may count on."""

from __future__ import annotations

from pathlib import Path

import pytest
from fuel_pages import FILES, both, by_id, data, drawing, filled, says_what_it_is, text

from diagnose.knowledge_files import load_layout

LITRE = 1e-3
TRANSFERS = (
    "four-engine-float", "four-engine-injection", "header-biplane", "low-wing-single-tip-tanks",
)  # fmt: skip


@pytest.mark.parametrize("layout", TRANSFERS)
def test_transfer_moves_fuel_and_loses_none(layout: str, tmp_path: Path) -> None:
    """What the giving tank loses the receiving tank gains."""
    file = tmp_path / "plot.svg"
    page, body = both("transfer", layout, "--for", "20 min", "--svg", str(file))
    drawing(file, layout)

    says_what_it_is(page, layout)
    assert body["transfers"]
    for t in body["transfers"]:
        tanks = by_id(t["run"]["tanks"])
        gives, receives = tanks[t["gives"]], tanks[t["receives"]]
        moved = gives["start_m3"] - gives["end_m3"]
        assert moved > 5 * LITRE
        assert receives["end_m3"] - receives["start_m3"] == pytest.approx(moved, abs=0.2 * LITRE)
        assert t["verdict"] in page


def test_transfer_into_a_full_tank_overflows() -> None:
    """The receiving tank goes over its brim, overboard, and the page says when."""
    body = data("transfer", "four-engine-injection", "--for", "1 h",
                "--set", "port-middle-tank=100 %", "--set", "port-outer-tank=100 %")  # fmt: skip
    t = next(t for t in body["transfers"] if t["gives"] == "port-outer-tank")

    assert "overflows at its vent in" in t["verdict"]
    assert by_id(t["run"]["tanks"])["port-middle-tank"]["overboard_m3"] > 1 * LITRE


@pytest.mark.parametrize("layout", FILES)
def test_endurance_tells_what_each_tank_gives(layout: str, tmp_path: Path) -> None:
    """Every tank that feeds has its draw and how long it lasts, shorter at take-off power."""
    file = tmp_path / "plot.svg"
    low = filled(layout, "10 %")
    page, body = both("endurance", layout, *low, "--for", "2 min", "--svg", str(file))
    harder = data("endurance", layout, *low, "--for", "2 min", "--power", "take-off")
    drawing(file, layout)

    says_what_it_is(page, layout)
    assert body["tanks"]
    quick = by_id(harder["tanks"])
    told = {t["id"] for t in body["tanks"]} | set(body["not_drawn_from"])
    assert told == {t.id for t in load_layout(FILES[layout]).parts.values()
                    if t.kind in ("tank", "header-tank")}  # fmt: skip
    for tank in body["tanks"]:
        assert f"{tank['label']}: holds" in page
        assert tank["gives_out"]
        assert quick[tank["id"]]["lasts_min"] < tank["lasts_min"]


def test_a_test_run_draws_burn_times_minutes() -> None:
    """Twenty minutes at a run-up of 5.5 imp gal/h draw 1.83 imp gal (arithmetic)."""
    body = data("endurance", "low-wing-single", "--for", "20 min", "--set", "left-tank=25 %",
                "--set", "right-tank=25 %")  # fmt: skip

    for tank in body["tanks"]:
        assert tank["used_in_test_run_m3"] / 4.54609e-3 == pytest.approx(5.5 / 3, rel=0.01)
        assert tank["lasts_min"] == pytest.approx((0.25 * 18 - 1.5) / 5.5 * 60, rel=0.02)
        assert tank["gives_out"] == "down to unusable"


def test_the_header_tank_runs_down_after_the_tank_above() -> None:
    """Its fuel comes on top of what the upper tank gives, and is told as such."""
    page = text("endurance", "header-biplane", "--set", "upper-tank=50 %")
    lasts = by_id(data("endurance", "header-biplane", "--set", "upper-tank=50 %")["tanks"])

    assert "the model ends here" not in page
    above, header = lasts["upper-tank"]["lasts_min"], lasts["header-tank"]["lasts_min"]
    assert header > 1.5 * above


@pytest.mark.parametrize("holds", ["1.5 imp gal", "0 imp gal"])
def test_a_tank_at_its_unusable_fuel_lasts_no_minute(holds: str) -> None:
    """Its last fuel may run on level ground, but it is not told as minutes to count on."""
    page, body = both("endurance", "low-wing-single", "--set", f"left-tank={holds}")
    left = by_id(body["tanks"])["left-tank"]

    assert left["lasts_min"] == 0.0
    assert left["used_in_test_run_m3"] is None
    assert "left tank: holds no more than its unusable fuel to begin with" in page
    assert "left-tank" not in body["not_drawn_from"]


def test_an_engine_starved_from_the_start_is_told_beside_its_minutes() -> None:
    """A blocked screen makes a tank last longer, and no run: that is no endurance."""
    page, body = both("endurance", "radial-single-hand-pump", "--power", "take-off", "--cause",
                      "outlet-screen-blocked@left-screen", "--grade", "severe")  # fmt: skip
    tanks = by_id(body["tanks"])

    assert tanks["left-tank"]["given_at_start"] < 0.5
    assert tanks["right-tank"]["given_at_start"] == pytest.approx(1.0, abs=0.03)
    assert "left tank: an engine on it gets " in page
    assert "right tank: an engine on it gets " not in page
