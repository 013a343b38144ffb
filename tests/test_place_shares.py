"""How far a row of the knowledge applies at a place, whatever is known of the run state."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from place_kit import (
    FOUR,
    OPEN,
    PLACES,
    SHUT,
    SINGLE,
    close,
    row,
    share,
)

from diagnose.knowledge_files.vocabulary import RELATION_KINDS, RELATIONS
from diagnose.places import DEFAULT_UNSTATED, Places

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
@settings(max_examples=400)
def test_shares_are_shares_of_the_right_kind_of_place(
    drawn: tuple[Places, str, str, dict[str, str]],
) -> None:
    """Every relation leads only to places of its kind, each with a share above 0 and at most 1."""
    places, part, relation, known = drawn
    shares = places.related(part, relation, known)

    for place, how_far in shares.items():
        assert 0.0 < how_far <= 1.0
        kinds = RELATION_KINDS.get(relation, (places.layout.parts[place].kind,))
        assert places.layout.parts[place].kind in kinds


@given(questions(), st.sampled_from(["power", "booster", "heat", "attitude", "level", "crossfeed"]))
@settings(max_examples=300)
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
@settings(max_examples=400)
def test_mirrored_layouts_have_mirrored_relations(
    drawn: tuple[Places, str, str, dict[str, str]],
) -> None:
    """Port and starboard swapped, every relation leads to the swapped places with equal shares."""
    places, part, relation, known = drawn
    swapped = {d: _mirror(places, v) if d == "tank" else v for d, v in known.items()}
    shares = places.related(part, relation, known)
    other = places.related(_mirror(places, part), relation, swapped)

    assert other == close({_mirror(places, p): s for p, s in shares.items()})
