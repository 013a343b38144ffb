"""The shipped layouts: common practice that each agrees with, and figures that could be built."""

from __future__ import annotations

import pytest
from diagnosis.shipped import library
from place_kit import PLACES

from diagnose.model import Layout, Part
from diagnose.units import parse

FOUR = ("four-engine-injection", "four-engine-float")
METERING = ("float-carburettor", "injection-carburettor", "injection-unit")

every_layout = pytest.mark.parametrize("name", PLACES)
four_engines = pytest.mark.parametrize("name", FOUR)


def of_kind(layout: Layout, kind: str) -> list[Part]:
    """Return the parts of a kind."""
    return [p for p in layout.parts.values() if p.kind == kind]


def test_the_promised_layouts_are_there() -> None:
    """Ten layouts ship, from a gravity-fed single to four engines."""
    assert set(PLACES) == {
        "low-wing-single",
        "low-wing-single-electric",
        "low-wing-single-injected",
        "low-wing-single-tip-tanks",
        "high-wing-single",
        "low-wing-twin",
        "header-biplane",
        "radial-single-hand-pump",
        *FOUR,
    }


@every_layout
def test_a_layout_says_that_it_is_invented(name: str) -> None:
    """Every shipped layout is invented, in its mark, its notes and the reference of each limit."""
    layout = PLACES[name].layout

    assert layout.invented
    assert layout.notes.startswith("Invented.")
    assert layout.limits
    assert all(x.reference.startswith("invented") for x in layout.limits.values())


# ------------------------------------------------------------------ common practice, no source


@pytest.mark.parametrize("name", [*FOUR, "low-wing-twin"])
def test_the_cross_feed_is_normally_shut(name: str) -> None:
    """The cross-feed cock joins the sides and is normally shut (common practice, no source)."""
    (cock,) = of_kind(PLACES[name].layout, "cross-feed-cock")

    assert cock.normal == "shut"
    assert cock.positions["shut"] == ()
    assert cock.positions["open"] == (("port", "starboard"),)


@four_engines
def test_the_outer_tank_can_only_be_transferred(name: str) -> None:
    """The outer tanks feed no engine and run through a valve that stops siphoning into the
    neighbour (common practice, no source)."""
    places = PLACES[name]
    for side in ("port", "starboard"):
        tank = f"{side}-outer-tank"
        (valve,) = (p for p in of_kind(places.layout, "transfer-valve") if p.of == tank)

        assert places.layout.parts[tank].traits["role"] == "transfer"
        assert not any(places.path(tank, engine) for engine in places.engines)
        assert valve.traits["stops-siphon"] == "yes"
        assert places.related(valve.id, "neighbour-tank", {}) == {f"{side}-middle-tank": 1.0}


def test_a_part_before_the_header_tank_fills_it_and_one_behind_fills_none() -> None:
    """Who shuts the cock before the header tank sees it fall; behind it no tank is filled."""
    places = PLACES["header-biplane"]
    for before in ("upper-tank", "upper-screen", "upper-cock"):
        assert places.related(before, "tank-it-fills", {}) == {"header-tank": 1.0}
    for behind in ("header-screen", "shut-off-cock", "supply-line", "upper-vent"):
        assert places.related(behind, "tank-it-fills", {}) == {}


def test_a_tip_tank_can_only_be_pumped_into_its_main_tank() -> None:
    """The tip tanks feed no engine; a pump each moves their fuel into the main tank of their side
    and is no way to an engine (common practice, no source)."""
    places = PLACES["low-wing-single-tip-tanks"]
    for side in ("left", "right"):
        tip, main = f"{side}-tip-tank", f"{side}-main-tank"
        (pump,) = (p for p in of_kind(places.layout, "transfer-pump") if p.of == tip)

        assert not places.path(tip, "engine")
        assert pump.id not in places.path(main, "engine")
        assert places.related(pump.id, "neighbour-tank", {}) == {main: 1.0}


@every_layout
def test_a_selector_has_an_off_position(name: str) -> None:
    """Every selector can be turned off (common practice, no source)."""
    for cock in of_kind(PLACES[name].layout, "selector-cock"):
        assert cock.positions["off"] == ()


@every_layout
def test_a_selector_of_a_pumped_system_never_joins_two_tanks(name: str) -> None:
    """A pump would draw air from the emptier of two joined tanks, so no selector before a pump
    joins two; only gravity feed has 'both' (common practice, no source)."""
    layout = PLACES[name].layout
    for cock in of_kind(layout, "selector-cock"):
        joined = {position: len(pairs) for position, pairs in cock.positions.items()}

        assert all(n <= 1 for p, n in joined.items() if p != "both")
        assert ("both" in joined) == (layout.traits["feed"] == "gravity")


@every_layout
def test_engine_pumps_can_draw_past_a_pump_at_rest(name: str) -> None:
    """Every electric and hand pump before an engine pump has a suction bypass, in words and in
    figures (common practice, no source)."""
    layout = PLACES[name].layout
    pumps = [p for p in layout.parts.values() if p.kind in ("booster-pump", "hand-pump")]

    assert bool(pumps) == (layout.traits["feed"] == "pumped")
    followed = any(p.kind == "engine-pump" for p in layout.parts.values())
    for pump in pumps:
        assert pump.traits["bypass"] == ("yes" if followed else "no")
        assert (pump.numbers.get("bypass-bore", 0.0) > 0) == followed


@every_layout
def test_every_tank_has_one_vent(name: str) -> None:
    """One vent a tank (common practice, no source)."""
    places = PLACES[name]
    vents = [p.of for p in of_kind(places.layout, "tank-vent")]

    assert sorted(vents) == sorted(places.tanks)


@pytest.mark.parametrize("name", ["four-engine-injection", "radial-single-hand-pump"])
def test_vapour_returns_to_the_take_off_tank(name: str) -> None:
    """Each engine's vapour returns to one named tank, the take-off tank of its side (common
    practice, no source); its line runs where its words say."""
    places = PLACES[name]
    layout = places.layout
    returns = of_kind(layout, "vapour-return")

    assert {p.of for p in returns} == set(places.engines)
    for part in returns:
        tank = layout.parts[part.traits["to"]]
        (end,) = places.related(part.of, "return-tank", {})

        assert end == tank.id
        assert tank.traits["take-off"] == "yes"
        assert tank.id in places.fed_by(part.of, {"crossfeed": "shut"})
        assert any(line.end == f"{tank.id}.top" for line in layout.lines)


def test_a_return_of_up_to_seven_gallons_an_hour_is_called_sound() -> None:
    """Up to about 7 gallons an hour return from each engine, which gallon is not known: the sound
    trickle is below the smaller one, the limit not below the larger (common practice, no source).
    """
    layout = PLACES["four-engine-injection"].layout
    most = layout.limits["return-flow"].high

    assert most is not None
    assert most >= parse("7 imp gal/h").value_si
    for part in of_kind(layout, "injection-carburettor"):
        assert part.numbers["return-normal"] < parse("7 US gal/h").value_si


@every_layout
def test_an_engine_is_fed_across_with_the_electric_pump_on(name: str) -> None:
    """Electric pumps are on when cross-feeding (common practice, no source)."""
    for state in PLACES[name].layout.run_states:
        if state.engine_running and state.settings.get("crossfeed") == "open":
            assert state.settings["booster"] == "on"


def test_what_boils_in_the_climb_does_so_with_the_electric_pump_off() -> None:
    """Electric pumps are on for take-off and at height (common practice, no source)."""
    rows = library().causes["vapour-in-climb"].produces
    low = [r for r in rows if (r.effect, r.value) == ("metering-pressure", "low")]

    assert low
    assert all(r.when["booster"] == ("off",) for r in low)


def test_a_primer_found_open_is_shut_before_a_run() -> None:
    """The primer cock is shut after starting and kept shut (common practice, no source)."""
    assert "its cock shut" in library().symptoms["primer-found-open"].before_run


def test_float_carburettors_return_no_vapour() -> None:
    """The float layout has no vapour return and a reducing valve an engine instead (common
    practice, no source)."""
    places = PLACES["four-engine-float"]

    assert not of_kind(places.layout, "vapour-return")
    assert {p.of for p in of_kind(places.layout, "reducing-valve")} == set(places.engines)


@pytest.mark.parametrize("name", [*FOUR, "radial-single-hand-pump"])
def test_the_warning_is_out_in_normal_running(name: str) -> None:
    """The lamp is lit and goes out below the normal minimum: making below breaking, and breaking
    below the band (common practice, no source)."""
    limits = PLACES[name].layout.limits
    warning, band = limits["pressure-warning"], limits["fuel-pressure"]

    assert warning.low is not None
    assert warning.high is not None
    assert band.low is not None
    assert warning.low < warning.high < band.low


@pytest.mark.parametrize(("name", "psi"), zip(FOUR, ("10 psi", "6 psi"), strict=True))
def test_the_warning_makes_near_the_usual_setting(name: str, psi: str) -> None:
    """Near 10 psi for injection carburettors and 6 psi for float (common practice, no source)."""
    assert PLACES[name].layout.limits["pressure-warning"].low == pytest.approx(parse(psi).value_si)


def test_only_some_layouts_have_a_warning_lamp() -> None:
    """The trait agrees with the parts, so that knowledge about lamps finds the right layouts."""
    for places in PLACES.values():
        lamp = places.layout.traits["warning-lamp"] == "yes"

        assert bool(of_kind(places.layout, "warning-lamp")) == lamp
        assert ("pressure-warning" in places.layout.limits) == lamp


# ------------------------------------------------------------------ published requirements


@pytest.mark.outside
@every_layout
def test_delivery_meets_the_flow_requirement(name: str) -> None:
    """The lowest delivery is 125 % of take-off burn with pumps and 150 % by gravity: 14 CFR
    23.955(b) and (c), pre-2017 text."""
    layout = PLACES[name].layout
    factor = 1.25 if layout.traits["feed"] == "pumped" else 1.5
    low = layout.limits["delivery"].low

    assert low is not None
    for kind in METERING:
        for part in of_kind(layout, kind):
            assert low >= factor * part.numbers["burn-take-off"] * (1 - 1e-9)


@pytest.mark.outside
@every_layout
def test_the_engine_pump_displaces_more_than_it_must(name: str) -> None:
    """Displacement is at least 125 % of take-off burn: 14 CFR 23.955(c), pre-2017 text."""
    layout = PLACES[name].layout
    burn = {p.of: p.numbers["burn-take-off"] for kind in METERING for p in of_kind(layout, kind)}
    for pump in of_kind(layout, "engine-pump"):
        assert pump.numbers["displacement"] >= 1.25 * burn[pump.of]


@pytest.mark.outside
@every_layout
def test_tanks_have_their_expansion_space_and_small_fillers(name: str) -> None:
    """At least 2 % expansion space, 14 CFR 23.969, and fillers of at most 60 mm, 23.973 (pre-2017
    text)."""
    layout = PLACES[name].layout
    for tank in PLACES[name].tanks:
        assert layout.parts[tank].numbers["expansion"] >= 0.02
    for cap in of_kind(layout, "filler-cap"):
        assert cap.numbers["bore"] <= 0.060


@every_layout
def test_relief_and_band_agree(name: str) -> None:
    """Without a reducing valve the relief setting and its rise lie in the normal band."""
    layout = PLACES[name].layout
    if layout.traits["feed"] == "gravity" or of_kind(layout, "reducing-valve"):
        return
    band = layout.limits["fuel-pressure"]
    for pump in of_kind(layout, "engine-pump"):
        relief, rise = pump.numbers["relief"], pump.numbers["relief-rise"]

        assert band.low is not None
        assert band.high is not None
        assert band.low < relief < relief + rise < band.high


# ------------------------------------------------------------------ run states


@every_layout
def test_every_stage_can_be_set_up(name: str) -> None:
    """A layout offers each stage of a ground run, and a start is priced where an engine runs."""
    states = PLACES[name].layout.run_states

    assert {s.stage for s in states} == {
        "static", "cranking", "idle", "run-up", "after-shut-down", "parked",
    }  # fmt: skip
    for s in states:
        assert (s.start_minutes > 0) == (s.engine_running or s.stage == "after-shut-down")
        assert not s.engine_running or {"chocks", "fire guard"} <= set(s.needs)


@every_layout
def test_every_feeding_tank_can_be_run_on(name: str) -> None:
    """Where an engine can be fed from several tanks there is a run-up on each of them, in which it
    alone feeds some engine."""
    places = PLACES[name]
    feeding = {t for e in places.engines for t in places.fed_by(e, {"crossfeed": "shut"})}
    runs = {
        s.settings["tank"]: s.settings
        for s in places.layout.run_states
        if s.stage == "run-up" and "tank" in s.settings and s.settings.get("crossfeed") != "open"
    }

    assert set(runs) == (feeding if len(feeding) > 1 else set())
    for tank, settings in runs.items():
        fed = [places.fed_by(e, settings) for e in places.engines]
        assert {tank: 1.0} in fed


@every_layout
def test_layouts_with_a_booster_are_run_with_and_without_it(name: str) -> None:
    """Idle and run-up are offered with the booster off and on, where an engine can run both."""
    places = PLACES[name]
    boosted = {
        (s.stage, s.settings.get("booster"))
        for s in places.layout.run_states
        if s.stage in ("idle", "run-up") and "tank" not in s.settings
    }
    values: tuple[str | None, ...] = ("off", "on")
    if places.layout.traits["feed"] == "gravity":
        values = (None,)
    elif not any(p.kind == "engine-pump" for p in places.layout.parts.values()):
        values = ("on",)  # without its pump no engine runs

    assert boosted == {(stage, v) for stage in ("idle", "run-up") for v in values}


def test_a_pump_drives_an_engine_alone_where_no_engine_pump_stands_behind_it() -> None:
    """What a dead electric pump does to an engine depends on whether another pump feeds it."""
    alone = PLACES["low-wing-single-electric"]
    assert alone.related("booster", "engines-it-alone-drives", {}) == {"engine": 1.0}
    assert PLACES["low-wing-single"].related("booster", "engines-it-alone-drives", {}) == {}


def test_how_an_engine_starts_is_asked_of_a_start_and_priced_as_one() -> None:
    """With the ignition off nobody can tell it, and no start is cheaper than one for a run."""
    for layout in (places.layout for places in PLACES.values()):
        starts = [s for s in layout.run_states if s.stage == "cranking"]
        runs = [s for s in layout.run_states if s.engine_running]
        assert starts
        assert not any("ignition off" in s.title.lower() for s in starts)
        assert min(s.minutes for s in starts) >= min(s.start_minutes for s in runs)
