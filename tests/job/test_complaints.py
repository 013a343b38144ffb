"""Several complaints: clock order, what they share, one cause or two, split and merged by word."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import lru_cache
from pathlib import Path

import pytest
from aeroplane.own_kit import GAUGE_LOW, HEAD, RUN_UP, laid, own_bench, pressure
from diagnosis.shipped import bench

from diagnose.aeroplane.fuelling import fuelled_alike, last_uplift
from diagnose.errors import UsageError
from diagnose.job.diagnosis import Bench, Diagnosis
from diagnose.job.job import Job
from diagnose.job.keeping.hangar import KEPT
from diagnose.job.keeping.log import JobLog
from diagnose.job.keeping.registry import Registry
from diagnose.job.several.complaints import OneOrTwo, clock, complaints_of, one_or_two, shared
from diagnose.job.several.splitting import goes_along, merge, split_off
from diagnose.model import Finding, Work

FOUR = "four-engine-injection"
TODAY = date(2026, 11, 25)
UPLIFTS = """\
uplifts:
  - {on: 2026-11-20, source: bowser 1, tanks: [port-middle-tank]}
  - {on: 2026-11-22, source: Bowser 2, batch: B7, tanks: [port-inner-tank, starboard-inner-tank]}
"""


@lru_cache(maxsize=1)
def fuelled() -> Bench:
    """Return the four-engined aeroplane with its uplifts."""
    return own_bench(HEAD + UPLIFTS)


@pytest.fixture
def job(tmp_path: Path) -> Job:
    """Return a job with the report placed at no. 2 and a second complaint at no. 1."""
    opened = Job.open(
        Registry(tmp_path), fuelled(), "2026-11-25", "No. 2 sagged.", aeroplane="X-ONE"
    )
    opened.record(KEPT, registration="X-ONE", edition="e", file="X-ONE.yaml", text=HEAD + UPLIFTS)
    opened.record("complaint", text="No. 1 coughed.", place="no1-engine", time="14:30", heat="hot")
    opened.record("complaint-placed", of=1, place="no2-engine", time="14:32", heat="hot")
    return opened


def words(job: Job, before: tuple[Work, ...] = ()) -> dict[str, str]:
    """Return what the complaints share: in words -> kind."""
    listed = complaints_of(job.log.events)
    return {s.words: s.kind for s in shared(job.bench, listed, before, TODAY)}


def test_complaints_stand_in_clock_order_with_their_places(job: Job) -> None:
    """The report is one of them; what has no time comes last."""
    job.record("complaint", text="Smell after.", place="aeroplane")
    assert [(c.number, c.time, c.place) for c in complaints_of(job.log.events)] == [
        (3, "14:30", "no1-engine"),
        (1, "14:32", "no2-engine"),
        (5, "", "aeroplane"),
    ]


def test_a_complaint_taken_back_is_gone(job: Job) -> None:
    """Stepping back takes the placing, then the complaint."""
    job.step_back()
    assert complaints_of(job.log.events)[-1].place == "aeroplane"
    job.step_back()
    assert len(complaints_of(job.log.events)) == 1


def test_what_two_complaints_share_is_named(job: Job) -> None:
    """Tank, fuel, bus, side, heat; and work that touches both."""
    got = words(job, (Work("selector overhauled", "aeroplane"), Work("hose", "no4-hose")))
    assert got["no. 3 tank (port inner)"] == "tank"
    assert got["Bowser 2, batch B7, 2026-11-22"] == "uplift"
    assert got["port side"] == "side"
    assert got["hot"] == "heat"
    assert got["selector overhauled, aeroplane"] == "work"
    assert not any("no. 4" in w for w in got)


def test_complaints_of_two_sides_share_no_tank(job: Job) -> None:
    """No. 3 is fed from the other side; the last uplift went into both sides."""
    job.record("complaint-placed", of=3, place="no3-engine", time="14:30")
    got = words(job)
    assert "tank" not in got.values()
    assert "side" not in got.values()
    assert got["Bowser 2, batch B7, 2026-11-22"] == "uplift"


@pytest.mark.parametrize(
    ("typed", "kept"),
    [("9:05", "09:05"), ("14.30", "14:30"), ("2026-11-25 7:00", "2026-11-25 07:00")],
)
def test_times_are_kept_in_one_form(typed: str, kept: str) -> None:
    """So that they sort."""
    assert clock(typed) == kept


@pytest.mark.parametrize("typed", ["24:00", "9", "noon", "14:60"])
def test_what_is_no_time_is_refused(typed: str) -> None:
    """One clear line."""
    with pytest.raises(UsageError):
        clock(typed)


@pytest.mark.parametrize(
    ("one", "said"),
    [(0.8, "one cause is likelier"), (0.4, "do not tell"), (0.7, "do not tell"), (0.2, "two")],
)
def test_one_cause_or_two_is_said_from_three_to_one_on(one: float, said: str) -> None:
    """Shares nearer to each other than three to one tell nothing, whichever is the greater."""
    assert said in OneOrTwo(one, 1.0 - one).word.replace("one cause or two", "")


def test_one_cause_or_two_follows_the_findings() -> None:
    """Both engines of a side low: one cause; a silent pump and another side's low: two."""
    both = [pressure("no1-engine", "low"), pressure("no2-engine", "low")]
    one = one_or_two(Diagnosis(bench(FOUR), engine=False).see(both))
    apart = [
        *(pressure(e, v) for e, v in (("no1-engine", "low"), ("no2-engine", "normal"),
                                      ("no3-engine", "normal"), ("no4-engine", "low"))),
        Finding("engine-behaviour", "no1-engine", "fades", RUN_UP),
        Finding("engine-behaviour", "no4-engine", "fades", RUN_UP),
    ]  # fmt: skip
    two = one_or_two(Diagnosis(bench(FOUR), engine=False).see(apart))
    assert one.one > two.one
    assert one.one + one.two == pytest.approx(1.0)
    assert one.word == "one cause is likelier"


def test_split_takes_findings_along_and_closes_nothing(job: Job) -> None:
    """The new job has the complaint, its place, its findings and the aeroplane's file."""
    mine = job.answer(pressure("no1-engine", "low"))
    job.answer(pressure("no2-engine", "low"))
    job.record("work", what="hose renewed", place="no1-hose")
    with pytest.raises(UsageError, match="initials"):
        split_off(job, 3, " ", "2026-11-25")
    new = split_off(job, 3, "AN", "2026-11-25")
    assert [f.at for f in new.findings] == ["no1-engine"]
    assert [f.at for f in job.findings] == ["no2-engine"]
    assert new.state.before == job.state.before
    assert new.state.opened["split_from"] == job.name
    assert complaints_of(new.log.events)[0].place == "no1-engine"
    assert [c.job for c in complaints_of(job.log.events)] == [new.name, ""]
    assert any(e["event"] == "withdrawn" and e["of"] == mine["n"] for e in job.log.events)
    assert any(e["event"] == KEPT for e in new.log.events)
    assert Job(new.name, JobLog(new.log.path), new.bench, new.registry).findings == new.findings
    with pytest.raises(UsageError, match="only complaint"):
        split_off(job, 1, "AN", "2026-11-25")


def test_a_changed_finding_goes_along_as_it_stands(job: Job) -> None:
    """Not as it was first typed."""
    from diagnose.job.keeping.finding_data import finding_as_json

    old = job.answer(pressure("no1-engine", "low"))
    new = replace(pressure("no1-engine", "high"), epoch=0)
    job.record("changed", of=old["n"], finding=finding_as_json(new))
    assert split_off(job, 3, "AN", "2026-11-25").findings[0].value == "high"


def test_merging_back_gives_the_findings_and_the_belief_again(job: Job) -> None:
    """Split and merged, the job ranks as before; the other says where it went."""
    job.answer(pressure("no1-engine", "low"))
    job.answer(pressure("no2-engine", "low"))
    before = job.step().posterior
    new = split_off(job, 3, "AN", "2026-11-25")
    merge(job, new, "AN")
    after = dict(job.step().posterior.ranking())
    assert all(after[c] == pytest.approx(p, abs=1e-9) for c, p in before.ranking())
    assert new.state.phase == "stopped"
    assert [c.text for c in complaints_of(job.log.events) if not c.job] == [
        "No. 1 coughed.", "No. 2 sagged."
    ]  # fmt: skip


def test_jobs_that_cannot_be_laid_together_are_refused(job: Job, tmp_path: Path) -> None:
    """Another aeroplane, itself, a closed one, and one with work done since."""
    other = Job.open(Registry(tmp_path), fuelled(), "2026-11-25", "x", aeroplane="X-TWO")
    for wrong in (other, job):
        with pytest.raises(UsageError):
            merge(job, wrong, "AN")
    same = Job.open(Registry(tmp_path), fuelled(), "2026-11-25", "x", aeroplane="X-ONE")
    same.record("intervened", what="drained", place="port-inner-tank", lost="draining")
    with pytest.raises(UsageError, match="work has been done"):
        merge(job, same, "AN")


def test_findings_go_along_with_their_place_and_its_parts(job: Job) -> None:
    """A strainer's sample goes with its engine, a tank's stays."""
    strainer = job.answer(Finding("strainer-drain-sample", "no1-strainer", "dirt"))
    job.answer(Finding("tank-drain-sample", "port-inner-tank", "clean"))
    assert goes_along(job, complaints_of(job.log.events)[0]) == (strainer["n"],)


def test_the_last_uplift_of_a_tank_is_its_own() -> None:
    """By tank and day; fuel taken on later does not count yet."""
    own = fuelled().layout.aeroplane
    assert own is not None
    inner = last_uplift(own, "port-inner-tank", "2026-11-25")
    assert inner is not None
    assert inner.batch == "B7"
    assert last_uplift(own, "port-inner-tank", "2026-11-21") is None


@pytest.mark.parametrize(
    ("theirs", "alike"),
    [
        ("{on: 2026-10-01, source: bowser 2, batch: b7}", True),  # the batch decides
        ("{on: 2026-11-22, source: bowser 2, batch: B8}", False),
        ("{on: 2026-11-24, source: bowser 2}", True),  # no batch: a week
        ("{on: 2026-11-10, source: bowser 2}", False),
        ("{on: 2026-11-22, source: bowser 3, batch: B7}", False),
        ("{on: 2026-11-28, source: bowser 2}", False),  # not yet
    ],
)
def test_others_fuelled_from_the_same_source_are_flagged(theirs: str, alike: bool) -> None:
    """Source and batch where both are written, else the source within a week."""
    own = fuelled().layout.aeroplane
    text = HEAD.replace("X-ONE", "X-TWO") + GAUGE_LOW + f"uplifts:\n  - {theirs}\n"
    other = laid(text).aeroplane
    assert own is not None
    assert other is not None
    found = fuelled_alike(own, [own, other], TODAY)
    assert [s.registration for s in found] == (["X-TWO"] if alike else [])
    assert [s.same_batch for s in found] == (["batch" in theirs] if alike else [])
