"""The shipped knowledge is clean, and a mistake made in it is found: mutations in memory."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

import pytest
from diagnosis.shipped import KNOWLEDGE, LAYOUTS, library
from lint.shipped_kit import PLUGGED, WORN, Mutate, item, items_of, layouts, without

from diagnose import lint
from diagnose.lint.waivers import apply, read_waivers
from diagnose.model import Combination, Library, LookAlike, Produces, Symptom


def test_the_shipped_knowledge_is_clean() -> None:
    """Nothing is found that is not waived with a reason, and every waiver still fires."""
    codes = lint.chosen((), (), model=False)
    found = lint.look(lint.Base(library(), layouts()), codes)
    stands, waived = apply(found, read_waivers(KNOWLEDGE), codes, whole=True)
    assert [str(f) for f in stands] == []
    assert len(waived) <= 12, "a waiver is for what cannot be mended, not for what is tedious"
    assert set(LAYOUTS) == set(layouts())


# ---------------------------------------------------------------------- mutations


def copy_of(folder: str, name: str, new: str, **changes: Any) -> Mutate:
    """Return a mutation that adds a copy of one item under a new id."""

    def mutate(lib: Library) -> Library:
        items = dict(getattr(lib, folder))
        items[new] = replace(items[name], id=new, **changes)
        changed: dict[str, Any] = {folder: items}
        return replace(lib, **changed)

    return mutate


def no_row_gives(effect: str, value: str) -> Mutate:
    """Return a mutation that takes every row for a value out of all causes."""

    def mutate(lib: Library) -> Library:
        causes = {
            name: replace(
                c, produces=tuple(r for r in c.produces if (r.effect, r.value) != (effect, value))
            )
            for name, c in lib.causes.items()
        }
        return replace(lib, causes=causes)

    return mutate


def wanted_and_not(symptom: Symptom) -> Combination:
    """Return a condition that wants its own first part and its contrary."""
    return Combination(
        "all", (symptom.when, Combination("not", (symptom.when,), symptom.origin)), symptom.origin
    )


def first_row(**changes: Any) -> Callable[[tuple[Produces, ...]], tuple[Produces, ...]]:
    """Return a change of the first row of a cause."""
    return lambda rows: (replace(rows[0], **changes), *rows[1:])


def state(**changes: str) -> Callable[[Mapping[str, str]], Mapping[str, str]]:
    """Return a change of the aeroplane state of a check."""
    names = {key.replace("_", "-"): value for key, value in changes.items()}
    return lambda old: {**old, **names}


ALWAYS = {"slight": 0.98, "half": 0.98, "severe": 0.98}

MUTATIONS: Mapping[str, tuple[Mutate, str]] = {
    "RULE-01": (
        item("symptoms", "booster-restores", at=("jettison-control",)),
        "symptoms/booster-restores",
    ),
    "RULE-02": (
        item("symptoms", "sticks-at-one-level", points_to=(), against=(), warns="", stops=""),
        "symptoms/sticks-at-one-level",
    ),
    "RULE-04": (
        lambda lib: item(
            "symptoms", "alcohol-aboard", when=wanted_and_not(lib.symptoms["alcohol-aboard"])
        )(lib),
        "symptoms/alcohol-aboard",
    ),
    "RULE-06": (no_row_gives("tank-sample", "alcohol"), "symptoms/alcohol-aboard"),
    "RULE-08": (copy_of("symptoms", "alcohol-aboard", "zz-again"), "symptoms/zz-again"),
    "RULE-10": (item("symptoms", "alcohol-aboard", points_to=(WORN,)), "symptoms/alcohol-aboard"),
    "RULE-11": (
        item("symptoms", "low-at-every-power", against=("pump-relief-stuck-open",), points_to=()),
        "symptoms/low-at-every-power",
    ),
    "ROW-02": (
        item("causes", PLUGGED, produces=lambda rows: (*rows, rows[0])),
        f"causes/{PLUGGED}",
    ),
    "ROW-03": (
        item(
            "causes",
            PLUGGED,
            produces=lambda rows: (
                *rows,
                *(
                    replace(r, how_often=ALWAYS)
                    for r in rows
                    if r.effect == "engine-running" and r.value == "stops"
                ),
            ),
        ),
        f"causes/{PLUGGED}",
    ),
    "ROW-04": (
        item(
            "causes",
            PLUGGED,
            produces=first_row(how_often={"severe": 1e-5}, said={"severe": ".00001"}),
        ),
        f"causes/{PLUGGED}",
    ),
    "ROW-05": (
        item(
            "causes",
            PLUGGED,
            produces=first_row(how_often={"severe": 0.02}, said={"severe": "never"}),
        ),
        f"causes/{PLUGGED}",
    ),
    "ROW-06": (
        item("causes", "pump-relief-set-high", produces=first_row(at="other-engines")),
        "causes/pump-relief-set-high",
    ),
    "CAUSE-01": (item("causes", PLUGGED, only_if={"feed": "nothing"}), f"causes/{PLUGGED}"),
    "CAUSE-03": (
        item("causes", WORN, produces=lambda rows: (replace(rows[0], effect="unread"),)),
        f"causes/{WORN}",
    ),
    "CAUSE-04": (item("causes", PLUGGED, silent_on=()), f"causes/{PLUGGED}"),
    "USE-01": (
        copy_of("questions", "fuel-smell", "idle-question", reads="idle-effect", gate=""),
        "questions/idle-question",
    ),
    "USE-04": (no_row_gives("tank-sample", "alcohol"), "effects/tank-sample"),
    "USE-05": (copy_of("checks", "dip-every-tank", "idle-check"), "checks/idle-check"),
    "USE-08": (copy_of("sources", "ac-43-13-1b", "idle-source"), "sources/idle-source"),
    "TWICE-01": (
        item(
            "causes",
            "pressure-gauge-stuck",
            produces=first_row(effect="metering-pressure", value="low"),
        ),
        "causes/pressure-gauge-stuck",
    ),
    "ALIKE-01": (copy_of("causes", PLUGGED, "zz-again"), f"causes/{PLUGGED} + causes/zz-again"),
    "TEXT-01": (item("causes", PLUGGED, rectify="Clean as necessary."), f"causes/{PLUGGED}"),
    "TEXT-02": (item("questions", "fuel-smell", why=""), "questions/fuel-smell"),
    "TEXT-03": (item("hazards", "bonding", sources=()), "hazards/bonding"),
    "TEXT-04": (item("effects", "smell", because="Smell."), "effects/smell"),
    "SHARED-02": (copy_of("checks", "dip-every-tank", "zz-dip"), "checks/zz-dip"),
    "WORD-01": (
        item("hazards", "bonding", text="Bond " + "this and " * 12 + "that."),
        "hazards/bonding",
    ),
    "WORD-02": (item("hazards", "bonding", text="Bond it. " * 8), "hazards/bonding"),
    "WORD-03": (
        item("checks", "dip-every-tank", aim="The tanks are dipped."),
        "checks/dip-every-tank",
    ),
    "WORD-04": (
        item("checks", "dip-every-tank", aim="Dip them; you must."),
        "checks/dip-every-tank",
    ),
    "WORD-05": (item("checks", "feel-cock", bad="Grit. Do not force it."), "checks/feel-cock"),
    "WORD-06": (item("hazards", "bonding", text="Bond it if it is wet."), "hazards/bonding"),
    "SAFE-01": (
        item("checks", "inspect-strainer-element", aeroplane=state(power="on")),
        "checks/inspect-strainer-element",
    ),
    "SAFE-02": (
        item(
            "checks",
            "inspect-unions-witness",
            close_out="Tighten the union.",
            aeroplane=state(line_pressure="normal"),
        ),
        "checks/inspect-unions-witness",
    ),
    "SAFE-03": (
        item("checks", "inspect-line-bore", aim="Blow through the line and look."),
        "checks/inspect-line-bore",
    ),
    "SAFE-04": (
        item("checks", "inspect-strainer-element", aeroplane=state(engine="running")),
        "checks/inspect-strainer-element",
    ),
    "SAFE-05": (
        item("checks", "inspect-strainer-element", aeroplane=state(ventilation="any")),
        "checks/inspect-strainer-element",
    ),
    "SAFE-06": (
        item("checks", "compare-master-gauge", hazards=without("running-engine")),
        "checks/compare-master-gauge",
    ),
    "SAFE-07": (
        item("symptoms", "booster-burning", stops="Look at the pump."),
        "symptoms/booster-burning",
    ),
    "SAFE-08": (
        item("causes", "transfer-pump-dead", rectify_hazards=()),
        "causes/transfer-pump-dead",
    ),
    "SAFE-09": (
        item("symptoms", "booster-burning", warns="Crack the union with the engine running."),
        "symptoms/booster-burning",
    ),
    "MEND-01": (
        item("causes", "hot-soak-vapour", verify="Run up: steady."),
        "causes/hot-soak-vapour",
    ),
    "MEND-02": (item("causes", PLUGGED, verify_needs="power"), f"causes/{PLUGGED}"),
    "MEND-03": (item("causes", WORN, rectify="Overhaul or change the pump."), f"causes/{WORN}"),
    "MEND-04": (
        item("causes", "alcohol-fuel-swelling", rectify="Drain it and renew the seals."),
        "causes/alcohol-fuel-swelling",
    ),
    "SAFE-10": (
        item("checks", "time-transfer", destroys=()),
        "checks/time-transfer",
    ),
    "SHARED-04": (
        item("questions", "delivery-test", tools=("container", "watch")),
        "checks/bench-test-booster",
    ),
    "SHARED-05": (
        item("checks", "inspect-strainer-seal", access_minutes=25.0),
        "checks/inspect-strainer-seal",
    ),
    "FIT-01": (
        item("checks", "inspect-strainer-element", aim="Open the cross-feed and look."),
        "checks/inspect-strainer-element",
    ),
    "FIT-03": (item("questions", "pressure-lamp", only_if={}), "questions/pressure-lamp"),
    "FIT-02": (item("checks", "swap-pressure-gauges", only_if={}), "checks/swap-pressure-gauges"),
}
"""Code -> (a mistake made in the shipped library, the item it is found at)."""


def with_idle_effect(lib: Library) -> Library:
    """Return the library with one effect that nothing gives, for the questions to read."""
    return replace(
        lib,
        effects={
            **lib.effects,
            "idle-effect": replace(lib.effects["smell"], id="idle-effect"),
            "unread": replace(lib.effects["metering-pressure"], id="unread", reading=""),
        },
    )


@pytest.mark.parametrize("code", sorted(MUTATIONS))
def test_a_mistake_in_the_shipped_knowledge_is_found(code: str) -> None:
    """One mistake made in memory is found at its item, and was not there before."""
    mutate, where = MUTATIONS[code]
    sound = with_idle_effect(library())
    assert where in items_of(mutate(sound), code)
    assert where not in items_of(sound, code)


def test_a_look_alike_may_say_what_it_likes() -> None:
    """Only instructions are held to the command form; what tells causes apart is told."""
    look = LookAlike(WORN, "That one should be poorest at low speed.")
    changed = item("causes", PLUGGED, look_alikes=(look,))(library())
    assert f"causes/{PLUGGED}" not in items_of(changed, "WORD-04")


def test_a_tank_is_emptied_before_a_part_of_it_is_opened() -> None:
    """A valve, sender or pump taken out of a full tank lets all of it out over whoever does it."""
    opened = [
        c
        for c in library().checks.values()
        if "line" in c.disturbs
        and re.search(r"drained|emptied|lowered", c.disturbs.get("tank", ""))
    ]
    assert len(opened) >= 7
    for check in opened:
        assert "first, by the approved data" in check.aim.partition(". ")[0], check.id


@pytest.mark.parametrize(
    ("folder", "act", "hazard"),
    [
        ("checks", "inspect-strainer-element", "hot-exhaust"),
        ("checks", "trace-tank-leak", "wing-height"),
        ("checks", "test-pressure-switch", "bonding"),
        ("checks", "test-pressure-switch", "ignition-sources"),
        ("checks", "inspect-strainer-seal", "lead-and-skin"),
        ("checks", "prove-cut-off", "lead-and-skin"),
        ("questions", "delivery-test", "open-fuel-part"),
        ("questions", "tank-dipped", "wing-height"),
        ("questions", "cap-hiss", "bonding"),
        ("checks", "check-unusable-quantity", "ignition-sources"),
        ("questions", "fill-quantity", "lead-and-skin"),
    ],
)
def test_what_is_opened_drawn_or_climbed_to_calls_for_its_caution(
    folder: str, act: str, hazard: str
) -> None:
    """A cowling is hot, a cap is high and lets vapour out, fuel runs over whose hands draw it."""
    mutate = item(folder, act, hazards=without(hazard))
    assert f"{folder}/{act}" in items_of(mutate(library()), "SAFE-06")


@pytest.mark.parametrize(
    ("folder", "act", "mistake"),
    [
        ("checks", "check-relief-setting", {"disturbs": {"control": "relief adjuster moved"}}),
        ("questions", "delivery-test", {"tools": ("watch",)}),
        ("questions", "fill-quantity", {"destroys": ()}),
    ],
)
def test_what_an_act_takes_leaves_and_destroys_is_listed(
    folder: str, act: str, mistake: dict[str, Any]
) -> None:
    """A gauge is signed back, a container stands ready, and a cap taken off ends the hiss."""
    assert f"{folder}/{act}" in items_of(item(folder, act, **mistake)(library()), "SAFE-10")
