"""``diagnose fuel contents``: gauge, stick and ledger, one by one and over flights."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from fuel_pages import FILES, both, data, drawing, refused, run, says_what_it_is, text

from diagnose.errors import CaseError
from diagnose.knowledge_files import load_layout

GALLON = 4.54609e-3
LAYOUT = "low-wing-single"
HEAD = "flight, tank, stick [imp gal], gauge [imp gal], uplift [imp gal], burnt [imp gal]\n"


def given(**figures: str) -> list[str]:
    """Return the options that state figures of the left tank."""
    options = [x for name, v in figures.items() for x in (f"--{name.replace('_', '-')}", v)]
    return ["contents", LAYOUT, "--tank", "left-tank", *options]


def flights(folder: Path, loss: float, count: int = 12, seed: int = 3) -> Path:
    """Write flights that burn 4 imp gal and lose some more, sticked to 0.1 imp gal."""
    rng = random.Random(seed)
    lines, there = ["start, left-tank, 16, 16.5, , "], 16.0
    for k in range(1, count + 1):
        uplift = 10.0 if there < 7.0 else 0.0
        there += uplift - 4.0 - loss
        stick = there + rng.gauss(0.0, 0.1)
        lines.append(f"{k}, left-tank, {stick:.1f}, {stick + 0.4:.1f}, {uplift:g}, 4")
    file = folder / "flights.csv"
    file.write_text(HEAD + "\n".join(lines) + "\n")
    return file


def test_a_gauge_far_from_stick_and_ledger_is_named(tmp_path: Path) -> None:
    """Gauge 14, stick 9, ledger 9.5: the gauge is off, by about 4.6 imp gal."""
    file = tmp_path / "bars.svg"
    asked = given(gauge="14 imp gal", stick="9 imp gal", ledger="9.5 imp gal")
    page = text(*asked, "--svg", str(file))
    (reading,) = data(*asked)["readings"]
    drawing(file, LAYOUT)

    says_what_it_is(page, LAYOUT)
    assert reading["off"] == "gauge"
    assert reading["farthest_by_m3"] / GALLON == pytest.approx(4.6, abs=0.2)
    assert "gauge is most likely off: it stands above the rest, by 4.6" in page
    assert "taken as burnt down from a full tank" in page


def test_two_sources_that_disagree_cannot_tell_who_is_off() -> None:
    """No culprit is named with two sources, however far they stand apart."""
    asked = given(gauge="14 imp gal", stick="7 imp gal")
    (reading,) = data(*asked)["readings"]

    assert reading["off"] is None
    assert reading["cannot_tell"] is True
    assert "cannot tell: they disagree; two sources cannot tell which is off" in text(*asked)


def test_sources_within_their_spread_agree() -> None:
    """Figures that differ no more than such sources do are said to agree."""
    page = text(*given(gauge="9.6 imp gal", stick="9 imp gal", ledger="9.2 imp gal"))

    assert "they agree within what such sources can show" in page


def test_figures_in_any_unit_are_one_figure() -> None:
    """9 imp gal, 40.9148 l and 10.8085 US gal give the same reading."""
    first = data(*given(stick="9 imp gal", ledger="9 imp gal"))["readings"][0]
    second = data(*given(stick="40.91481 l", ledger="10.80855 US gal"))["readings"][0]

    for one, other in zip(first["sources"], second["sources"], strict=True):
        assert one["value_m3"] == pytest.approx(other["value_m3"], rel=1e-5)


def test_a_ledger_that_began_below_nothing_is_refused() -> None:
    """9.5 less 50 taken on and with 3 burnt back is no contents that the tank can have had."""
    slip = given(stick="9 imp gal", ledger="9.5 imp gal", uplift="50 imp gal", burnt="3 imp gal")

    assert "began at -37.5 imp gal" in str(refused(*slip))


def test_a_flight_with_what_the_tank_cannot_hold_is_refused_at_its_cell(tmp_path: Path) -> None:
    """A dip above the brim and a negative burn are slips, told with line and column."""
    file = tmp_path / "flights.csv"
    file.write_text(
        "flight, tank, stick [imp gal], uplift [imp gal], burnt [imp gal]\n"
        "start, left-tank, 16, ,\n1, left-tank, 110.2, 0, -4.2\n"
    )
    error = run("contents", "low-wing-single", "--flights", str(file)).exception

    assert "flights.csv:3:3: stick: '110.2 imp gal' is more than the tank takes" in str(error)
    assert "flights.csv:3:5: burnt: '-4.2 imp gal' is below nothing" in str(error)


def test_flights_that_burn_more_than_there_was_conclude_nothing(tmp_path: Path) -> None:
    """A ledger below nothing is a slip in the book, no sign of a gauge, a stick or a leak."""
    file = tmp_path / "flights.csv"
    file.write_text(
        "flight, tank, stick [imp gal], uplift [imp gal], burnt [imp gal]\n"
        "start, left-tank, 16, ,\n1, left-tank, 11, 0, 40.2\n"
    )
    page, body = both("contents", "low-wing-single", "--flights", str(file))

    assert "flight 1: uplift and burn lead to what the tank cannot hold" in page
    assert "no steady loss" not in page
    assert body["readings"] == []
    assert body["trends"][0]["impossible_flights"] == ["1"]


def test_the_spread_of_the_ledger_comes_from_uplift_and_burn() -> None:
    """0.5 % of 100 l and 3 % of 50 l: hypot(0.5, 1.5) = 1.58 l."""
    asked = given(stick="60 l", ledger="61 l", uplift="100 l", burnt="50 l")
    sources = data(*asked)["readings"][0]["sources"]

    assert sources[1]["sigma_m3"] == pytest.approx(1.5811e-3, rel=1e-4)
    assert "burnt down from a full tank" not in text(*asked)


@pytest.mark.parametrize("layout", FILES)
def test_contents_work_on_every_layout(layout: str) -> None:
    """Every tank of every layout can be asked about, with the spread of its own instruments."""
    for part in load_layout(FILES[layout]).parts.values():
        if part.kind in ("tank", "header-tank"):
            litres = f"{500 * part.numbers['capacity']:.2f} l"
            body = data("contents", layout, "--tank", part.id, "--stick", litres, "--gauge",
                        litres, "--ledger", litres)  # fmt: skip
            (reading,) = body["readings"]
            assert reading["agree"] is True
            assert all(s["sigma_m3"] > 0.0 for s in reading["sources"])


# ------------------------------------------------------------------ over flights


def test_a_slow_leak_is_found_over_flights(tmp_path: Path) -> None:
    """0.6 imp gal lost a flight is found within eight, with about that loss; ledger not blamed."""
    file, plot = flights(tmp_path, 0.6), tmp_path / "plot.svg"
    asked = ["contents", LAYOUT, "--flights", str(file)]
    page = text(*asked, "--svg", str(plot))
    (trend,) = data(*asked)["trends"]
    drawing(plot, LAYOUT)

    says_what_it_is(page, LAYOUT)
    assert trend["slow_loss"] is True
    assert int(trend["alarm_flight"]) <= 8
    assert trend["loss_per_flight_m3"] / GALLON == pytest.approx(0.6, abs=0.1)
    assert "slow loss: the stick falls short of the ledger from flight" in page
    assert "the ledger does not see a leak" in page


@pytest.mark.parametrize("seed", range(5))
def test_flights_without_a_leak_raise_no_alarm(seed: int, tmp_path: Path) -> None:
    """Scatter alone is no loss, and the page says how small a loss would not show."""
    asked = ["contents", LAYOUT, "--flights", str(flights(tmp_path, 0.0, seed=seed))]
    (trend,) = data(*asked)["trends"]

    assert trend["slow_loss"] is False
    assert trend["smallest_shown_m3"] > 0.0
    assert "no steady loss shown in 12 flights; one of less than about" in text(*asked)
    asked[3] = str(flights(tmp_path, 0.0, 1, seed))
    assert "no steady loss shown in one flight; " in text(*asked)


def test_flights_in_yaml_and_csv_say_the_same(tmp_path: Path) -> None:
    """The two forms of the file are one; figures may carry their own units."""
    table = flights(tmp_path, 0.6)
    rows = [line.split(",") for line in table.read_text().splitlines()[1:]]
    names = ("stick", "gauge", "uplift", "burnt")
    lines = ["flights:"]
    for flight, tank, *cells in rows:
        told = [f"{n}: {c.strip()} imp gal" for n, c in zip(names, cells, strict=True) if c.strip()]
        lines.append(f"  - {{flight: {flight}, tank: {tank.strip()}, {', '.join(told)}}}")
    other = tmp_path / "flights.yaml"
    other.write_text("\n".join(lines) + "\n")

    first = data("contents", LAYOUT, "--flights", str(table))
    second = data("contents", LAYOUT, "--flights", str(other))
    assert first["trends"] == second["trends"]
    assert first["readings"] == second["readings"]


def test_a_flight_without_stick_counts_towards_the_next(tmp_path: Path) -> None:
    """Its uplift and burn are carried to the next stick reading."""
    file = tmp_path / "flights.csv"
    file.write_text(
        HEAD + "0,left-tank,16,,,\n1,left-tank,,,0,4\n2,left-tank,10,,2,4\n3,left-tank,6,,0,4\n"
    )
    (trend,) = data("contents", LAYOUT, "--flights", str(file))["trends"]

    assert trend["flights"] == ["2", "3"]
    assert [x / GALLON for x in trend["residual_m3"]] == pytest.approx([0.0, 0.0], abs=1e-9)


def test_a_gauge_in_the_other_gallon_is_told_by_its_pattern(tmp_path: Path) -> None:
    """A gauge that shows imperial figures times 1.2 is a mix-up of gallons."""
    rows = [f"{k},left-tank,{s},{1.2009 * s:.2f},{0 if k else ''},{2 if k else ''}"
            for k, s in enumerate((15, 13, 11, 9, 7, 5))]  # fmt: skip
    file = tmp_path / "flights.csv"
    file.write_text(HEAD + "\n".join(rows) + "\n")
    asked = ["contents", LAYOUT, "--flights", str(file)]

    assert data(*asked)["trends"][0]["gauge_pattern"] == "gallons-mixed"
    assert "imperial and US gallons mixed up" in text(*asked)


# ------------------------------------------------------------------ what is refused


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--gauge", "9 imp gal"], "at least two"),
        (["--gauge", "9 gal", "--stick", "9 imp gal"], "--gauge: 'gal' does not say which gallon"),
        (["--gauge", "9 psi", "--stick", "9 imp gal"], "not a volume"),
        (["--gauge", "-9 l", "--stick", "9 l"], "below nothing"),
        (["--stick", "99 imp gal", "--ledger", "9 imp gal"], "more than left-tank holds"),
        (["--stick", "9 l", "--ledger", "9 l", "--uplift", "0 l"], "state --ledger-sigma"),
        (["--stick", "9 l", "--ledger", "9 l", "--stick-sigma", "0 l"], "state --stick-sigma"),
    ],
)
def test_figures_that_cannot_be_used_are_refused_in_one_line(
    arguments: list[str], said: str
) -> None:
    """The line says what is wrong; the exit code is that of usage."""
    error = refused("contents", LAYOUT, "--tank", "left-tank", *arguments)

    assert said in str(error)
    assert error.exit_code == 2


def test_the_tank_must_be_known() -> None:
    """With several tanks one is named; a wrong name lists them; a file stands alone."""
    two = ["--stick", "9 l", "--ledger", "9 l"]
    assert "Name the tank with --tank; there are left-tank, right-tank" in str(
        refused("contents", LAYOUT, *two)
    )
    assert "'tank-3' is not a tank" in str(refused("contents", LAYOUT, "--tank", "tank-3", *two))
    assert "stands alone" in str(refused("contents", LAYOUT, "--flights", "any.csv", *two))


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("f.csv", "flight,tank,stik\n1,left-tank,9\n", "f.csv:1:3: 'stik' is not a column"),
        ("f.csv", HEAD + "1,left-tonk,9,,,\n", "f.csv:2:2: 'left-tonk' is not a tank"),
        ("f.csv", "tank,stick\nleft-tank,9 gal\n", "f.csv:2:2: stick: 'gal' does not say"),
        ("f.csv", "tank,stick\nleft-tank,9\n", "f.csv:2:2: stick: '9' has no unit"),
        ("f.csv", "tank,stick,stick\nleft-tank,9 l,9 l\n", "f.csv:1:3: 'stick' stands twice"),
        ("f.csv", HEAD + "1,left-tank,9,,,,,,\n", "f.csv:2:7: has 9 cells under 6 columns"),
        ("f.csv", HEAD + "1,left-tank,-9 l,,,\n", "f.csv:2:3: stick: '-9 l' is below nothing"),
        ("f.csv", "", "f.csv: there is no flight in it"),
        ("f.yaml", "flight: 1\n", "has no list 'flights:'"),
        ("f.yaml", "flights:\n  - {tank: left-tank, stik: 9 l}\n", "f.yaml:2:23: 'stik' is not"),
        ("f.yaml", "flights: [\n", "f.yaml:"),
    ],
)
def test_a_broken_file_of_flights_is_told_by_place(
    name: str, content: str, said: str, tmp_path: Path
) -> None:
    """Each problem stands with file, line and column; the exit code is that of a case file."""
    file = tmp_path / name
    file.write_text(content)
    error = run("contents", LAYOUT, "--flights", str(file)).exception

    assert isinstance(error, CaseError)
    assert said in str(error)
    assert error.exit_code == 4


def test_one_flight_is_too_few(tmp_path: Path) -> None:
    """A single stick reading compares with nothing; a missing file is told."""
    file = tmp_path / "f.csv"
    file.write_text(HEAD + "1,left-tank,9,,,\n")

    assert "two flights with a stick reading" in str(
        refused("contents", LAYOUT, "--flights", str(file))
    )
    assert "cannot be read" in str(
        refused("contents", LAYOUT, "--flights", str(tmp_path / "none.csv"))
    )
