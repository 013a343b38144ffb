"""The simulated aeroplane answers like a real one, and always the same."""

from __future__ import annotations

import math

import numpy as np
import pytest
from diagnosis.shipped import bench
from training.training_kit import PRESSURE_LOW, SINGLE, STRAINER, plane, reading

from diagnose.errors import UsageError
from diagnose.knowledge_files import cut
from diagnose.model import GRADES, CauseAt, Finding, State
from diagnose.training.hidden import Hidden
from diagnose.training.modelled import MEANT

SIGMAS = 4.0
"""A share further from its chance than this is no chance: 1 in 16 000."""


def test_the_same_seed_is_the_same_aeroplane_in_any_order_of_asking() -> None:
    """What is asked first changes no later answer; another seed is another aeroplane."""
    readings = bench(SINGLE).planner.catalogue.readings
    one, other, third = plane(seed=3), plane(seed=3), plane(seed=4)
    forward = {r.key: one.reading(r) for r in readings}
    backward = {r.key: other.reading(r) for r in reversed(readings)}
    assert forward == backward
    assert forward != {r.key: third.reading(r) for r in readings}


def test_a_plugged_strainer_lets_the_pressure_fall_at_power_and_not_at_idle() -> None:
    """The fuel-system model answers: the loss rises with the flow, and the figures say so."""
    p = plane(STRAINER, "severe", seed=122)
    idle = p.reading(reading("fuel-pressure", "engine", "idle-booster-off"))
    power = p.reading(reading("fuel-pressure", "engine", "run-up-booster-off"))
    assert (idle.value, power.value) == ("normal", "low")
    assert idle.number is not None
    assert power.number is not None
    assert power.number < 0.5 * idle.number
    assert power.typed.endswith("psi")


@pytest.mark.parametrize("grade", GRADES)
def test_what_shows_at_height_alone_shows_in_no_run_on_the_ground(grade: str) -> None:
    """Vapour in a climb is told of, and the run-up next morning is clean."""
    p = plane(CauseAt("vapour-in-climb", "supply-line"), grade)
    runs = ("idle-booster-off", "run-up-booster-off", "run-up-booster-on")
    for question in ("fuel-pressure", "engine-behaviour"):
        shown = {p.reading(reading(question, "engine", run)).value for run in runs}
        assert shown == {"normal"}


def test_every_figure_lies_where_its_class_says() -> None:
    """Class and figure are one answer, for faults with and without a physical form."""
    questions = bench(SINGLE).library.questions
    figures = 0
    for cause in (STRAINER, CauseAt("pressure-gauge-reads-low", "pressure-gauge"),
                  CauseAt("cap-left-off", "left-cap")):  # fmt: skip
        p = plane(cause)
        for r in bench(SINGLE).planner.catalogue.readings:
            f = p.reading(r)
            if f.number is not None:
                figures += 1
                assert cut(questions[f.question], bench(SINGLE).layout, f.number) == f.value
    assert figures > 20


def test_only_the_faulty_gauge_lies() -> None:
    """A gauge that reads low is below the master gauge, which shows what is there."""
    p = plane(CauseAt("pressure-gauge-reads-low", "pressure-gauge"))
    shown = p.reading(reading("fuel-pressure", "engine", "idle-booster-off")).number
    true = p.reading(reading("test-gauge-pressure", "engine", "idle-booster-off")).number
    assert shown is not None
    assert true is not None
    assert shown < 0.85 * true
    sound = plane()
    shown = sound.reading(reading("fuel-pressure", "engine", "idle-booster-off")).number
    true = sound.reading(reading("test-gauge-pressure", "engine", "idle-booster-off")).number
    assert shown is not None
    assert true is not None
    assert abs(shown - true) < 0.1 * true


def test_checks_find_what_is_there_as_often_as_the_knowledge_says() -> None:
    """Over many aeroplanes the check of the true cause confirms it with its stated chance."""
    check = bench(SINGLE).library.causes["strainer-plugged"].checks[0]
    n = 400
    hits = sum(plane(seed=s).check(check.check, "strainer").value == check.result for s in range(n))
    assert abs(hits / n - check.chance) < SIGMAS * math.sqrt(check.chance * (1 - check.chance) / n)


@pytest.mark.parametrize("grade", GRADES)
def test_stated_effects_come_as_often_as_they_are_stated(grade: str) -> None:
    """Where the model has no say, what is there comes as often as the cause alone gives it."""
    b, cause = bench(SINGLE), CauseAt("cap-seal-perished", "left-cap")
    r, question = reading("tank-stains", "left-tank", "static"), b.library.questions["tank-stains"]
    net, k = b.net, b.net.index[cause]
    table = net.table((question.reads, "left-tank", (), 0))
    own = table.net[table.row_of(k), GRADES.index(grade)]
    shown = net.instruments.shown(question, "left-tank")
    shown = np.where(shown >= MEANT, shown, 0.0)
    shown /= shown.sum(axis=1, keepdims=True)
    expected = np.concatenate([[1.0 - own.sum()], own]) @ shown
    n = 400
    seen = [plane(cause, grade, seed=s).reading(r).value for s in range(n)]
    for share, name in zip(expected, question.classes, strict=True):
        spread = math.sqrt(max(share * (1 - share), 1 / n) / n)
        assert abs(seen.count(name) / n - share) < SIGMAS * spread
    assert np.isclose(expected.sum(), 1.0)


def test_nothing_but_the_one_fault_is_amiss() -> None:
    """No check finds what is not there, and no answer of the aeroplane itself is a slip."""
    cause, layout = CauseAt("booster-pressure-too-high", "no1-booster"), "low-wing-twin"
    b = bench(layout)
    stated = {k.check for k in b.library.causes[cause.cause].at_checks}
    finds = {
        (p.check(c, at).value, c)
        for p in (plane(cause, "severe", s, layout) for s in range(3))
        for c, at in b.planner.catalogue.checks
        if c not in stated and p.check(c, at).value != next(iter(b.library.checks[c].results))
    }
    assert not finds
    static = reading("booster-pressure", "no1-engine", "static-booster-on", layout)
    assert {plane(cause, "severe", s, layout).reading(static).value for s in range(20)} == {"high"}


def test_no_gauge_reads_beyond_its_scale() -> None:
    """A pressure above the end of the scale leaves the pointer on its stop."""
    layout = "low-wing-twin"
    r = reading("fuel-pressure", "no1-engine", "idle-booster-on", layout)
    full = bench(layout).layout.parts["no1-pressure-gauge"].numbers["full-scale"]
    cause = CauseAt("booster-pressure-too-high", "no1-booster")
    found = [plane(cause, "severe", s, layout).reading(r).number for s in range(6)]
    assert max(x for x in found if x is not None) == full


def test_what_was_told_stays_as_it_was_told() -> None:
    """The report is part of the aeroplane: asked again it is the same, and the engine starts."""
    told = Finding("engine-behaviour", "engine", "surges", State("run-up", {"booster": "off"}))
    p = plane(told=(PRESSURE_LOW, told))
    again = p.reading(reading("engine-behaviour", "engine", "run-up-booster-off"))
    assert again.value == "surges"
    assert again.known_by == "seen", "told until somebody looks"
    assert p.will_not_start("engine") is None


@pytest.mark.parametrize(
    "cause",
    [
        CauseAt("low-grade-fuel", "fuel-aboard"),
        CauseAt("fuel-used-up", "right-fuel"),
        STRAINER,
    ],
)
def test_a_run_on_the_tank_in_use_is_one_run_whether_it_is_named_or_not(cause: CauseAt) -> None:
    """The cocks stand somewhere: 'run-up' and 'run-up on the left' show one and the same."""
    keys = {r.key for r in bench(SINGLE).planner.catalogue.readings}
    twins = [
        (reading(q, at, state), reading(q, at, "run-up-left"))
        for q, at, state in keys
        if state == "run-up-booster-off" and (q, at, "run-up-left") in keys
    ]
    assert {one.question for one, _ in twins} >= {"engine-behaviour", "fuel-pressure"}
    for seed in range(3):
        p = plane(cause, seed=seed)
        for one, other in twins:
            a, b = p.reading(one), p.reading(other)
            assert (a.value, a.number) == (b.value, b.number)


def test_a_fault_that_the_layout_cannot_have_is_refused() -> None:
    """Nothing is put in that is not there."""
    with pytest.raises(UsageError, match="is no cause of layout low-wing-single"):
        plane(CauseAt("strainer-plugged", "left-tank"))
    with pytest.raises(UsageError, match="cannot be read"):
        Hidden.read("strainer-plugged strainer very-bad 3")
