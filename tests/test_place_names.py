"""Parts by kind, trait and name: where causes stand, what reads what, what free words may mean."""

from __future__ import annotations

from typing import Any

import pytest
from place_kit import FOUR, PLACES, SINGLE

from diagnose.model import Cause, CauseAt, Library, TradeWord, Words
from diagnose.places import Places

# ------------------------------------------------------------------ causes and instruments


def _library(*causes: Cause) -> Library:
    words = Words({}, {}, {}, 1.0, 1.0, {}, {})
    kinds = ("effects", "questions", "symptoms", "checks", "hazards", "sources")
    empty: dict[str, Any] = {kind: {} for kind in kinds}
    return Library(root="", edition="", words=words, causes={c.id: c for c in causes}, **empty)


def _cause(id_: str, *kinds: str, **only_if: str) -> Cause:
    fit = {k.replace("_", "-"): v for k, v in only_if.items()}
    return Cause(
        id_, id_, "pump", kinds, "dead", "", 0.1, "common", "it is dead", {"half": 1.0}, (),
        only_if=fit,
    )  # fmt: skip


def test_a_cause_stands_at_every_part_it_can_be_at() -> None:
    """One cause an engine, in the order of the library, then of the layout."""
    library = _library(_cause("z-worn", "engine-pump", "hand-pump"), _cause("a-cap", "filler-cap"))

    assert SINGLE.cause_instances(library) == (
        CauseAt("z-worn", "engine-pump"),
        CauseAt("a-cap", "left-cap"),
        CauseAt("a-cap", "right-cap"),
    )


@pytest.mark.parametrize(
    ("only_if", "parts"),
    [
        ({"feed": "pumped"}, 2),  # a trait of the layout
        ({"feed": "gravity"}, 0),
        ({"material": "not-stated"}, 2),  # a trait of the tank
        ({"side": "port"}, 1),  # of the tank the cap belongs to
        ({"has_primer": "yes"}, 2),
        ({"has_transfer_valve": "no"}, 2),
        ({"feed": "pumped", "material": "bladder"}, 0),  # all must hold
    ],
)
def test_a_cause_needs_its_traits(only_if: dict[str, str], parts: int) -> None:
    """A cause is left out where the part, its owner or the aeroplane lacks a trait it needs."""
    library = _library(_cause("leaking", "filler-cap", **only_if))

    assert len(SINGLE.cause_instances(library)) == parts


def test_an_instrument_reads_the_place_it_belongs_to() -> None:
    """A gauge, its line and the bus can distort what is read at their engine or tank only."""
    assert FOUR.instrument_for("pressure-gauge", "no2-engine") == ("no2-pressure-gauge",)
    assert FOUR.is_instrument_of("no2-gauge-line", "no2-engine")
    assert not FOUR.is_instrument_of("no2-gauge-line", "no1-engine")
    assert FOUR.is_instrument_of("port-bus", "port-outer-tank")
    assert not FOUR.is_instrument_of("starboard-bus", "port-outer-tank")
    assert FOUR.is_instrument_of("ledger", "aeroplane")


# ------------------------------------------------------------------ names


@pytest.mark.parametrize(
    ("part", "label"),
    [
        ("no2-engine", "no. 2 engine (port inner)"),
        ("port-inner-tank", "no. 3 tank (port inner)"),
        ("no3-shut-off-cock", "no. 3 fuel shut-off cock (starboard inner)"),
        ("no1-pressure-gauge", "fuel pressure gauge of no. 1 engine (port outer)"),
        ("port-inner-fuel", "fuel of no. 3 tank (port inner)"),
        ("port-selector", "port tank selector cock"),
        ("crossfeed-cock", "cross-feed cock"),
    ],
)
def test_number_and_position_are_printed_together(part: str, label: str) -> None:
    """What has a number is never called by it, or by its position, alone."""
    assert FOUR.label(part) == label


@pytest.mark.parametrize("name", PLACES)
def test_no_two_parts_are_called_alike(name: str) -> None:
    """A label names one part."""
    labels = [PLACES[name].label(p) for p in PLACES[name].layout.parts]

    assert len(labels) == len(set(labels))


@pytest.mark.parametrize("words", ["left", "number two", "no. 2", "#2", "the left side", "no2"])
def test_bare_words_are_questioned_on_four_engines(words: str) -> None:
    """A bare side or number may mean engines, tanks and cocks, and the question names them."""
    match = FOUR.find_places(words)

    assert not match.part
    assert {FOUR.layout.parts[p].kind for p in match.candidates} >= {"engine", "tank"}
    assert all(FOUR.label(p) in match.ask for p in match.candidates)


@pytest.mark.parametrize(
    ("words", "part"),
    [
        ("number two engine", "no2-engine"),
        ("port outer engine", "no1-engine"),
        ("left outboard motor", "no1-engine"),
        ("port outer tank", "port-outer-tank"),
        ("no 3 tank", "port-inner-tank"),
        ("No. 4 fuel filter", "no4-strainer"),
        ("starboard selector", "starboard-selector"),
        ("fuel pressure gauge no 1", "no1-pressure-gauge"),
        ("crossfeed cock", "crossfeed-cock"),
        ("cross-feed", "crossfeed-cock"),
        ("no2-hose", "no2-hose"),
    ],
)
def test_words_that_name_one_part_are_taken(words: str, part: str) -> None:
    """Side, position, number and kind together name a part, in the trade's words."""
    match = FOUR.find_places(words)

    assert match.candidates == (part,)
    assert match.part == part


def test_words_that_fit_several_parts_list_them() -> None:
    """'Fuel pump' is two parts of the single, and the answer says which."""
    match = SINGLE.find_places("fuel pump")

    assert match.candidates == ("booster", "engine-pump")
    assert not match.part


@pytest.mark.parametrize("words", ["wing root", "number seven", "", "the"])
def test_words_that_name_nothing_are_not_guessed_at(words: str) -> None:
    """No candidate is offered for words that fit no part."""
    match = FOUR.find_places(words)

    assert match.candidates == ()
    assert not match.part


def test_trade_words_name_kinds() -> None:
    """A word of the trade stands for its kind of part."""
    trade = [TradeWord("gascolator", "main strainer with a bowl", place="strainer")]

    assert SINGLE.find_places("gascolator").candidates == ()
    assert Places(SINGLE.layout, trade=trade).find_places("the gascolator").part == "strainer"


def test_a_part_is_not_named_by_where_it_leads() -> None:
    """The hose from the pump to the metering unit is no metering unit."""
    injected = PLACES["low-wing-single-injected"]
    assert injected.find_places("metering unit").candidates == ("injection-unit",)


def test_the_word_that_says_what_a_part_is_decides_between_names_that_share_one() -> None:
    """A tank's sender is its sender, not the sender wiring."""
    twin = PLACES["low-wing-twin"]
    assert twin.find_places("port aux sender").candidates == ("port-aux-sender",)
    assert twin.find_places("port aux sender wiring").candidates == ("port-aux-wiring",)
