"""The ranking as people see it: like parts that nothing tells apart stand on one line."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.belief import Posterior
from diagnose.job.diagnosis import Diagnosis
from diagnose.job.ranking import ALIKE, grouped
from diagnose.model import Finding, State


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
    levels = [round(g.probability, 12) for g in groups]
    assert levels == sorted(levels, reverse=True)


def test_parts_stand_together_until_a_finding_tells_them_apart() -> None:
    """Water in left or right tank is one line; water seen in the left only makes two of it."""

    def water(*findings: Finding) -> list[tuple[str, ...]]:
        groups = grouped(seen(*findings))
        return [
            tuple(c.at for c in g.causes) for g in groups if g.causes[0].cause == "water-in-fuel"
        ]

    assert [set(at) for at in water(WET, ROUGH)] == [{"left-fuel", "right-fuel"}]
    assert water(WET, ROUGH, LEFT, RIGHT) == [("left-fuel",), ("right-fuel",)]
