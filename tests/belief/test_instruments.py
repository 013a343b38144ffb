"""A fault of an instrument may show in some run states only."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pytest
from belief.small_models import LOW, PLACE, OnePlace, cause, library
from diagnosis.shipped import bench

from diagnose.belief import Belief, BeliefNet
from diagnose.job.diagnosis import Diagnosis
from diagnose.model import CauseAt, Distorts, Effect, Finding, Question, State

SEEN = {"normal": {"out": 1.0, "lit": 0.0}, "low": {"out": 0.0, "lit": 1.0}}


def _net(
    *rows: Distorts,
    known: tuple[CauseAt, ...] = (),
    severity: Mapping[str, float] | None = None,
) -> BeliefNet:
    values = ("normal", "low")
    effect = Effect("pressure", "", ("engine",), values, {"low": 0.001}, depends_on=("power",))
    lamp = Question("lamp", "", "", "pressure", ("engine",), {"out": "", "lit": ""}, SEEN)
    lib = library([effect], [lamp], [cause("set-high", 0.03, (), rows, severity)])
    return BeliefNet(lib, OnePlace(), known=known)


def _lit(net: BeliefNet, **known: str) -> float:
    """Return P(lit | pressure normal) with the fault, 0 with none that bends."""
    bent = net.instruments.bent("lamp", PLACE, known)
    return float(bent[0][0, 0, 1]) if bent else 0.0


def test_an_instrument_fault_bends_only_in_its_run_state() -> None:
    """A switch that makes too early lights its lamp where the pressure stands least above it."""
    net = _net(Distorts("lamp", {"out": {"lit": 0.8, "out": 0.2}}, {"power": ("low",)}))

    assert _lit(net, power="low") == pytest.approx(0.8)
    assert _lit(net, power="high") == 0.0
    assert _lit(net) == pytest.approx(0.8 * LOW)


def test_rows_of_one_fault_for_several_run_states_share_what_nobody_stated() -> None:
    """Two rows of one cause are one fault in two states, not two faults one after the other."""
    net = _net(
        Distorts("lamp", {"out": {"lit": 0.8, "out": 0.2}}, {"power": ("low",)}),
        Distorts("lamp", {"out": {"lit": 0.1, "out": 0.9}}, {"power": ("high",)}),
    )

    assert _lit(net, power="high") == pytest.approx(0.1)
    assert _lit(net) == pytest.approx(0.8 * LOW + 0.1 * (1.0 - LOW))


def test_how_far_an_instrument_is_out_is_the_same_in_every_run_state() -> None:
    """A lamp out in one run state tells that it will be out in the next: the switch is little out.

    Out in both is likelier with the fault than if each state had a switch of its own.
    """
    lit = {"slight": 0.1, "half": 0.5, "severe": 0.95}
    share = {"slight": 0.4, "half": 0.35, "severe": 0.25}
    mean = sum(share[g] * lit[g] for g in lit)

    def table(p: float) -> dict[str, dict[str, float]]:
        return {"out": {"lit": p, "out": 1.0 - p}}

    def chance(*powers: str, graded: bool) -> float:
        by_grade = {g: table(p) for g, p in lit.items()} if graded else {}
        rows = [Distorts("lamp", table(mean), {"power": (p,)}, by_grade) for p in ("low", "high")]
        net = _net(*rows, severity=share)
        seen = [Finding("lamp", PLACE, "out", State("", {"power": p}), "read") for p in powers]
        return float(Belief(net).update(seen).marginal[0])

    assert chance("low", graded=True) == pytest.approx(chance("low", graded=False))
    assert chance("low", "high", graded=True) > chance("low", "high", graded=False) + 0.01


def test_a_known_defect_is_what_the_instrument_shows_in_its_run_state_only() -> None:
    """A listed fault of the lamp changes what a sound aeroplane shows there, elsewhere nothing."""
    row = Distorts("lamp", {"out": {"lit": 1.0}}, {"power": ("low",)})
    net = _net(row, known=(CauseAt("set-high", PLACE),))
    lamp = net.library.questions["lamp"]

    assert net.instruments.shown(lamp, PLACE, {"power": "low"})[0, 1] == pytest.approx(0.98)
    assert np.allclose(net.instruments.shown(lamp, PLACE, {"power": "high"}), np.eye(2))


def test_a_lamp_out_at_power_does_not_clear_a_switch_set_high() -> None:
    """Lit at idle and out at run-up speaks for the setting, not for a wire to earth."""
    at = "no3-engine"

    def found(value: str, power: str) -> Finding:
        return Finding("pressure-lamp", at, value, State("", {"power": power, "booster": "off"}))

    gauge = Finding("fuel-pressure", at, "normal", State("", {"power": "low", "booster": "off"}))
    step = Diagnosis(bench("four-engine-injection"), engine=False).see(
        [found("lit", "low"), gauge, found("out", "high")]
    )
    chance = {str(c): p for c, p in step.posterior.ranking()}

    high = chance["pressure-switch-set-high@no3-pressure-switch"]
    assert high > 3.0 * chance["warning-wire-earthed@no3-warning-circuit"]
    assert high > 3.0 * chance["pressure-switch-stuck-made@no3-pressure-switch"]
