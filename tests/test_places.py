"""Relations on the layouts: what is fed through what, what belongs to what, what words mean."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.errors import KnowledgeError, UsageError
from diagnose.knowledge_files import list_layouts, load_layout
from diagnose.knowledge_files.vocabulary import RELATION_KINDS, RELATIONS
from diagnose.model import Produces
from diagnose.places import DEFAULT_UNSTATED, Places

FILES = list_layouts(Path(__file__).parents[1] / "knowledge")
PLACES = {name: Places(load_layout(path)) for name, path in FILES.items()}
FOUR = PLACES["four-engine-injection"]
SINGLE = PLACES["low-wing-single"]
TWIN = PLACES["low-wing-twin"]
HIGH = PLACES["high-wing-single"]
BIPLANE = PLACES["header-biplane"]

PORT = {"no1-engine", "no2-engine"}
SHUT = {"crossfeed": "shut"}
OPEN = {"crossfeed": "open"}


def row(at: str = "engines-fed-through-it", **when: str | tuple[str, ...]) -> Produces:
    """Return a row that lowers the metering pressure ``at`` some places in some states."""
    fit = {d: (v,) if isinstance(v, str) else v for d, v in when.items()}
    return Produces("metering-pressure", "low", at, {"half": 0.7}, {"half": "often"}, fit)


def share(places: Places, r: Produces, part: str, place: str, known: Mapping[str, str]) -> float:
    """Return how far a row applies at ``place`` with the cause at one part."""
    (found,) = places.shares(r, [part], place, known)
    return found


def close(shares: Mapping[str, float]) -> object:
    """Return ``shares`` to compare with, to rounding."""
    return pytest.approx(dict(shares), abs=1e-12)


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


# ------------------------------------------------------------------ shares of a row


def test_a_stated_setting_fits_or_does_not() -> None:
    """A known setting is never averaged over."""
    r = row(power="high", booster=("off",))

    assert share(SINGLE, r, "strainer", "engine", {"power": "high", "booster": "off"}) == 1.0
    assert share(SINGLE, r, "strainer", "engine", {"power": "high", "booster": "on"}) == 0.0


def test_an_unstated_setting_counts_by_its_weight() -> None:
    """What nobody stated counts by the weights given, which need not sum to one."""
    weights = {**DEFAULT_UNSTATED, "booster": {"off": 3.0, "on": 1.0}}
    places = Places(SINGLE.layout, weights)
    r = row(power=("high", "mid"), booster="off")

    assert share(places, r, "strainer", "engine", {"power": "mid"}) == pytest.approx(0.75)
    assert share(places, r, "strainer", "engine", {}) == pytest.approx(0.65 * 0.75)


def test_the_tank_in_use_decides_what_can_show() -> None:
    """A blocked left screen shows on the left tank, never on the right.

    When nobody says which tank was in use, the report comes from the one that was.
    """
    r = row()

    assert share(SINGLE, r, "left-screen", "engine", {"tank": "left-tank"}) == 1.0
    assert share(SINGLE, r, "left-screen", "engine", {"tank": "right-tank"}) == 0.0
    assert share(SINGLE, r, "left-screen", "engine", {}) == pytest.approx(1.0)


def test_a_row_shows_only_where_part_and_layout_have_the_traits_it_asks_for() -> None:
    """'only-if' of a row is asked of the part of the cause, then of the layout; rows that differ
    in it alone are kept apart."""
    shown = [
        share(SINGLE, replace(row(), only_if=asked), "strainer", "engine", {"tank": "left-tank"})
        for asked in ({}, {"feed": "pumped"}, {"feed": "gravity"}, {"kind": "hose or strainer"},
                      {"kind": "hose", "feed": "pumped"})
    ]  # fmt: skip

    assert shown == [1.0, 1.0, 0.0, 1.0, 0.0]


def test_a_row_for_an_open_cross_feed_is_weighed_with_its_places() -> None:
    """With the cross-feed unstated the row counts by the weight of 'open', on both sides."""
    r = row(crossfeed="open")
    opened = FOUR.related("port-manifold", "engines-fed-through-it", OPEN)

    most = max(opened.values())

    assert FOUR.reach(r, "port-manifold", {}) == close(
        {e: 0.05 * s / most for e, s in opened.items()}
    )
    assert FOUR.reach(r, "port-manifold", SHUT) == {}


def test_a_row_may_name_the_tank_in_use() -> None:
    """A row that holds on one tank counts for the share of settings on that tank."""
    r = row(at="itself", tank="left-tank")

    assert share(SINGLE, r, "engine", "engine", {"tank": "left-tank"}) == 1.0
    assert share(SINGLE, r, "engine", "engine", {"tank": "right-tank"}) == 0.0
    assert share(SINGLE, r, "engine", "engine", {}) == pytest.approx(0.5)


def test_a_tank_that_never_feeds_gives_a_row_for_it_no_weight() -> None:
    """The transfer-only tank is never the tank in use, so it takes no share from the others."""
    outer, inner = (
        row(at="itself", tank="port-outer-tank"),
        row(at="itself", tank="port-inner-tank"),
    )

    assert share(FOUR, outer, "no1-engine", "no1-engine", SHUT) == 0.0
    assert share(FOUR, inner, "no1-engine", "no1-engine", SHUT) == pytest.approx(0.5)


STATED = st.fixed_dictionaries(
    {},
    optional={
        **{d: st.sampled_from(list(v)) for d, v in DEFAULT_UNSTATED.items()},
    },
)


@st.composite
def questions(
    draw: st.DrawFn, names: Iterable[str] = tuple(PLACES)
) -> tuple[Places, str, str, dict[str, str]]:
    """Draw a layout, a part of it, a relation and what is known of the state."""
    places = PLACES[draw(st.sampled_from(sorted(names)))]
    part = draw(st.sampled_from(sorted(places.layout.parts)))
    known = draw(STATED)
    if draw(st.booleans()):
        known["tank"] = draw(st.sampled_from(places.tanks))
    return places, part, draw(st.sampled_from(RELATIONS)), known


@given(questions())
@settings(max_examples=400, deadline=None)
def test_shares_are_shares_of_the_right_kind_of_place(
    drawn: tuple[Places, str, str, dict[str, str]],
) -> None:
    """Every relation leads only to places of its kind, each with a share above 0 and at most 1."""
    places, part, relation, known = drawn
    shares = places.related(part, relation, known)

    for place, share in shares.items():
        assert 0.0 < share <= 1.0
        kinds = RELATION_KINDS.get(relation, (places.layout.parts[place].kind,))
        assert places.layout.parts[place].kind in kinds


@given(questions(), st.sampled_from(["power", "booster", "heat", "attitude", "level", "crossfeed"]))
@settings(max_examples=300, deadline=None)
def test_not_knowing_is_the_average_of_knowing(
    drawn: tuple[Places, str, str, dict[str, str]], dimension: str
) -> None:
    """A row's share with a setting unstated is the weighted mean of its shares with it stated."""
    places, part, _, known = drawn
    known = {d: v for d, v in known.items() if d not in (dimension, "tank")}
    r = row(power=("high", "mid"), booster="off", heat="hot", level=("low", "part"))
    weights = places.unstated[dimension]
    if dimension == "crossfeed" and "cross-feed-cock" not in {
        p.kind for p in places.layout.parts.values()
    }:
        weights = {"shut": 1.0}
    for engine in places.engines:
        mean = sum(
            w * share(places, r, part, engine, {**known, dimension: v}) for v, w in weights.items()
        )
        now = share(places, r, part, engine, known)
        assert now == pytest.approx(mean / sum(weights.values()), abs=1e-12)


def _mirror(places: Places, text: str) -> str:
    """Return a part's id with port and starboard swapped; engines are numbered from port."""
    last = len(places.engines)
    swaps = {"left": "right", "right": "left", "port": "starboard", "starboard": "port"}
    swaps |= {f"no{k}": f"no{last + 1 - k}" for k in range(1, last + 1)}
    return "-".join(swaps.get(word, word) for word in text.split("-"))


# The biplane has no sides, and the radial single returns its vapour to the left tank.
MIRRORED = sorted(set(PLACES) - {"header-biplane", "radial-single-hand-pump"})


@given(questions(MIRRORED))
@settings(max_examples=400, deadline=None)
def test_mirrored_layouts_have_mirrored_relations(
    drawn: tuple[Places, str, str, dict[str, str]],
) -> None:
    """Port and starboard swapped, every relation leads to the swapped places with equal shares."""
    places, part, relation, known = drawn
    swapped = {d: _mirror(places, v) if d == "tank" else v for d, v in known.items()}
    shares = places.related(part, relation, known)
    other = places.related(_mirror(places, part), relation, swapped)

    assert other == close({_mirror(places, p): s for p, s in shares.items()})


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
