"""What mends a cause and what proves it mended: cautions first, in the state the fault shows in."""

from __future__ import annotations

from dataclasses import replace

import pytest
from diagnosis.shipped import library
from lint.shipped_kit import PLUGGED, item, items_of, without


@pytest.mark.parametrize(
    ("cause", "name"),
    [
        ("hose-cracked", "bonding"),
        ("primer-solenoid-leaks", "bonding"),
        ("low-grade-fuel", "lead-and-skin"),
        ("tank-underfilled", "fuelling"),
        ("wrong-tank-selected", "fuelling"),
        ("strainer-gummed", "chemicals"),
        ("hose-cracked", "fuel-wet-power-off"),
        ("float-sunk", "propeller-live"),
        ("transfer-pump-dead", "electrical-work"),
        ("pressure-repeater-dead", "electrical-work"),
    ],
)
def test_every_act_of_mending_shows_its_cautions(cause: str, name: str) -> None:
    """A part opened, a tank drained or fuelled, a wire mended: none is shown elsewhere."""
    lib = library()
    unwarned = {k: replace(c, hazards=without(name)(c.hazards)) for k, c in lib.checks.items()}
    mutate = item("causes", cause, rectify_hazards=without(name))
    assert f"causes/{cause}" in items_of(mutate(replace(lib, checks=unwarned)), "SAFE-08")
    assert items_of(lib, "SAFE-08") == set()


@pytest.mark.parametrize("cause", ["booster-runs-backwards", "booster-dead", "booster-air-bound"])
def test_an_electric_pump_proved_with_the_engine_stopped_asks_for_no_run(cause: str) -> None:
    """Its figure is read at the gauge with power alone; nobody is sent to the chocks for it."""
    known = library().causes[cause]
    assert "ngine stopped" in known.verify
    assert known.verify_needs == "power"


@pytest.mark.parametrize(
    ("pattern", "once", "enough"),
    [
        ("random .5", "Run up: even.", "Run up three times: even."),
        ("only at height", "Run up: even.", "Even at the first flight to that height."),
        ("only low level", "Run up: even.", "Run up with the least fuel allowed: even."),
    ],
)
def test_a_fault_that_hides_is_proved_gone_where_it_showed(
    pattern: str, once: str, enough: str
) -> None:
    """One good run on a day on which it would not have shown proves nothing."""
    for verify, found in ((once, True), (enough, False)):
        changed = item("causes", PLUGGED, pattern=pattern, verify=verify)(library())
        assert (f"causes/{PLUGGED}" in items_of(changed, "MEND-01")) is found


@pytest.mark.parametrize(
    ("verify", "needs", "found"),
    [
        ("Booster on: dry.", "nothing", True),
        ("Booster on: dry.", "power", False),
        ("Booster on: dry. Then run up: even.", "power", True),
        ("Dry after an hour.", "run", True),
        ("Dry after an hour; then run up: even.", "run", False),
    ],
)
def test_what_a_proof_puts_at_risk_is_what_the_cause_says_it_needs(
    verify: str, needs: str, found: bool
) -> None:
    """The gates of power and of a run are asked by what it says it needs."""
    changed = item("causes", PLUGGED, verify=verify, verify_needs=needs)(library())
    assert (f"causes/{PLUGGED}" in items_of(changed, "MEND-02")) is found
