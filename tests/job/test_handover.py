"""A handover: what is proved, open and believed, what is next, and who confirms each line."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from job.job_kit import PRESSURE_LOW, again, open_job, opened_up

from diagnose.errors import UsageError
from diagnose.job.day.handover import give, lines, take
from diagnose.job.diagnosis import Bench
from diagnose.job.job import Job
from diagnose.model import KnownBy
from diagnose.planner import Action, Plan


def test_a_handover_says_proved_open_believed_next_and_beware(tmp_path: Path, bench: Bench) -> None:
    """A check is proved, a ranking believed; the open strainer is told to beware of."""
    job = opened_up(tmp_path, bench)
    job.checked("inspect-strainer", "strainer", "clean")
    text = {kind: " ".join(x.text for x in lines(job) if x.kind == kind) for kind in KINDS}
    assert "Look at the element, main strainer: nothing (seen)" in text["proved"]
    assert "strainer opened" in text["open"]
    assert "no run and no pump" in text["beware"]
    assert text["believed"]
    assert text["next"]
    keys = [x.key for x in lines(job)]
    assert len(keys) == len(set(keys))


KINDS = ("proved", "open", "beware", "believed", "next")


@pytest.mark.parametrize(("known_by", "kind"), [("measured", "proved"), ("told", "believed")])
def test_what_was_measured_is_proved_and_what_was_told_is_believed(
    tmp_path: Path, bench: Bench, known_by: KnownBy, kind: str
) -> None:
    """A low pressure counts as shown only when test kit showed it."""
    job = open_job(tmp_path, bench)
    job.answer(replace(PRESSURE_LOW, known_by=known_by))
    (n,) = job.state.findings
    assert [x.kind for x in lines(job) if x.key.split()[-1] == str(n)] == [kind]


def test_what_was_put_right_is_no_longer_handed_over_as_believed(
    tmp_path: Path, bench: Bench
) -> None:
    """What is mended is proved; the others stay believed."""
    job = open_job(tmp_path, bench)
    job.answer(PRESSURE_LOW)
    first = job.step().posterior.ranking()[0][0]
    assert f"believed {first}" in [x.key for x in lines(job)]
    job.record("rectified", cause=first.cause, place=first.at, what="cleaned")
    keys = [x.key for x in lines(job)]
    assert f"believed {first}" not in keys
    assert f"proved {first}" in keys
    assert any(k.startswith("believed ") for k in keys)


def test_what_is_next_at_a_part_found_is_its_repair(tmp_path: Path, bench: Bench) -> None:
    """A check has confirmed it: whoever takes over mends it, and reads nothing more first."""
    job = opened_up(tmp_path, bench)
    job.checked("inspect-strainer", "strainer", "plugged")
    (found,) = [c for c in [job.found(job.step())] if c]
    cause = bench.library.causes[found.cause]
    told = [x.text for x in lines(job) if x.kind == "next"]
    assert told[0].startswith(f"a check confirms: {cause.title}")
    assert f"Rectify: {cause.rectify}" in told
    assert not any("expected to save" in text for text in told)
    text = {x.key: x.text for x in lines(job)}
    assert text[f"proved {found}"].startswith("found by a check, not mended yet: ")
    assert f"believed {found}" not in text

    job.record("rectified", cause=found.cause, place=found.at, what="cleaned")
    job.record("verified", gone=False)
    text = {x.key: x.text for x in lines(job)}
    assert "next found" not in text
    assert "verification in" not in text.get("next 0", "")
    assert "the trouble stayed" in text[f"proved {found}"]


@pytest.mark.parametrize("worth_it", [True, False])
def test_a_check_hardly_worth_its_time_is_handed_over_as_such(
    tmp_path: Path, bench: Bench, monkeypatch: pytest.MonkeyPatch, worth_it: bool
) -> None:
    """The next person is told that what comes next is only the next one down the ranking."""
    job = open_job(tmp_path, bench)
    plan = Plan(Action(check="inspect-strainer", at="strainer"), (), False, worth_it)
    monkeypatch.setattr(Job, "plan", lambda *_, deadline: plan)
    keys = [x.key for x in lines(job) if x.kind == "next"]
    assert keys == (["next action"] if worth_it else ["next worth", "next action"])


def test_every_line_is_confirmed_by_the_next_person_and_by_no_other(
    tmp_path: Path, bench: Bench
) -> None:
    """The giver cannot confirm; an objection is kept and told at the next handover."""
    job = opened_up(tmp_path, bench)
    give(job, "AB")
    keys = list(job.state.handover)
    with pytest.raises(UsageError, match="the next person"):
        take(job, keys[0], "AB")
    with pytest.raises(UsageError, match="not confirmed"):
        give(job, "AB")
    for key in keys[:-1]:
        take(job, key, "CD")
    assert list(again(job).state.handover) == keys[-1:]
    take(job, keys[-1], "CD", "bowl is on the bench")
    assert not job.state.handover
    assert "bowl is on the bench" in " ".join(x.text for x in lines(job))
    with pytest.raises(UsageError, match="no line of the handover"):
        take(job, keys[-1], "CD")
