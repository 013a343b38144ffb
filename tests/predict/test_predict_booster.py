"""The booster touchstone: when 'the booster brings it back' points to the engine pump.

The model is run over the whole range of damage, pump output from full to nothing and strainer
from clean to shut, and the knowledge is held to the same verdicts.
"""

from __future__ import annotations

import numpy as np
import pytest
from diagnosis.shipped import KNOWLEDGE, library
from predict.predict_kit import only_few, places, predictions

from diagnose.belief import Belief, BeliefNet
from diagnose.fuel import Fault, Readings, build, classify, from_state, readings, solve
from diagnose.fuel.properties import PSI
from diagnose.knowledge_files import list_layouts, load_layout
from diagnose.model import CauseAt, Finding, State

FLOAT = ("low-wing-single", "low-wing-twin", "four-engine-float", "radial-single-hand-pump")
OUTPUT = np.linspace(1.0, 0.0, 41)
BLOCKED = 1.0 - 10.0 ** np.linspace(0.0, -3.5, 41)
PUMP = CauseAt("engine-pump-worn", "engine-pump")
STRAINER = CauseAt("strainer-plugged", "strainer")


def swept(layout: str, kind: str) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return pressure words at run-up with booster off and on, and the rise [Pa], by damage."""
    network = build(load_layout(list_layouts(KNOWLEDGE)[layout]))
    part = next(p.id for p in network.layout.parts.values() if p.kind == kind)
    change, values = ("output", OUTPUT) if kind == "engine-pump" else ("blocked", BLOCKED)
    words, pressure = [], []
    for booster in ("off", "on"):
        state = from_state(network, {"power": "high", "booster": booster}, "run-up")
        sound = readings(network, solve(network, [state]))
        bad = solve(network, [state], [(Fault(part, change, float(v)),) for v in values])
        found = readings(network, bad)
        beside = Readings(
            {n: np.repeat(v, len(values), axis=0) for n, v in sound.values.items()}, sound.places
        )
        assert bad.converged.all()
        words.append(classify(network, bad, found, beside)["metering-pressure"][:, 0])
        pressure.append(found.values["metering-pressure"][:, 0])
    return words[0], words[1], pressure[1] - pressure[0]


@pytest.mark.parametrize("layout", FLOAT)
def test_the_booster_restores_every_weak_pump_and_hardly_any_strainer(layout: str) -> None:
    """Whatever is left of the pump, the booster restores it; of blockages only a narrow band."""
    off, on, _ = swept(layout, "engine-pump")
    assert (off == "low").sum() >= 5
    assert (on[off == "low"] == "normal").all()
    off, on, _ = swept(layout, "strainer")
    assert (off == "low").sum() >= 10
    restored = (on[off == "low"] == "normal").sum()
    assert restored <= 2
    assert restored / (off == "low").sum() < 0.1


def test_with_injection_the_booster_restores_part_of_it_for_the_pump_only() -> None:
    """A booster below the running pressure still lifts a dead pump's by 5 psi, a strainer's not."""
    off, _, rise = swept("four-engine-injection", "engine-pump")
    assert off[-1] == "low"
    assert rise[-1] > 5.0 * PSI
    off, _, rise = swept("four-engine-injection", "strainer")
    assert off[-1] == "low"
    assert rise[-1] < 1.0 * PSI


@pytest.mark.parametrize("evidence", ["stated", "model", "both"])
def test_the_belief_draws_the_same_verdicts(evidence: str) -> None:
    """Restored: the pump gains on the strainer.  Not restored: the strainer gains on the pump."""
    hook = predictions(evidence).merge  # type: ignore[arg-type]
    net = BeliefNet(only_few(), places(), hook)

    def odds(on: str) -> float:
        findings = [
            Finding("fuel-pressure", "engine", "low", State("run-up", {"booster": "off"}), "read"),
            Finding("fuel-pressure", "engine", on, State("run-up", {"booster": "on"}), "read"),
        ]
        p = dict(Belief(net).update(findings if on else findings[:1]).ranking())
        return p[PUMP] / p[STRAINER]

    assert odds("normal") > 1.5 * odds("")
    assert odds("low") < 0.5 * odds("")
    assert odds("normal") > 5.0 * odds("low")


def test_the_rules_point_the_same_way() -> None:
    """'Restores' points to the pump, 'does not restore' to the strainer and against the pump."""
    restores = library().symptoms["booster-restores"]
    does_not = library().symptoms["booster-does-not-restore"]
    assert PUMP.cause in restores.points_to
    assert PUMP.cause not in restores.against
    assert STRAINER.cause in does_not.points_to
    assert PUMP.cause in does_not.against
    assert PUMP.cause not in does_not.points_to
