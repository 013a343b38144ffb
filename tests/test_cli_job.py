"""A job at the terminal where it can hurt: unsafe gates, work recorded, the wrong first answer."""

from __future__ import annotations

import pytest
from diagnosis.shipped import library
from session_kit import a_job, again, as_json, events, resumed, run

from diagnose.cli.job.before_run import confirmations, not_restored
from diagnose.cli.job.prompts import Commands
from diagnose.errors import CaseError
from diagnose.job.gates import need_of
from diagnose.job.job import Job
from diagnose.model import Finding, State
from diagnose.planner import Action, Plan

SINGLE = "low-wing-single"
RUN_UP = State("run-up", {"booster": "off"})


def opened(gates: str = "") -> Job:
    """Return a job with low pressure on the run-up, its leak gate answered ``gates``."""
    low = Finding("fuel-pressure", "engine", "low", RUN_UP, "read")
    job = a_job(SINGLE, low, report="Low pressure on the run-up.")
    for g in job.bench.planner.catalogue.gates:
        if gates:
            value = gates if g.question == "engine-bay-leak" else "none"
            job.answer(Finding(g.question, g.place, value, g.state), g)
    return job


def repaired() -> Job:
    """Return a job whose strainer was found plugged and cleaned."""
    job = opened("dry")
    job.checked("inspect-strainer-element", "strainer", "plugged")
    job.record("rectified", cause="strainer-plugged", place="strainer", what="cleaned")
    return job


def test_no_answer_is_mistaken_for_a_command() -> None:
    """No class, result or label is a command word or begins with one."""
    job = a_job(SINGLE, report="x")
    words = list(Commands(job).words())
    answers = [q.classes for q in library().questions.values()]
    answers += [c.results for c in library().checks.values()]
    for choices in answers:
        for text in (*choices, *map(str.lower, choices.values())):
            assert not any(text == w or text.startswith(w + " ") for w in words), text


def test_a_wet_engine_bay_is_not_asked_about_again_and_says_what_is_blocked() -> None:
    """After 'damp' no run is offered; the screen says why and how it is opened again."""
    job = opened("damp")
    shown = resumed(job, "done", "findings", "pause")
    assert "NO RUN, NO PUMP: fuel in the engine bay, engine" in shown
    assert "Is there fuel, or fresh fuel stain" not in shown
    assert "ENGINE RUN" not in shown


def of_need(job: Job, need: str) -> list[Action]:
    """Return a reading and a check of the layout that ask for ``need``."""
    catalogue = job.bench.planner.catalogue
    readings = (Action((r,)) for r in catalogue.readings)
    checks = (Action(check=c, at=at) for c, at in catalogue.checks)
    found = [
        next((a for a in kind if need_of(job.bench, a) == need), None)
        for kind in (readings, checks)
    ]
    return [a for a in found if a is not None]


def offer(monkeypatch: pytest.MonkeyPatch, action: Action) -> None:
    """Let the planner propose ``action`` whatever is known."""
    plan = Plan(action, (), False)
    monkeypatch.setattr(Job, "plan", lambda self, step, deadline=0.2: plan)


@pytest.mark.parametrize("kind", [0, 1], ids=["reading", "check"])
@pytest.mark.parametrize("need", ["power", "run"])
def test_nothing_under_power_or_running_is_shown_before_gates_and_confirmations(
    monkeypatch: pytest.MonkeyPatch, need: str, kind: int
) -> None:
    """Leak, smell and what a person confirms come first, whatever sort of action it is."""
    job = opened()
    offer(monkeypatch, of_need(job, need)[kind])
    # dry and no smell, but nobody has said yet that a guard is posted
    out = resumed(job, "read", "dry", "seen", "none", "seen", "none", "seen")
    order = ["Next: ", "What fuel, or fresh", "Is there a smell", "hot wiring?", "answered for by"]
    places = [out.index(part) for part in order]
    assert places == sorted(places)
    assert not [part for part in ("ENGINE RUN:", "CHECK:", "result:") if part in out]
    assert ("chocks" in out.partition("confirmed by:")[0]) == (need == "run")
    assert events("run") == []
    # with everything confirmed it is shown, so that silence above was the gate's doing
    shown = resumed(job, "all AB", "read")
    assert [part for part in ("ENGINE RUN:", "CHECK:", "answer:") if part in shown]


def test_an_unsafe_gate_ends_the_action_before_any_confirmation(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """'Damp' is followed by the stop, never by the next question of the run."""
    job = opened()
    offer(monkeypatch, of_need(job, "run")[0])
    shown = resumed(job, "read", "damp", "seen")
    assert "NO RUN, NO PUMP" in shown
    assert "answered for by name" not in shown


def test_what_nobody_answers_for_keeps_the_engine_still(monkeypatch: pytest.MonkeyPatch) -> None:
    """A line left out of the list blocks the run; the others are kept with whose word they are."""
    job = opened()
    offer(monkeypatch, of_need(job, "run")[0])
    out = resumed(job, "read", "dry", *["none"] * 2, "1: AB, 2: AB, 3: AB, 4: AB, 5: CD")
    assert "Not known: area clear of people and loose things; no line, cock" in out
    assert "ENGINE RUN:" not in out
    said = [(str(e["item"]).partition(",")[0], e["by"]) for e in events("confirmed")]
    assert said == [
        ("fuel in the engine bay", "AB"),
        ("smell of fuel", "AB"),
        ("burning smell", "AB"),
        ("chocks fore and aft of the main wheels", "AB"),
        ("fire guard with extinguisher", "CD"),
    ]


def test_a_check_with_the_engine_running_uses_up_what_was_confirmed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Chocks confirmed for one run are confirmed again for the next."""
    job = opened("dry")
    check = of_need(job, "run")[1]
    offer(monkeypatch, check)
    resumed(job, "all AB", *["read"] * 2, "0")
    assert len(events("run")) == 1
    assert "chocks fore and aft" in resumed(job).rpartition("answered for by name")[2]


def test_a_refused_confirmation_looks_for_another_way_and_keeps_the_tools(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """No chocks, no run; the list of what is at hand stays as it was said."""
    job = opened("dry")
    job.record("at-hand", tools=["mirror"], hands=1, may_run=True)
    offer(monkeypatch, of_need(job, "run")[0])
    resumed(job, "no")
    last = events("at-hand")[-1]
    assert (last["may_run"], last["hands"], last["tools"]) == (False, 1, ["mirror"])


def test_a_gate_is_left_at_its_cautions_like_any_other_look(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """'Not checked' there leaves out what asked for it; nothing is run on what is not known."""
    job = opened()
    offer(monkeypatch, of_need(job, "run")[0])
    shown = resumed(job, "not checked")
    assert "Read the cautions above first" not in shown
    assert "NO RUN, NO PUMP: fuel in the engine bay, engine: not known now" in shown
    assert events("run") == []


CLOSED = ["AB", "CD", *["AB"] * 2, "dry AB", "AB"]
"""What is typed to sign an opened strainer: restored, inspected by another, lock and power back,
leak-checked, tools counted."""


def test_the_verification_run_asks_leak_and_smell_first() -> None:
    """A strainer was opened: 'dry' from before the repair does not carry the run after it."""
    job = repaired()
    shown = resumed(job, *CLOSED, "read")
    card, gate = shown.find("Is the trouble gone"), shown.find("Before any engine")
    assert gate >= 0
    assert card == -1


def test_a_leak_after_the_repair_stops_the_verification() -> None:
    """The STOP comes before any other word of the run, and the trouble is never asked about."""
    job = repaired()
    shown = resumed(job, *CLOSED, "read", "read", "running", "seen", "done", "no")
    assert "STOP:" in shown
    assert "Is the trouble gone" not in shown
    assert events("verified") == []
    assert events("paused")


def run_it(*then: str) -> list[str]:
    """Return what is typed to get through cautions, gates and confirmations to the verification."""
    return [*CLOSED, "read", "dry", "seen", "none", "seen", "all AB", *then]


def test_gone_after_the_run_finishes_the_job_as_confirmed() -> None:
    """Found, rectified, verified, finished: four different states, in this order."""
    job = repaired()
    shown = resumed(job, *run_it("gone", "AB", "AB", *["none found"] * 5, "0"))
    assert "Verified gone after: main strainer element plugged" in shown
    assert [e["gone"] for e in events("verified")] == [True]
    assert "confirmed: main strainer element plugged" in str(events("finished")[0]["outcome"])


def test_a_follow_up_says_what_the_knowledge_asks_of_the_part() -> None:
    """By then what was shown with the part has left the screen: where the dirt came from."""
    shown = resumed(repaired(), *run_it("gone", "AB", "AB", "later"))
    asked = " ".join(shown.partition("Why did it fail")[2].split())
    assert "The knowledge says of it: Where did the dirt come from" in asked


def test_still_there_asks_the_complaint_again_and_goes_on() -> None:
    """The first answer was wrong: pressure is read again and another cause leads."""
    job = repaired()
    shown = resumed(job, *run_it("still there", "1", "pause"))
    assert "Before the repair: below the band" in shown
    last = events("answered")[-1]["finding"]
    assert last["epoch"] == 1
    assert last["value"] == "low"
    assert [e["gone"] for e in events("verified")] == [False]
    after = shown.rpartition("Still possible:")[2]
    assert after.strip()
    assert "main strainer element plugged" not in after.splitlines()[1]


def test_what_was_asked_before_a_repair_is_asked_again_after_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The planner wants it anew, so the session asks it, and does not go round and round."""
    job = repaired()
    job.record("verified", gone=False)
    smell = next(g for g in job.bench.planner.catalogue.gates if g.question == "fuel-smell")
    offered = iter([Plan(Action((smell,), minutes=1), (), False)])
    monkeypatch.setattr(Job, "plan", lambda *_, **__: next(offered))
    resumed(job, "none")
    last = events("answered")[-1]
    assert last["reading"] == list(smell.key)
    assert last["finding"]["epoch"] == 1


def test_work_done_meanwhile_is_recorded_at_any_prompt() -> None:
    """A tank drained starts a new epoch, loses the sample, and makes the gates unknown."""
    job = opened("dry")
    shown = resumed(job, "record drained left tank", "record drained", "record flown", "pause")
    assert "kept: drained, left tank" in shown
    assert "names no place" in shown
    assert "'flown' is no such work" in shown
    (event,) = events("intervened")
    assert (event["place"], event["lost"]) == ("left-tank", "draining")


def test_a_repair_can_be_recorded_before_any_check_confirms_it() -> None:
    """The person there may know better: the repair is kept and its run asked for."""
    job = opened()
    shown = resumed(
        job,
        "record rectified",
        "record rectified strainer-plugged@strainer",
        "back plate bent, element cleaned",
        "",
        "",
        "yes",
        "",
        "pause",
    )
    assert "say which cause was rectified" in shown
    (event,) = events("rectified")
    assert event["what"] == "back plate bent, element cleaned"
    assert events("stepped-back") == []
    assert "VERIFICATION RUN" in shown


def test_a_hand_over_note_is_kept_and_leaves_the_job() -> None:
    """The next shift finds the note in the record."""
    job = opened()
    shown = resumed(job, "hand over", "hand over bowl is on the bench")
    assert "say it on the same line" in shown
    (event,) = events("note")
    assert (event["text"], event["hand_over"]) == ("bowl is on the bench", "yes")
    assert "Paused; nothing is lost" in shown


def test_no_engine_runs_with_a_lock_undone_or_a_tool_in_the_bay() -> None:
    """All that a check left open, off or lying about is signed for before the verification run."""
    job = repaired()
    shown = resumed(job, *CLOSED, "read")
    before, _, after = shown.partition("WARNING Engine running")
    for left in ("locking of the bowl undone", "power off and tagged", "tools out"):
        assert left in before
        assert left not in after


def test_water_out_of_a_drain_is_answered_for_before_any_run() -> None:
    """Water in the strainer holds every engine until somebody says that no drain gives any more."""
    job = opened("dry")
    asked = "no water comes from any drain any more"
    assert not [c for c in confirmations(job, "run") if c.startswith(asked)]
    job.answer(Finding("strainer-drain-sample", "strainer", "water", State("static"), "seen"))
    assert [c for c in confirmations(job, "run") if c.startswith(asked)]
    job.record("rectified", cause="cap-seal-perished", place="left-cap", what="new seal")
    assert [c for c in confirmations(job, "run") if c.startswith(asked)], "a seal drains no tank"
    for question, at in (
        ("strainer-drain-sample", "strainer"),
        ("tank-drain-sample", "left-tank"),
        ("tank-drain-sample", "right-tank"),
    ):
        job.answer(Finding(question, at, "clean", State("static"), "seen", epoch=1))
    assert not [c for c in confirmations(job, "run") if c.startswith(asked)]


def test_a_cap_that_is_off_is_named_before_a_run_is_confirmed() -> None:
    """'Nothing left open' is not asked as if the list did not know of the filler cap."""
    job = opened("dry")
    assert not_restored(job) == []
    job.checked("inspect-cap", "left-cap", "seal-perished")
    assert "filler cap taken off" in " ".join(not_restored(job))


def test_a_stop_acted_on_is_not_told_again_once_the_leak_is_mended() -> None:
    """After the repair 'everybody out' would be said of a leak that is gone; a new one says it."""
    job = opened()
    job.answer(Finding("engine-bay-leak", "engine", "running", State("static"), "seen"))
    assert "STOP:" in resumed(job, "done")
    job = again(job)
    job.record("rectified", cause="union-loose-after-work", place="hose", what="torqued")
    assert "STOP:" not in resumed(job)


def test_the_list_of_jobs_can_be_read_by_machines() -> None:
    """The same rows as on the screen, whole."""
    job = opened()
    rows = as_json("job", "list")["jobs"]
    assert [(r["id"], r["layout"], r["state"]) for r in rows] == [
        (job.name, job.bench.layout.id, "open")
    ]


def test_a_job_of_a_layout_that_is_gone_is_told_at_its_log() -> None:
    """Nobody typed the name of the layout: the file that says it is named, and it is no usage."""
    job = opened()
    text = job.log.path.read_text(encoding="utf-8")
    job.log.path.write_text(text.replace(SINGLE, "low-wing-simple"), encoding="utf-8")
    told = run("job", "report", job.name).exception
    assert isinstance(told, CaseError)
    assert str(told).startswith(f"{job.log.path.name}:1:1: 'low-wing-simple' is not a layout")
