"""Folding the events of a log: what each does to the job, and that stepping back undoes it."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.job.keeping.events import UNDOABLE, fold, last_undoable
from diagnose.job.keeping.finding_data import finding_as_json, finding_of
from diagnose.job.keeping.shapes import wrong_with
from diagnose.model import KNOWN_BY, CauseAt, Finding, State, Work

AT = "2026-11-25T10:00:00+00:00"
NAMES = st.sampled_from(["alpha", "beta", "gamma"])
TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=8)

FINDINGS = st.builds(
    Finding,
    NAMES,
    NAMES,
    TEXT,
    st.builds(State, TEXT, st.dictionaries(NAMES, TEXT, max_size=3)),
    st.sampled_from(KNOWN_BY),
    st.booleans(),
    st.booleans(),
    st.none() | st.floats(allow_nan=False, allow_infinity=False),
    TEXT,
    TEXT,
    st.integers(0, 5),
)

READINGS = st.lists(NAMES, min_size=3, max_size=3)
PAIRS = st.lists(NAMES, min_size=2, max_size=2)
OF_FINDING = st.builds(finding_as_json, FINDINGS)


def kind(name: str, **carries: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    """Return events of one kind, not yet numbered."""
    return st.fixed_dictionaries({"event": st.just(name), **carries})


EVENTS = st.one_of(
    kind("answered", finding=OF_FINDING, reading=st.none() | READINGS),
    kind("checked", finding=OF_FINDING, check=PAIRS, destroys=st.lists(NAMES, max_size=2)),
    kind("not-checked", reading=READINGS),
    kind("not-checked", check=PAIRS),
    kind("changed", of=st.integers(1, 8), finding=OF_FINDING),
    kind("withdrawn", of=st.integers(1, 8)),
    kind("work", what=NAMES, place=NAMES),
    kind(
        "at-hand", tools=st.none() | st.lists(NAMES), hands=st.integers(1, 3), may_run=st.booleans()
    ),
    kind("acknowledged", hazard=NAMES),
    kind("confirmed", item=NAMES),
    kind("rectified", cause=NAMES, place=NAMES),
    kind("intervened", lost=NAMES),
    kind("verified", gone=st.booleans()),
    kind("note", text=TEXT),
    kind("run"),
    kind("part-found", cause=NAMES, place=NAMES),
    kind("first-page", left=st.integers(0, 2)),
    kind("paused"),
    kind("resumed"),
    kind("stopped"),
)


def numbered(events: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return events as a log would hold them, behind an opening."""
    opened = {"event": "opened", "layout": "l", "edition": "e", "reported": "r"}
    return [{**e, "n": n, "at": AT} for n, e in enumerate([opened, *events], start=1)]


def stepped_back(log: list[dict[str, Any]]) -> dict[str, Any]:
    """Return the event that stepping back once appends."""
    last = last_undoable(log)
    assert last is not None
    return {"event": "stepped-back", "of": last["n"], "n": len(log) + 1, "at": AT}


@settings(max_examples=150)
@given(st.lists(EVENTS, max_size=12), st.data())
def test_stepping_back_n_times_is_folding_without_the_last_n(
    events: list[dict[str, Any]], data: st.DataObject
) -> None:
    """The state after n steps back is that of a log in which those n events never stood."""
    log = numbered(events)
    undoable = [e["n"] for e in log if e["event"] in UNDOABLE]
    times = data.draw(st.integers(0, len(undoable)))
    longer = list(log)
    for _ in range(times):
        longer.append(stepped_back(longer))
    gone = set(undoable[len(undoable) - times :])
    assert fold(longer) == fold([e for e in log if e["n"] not in gone])
    if times == len(undoable):
        assert last_undoable(longer) is None


@settings(max_examples=60)
@given(st.lists(EVENTS, max_size=8), EVENTS, st.lists(EVENTS, max_size=4))
def test_what_was_stepped_back_from_stays_gone_when_work_goes_on(
    before: list[dict[str, Any]], taken: dict[str, Any], after: list[dict[str, Any]]
) -> None:
    """Events after a step back fold as if the event taken back had never been."""
    log = numbered([*before, taken])
    if taken["event"] not in UNDOABLE:
        return
    log.append(stepped_back(log))
    later = [{**e, "n": len(log) + k, "at": AT} for k, e in enumerate(after, start=1)]
    kept = [e for e in log if e["n"] != len(log) - 1]
    assert fold([*log, *later]) == fold([*kept, *later])


@settings(max_examples=200)
@given(FINDINGS)
def test_a_finding_comes_back_from_json_as_it_went(finding: Finding) -> None:
    """Every field of a finding survives the log."""
    text = json.dumps(finding_as_json(finding))
    assert finding_of(json.loads(text)) == finding


@settings(max_examples=100)
@given(FINDINGS)
def test_a_finding_as_kept_passes_the_check_of_the_log(finding: Finding) -> None:
    """What the program writes, the program accepts."""
    event = {"n": 2, "at": AT, "event": "answered", "finding": finding_as_json(finding)}
    assert wrong_with(event, 2) == ""


def folded(*events: dict[str, Any]) -> Any:
    """Fold events given without numbers."""
    return fold(numbered(list(events)))


def test_changing_and_withdrawing_keep_the_number_of_the_answer() -> None:
    """A correction stands for the answer it corrects; a withdrawal removes it."""
    a, b = Finding("q", "p", "low"), Finding("q", "p", "high")
    first = {"event": "answered", "finding": finding_as_json(a)}
    changed = {"event": "changed", "of": 2, "finding": finding_as_json(b)}
    assert folded(first, changed).findings == {2: b}
    assert folded(first, changed, {"event": "withdrawn", "of": 2}).findings == {}


def test_a_run_asks_for_every_caution_and_confirmation_again() -> None:
    """What was read and confirmed for one run does not serve the next."""
    state = folded(
        {"event": "acknowledged", "hazard": "propeller"},
        {"event": "confirmed", "item": "chocks"},
        {"event": "run"},
    )
    assert state.acknowledged == frozenset()
    assert state.confirmed == frozenset()
    assert state.engine_runs == 1


@pytest.mark.parametrize(
    "work",
    [
        {"event": "rectified", "cause": "c", "place": "p"},
        {"event": "intervened", "lost": "draining"},
        {"event": "disturbed", "disturbs": ["strainer opened"]},
        {"event": "resumed"},
    ],
)
def test_work_and_a_break_take_back_what_was_confirmed_for_a_run(work: dict[str, Any]) -> None:
    """'No line left open' and 'fire guard in view' hold only until work or a change of people."""
    said = {"event": "confirmed", "item": "no line, cock or tank left open by earlier work"}
    assert folded(said).confirmed
    assert folded(said, work).confirmed == frozenset()


def test_whoever_takes_a_job_up_again_reads_the_cautions_and_keeps_the_stops() -> None:
    """Cautions read by one shift are not read by the next; a danger acted on stays acted on."""
    state = folded(
        {"event": "acknowledged", "hazard": "open-tank"},
        {"event": "acknowledged", "hazard": "stop smell aeroplane"},
        {"event": "paused"},
        {"event": "resumed"},
    )
    assert state.acknowledged == {"stop smell aeroplane"}


def test_a_repair_and_an_intervention_each_begin_an_epoch() -> None:
    """Signs before and after are kept apart; the cause is gone from its epoch on."""
    repair = {"event": "rectified", "cause": "c", "place": "p"}
    state = folded(repair, {"event": "intervened", "lost": "cooling"})
    assert state.epoch == 2
    assert state.rectified == {CauseAt("c", "p"): 1}
    assert "cooling" in state.lost


FOUND = {"event": "part-found", "cause": "c", "place": "p"}


@pytest.mark.parametrize(
    ("events", "phase"),
    [
        ([], "open"),
        ([FOUND], "part-found"),
        (["stopped"], "stopped"),
        (["stopped", "resumed"], "open"),
        ([FOUND, "paused", "resumed"], "part-found"),
    ],
)
def test_phase_follows_the_events(events: list[str | dict[str, Any]], phase: str) -> None:
    """Pausing changes nothing; only a stopped job is opened again by resuming."""
    assert folded(*({"event": e} if isinstance(e, str) else e for e in events)).phase == phase


def test_trouble_still_there_opens_the_job_again() -> None:
    """A verification run that fails is not the end; one that passes is verified."""
    repair = {"event": "rectified", "cause": "c", "place": "p"}
    assert folded(repair, {"event": "verified", "gone": False}).phase == "open"
    assert folded(repair, {"event": "verified", "gone": True}).phase == "verified"


def test_work_told_wrongly_is_withdrawn_like_a_finding() -> None:
    """Withdrawn, it lifts no odds any more; stepping back from that brings it back."""
    work = {"event": "work", "what": "repainted", "place": "aeroplane"}
    assert not folded(work, {"event": "withdrawn", "of": 2}).before
    again = folded(work, {"event": "withdrawn", "of": 2}, {"event": "stepped-back", "of": 3})
    assert again.before == (Work("repainted", "aeroplane"),)


def test_stepping_back_never_reaches_work_that_came_with_the_file() -> None:
    """It was kept in one group with the job itself, which would go with it."""
    work = {"n": 3, "event": "work", "what": "repainted", "place": "x", "source": "file of X-ONE"}
    assert last_undoable([{"n": 1, "event": "opened"}, work]) is None


def test_work_before_and_what_is_at_hand_are_kept() -> None:
    """Work adds up, what is at hand is what was said last."""
    state = folded(
        {"event": "work", "what": "repainted", "place": "aeroplane"},
        {"event": "at-hand", "tools": None, "hands": 2, "may_run": True},
        {"event": "at-hand", "tools": ["mirror"], "hands": 1, "may_run": False},
    )
    assert state.before == (Work("repainted", "aeroplane"),)
    assert (state.tools, state.hands, state.may_run) == (frozenset({"mirror"}), 1, False)
