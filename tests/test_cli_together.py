"""A run of several readings at the terminal: one card, answered in one go or one by one."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench
from job.test_bundle import SINGLE, readings
from session_kit import a_job, run

from diagnose.cli.job.prompts import Commands
from diagnose.cli.job.session import Session
from diagnose.cli.job.talk import Again, Talk
from diagnose.cli.job.together import (
    answered_alike,
    answered_in_one_go,
    card_lines,
    in_order,
    results_of,
)
from diagnose.job.job import Job
from diagnose.model import Finding, State
from diagnose.planner import Action

RUN = Action((*readings()[1:], readings()[0]), minutes=22.0)


class Typed(Talk):
    """A talk with lines typed beforehand; keeps what was said."""

    def __init__(self, *lines: str) -> None:
        super().__init__()
        self.lines, self.said = list(lines), []  # type: list[str], list[str]

    def line(self, prompt: str) -> str:
        """Return the next line."""
        return self.lines.pop(0)

    def say(self, lines: object = "") -> None:
        """Keep what would be printed."""
        self.said += [lines] if isinstance(lines, str) else list(lines)  # type: ignore[call-overload]  # lines of text


@pytest.fixture
def job() -> Job:
    """Return a new job on an invented single."""
    return a_job(SINGLE, report="Fades on the run-up.")


def test_a_run_is_announced_once_with_its_settings_and_its_readings() -> None:
    """One start, when to stop, what to write, and a numbered box for each reading."""
    text = "\n".join(card_lines(bench(SINGLE), RUN))
    flat = " ".join(text.split())

    assert text.startswith("ENGINE RUN: one start, 3 readings, about 22 min")
    assert "Stop: Fuel smelt or a leak seen" in text
    assert flat.count("limit low 3 psi, high 8 psi (invented for this layout") == 1
    order = ["Idle, booster off", "  1  [", "Run-up, booster off", "  2  [", "  3  ["]
    assert [text.index(x) for x in order] == sorted(text.index(x) for x in order)
    assert in_order(bench(SINGLE), RUN)[0].key[2] == "idle-booster-off"


def test_what_is_typed_in_one_go_is_kept_as_one_group(job: Job) -> None:
    """Answers and what was left out stand together, in the order of the card."""
    talk = Typed("1: 3 gal", "1: 2.5 psi, 3: normal")
    assert answered_in_one_go(talk, job, RUN)

    kept = job.log.events[-3:]
    assert [e["event"] for e in kept] == ["answered", "not-checked", "answered"]
    assert [e["part"] for e in kept] == [[1, 3], [2, 3], [3, 3]]
    assert [f.typed for f in job.findings] == ["2.5 psi", ""]
    assert any("which gallon" in line for line in talk.said)
    assert any("engine: not checked" in line and "  2  " in line for line in talk.said)
    job.step_back()
    assert job.findings == ()


def test_enter_leaves_them_to_be_asked_one_by_one(job: Job) -> None:
    """Nothing is kept, and nothing counts as not checked."""
    before = len(job.log.events)

    assert not answered_in_one_go(Typed(""), job, RUN)
    assert len(job.log.events) == before


TANKS = ("left-tank", "right-tank")


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("as-booked", {"left-tank": "as-booked", "right-tank": "as-booked"}),
        ("1: 2, 2: as-booked", {"left-tank": "short", "right-tank": "as-booked"}),
        ("2: empty", {"right-tank": "empty"}),
        ("1: cannot tell, 2: empty", {"right-tank": "empty"}),
        ("0", {}),
    ],
)
def test_a_check_of_several_places_takes_one_answer_for_each(
    typed: str, shown: dict[str, str]
) -> None:
    """One word says it of all; a place left out, or 'cannot tell', is not known."""
    dip = bench(SINGLE).library.checks["dip-every-tank"]
    found = results_of(Typed(typed), dip, TANKS)
    assert {at: f.value for at, f in found.items()} == shown


def test_tanks_dipped_in_one_go_are_one_page_and_one_entry(job: Job) -> None:
    """Each tank has its answer, what cannot be told is kept as such, and all goes back together."""
    doing = Session(job).doing
    talk = Typed("1: short, 2: cannot tell", "a foot short", "")
    doing.talk = talk
    doing._check(Action(check="dip-every-tank", at=TANKS[0], also=TANKS[1:], minutes=10.0))

    page = "\n".join(talk.said)
    assert page.count("CHECK:") == 1
    assert "  1: left tank\n  2: right tank" in page
    assert "alone says it of both; else by number, as '1: ..., 2: -'" in " ".join(page.split())
    assert [e["event"] for e in job.log.events[-2:]] == ["checked", "not-checked"]
    assert job.state.done >= {("dip-every-tank", at) for at in TANKS}
    assert [(f.at, f.value) for f in job.findings] == [("left-tank", "short")]
    job.step_back()
    assert job.findings == ()


def test_tools_taken_out_once_lie_about_once(job: Job) -> None:
    """One stick dips two tanks: one is counted back, and no paper."""
    job.checked_together([Finding("dip-every-tank", at, "short", check=True) for at in TANKS])
    out = [d for d in job.state.disturbed.values() if d.kind == "tool"]
    assert [d.what for d in out] == ["dip-stick"]


def test_taking_back_says_how_much_was_typed_in_one_go(
    job: Job, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two answers of one line go together; naming one alone would leave the other for granted."""
    talk = Typed("1: 2.5 psi, 3: normal")
    assert answered_in_one_go(talk, job, RUN)
    with pytest.raises(Again):
        Commands(job).words()["back"]("")
    said = " ".join(capsys.readouterr().out.split())
    assert "with the 2 typed before it in one go" in said


BIPLANE = ("upper-tank", "header-tank")


def sampled(job: Job) -> list[tuple[str, str]]:
    """Return where what was drained, and what it was."""
    return [(f.at, f.value) for f in job.findings]


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        (["clean"], ["clean", "clean"]),
        (["all water"], ["water", "water"]),
        (["2", "1: clean, 2: water"], ["clean", "water"]),
    ],
)
def test_what_is_amiss_at_several_places_is_told_with_its_place(
    typed: list[str], kept: list[str]
) -> None:
    """A number typed for the prompt before would stand in the record for each tank."""
    job = a_job("header-biplane", report="It stopped.")
    drains = [
        r
        for r in job.bench.planner.catalogue.readings
        if r.question == "tank-drain-sample" and r.place in BIPLANE
    ]
    talk = Typed(*typed)
    assert answered_alike(talk, job, drains)
    assert sampled(job) == list(zip(BIPLANE, kept, strict=True))
    assert any("'water' at which of the 2?" in said for said in talk.said) is (len(typed) > 1)


def test_a_check_at_several_places_asks_where_it_found_something() -> None:
    """'Brim full' is seldom so of every tank; that they agree with the book often is."""
    check = bench("header-biplane").library.checks["dip-every-tank"]
    talk = Typed("gained", "1: gained, 2: as-booked")
    assert {at: f.value for at, f in results_of(talk, check, BIPLANE).items()} == {
        "upper-tank": "gained",
        "header-tank": "as-booked",
    }
    assert len(results_of(Typed("as-booked"), check, BIPLANE)) == 2
    assert len(results_of(Typed("both gained"), check, BIPLANE)) == 2


def test_a_card_line_mistyped_is_typed_again_and_no_other() -> None:
    """Twelve lines in the cold are not lost for one comma."""
    job = a_job(
        SINGLE,
        Finding("engine-behaviour", "engine", "fades", State("run-up"), "told"),
        report="Fades on the run-up.",
    )
    run("job", "runcard", job.name)
    typed = ["start: AB", "by: CD", "1: -", "2: -, 3: -", "end", "2: -", "end"]
    shown = run("job", "readings", job.name, typed=typed).output
    assert "typed:4:1: card line 2 has one box (engine) and 2 answers" in shown
    assert "Type these again, then 'end'; the rest is kept." in shown
    back = shown.partition("Read back:")[2]
    assert back.index("1  ") < back.index("2  ")
    assert "[Idle" in back or "[Run-up" in back, "which state is told"
