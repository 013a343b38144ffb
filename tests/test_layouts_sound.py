"""A sound aeroplane of every shipped layout stays within the limits the layout itself gives.

The model compares a broken aeroplane with a sound one, so a layout that starves when sound would
make every failure look normal; nothing else would show it.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from diagnose.fuel import Network, Readings, Settings, build, from_state, readings, solve
from diagnose.fuel.sound import within
from diagnose.knowledge_files import list_layouts, load_layout
from diagnose.knowledge_files.figures import REQUIRED
from diagnose.model import State

FILES = list_layouts(Path(__file__).parents[1] / "knowledge")
LAYOUTS = {name: load_layout(path) for name, path in FILES.items()}
NETWORKS = {name: build(layout) for name, layout in LAYOUTS.items()}

every_layout = pytest.mark.parametrize("name", LAYOUTS)


def read(network: Network, states: list[Settings]) -> Readings:
    """Return the readings of a sound aeroplane, which must all have been found."""
    solution = solve(network, states)

    assert solution.converged.all()
    return readings(network, solution)


def run_states(name: str, *, running: bool) -> list[Settings]:
    """Return the layout's run states with engines running, or at rest with the booster on."""
    return [
        from_state(NETWORKS[name], State(s.stage, s.settings).known(), s.stage)
        for s in LAYOUTS[name].run_states
        if (s.engine_running if running else s.settings.get("booster") == "on")
        and s.engine_running == running
    ]


@every_layout
def test_every_tank_breathes(name: str) -> None:
    """From each tank the vents lead, through other tanks or not, to the open air."""
    layout = LAYOUTS[name]
    leads = {p.of: p.traits.get("with", "") for p in layout.parts.values() if p.kind == "tank-vent"}
    for tank in leads:
        here, seen = tank, set()
        while here and here not in seen:
            seen.add(here)
            here = leads[here]
        assert here == "", f"{tank} breathes only in a circle: {sorted(seen)}"


@every_layout
def test_a_sound_engine_gets_the_fuel_it_wants(name: str) -> None:
    """In every run state and at take-off power each engine burns what it should, to 3 %."""
    network = NETWORKS[name]
    driven = any(p.kind == "engine-pump" for p in network.layout.parts.values())
    gravity = network.layout.traits["feed"] == "gravity"
    booster = [{"booster": "off"}, {"booster": "on"}] if driven or gravity else [{"booster": "on"}]
    take_off = [from_state(network, known, "take-off") for known in booster]
    found = read(network, [*run_states(name, running=True), *take_off])

    assert found.values["burn-fraction"].min() > 0.97


@every_layout
def test_a_sound_engine_runs_inside_the_band_with_the_lamp_out(name: str) -> None:
    """In every run state with engines running the pressure is in the layout's own band."""
    layout = LAYOUTS[name]
    found = read(NETWORKS[name], run_states(name, running=True))

    assert within(layout, "fuel-pressure", found.values["metering-pressure"])
    if "pressure-warning" in layout.limits:
        assert not found.values["pressure-lamp"].any()


@pytest.mark.parametrize("name", [n for n, x in LAYOUTS.items() if x.traits["feed"] == "pumped"])
def test_the_booster_alone_gives_its_own_band(name: str) -> None:
    """At rest with the electric or hand pump on the pressure is in the band for that."""
    layout = LAYOUTS[name]
    states = run_states(name, running=False)
    pressure = read(NETWORKS[name], states).values["metering-pressure"]

    assert states
    assert {"booster-pressure", "hand-pump-pressure"} & set(layout.limits)
    assert within(layout, "booster-pressure", pressure)
    assert within(layout, "hand-pump-pressure", pressure)


@every_layout
def test_a_sound_aeroplane_delivers_what_its_limit_asks(name: str) -> None:
    """Fuel caught at the carburettor union, booster on where there is one, meets the limit."""
    network = NETWORKS[name]
    can = read(network, [from_state(network, {"power": "can", "booster": "on"})])

    assert within(LAYOUTS[name], "delivery", can.values["flow"])


@pytest.mark.parametrize("name", [n for n, x in LAYOUTS.items() if "fuel-flow" in x.limits])
def test_the_flow_meter_reads_inside_its_band_at_run_up(name: str) -> None:
    """The band for the flow meter holds at run-up power."""
    network = NETWORKS[name]
    found = read(network, [from_state(network, {"booster": "off"}, "run-up")])

    assert within(LAYOUTS[name], "fuel-flow", found.values["flow-meter"])


@every_layout
def test_a_layout_with_no_more_than_the_figures_asked_for_can_be_solved(name: str) -> None:
    """A newcomer fills in what the file must have; the model has stand-ins for all the rest."""
    layout = LAYOUTS[name]
    bare = {
        p.id: replace(
            p, numbers={k: v for k, v in p.numbers.items() if k in REQUIRED.get(p.kind, ())}
        )
        for p in layout.parts.values()
    }
    network = build(replace(layout, parts=bare))
    states = [
        from_state(network, State(s.stage, s.settings).known(), s.stage) for s in layout.run_states
    ]
    assert readings(network, solve(network, states)).values
