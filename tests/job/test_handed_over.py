"""What a handover says: believed as the screen said it, and what can be seen no more."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from diagnosis.shipped import bench as shipped
from job.job_kit import PRESSURE_LOW, open_job, tiny_bench

from diagnose.cli.job.screens import possible
from diagnose.job.day.handover import lines
from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry
from diagnose.model import Finding, State


def test_like_parts_are_handed_over_together_and_as_likely_as_the_screen_says(
    tmp_path: Path,
) -> None:
    """'Likely' of two tanks on the screen is no 'possible' of each on paper, nor two initials."""
    job = Job.open(Registry(tmp_path), shipped("high-wing-single"), "2026-11-25", "Water.")
    job.answer(Finding("strainer-drain-sample", "strainer", "water", State("static"), "seen"))
    step = job.step()
    shown = possible(job.bench, step, 4, numbers=False)[1:]
    first = next(x.text for x in lines(job) if x.kind == "believed")
    word, _, said = first.partition(": ")
    assert " ".join(f"{word} {said}".split()) in " ".join(" ".join(shown).split())
    assert "left tank" in said
    assert "right tank" in said


def test_evidence_gone_is_named_with_what_took_it_away(tmp_path: Path) -> None:
    """'Gone with rectifying' told nobody what was gone, nor that nothing had been rectified."""
    job = Job.open(Registry(tmp_path), shipped("low-wing-single"), "2026-11-25", "It is stiff.")
    job.checked("feel-cock", "selector", "seized")
    done = job.record("intervened", what="replaced", place="left-vent", lost="rectifying")
    text = {x.key: x.text for x in lines(job) if x.key.startswith("beware lost")}
    felt = text["beware lost-moving selector"]
    assert felt.startswith("can be seen no more since Feel the cock from stop to stop, fuel select")
    assert "): handle as found, fuel selector; Note how the cock or valve was found" in felt
    replaced = text["beware lost-rectifying"]
    assert f"no more since it was replaced, left tank vent (entry {done['n']}): " in replaced
    assert not any("rectifying" in said for said in text.values())


def test_what_was_seen_otherwise_since_is_handed_over_no_more(tmp_path: Path) -> None:
    """A pressure that was low before the repair and is normal now sends nobody looking for it."""
    job = open_job(tmp_path / "jobs", tiny_bench(tmp_path))
    job.answer(PRESSURE_LOW)
    job.record("rectified", cause="strainer-plugged", place="strainer", what="cleaned")
    assert any("below the band" in x.text for x in lines(job))
    job.answer(replace(PRESSURE_LOW, value="normal", number=None, typed=""))
    assert not any("below the band" in x.text for x in lines(job))


def test_what_was_worked_on_before_it_came_is_handed_over(tmp_path: Path) -> None:
    """It is the first thing the next shift would ask."""
    job = Job.open(
        Registry(tmp_path), shipped("low-wing-twin"), "2026-11-25", "Surged on one tank."
    )
    job.record("work", what="linkage parted for inspection", place="starboard-selector-linkage")
    told = [x.text for x in lines(job)]
    assert (
        "worked on before it came: linkage parted for inspection, starboard selector linkage"
        in told
    )
