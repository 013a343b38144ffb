"""How many places a sign takes, and which places count for it."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench
from rules.meaning_kit import concluded
from rules.rules_kit import found, library, question, sign, symptom

from diagnose.model import Finding, State

PRESSURE = "fuel-pressure"
FOUR, SINGLE = "four-engine-injection", "low-wing-single"


def _verdict(low: tuple[int, ...], normal: tuple[int, ...], *, every: bool) -> str | None:
    when = sign(PRESSURE, "low", at="other-engines", every=every, least=2)
    book = library([question(PRESSURE)], [symptom("s", when)])
    told = [found(PRESSURE, "low", at=f"engine-{n}") for n in low]
    told += [found(PRESSURE, "normal", at=f"engine-{n}") for n in normal]
    return concluded(book, *told, engines=4).verdict("s", "engine-1")


@pytest.mark.parametrize(
    ("low", "normal", "expected"),
    [
        ((2,), (), None),
        ((2, 3), (), "true"),
        ((2, 3), (4,), "true"),
        ((2,), (3,), None),  # engine 4 may be the second
        ((2,), (3, 4), "false"),
        ((), (3, 4), "false"),  # engine 2 would be the only one
    ],
)
def test_two_or_more_want_two_and_are_ruled_out_when_two_can_no_longer_be(
    low: tuple[int, ...], normal: tuple[int, ...], expected: str | None
) -> None:
    """One low engine is not 'more than one', nor is it yet none."""
    assert _verdict(low, normal, every=False) == expected


def test_every_one_and_two_or_more_are_asked_together() -> None:
    """All that there are must have it."""
    assert _verdict((2, 3, 4), (), every=True) == "true"
    assert _verdict((2, 3), (4,), every=True) == "false"


def _slow(*pumps: str) -> list[Finding]:
    state = State("static", {"booster": "on"})
    return [Finding("booster-noise", p, "labouring", state) for p in pumps]


def test_every_pump_of_a_bus_slow_is_its_supply_though_gauges_hang_on_it_too() -> None:
    """A gauge on the bus makes no sound and is not waited for."""
    b = bench(FOUR)
    pumps = [
        p.id
        for p in b.layout.parts.values()
        if p.bus == "port-bus" and p.kind in ("booster-pump", "transfer-pump")
    ]
    assert len(pumps) > 1

    def said(some: list[str]) -> str | None:
        told = dict(enumerate(_slow(*some)))
        return b.plain.outcome(told).verdict("pumps-weak-on-one-bus", "port-bus")

    assert said(pumps) == "true"
    assert said(pumps[:1]) is None


def test_the_one_pump_of_an_aeroplane_is_never_more_than_one() -> None:
    """With a single pump its own joint is as likely as the bus."""
    b = bench(SINGLE)
    outcome = b.plain.outcome(dict(enumerate(_slow("booster"))))
    assert outcome.verdict("pumps-weak-on-one-bus", "main-bus") is None
