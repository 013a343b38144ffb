"""The ranking as people see it: like parts that nothing tells apart stand on one line."""

from __future__ import annotations

import pytest
from diagnosis.shipped import LAYOUTS, bench

from diagnose.belief import UNKNOWN, Posterior
from diagnose.job.diagnosis import Diagnosis
from diagnose.job.ranking import ALIKE, Group, conflicts, grouped
from diagnose.model import CauseAt, Finding, State


def seen(*findings: Finding, layout: str = "low-wing-single") -> Posterior:
    """Return the belief after ``findings``."""
    return Diagnosis(bench(layout), engine=False).see(findings).posterior


WET = Finding("rained-on", "aeroplane", "wet", State(), "seen")
ROUGH = Finding("engine-behaviour", "engine", "rough", State("climb"), "told")
LEFT = Finding("tank-drain-sample", "left-tank", "water", State(), "seen")
RIGHT = Finding("tank-drain-sample", "right-tank", "clean", State(), "seen")


@pytest.mark.parametrize("findings", [(), (WET, ROUGH), (WET, ROUGH, LEFT, RIGHT)])
def test_lines_share_out_every_cause_and_its_chance(findings: tuple[Finding, ...]) -> None:
    """Each cause stands on exactly one line; the chances of a line add up; the best come first."""
    posterior = seen(*findings)
    chance = dict(posterior.ranking())
    groups = grouped(posterior)
    listed = [c for g in groups for c in g.causes]
    assert sorted(map(str, listed)) == sorted(map(str, chance))
    for g in groups:
        assert g.probability == pytest.approx(sum(chance[c] for c in g.causes))
        assert len({c.cause for c in g.causes}) == 1
        assert min(chance[c] for c in g.causes) >= ALIKE * chance[g.causes[0]]
    levels = [round(g.standing, 12) for g in groups]
    assert levels == sorted(levels, reverse=True)


def test_what_nobody_listed_stands_where_its_likeliest_part_would() -> None:
    """It is every unlisted failure at every part: as one line it would go before single causes."""
    posterior = seen(ROUGH)
    order = [c for c, _ in posterior.ranking()]
    chance, place = dict(posterior.ranking()), order.index(UNKNOWN)
    likeliest = chance[UNKNOWN] * posterior.strangers.sum(axis=1).max()
    assert all(chance[c] >= likeliest for c in order[:place])
    assert all(chance[c] <= likeliest for c in order[place + 1 :])
    assert chance[order[place - 1]] < chance[UNKNOWN]


def test_parts_stand_together_until_a_finding_tells_them_apart() -> None:
    """Water in left or right tank is one line; water seen in the left only makes two of it."""

    def water(*findings: Finding) -> list[tuple[str, ...]]:
        groups = grouped(seen(*findings))
        return [
            tuple(c.at for c in g.causes) for g in groups if g.causes[0].cause == "water-in-fuel"
        ]

    assert [set(at) for at in water(WET, ROUGH)] == [{"left-fuel", "right-fuel"}]
    assert water(WET, ROUGH, LEFT, RIGHT) == [("left-fuel",), ("right-fuel",)]


def test_the_parts_of_a_line_share_the_words_they_share() -> None:
    """All of more than two are named as any; of some, or of two, each stays named."""
    b = bench("low-wing-twin")
    tanks = ("port-aux", "port-main", "starboard-aux", "starboard-main")
    water = tuple(CauseAt("water-in-fuel", f"{t}-fuel") for t in tanks)
    mode = b.library.causes["water-in-fuel"].title

    assert Group(water, 0.1, 0.1).short(b) == f"{mode}, fuel in any tank (4 alike)"
    assert Group(water[:3], 0.1, 0.1).short(b) == (
        f"{mode}, fuel in the port auxiliary tank, the port main tank or the starboard auxiliary "
        "tank"
    )
    assert Group(water[:1], 0.1, 0.1).short(b) == f"{mode}, fuel in the port auxiliary tank"
    magnetos = tuple(CauseAt("magneto-failing", e) for e in b.places.engines)
    assert (
        Group(magnetos, 0.1, 0.1)
        .short(b)
        .endswith(", no. 1 engine (port) or no. 2 engine (starboard) [not fuel]")
    )


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_short_line_names_every_part_or_any(layout: str) -> None:
    """Nothing is lost by shortening: the last words of each part stand there, or their number."""
    b = bench(layout)
    groups: dict[str, list[CauseAt]] = {}
    for c in b.planner.catalogue.net.instances:
        groups.setdefault(c.cause, []).append(c)
    for causes in groups.values():
        line = Group(tuple(causes), 0.1, 0.1).short(b)
        named = [b.places.label(c.at).split(" of ")[-1].split(" in ")[-1] for c in causes]
        assert f"({len(causes)} alike)" in line or all(x in line for x in named), line


def test_a_gate_found_safe_since_is_no_contradiction() -> None:
    """The screen itself asks for it: 'when it is found none, type: add smell of fuel'."""
    b = bench("low-wing-single")
    smells = [Finding("fuel-smell", "aeroplane", v, known_by="seen") for v in ("outside", "none")]
    assert conflicts(b, Diagnosis(b, engine=False).see(smells)) == []
    parked = [Finding("days-parked", "aeroplane", v) for v in ("in-use", "long")]
    assert conflicts(b, Diagnosis(b, engine=False).see(parked)), "what else is told unlike is told"
