"""What an apprentice may do, what it costs, and what a real instructor would refuse."""

from __future__ import annotations

from dataclasses import replace

from training.training_kit import PRESSURE_LOW, STRAINER, attempt, made_safe, plane, reading

from diagnose.model import AEROPLANE, CauseAt, Finding
from diagnose.planner import Action
from diagnose.training.attempt import NO_START, WORK

SMELL = Finding("fuel-smell", "aeroplane", "cabin", known_by="told")
RUN = ("fuel-pressure", "engine", "run-up-booster-off")


def test_no_run_before_it_is_known_safe_and_ready() -> None:
    """Unknown gates, then missing precautions, refuse a run; each is a safety step skipped."""
    a = attempt(plane())
    assert a.ask(reading(*RUN)) is None
    assert "not known safe" in a.state.refusals[-1]["why"]
    for gate in a.bench.planner.catalogue.gates:
        a.ask(gate)
    assert a.ask(reading(*RUN)) is None
    assert "chocks" in a.state.refusals[-1]["why"]
    assert [e["safety"] for e in a.state.refusals] == [True, True]
    a.confirm()
    assert a.ask(reading(*RUN)) is not None
    assert len(a.state.refusals) == 2
    assert a.state.starts == 1


def test_a_line_typed_twice_is_no_second_step_skipped() -> None:
    """Sent back for a step, he is not counted again until he has made it and skips it anew."""
    a = attempt(plane())
    for _ in range(3):
        a.ask(reading(*RUN))
    assert (len(a.state.refusals), len(a.state.skipped)) == (3, 1)
    first, *others = a.bench.planner.catalogue.gates
    a.ask(first)
    a.ask(reading(*RUN))
    assert len(a.state.skipped) == 1, "the rest of what he was sent back for"
    for gate in others:
        a.ask(gate)
    a.ask(reading(*RUN))
    a.ask(reading(*RUN))
    assert len(a.state.skipped) == 2, "what must be in place is another step"
    a.confirm()
    a.ask(reading(*RUN))
    a.check("inspect-strainer-element", "strainer")
    for gate in a.bench.planner.catalogue.gates:
        a.ask(gate)
    a.ask(reading(*RUN))
    assert len(a.state.skipped) == 3, "after the strainer was open it must be in place again"


def test_the_next_start_is_made_ready_anew_and_leaves_nothing_out() -> None:
    """Chocks and guard were there a minute ago: he is sent to look round, and it is not counted."""
    a = attempt(plane())
    made_safe(a)
    a.ask(reading(*RUN))
    a.shut_down()
    assert a.ask(reading("engine-behaviour", "engine", "idle-booster-off")) is None
    assert "'ready'" in a.state.refusals[-1]["why"]
    assert not a.state.skipped


def test_power_alone_asks_for_no_chocks() -> None:
    """Chocks matter only where a propeller turns, as in a job."""
    a = attempt(plane())
    for gate in a.bench.planner.catalogue.gates:
        a.ask(gate)
    assert a.ask(reading("booster-pressure", "engine", "static-booster-on")) is None
    assert "chocks" not in a.state.refusals[-1]["why"]
    assert "fire guard" in a.state.refusals[-1]["why"]


def test_what_was_asked_for_too_soon_is_named_with_its_run_state() -> None:
    """'Fuel in the engine bay, booster on' is not safe unseen; to look with power off always is."""
    a = attempt(plane())
    a.ask(reading("engine-bay-leak", "engine", "static-booster-on"))
    assert "[Static, booster on]" in a.state.refusals[-1]["what"]


def test_what_is_gone_is_said_in_words() -> None:
    """The hiss is lost once the cap was off."""
    a = attempt(plane())
    a.ask(reading("tank-dipped", "left-tank", "static"))
    assert a.ask(reading("cap-hiss", "left-tank", "static")) is None
    assert a.state.refusals[-1]["why"] == "what it would show is gone: it was opened"


def test_what_was_found_unsafe_and_run_all_the_same_is_counted_again() -> None:
    """To look, find a leak and ask for a run is another thing than not to look."""
    a = attempt(plane(CauseAt("hose-cracked", "hose"), "severe"))
    a.ask(reading(*RUN))
    for gate in a.bench.planner.catalogue.gates:
        a.ask(gate)
    a.ask(reading(*RUN))
    assert [e["why"].split(";")[0].split(".")[0] for e in a.state.skipped] == [
        "not known safe",
        "not safe",
    ]


def test_a_danger_found_is_said_at_once_and_once() -> None:
    """What stops a job on a real aeroplane stops an exercise, by the same rules."""
    a = attempt(plane(told=(SMELL,)), told=(SMELL,))
    (said,) = a.heed()
    assert "cabin" in said.lower()
    assert a.heed() == ()
    assert [e["event"] for e in a.log.events] == ["opened", "danger"]


def test_no_run_with_a_known_leak() -> None:
    """What was found unsafe bars every run and pump, whatever is confirmed."""
    a = attempt(plane(CauseAt("hose-cracked", "hose"), told=(SMELL,)), told=(SMELL,))
    made_safe(a)
    assert a.ask(reading(*RUN)) is None
    assert "not safe" in a.state.refusals[-1]["why"]
    starts = a.state.starts
    assert a.name(CauseAt("strainer-plugged", "strainer"), 0.5) == ""
    assert a.state.starts == starts, "no verification run is made over a leak"


def test_a_start_and_a_setting_are_paid_for_once_while_they_last() -> None:
    """The second reading of one run costs its minute; after a shut-down a start is due again."""
    a = attempt(plane())
    made_safe(a)
    first, again = reading(*RUN), reading("engine-behaviour", "engine", "run-up-booster-off")
    state = first.run_state
    assert state is not None
    assert a.price(Action((first,))) == (1.0 + state.minutes + state.start_minutes, 1)
    a.ask(first)
    assert a.price(Action((again,))) == (2.0, 0)
    a.ask(again)
    a.shut_down()
    assert a.price(Action((again,)))[1] == 1
    assert a.ask(again) is None, "what was confirmed before the first start is used up"
    assert a.state.minutes == sum(e.get("minutes", 0) for e in a.log.events)


def test_opening_the_system_opens_the_gates_again() -> None:
    """What was dry before a strainer was opened says nothing of its seal now."""
    a = attempt(plane())
    made_safe(a)
    found = a.check("inspect-strainer-element", "strainer")
    assert found is not None
    assert found.check
    a.confirm()
    assert a.ask(reading(*RUN)) is None
    assert "not known safe" in a.state.refusals[-1]["why"]


def test_access_is_paid_for_once() -> None:
    """The cowling is off already for the second check behind it."""
    a = attempt(plane())
    before, _ = a.price(Action(check="inspect-strainer-seal", at="strainer"))
    a.check("inspect-strainer-element", "strainer")
    assert a.price(Action(check="inspect-strainer-seal", at="strainer"))[0] < before


def test_an_engine_that_does_not_start_is_tried_and_stays_stopped() -> None:
    """Whoever asks for a run finds out that it does not start, at the price of the try."""
    cause = CauseAt("air-locked-after-draining", "supply-line")
    seeds = (s for s in range(40) if plane(cause, seed=s).will_not_start("engine"))
    a = attempt(plane(cause, seed=next(seeds)), told=())
    made_safe(a)
    assert a.ask(reading(*RUN)) is None
    assert a.state.refusals[-1]["why"] == NO_START
    assert not a.state.refusals[-1]["safety"]
    assert [f.value for f in a.state.findings.values() if f.question == "engine-start"] == [
        "no-start"
    ]
    assert reading(*RUN).key in a.situation().asked


def test_what_is_not_at_hand_is_refused_and_is_no_fault_of_his() -> None:
    """People, tools and leave to run the engine are the instructor's to give."""
    a = attempt(plane(), hands=1, may_run=False, tools=())
    assert a.check("inspect-strainer-element", "strainer") is None
    assert "not at hand" in a.state.refusals[-1]["why"]
    for gate in a.bench.planner.catalogue.gates:
        a.ask(gate)
    assert a.ask(reading(*RUN)) is None
    assert a.state.refusals[-1]["why"] == "no engine may be run here"
    assert not any(e["safety"] for e in a.state.refusals)


def test_a_wrong_part_costs_its_work_and_the_trouble_stays() -> None:
    """Naming goes on until the part is right; the right part with another failure is told apart."""
    a = attempt(plane())
    made_safe(a)
    assert a.name(CauseAt("engine-pump-worn", "engine-pump"), 0.9) == ""
    assert a.state.minutes >= WORK
    assert not a.state.over
    first = dict(a.step().posterior.ranking())
    assert first[CauseAt("engine-pump-worn", "engine-pump")] < 0.05
    assert a.name(CauseAt("strainer-iced", "strainer"), 0.6) == "part"
    assert a.state.solved == "part"
    assert a.state.over
    other = attempt(plane())
    made_safe(other)
    assert other.name(STRAINER, 0.6) == "cause"


def test_nobody_proves_his_work_in_a_run_without_having_looked_for_leaks() -> None:
    """Naming is refused and counted while no gate was looked at, unless looking proves the work."""
    a = attempt(plane())
    assert a.name(STRAINER, 0.9) is None
    assert "look first: fuel in the engine bay" in a.state.refusals[-1]["why"]
    assert (len(a.state.skipped), a.state.minutes, a.state.namings) == (1, 0.0, ())
    by_looking = next(
        c for c in a.bench.net.instances
        if a.bench.library.causes[c.cause].verify_needs == "nothing" and c.at != "strainer"
    )  # fmt: skip
    assert a.name(by_looking, 0.9) == ""
    assert (a.state.starts, a.state.minutes) == (0, WORK)


def test_a_smell_that_the_report_tells_of_is_looked_at_before_work_is_proved_in_a_run() -> None:
    """What was told dangerous is known by no look; told safe it need not be looked at again."""
    smelt = Finding("fuel-smell", AEROPLANE, "cabin", known_by="told")
    for value, refusals in (("cabin", 1), ("none", 0)):
        a = attempt(plane(), told=(replace(smelt, value=value),))
        for gate in a.bench.planner.catalogue.gates:
            if gate.question != "fuel-smell":
                a.ask(gate)
        a.name(STRAINER, 0.9)
        assert [r["why"].count("smell of fuel") for r in a.state.refusals] == [1] * refusals


def test_an_engine_that_stops_is_started_again_for_another_run_state() -> None:
    """What it showed there is of the one run; to go on costs a start, made ready anew."""
    run = reading("engine-behaviour", "engine", "run-up-booster-off")
    stops = (p for p in (plane(seed=s) for s in range(50)) if p.reading(run).value == "stops")
    a = attempt(next(stops))
    made_safe(a)
    assert a.ask(run) is not None
    assert a.state.died
    assert a.price(Action((reading(*RUN),)))[1] == 0
    idle = reading("fuel-pressure", "engine", "idle-booster-off")
    assert a.price(Action((idle,)))[1] == 1
    assert a.ask(idle) is None
    assert "say 'ready'" in a.state.refusals[-1]["why"]
    a.confirm()
    assert a.ask(idle) is not None
    assert (a.state.starts, a.state.died) == (2, False)


def test_his_own_list_is_kept() -> None:
    """Parts struck off stand so until they are put back."""
    a = attempt(plane(), told=(PRESSURE_LOW,))
    a.clear("left-cap")
    a.clear("hose")
    a.keep("hose")
    assert a.state.cleared == {"left-cap"}
    assert a.state.keeps_list
