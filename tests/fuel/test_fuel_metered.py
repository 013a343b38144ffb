"""What worn pumps, primers, jets, enrichment and soaking heat do, each at its own power."""

from __future__ import annotations

import pytest
from fuel.fuel_kit import shipped, state_of

from diagnose.fuel import Fault, FaultError, Readings, readings, solve
from diagnose.fuel.properties import PSI

SMALL = "low-wing-single"
PRIMER = Fault("primer", "leaks-through", 0.35, "mm2")


def found(*faults: Fault, layout: str = SMALL, run_state: str = "run-up-booster-off") -> Readings:
    """Return the readings of a small layout in one of its own run states."""
    network = shipped(layout)
    solution = solve(network, [state_of(network, run_state)], [faults])
    assert solution.converged.all(), solution.trouble(0)
    return readings(network, solution)


def at(reading: Readings, name: str, place: str = "engine") -> float:
    """Return one figure."""
    return float(reading.at(name, place)[0])


def share(*faults: Fault, run_state: str, layout: str = SMALL) -> float:
    """Return the fuel burnt over the fuel wanted."""
    return at(found(*faults, layout=layout, run_state=run_state), "burn-fraction")


def test_a_drain_under_the_head_of_its_tank_drips_and_draws_no_air() -> None:
    """A hole at a tank lets fuel out; one at the hose to the engine pump lets air in."""
    drain = found(Fault("left-drain", "leaks-out", 3.0, "mm2"))
    hose = found(Fault("hose", "leaks-out", 0.3, "mm2"))
    assert at(drain, "air-share") < 1e-6
    assert at(drain, "overboard-flow", "left-tank") * 3.6e6 > 1.0
    assert at(hose, "air-share") > 0.05


def test_a_worn_pump_is_short_at_idle_before_it_is_at_the_run_up() -> None:
    """Slip goes with pressure, output with speed: idle falls first; the booster makes up."""
    worn = Fault("engine-pump", "slip", 0.7)
    short = {
        s: at(found(run_state=s), "metering-pressure")
        - at(found(worn, run_state=s), "metering-pressure")
        for s in ("idle-booster-off", "run-up-booster-off", "idle-booster-on")
    }
    assert short["idle-booster-off"] > 2.0 * PSI
    assert short["run-up-booster-off"] < 0.7 * short["idle-booster-off"]
    assert short["idle-booster-on"] < 0.7 * short["idle-booster-off"]


def test_a_primer_that_passes_makes_idle_rich_and_power_hardly() -> None:
    """The intake draws at idle; near full throttle it hardly does, and the engine takes more."""
    idle, run_up = (share(PRIMER, run_state=f"{s}-booster-off") for s in ("idle", "run-up"))
    full = shipped(SMALL)
    state = state_of(full, "run-up-booster-off", power={"engine": "take-off"})
    take_off = readings(full, solve(full, [state], [(PRIMER,)]))
    assert idle > 1.5
    assert 1.1 < run_up < idle
    assert 1.0 < at(take_off, "burn-fraction") < 1.1


@pytest.mark.parametrize(("layout", "passes"), [(SMALL, False), ("high-wing-single", True)])
def test_only_a_tank_above_the_intake_runs_out_past_a_primer_at_rest(
    layout: str, passes: bool
) -> None:
    """Nothing but the head of the tank lifts fuel to the intake while the engine stands."""
    passing, sound = (
        found(PRIMER, layout=layout, run_state="static"),
        found(layout=layout, run_state="static"),
    )
    lost = (sound.values["tank-rate"] - passing.values["tank-rate"]).sum()
    assert bool(lost > 1e-8) is passes


def test_what_passes_a_primer_is_burnt_and_not_lost() -> None:
    """It leaves the strainer for the engine: no fuel in the bay, and the tank falls by it."""
    sound, passing = found(), found(PRIMER)
    assert at(passing, "leak-flow") == pytest.approx(at(sound, "leak-flow"), abs=1e-12)
    more = at(passing, "flow") - at(sound, "flow")
    assert more > 0.0
    lost = float((sound.values["tank-rate"] - passing.values["tank-rate"]).sum())
    assert lost == pytest.approx(more, rel=0.05)


@pytest.mark.parametrize(
    ("change", "value", "idle", "run_up"),
    [
        ("main-metering", 0.7, 1.0, 0.7),
        ("enrichment", 0.7, 1.0, 0.7),
        ("enrichment", 1.3, 1.3, 1.0),
        ("metering", 0.7, 0.7, 0.7),
    ],
)
def test_jets_and_enrichment_act_at_the_power_at_which_they_meter(
    change: str, value: float, idle: float, run_up: float
) -> None:
    """The idle jet feeds an idling engine; the enrichment valve is shut below high power."""
    fault = Fault("carburettor", change, value)
    assert share(fault, run_state="idle-booster-off") == pytest.approx(idle, abs=0.03)
    assert share(fault, run_state="run-up-booster-off") == pytest.approx(run_up, abs=0.03)


def test_soaking_heat_is_there_only_while_the_engine_bay_is_hot() -> None:
    """A line that only a hot bay heats keeps its margin in a cool one."""
    network, soak = shipped(SMALL), (Fault("hose", "soak", 25.0),)
    margins = []
    for heat in (0.0, 20.0):
        state = state_of(network, "run-up-booster-off", engine_heat=heat)
        sound, hot = (readings(network, solve(network, [state], [f])) for f in ((), soak))
        margins.append(at(sound, "vapour-margin") - at(hot, "vapour-margin"))
    assert margins[0] == pytest.approx(0.0, abs=1.0)
    assert margins[1] > 3 * PSI


def test_air_left_in_a_line_is_drawn_by_the_pump_and_wets_nothing() -> None:
    """A share of what the pump draws is air while it sucks; nothing is lost, parked or running."""
    left = Fault("supply-line", "air-left", 0.5)
    assert at(found(left), "air-share") > 0.1
    assert at(found(left, run_state="run-up-booster-on"), "air-share") < 1e-3
    for s in ("static", "run-up-booster-on"):
        rates = [found(*f, run_state=s).values["tank-rate"][0] for f in ((), (left,))]
        assert rates[1] == pytest.approx(rates[0], abs=1e-9)
    with pytest.raises(FaultError, match="air-left"):
        found(left, layout="high-wing-single", run_state="run-up")
