"""Traits without which a cause cannot be: one value, or one of several."""

from __future__ import annotations

from pathlib import Path

from diagnose.knowledge_files import list_layouts, load_layout, load_library
from diagnose.places import Places

KNOWLEDGE = Path(__file__).parents[1] / "knowledge"
FILES = list_layouts(KNOWLEDGE)


def used_up(layout: str) -> set[str]:
    """Return the fuels that can be used up on ``layout``."""
    instances = Places(load_layout(FILES[layout])).cause_instances(load_library(KNOWLEDGE))
    return {c.at for c in instances if c.cause == "fuel-used-up"}


def test_either_word_of_a_trait_is_enough() -> None:
    """Fuel of a feed tank or of a reserve tank can be used up under the engine it feeds."""
    layout = load_layout(FILES["radial-single-hand-pump"])
    roles = {layout.parts[layout.parts[fuel].of].traits["role"] for fuel in used_up(layout.id)}
    assert roles == {"feed", "reserve"}


def test_a_trait_that_is_neither_rules_the_cause_out() -> None:
    """A tank that is only transferred starves no engine when it is empty."""
    layout = load_layout(FILES["four-engine-injection"])
    at = used_up(layout.id)
    assert len(at) == 4
    assert all(layout.parts[layout.parts[fuel].of].traits["role"] == "feed" for fuel in at)


def test_any_word_of_a_trait_will_do_but_there_must_be_one() -> None:
    """A line between two tanks' air spaces can be blocked where a vent says it has one."""
    library = load_library(KNOWLEDGE)
    for name, vents in (("high-wing-single", {"right-vent"}), ("low-wing-single", set())):
        layout = load_layout(FILES[name])
        found = {
            c.at
            for c in Places(layout).cause_instances(library)
            if c.cause == "vent-interconnect-blocked"
        }
        assert found == vents


def test_what_needs_several_of_a_kind_knows_whether_there_are() -> None:
    """Gauges are exchanged where there is a second one; a lone engine has no neighbour."""
    one, four = (Places(load_layout(FILES[n])) for n in ("low-wing-single", "four-engine-float"))
    assert one.trait("selector", "several-engine") == "no"
    assert one.trait("selector", "several-tank") == "yes"
    assert four.traits["several-engine"] == "yes"
    swap = load_library(KNOWLEDGE).checks["swap-pressure-gauges"]
    assert not any(one.allows(swap, part) for part in one.parts_of_kind("pressure-gauge"))
    assert all(four.allows(swap, part) for part in four.parts_of_kind("pressure-gauge"))


def test_a_question_about_a_part_that_is_not_there_is_not_asked() -> None:
    """No layout without a flow meter, a pressure gauge or a lamp is asked what it shows."""
    from diagnosis.shipped import bench

    parts = {"flow-indication": "flow-meter", "fuel-pressure": "pressure-gauge"}
    parts["pressure-lamp"] = "warning-lamp"
    for name in FILES:
        here = {part.kind for part in load_layout(FILES[name]).parts.values()}
        asked = {reading.question for reading in bench(name).planner.catalogue.readings}
        for question, kind in parts.items():
            assert (question in asked) is (kind in here), f"{question} on {name}"


def test_what_moves_the_fuel_through_a_part_is_read_from_the_lines() -> None:
    """A hole before the engine pump draws air and one behind it sprays; by gravity it drips."""
    places = {
        n: Places(load_layout(FILES[n])) for n in ("low-wing-single-injected", "header-biplane")
    }
    injected, biplane = places["low-wing-single-injected"], places["header-biplane"]

    assert injected.trait("hose", "under") == "suction"
    assert injected.trait("pressure-hose", "under") == "pump"
    assert biplane.trait("hose", "under") == "gravity"
    assert injected.trait("ledger", "under") == ""


def test_a_cause_of_the_suction_side_is_not_blamed_on_a_hose_under_pressure() -> None:
    """Vapour on a hot taxi forms where the pump draws, in one of the two hoses."""
    places = Places(load_layout(FILES["low-wing-single-injected"]))
    found = places.cause_instances(load_library(KNOWLEDGE))

    assert {c.at for c in found if c.cause == "ground-hold-vapour"} == {"hose"}
    assert {c.at for c in found if c.cause == "hose-cracked"} == {"hose", "pressure-hose"}


def test_a_trait_that_a_layout_does_not_give_is_not_stated() -> None:
    """A primer of unknown kind may have a valve or a plunger; a hand primer has no valve."""
    library = load_library(KNOWLEDGE)
    for name, valves, plungers in (("four-engine-float", 4, 4), ("low-wing-single", 0, 1)):
        found = [c.cause for c in Places(load_layout(FILES[name])).cause_instances(library)]
        assert found.count("primer-solenoid-leaks") == valves
        assert found.count("primer-plunger-dried") == plungers


def test_what_the_layout_says_of_a_tank_is_not_asked() -> None:
    """A bladder or an integral tank stands in the layout; what a metal one was coated with not."""
    asked = load_library(KNOWLEDGE).questions["tank-construction"]
    for name in FILES:
        places = Places(load_layout(FILES[name]))
        for tank in places.parts_of_kind("tank"):
            said = places.trait(tank, "material") in ("bladder", "integral")
            assert places.allows(asked, tank) != said


def test_fuel_crosses_by_the_vents_only_where_two_tanks_breathe_together() -> None:
    """Both tanks of a cross-vent can be the high one; a tank with a vent of its own loses none."""
    library = load_library(KNOWLEDGE)
    for name, vents in (
        ("high-wing-single", {"left-vent", "right-vent"}),
        ("low-wing-twin", set()),
    ):
        instances = Places(load_layout(FILES[name])).cause_instances(library)
        assert {c.at for c in instances if c.cause == "vent-migration"} == vents


def test_nothing_is_crossed_with_what_the_aeroplane_has_not() -> None:
    """One engine's lamp, one pump's switch and the only cock's lever can be no other's."""
    instances = Places(load_layout(FILES["low-wing-single"])).cause_instances(
        load_library(KNOWLEDGE)
    )
    crossed = {"warning-lamps-crossed", "booster-circuits-crossed", "cock-controls-crossed"}
    assert not crossed & {c.cause for c in instances}
