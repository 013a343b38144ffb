"""A good reading before or after a bad one is read as what it says about time."""

from __future__ import annotations

from dataclasses import replace

from diagnosis.shipped import KNOWLEDGE, library

from diagnose.in_time import read_in_time
from diagnose.knowledge_files import list_layouts, load_layout
from diagnose.model import Finding, State
from diagnose.signs import signs_of


def _runs(value: str, stage: str, tank: str = "", epoch: int = 0) -> Finding:
    settings = {"tank": tank} if tank else {}
    return Finding("engine-behaviour", "engine", value, State(stage, settings), epoch=epoch)


def _told(*findings: Finding) -> list[tuple[str, str]]:
    return [(f.question, f.value) for f in read_in_time(findings, library())]


def test_a_good_run_up_before_a_loss_in_the_climb_tells_how_long_it_ran_well() -> None:
    """The good finding becomes 'ran well for minutes'; the bad one stays as it was told."""
    assert _told(_runs("normal", "run-up"), _runs("fades", "climb")) == [
        ("good-running-before", "minutes"),
        ("engine-behaviour", "fades"),
    ]


def test_a_tank_named_only_later_does_not_hide_that_it_ran_well_before() -> None:
    """States that differ in no stated setting but the stage tell one story."""
    told = _told(_runs("normal", "run-up"), _runs("stops", "climb", tank="left-tank"))
    assert told[0] == ("good-running-before", "minutes")


def test_a_good_run_on_the_ground_afterwards_tells_that_it_went_off() -> None:
    """The loss in the climb is kept, and the later good run says that it went by itself."""
    assert _told(_runs("fades", "climb"), _runs("normal", "run-up")) == [
        ("engine-behaviour", "fades"),
        ("still-there", "gone"),
    ]


def test_a_good_climb_says_nothing_of_a_bad_run_up_told_after_it() -> None:
    """It came on during running only where the bad stage follows the good one in a flight."""
    told = _told(_runs("normal", "climb"), _runs("fades", "run-up"))
    assert told == [("engine-behaviour", ""), ("engine-behaviour", "fades")]


def test_two_answers_for_one_stage_are_a_correction() -> None:
    """An answer given again for the same stage is left for the later one to replace."""
    findings = (_runs("normal", "run-up"), _runs("fades", "run-up"))
    assert read_in_time(findings, library()) == findings


def test_a_smell_that_went_off_at_another_stage_was_there() -> None:
    """Run states make no difference to a smell, so a later 'none' corrects only its own stage."""
    smelt = Finding("fuel-smell", "aeroplane", "cabin", State("climb"))
    later = Finding("fuel-smell", "aeroplane", "none", State("cruise"))
    same = replace(later, state=State("climb"))
    assert _told(smelt, later) == [("fuel-smell", "cabin"), ("fuel-smell", "")]
    assert _told(later, smelt) == [("fuel-smell", ""), ("fuel-smell", "cabin")]
    assert read_in_time((smelt, same), library()) == (smelt, same)


def test_another_power_or_another_tank_is_another_thing() -> None:
    """Idle good and run-up bad, or one tank good and the other bad, is evidence as it stands."""
    power = (_runs("normal", "idle"), _runs("fades", "run-up"))
    tanks = (_runs("normal", "run-up", "left-tank"), _runs("fades", "climb", "right-tank"))
    assert read_in_time(power, library()) == power
    assert read_in_time(tanks, library()) == tanks


def test_a_verification_run_after_a_repair_is_not_read_as_gone_by_itself() -> None:
    """Findings of different epochs are never paired."""
    findings = (_runs("fades", "climb"), _runs("normal", "run-up", epoch=1))
    assert read_in_time(findings, library()) == findings


def test_a_stated_time_outweighs_the_one_read_from_the_pair() -> None:
    """Where the question was answered, the good finding drops out instead of answering again."""
    stated = Finding("good-running-before", "aeroplane", "long")
    told = _told(stated, _runs("normal", "run-up"), _runs("fades", "climb"))
    assert told == [
        ("good-running-before", "long"),
        ("good-running-before", ""),
        ("engine-behaviour", "fades"),
    ]


def _engines_said(*findings: Finding) -> dict[str, str]:
    """Return what is known of how each engine of the four runs, by place and stage's power."""
    layout = load_layout(list_layouts(KNOWLEDGE)["four-engine-injection"])
    read = read_in_time(findings, library())
    return {
        f"{s.place} {dict(s.known)['power']}": s.value
        for s in signs_of(read, library(), layout)
        if s.question == "engine-behaviour"
    }


def test_a_good_finding_read_as_time_still_says_that_the_others_were_normal() -> None:
    """All four ran well at the run-up, then no. 2 faded: nos. 1, 3 and 4 were still normal."""
    good = replace(_runs("normal", "run-up"), at="no2-engine", others_normal=True)
    bad = replace(_runs("fades", "climb"), at="no2-engine")

    assert _engines_said(good, bad) == {
        "no1-engine high": "normal",
        "no3-engine high": "normal",
        "no4-engine high": "normal",
        "no2-engine high": "fades",
    }


def test_a_good_finding_that_drops_out_still_says_that_the_others_were_normal() -> None:
    """Where the time was answered outright the pair adds no second answer, but loses no other."""
    good = replace(_runs("normal", "run-up"), at="no2-engine", others_normal=True)
    bad = replace(_runs("fades", "climb"), at="no2-engine")
    stated = Finding("good-running-before", "aeroplane", "long")

    assert _engines_said(stated, good, bad) == _engines_said(good, bad)
