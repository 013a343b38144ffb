"""Relations on the layouts: what is fed through what, what belongs to what; broken layouts."""

from __future__ import annotations

import dataclasses

import pytest
from place_kit import (
    BIPLANE,
    FOUR,
    HIGH,
    OPEN,
    PLACES,
    PORT,
    SHUT,
    SINGLE,
    TWIN,
    close,
    row,
    share,
)

from diagnose.errors import KnowledgeError, UsageError
from diagnose.places import Places

# ------------------------------------------------------------------ who feeds whom


def test_a_selector_on_both_is_no_single_tank() -> None:
    """Both tanks feed, each part of one side takes half the fuel, what is common takes all."""
    both = {"tank": "both"}
    assert HIGH.related("engine", "tanks-feeding-it", both) == {"left-tank": 1, "right-tank": 1}
    fed = "engines-fed-through-it"
    assert HIGH.related("left-screen", fed, both) == close({"engine": 0.5})
    assert HIGH.related("strainer", fed, both) == {"engine": 1.0}
    # a known tank outranks it: who names one means that it feeds alone
    assert HIGH.related("left-screen", fed, {"tank": "left-tank"}) == {"engine": 1.0}
    assert HIGH.related("left-screen", fed, {"tank": "right-tank"}) == {}


def test_the_way_of_the_fuel_is_in_order() -> None:
    """The parts from tank to engine come in the order the fuel passes them."""
    assert SINGLE.path("right-tank", "engine") == (
        "right-tank", "right-screen", "selector", "supply-line", "strainer", "booster", "hose",
        "engine-pump", "carburettor", "engine",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("layout", "before", "behind"),
    [
        ("low-wing-single", "hose", "carburettor"),  # the engine's own pump draws through the hose
        ("low-wing-single-electric", "strainer", "hose"),  # the electric pump alone drives
    ],
)
def test_what_moves_the_fuel_changes_at_the_pump_that_drives(
    layout: str, before: str, behind: str
) -> None:
    """Suction up to the pump that drives the engine, pressure behind it; else the head alone."""
    assert PLACES[layout].trait(before, "under") == "suction"
    assert PLACES[layout].trait(behind, "under") == "pump"
    assert HIGH.trait("strainer", "under") == "gravity"


def test_no_way_leads_through_a_cock_that_is_shut() -> None:
    """A tank of the other side reaches an engine through the cross-feed alone."""
    assert FOUR.path("port-inner-tank", "no4-engine", SHUT) == ()
    assert "crossfeed-cock" in FOUR.path("port-inner-tank", "no4-engine")


def test_a_tank_upstream_of_a_header_tank_feeds_through_it() -> None:
    """The header tank feeds the engine, and the upper tank's fuel reaches it that way."""
    assert BIPLANE.fed_by("engine", {}) == {"header-tank": 1.0}
    assert BIPLANE.related("upper-vent", "engines-fed-through-it", {}) == {"engine": 1.0}
    assert BIPLANE.related("header-tank", "tanks-feeding-it", {}) == {"upper-tank": 1.0}
    assert BIPLANE.related("upper-cock", "its-tank", {}) == {"upper-tank": 1.0}
    assert BIPLANE.related("strainer", "its-tank", {}) == {"header-tank": 1.0}


def test_feeding_positions_weigh_alike_when_unstated() -> None:
    """Left, right and both are a third each; 'both' counts each tank for half of the fuel."""
    through = HIGH.related("left-screen", "engines-fed-through-it", {})

    assert HIGH.fed_by("engine", {}) == close({"left-tank": 2 / 3, "right-tank": 2 / 3})
    assert through == close({"engine": 1 / 3 + 1 / 3 * 1 / 2})


def test_a_named_tank_feeds_alone() -> None:
    """Who names the tank in use does not mean 'both'."""
    state = {"tank": "left-tank"}

    assert HIGH.fed_by("engine", state) == {"left-tank": 1.0}
    assert HIGH.related("left-screen", "engines-fed-through-it", state) == {"engine": 1.0}
    assert HIGH.related("right-screen", "engines-fed-through-it", state) == {}


def test_the_cross_feed_is_open_as_often_as_stated() -> None:
    """Fuel crosses to the other side in the share of settings in which the cross-feed is open."""
    fed = FOUR.related("port-manifold", "engines-fed-through-it", {})
    opened = FOUR.related("port-manifold", "engines-fed-through-it", OPEN)

    assert set(FOUR.related("port-manifold", "engines-fed-through-it", SHUT)) == PORT
    assert fed["no3-engine"] == pytest.approx(0.05 * opened["no3-engine"])


def test_feeding_from_the_other_side_means_the_cross_feed_is_open() -> None:
    """A report that engine 3 ran on a port tank says that the cross-feed was open."""
    state = {"tank": "port-inner-tank"}

    assert FOUR.fed_by("no3-engine", state) == {"port-inner-tank": 1.0}
    assert FOUR.related("crossfeed-cock", "engines-fed-through-it", state)["no3-engine"] == 1.0


def test_a_tank_that_cannot_feed_an_engine_says_nothing_of_it() -> None:
    """With the cross-feed shut the port tank in use leaves engine 3 on either of its own."""
    state = {"tank": "port-inner-tank", **SHUT}

    assert FOUR.fed_by("no3-engine", state) == FOUR.fed_by("no3-engine", SHUT)


@pytest.mark.parametrize("name", PLACES)
def test_one_tank_feeds_each_engine_in_every_position(name: str) -> None:
    """With the cross-feed shut every engine draws from exactly one tank, save on 'both'."""
    places = PLACES[name]
    for setting in places.feeding.settings:
        if setting.crossfeed == "open":
            continue
        counts = {len(setting.feeders[e]) for e in places.engines}
        assert counts == {1} or (name == "high-wing-single" and counts == {2})


def test_without_a_booster_or_cross_feed_there_is_nothing_to_average() -> None:
    """A layout without the part has the setting for certain."""
    assert share(HIGH, row(booster="off"), "strainer", "engine", {}) == 1.0
    assert share(HIGH, row(crossfeed="open"), "strainer", "engine", {}) == 0.0


# ------------------------------------------------------------------ relations


@pytest.mark.parametrize(
    ("part", "relation", "leads_to"),
    [
        ("no1-strainer", "itself", {"no1-strainer"}),
        ("no1-strainer", "aeroplane", {"aeroplane"}),
        ("no1-strainer", "its-engine", {"no1-engine"}),
        ("no1-strainer", "engines-fed-through-it", {"no1-engine"}),
        ("no1-strainer", "tanks-feeding-it", {"port-inner-tank", "port-middle-tank"}),
        ("no1-strainer-drain", "its-strainer", {"no1-strainer"}),
        ("port-manifold", "engines-fed-through-it", PORT),
        ("port-manifold", "other-engines", {"no3-engine", "no4-engine"}),
        ("port-selector-linkage", "engines-fed-through-it", PORT),
        ("port-inner-vent", "its-tank", {"port-inner-tank"}),
        ("port-inner-vent", "engines-fed-through-it", PORT),
        ("port-inner-booster-circuit", "engines-fed-through-it", PORT),
        ("port-outer-vent", "engines-fed-through-it", set()),
        ("port-outer-fuel", "engines-fed-through-it", PORT),
        ("port-outer-fuel", "its-strainer", {"no1-strainer", "no2-strainer"}),
        ("port-outer-transfer-valve", "engines-fed-through-it", PORT),
        ("crossfeed-cock", "its-strainer", {f"no{k}-strainer" for k in range(1, 5)}),
        ("port-outer-tank", "neighbour-tank", {"port-middle-tank"}),
        ("port-inner-tank", "neighbour-tank", set()),
        ("port-selector", "its-fuel", {"port-inner-fuel", "port-middle-fuel"}),
        ("fuel-aboard", "its-tank", set(FOUR.tanks)),
        ("fuel-aboard", "engines-fed-through-it", set(FOUR.engines)),
        ("port-inner-fuel", "its-fuel-aboard", {"fuel-aboard"}),
        ("no2-engine", "same-side-engines", {"no1-engine"}),
        ("no2-gauge-line", "same-side-engines", {"no1-engine"}),
        ("no2-engine", "other-engines", {"no1-engine", "no3-engine", "no4-engine"}),
        ("no2-engine", "its-booster-pump", {"port-inner-booster", "port-middle-booster"}),
        ("no2-engine", "its-selector-cock", {"port-selector"}),
        ("no2-engine", "its-cross-feed-cock", {"crossfeed-cock"}),
        ("no2-gauge-line", "its-pressure-gauge", {"no2-pressure-gauge"}),
        ("no2-primer", "engines-fed-through-it", {"no2-engine"}),
        ("no2-vapour-return", "return-tank", {"port-inner-tank"}),
        ("no2-vapour-return", "other-tanks", {"port-middle-tank", "port-outer-tank"}),
        ("port-inner-tank", "its-strainer", {"no1-strainer", "no2-strainer"}),
        ("port-inner-tank", "its-contents-gauge", {"port-inner-gauge"}),
        ("no2-strainer", "its-contents-gauge", {"port-inner-gauge", "port-middle-gauge"}),
        ("no2-warning-lamp", "its-bus", {"port-bus"}),
        ("port-bus", "engines-fed-through-it", PORT),
        ("port-bus", "its-warning-lamp", {"no1-warning-lamp", "no2-warning-lamp"}),
        ("crossfeed-cock", "engines-fed-through-it", set()),
        ("ledger", "its-engine", set(FOUR.engines)),
        ("ledger", "its-tank", set(FOUR.tanks)),
        ("no1-engine", "its-ledger", {"ledger"}),
    ],
)
def test_a_relation_leads_to_its_places(part: str, relation: str, leads_to: set[str]) -> None:
    """With the cross-feed shut each relation leads where an engineer would say it does."""
    assert set(FOUR.related(part, relation, SHUT)) == leads_to


def test_a_return_led_astray_ends_in_one_tank_of_several() -> None:
    """Nobody knows in which of the other tanks of the side, so each counts for its share; where
    nothing returns there is nothing to lead astray."""
    found = FOUR.related("no2-vapour-return", "other-tanks", SHUT)

    assert found == close({"port-middle-tank": 0.5, "port-outer-tank": 0.5})
    assert TWIN.related("no1-strainer", "other-tanks", SHUT) == {}


def test_a_transfer_tank_counts_for_half_of_what_it_runs_into() -> None:
    """Whether fuel was transferred is seldom said, so what goes along with it counts for half."""
    state = {"tank": "port-middle-tank", **SHUT}
    fuel = FOUR.related("port-outer-fuel", "engines-fed-through-it", state)

    assert fuel == close(dict.fromkeys(PORT, 0.5))
    state["tank"] = "port-inner-tank"
    assert FOUR.related("port-outer-fuel", "engines-fed-through-it", state) == {}


def test_fuel_stands_at_the_cross_feed_cock_from_both_sides() -> None:
    """A cross-feed cock that passes lets fuel go between the tanks in use on either side."""
    assert set(FOUR.related("crossfeed-cock", "its-tank", SHUT)) == set(FOUR.tanks) - {
        "port-outer-tank",
        "starboard-outer-tank",
    }


def test_a_selector_holds_shut_the_tank_that_does_not_feed() -> None:
    """The neighbour of the feeding tank at a selector is the other tank on it."""
    state = {"tank": "left-tank"}

    assert SINGLE.related("selector", "its-tank", state) == {"left-tank": 1.0}
    assert SINGLE.related("selector", "neighbour-tank", state) == {"right-tank": 1.0}


def test_tanks_that_feed_together_are_neighbours() -> None:
    """An open cross-feed joins the tanks in use on the two sides."""
    shares = TWIN.related("port-main-tank", "neighbour-tank", OPEN)

    assert set(shares) == {"starboard-main-tank", "starboard-aux-tank"}
    assert all(0.0 < s < 1.0 for s in shares.values())


def test_what_is_on_one_bus_goes_together() -> None:
    """Parts of one bus are related, the part itself is not, and without a bus there are none."""
    on_bus = SINGLE.related("booster", "same-bus", {})

    assert {"left-gauge", "right-gauge", "booster-circuit"} <= set(on_bus)
    assert "booster" not in on_bus
    assert SINGLE.related("strainer", "same-bus", {}) == {}


def test_an_unknown_relation_or_part_is_refused() -> None:
    """Nothing is related through a misspelt word."""
    with pytest.raises(UsageError, match="its_tank"):
        SINGLE.related("strainer", "its_tank", {})
    with pytest.raises(UsageError, match="strainr"):
        SINGLE.related("strainr", "its-tank", {})


# ------------------------------------------------------------------ broken layouts


def test_a_layout_that_feeds_nobody_is_refused() -> None:
    """Without the line to the engine no position of the cocks feeds it."""
    lines = tuple(line for line in SINGLE.layout.lines if line.id != "to-engine")
    broken = dataclasses.replace(SINGLE.layout, lines=lines)

    with pytest.raises(KnowledgeError, match="feeds every engine"):
        Places(broken)


def test_a_layout_with_too_many_settings_is_refused() -> None:
    """Settings are counted before they are tried, so a huge layout fails at once."""
    selector = SINGLE.layout.parts["selector"]
    more = {f"s{n}": dataclasses.replace(selector, id=f"s{n}") for n in range(20)}
    huge = dataclasses.replace(SINGLE.layout, parts={**SINGLE.layout.parts, **more})

    with pytest.raises(KnowledgeError, match="settings of the cocks"):
        Places(huge)
