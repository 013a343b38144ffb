"""An answer left open, 'fades or stops', is typed, kept and shown as it is, never as one."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from diagnosis.shipped import bench, library

from diagnose.casebook.writing import case_text
from diagnose.errors import UsageError
from diagnose.in_time import read_in_time
from diagnose.job.answers import read_answer
from diagnose.job.choices import choose_some
from diagnose.job.confirming import confirmed
from diagnose.job.diagnosis import open_gates
from diagnose.job.job import Job
from diagnose.job.keeping.finding_data import finding_as_json, finding_of
from diagnose.job.keeping.log import JobLog
from diagnose.job.keeping.registry import Registry
from diagnose.job.wording import finding_line
from diagnose.knowledge_files import load_case
from diagnose.model import Case, CauseAt, Finding, State
from diagnose.report import build

SINGLE = "low-wing-single"
RUNS = library().questions["engine-behaviour"]
LOST = Finding("engine-behaviour", "engine", "fades", State("climb"), "told",
               one_of=("fades", "stops"))  # fmt: skip


@pytest.mark.parametrize("typed", ["fades or stops", "2 or 3", "stops or fades told", "3 OR 2"])
def test_several_answers_are_typed_by_name_or_number(typed: str) -> None:
    """In the question's own order, so that one set is one answer; how it is known stands behind."""
    answer = read_answer(typed, RUNS, bench(SINGLE).layout)
    assert (answer.value, answer.one_of) == ("fades", ("fades", "stops"))
    assert answer.known_by == ("told" if "told" in typed else None)


def test_an_or_within_an_answers_own_words_is_one_answer() -> None:
    """'surges or hunts' is how one answer is called."""
    answer = read_answer("surges or hunts", RUNS, bench(SINGLE).layout)
    assert (answer.value, answer.one_of) == ("surges", ())


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("1 or 2 or 3 or 4 or 5", "is every answer there is; type 'not checked'"),
        ("fades or flies", "'flies' is not one of the answers"),
        ("fades or stops 2 of 5", "a count of tries is of one answer"),
    ],
)
def test_what_says_nothing_or_is_no_answer_is_told(typed: str, says: str) -> None:
    """One line, and nothing is kept."""
    with pytest.raises(UsageError, match=says):
        read_answer(typed, RUNS, bench(SINGLE).layout)


def test_two_figures_are_not_one_of_several_answers() -> None:
    """A gauge showed one figure."""
    pressure = library().questions["fuel-pressure"]
    with pytest.raises(UsageError, match="more than one figure"):
        read_answer("9 psi or 10 psi", pressure, bench(SINGLE).layout)


def test_it_is_told_in_words_that_it_is_not_known_which() -> None:
    """On every screen, with both answers."""
    line = finding_line(bench(SINGLE), LOST)
    assert "'loses power gradually, or will not give full power' or 'stops, or" in line
    assert "not known which [climb] (told)" in line


def test_the_log_the_record_and_the_case_file_keep_it(tmp_path: Path) -> None:
    """Read back it is the same finding; a log without the key is one known answer."""
    kept = json.loads(json.dumps(finding_as_json(LOST)))
    assert finding_of(kept) == LOST
    del kept["one_of"]
    assert finding_of(kept).one_of == ()

    job = Job.open(Registry(tmp_path), bench(SINGLE), "2026-11-25", "lost power")
    job.answer(LOST)
    checks = library().checks["inspect-strainer-element"].results
    some = choose_some("1 or 2", checks)
    job.checked("inspect-strainer-element", "strainer", some[0], one_of=some)
    again = Job(job.name, JobLog(job.log.path), job.bench, job.registry)
    assert [f.one_of for f in again.findings] == [("fades", "stops"), some]
    rows = [r for s in build(again).sections if s.id in ("findings", "checks") for r in s.rows]
    assert ["not known which" in str(r.get("answer")) for r in rows] == [True, True]

    case = Case("x", "invented", SINGLE, "r", (), (LOST,), (again.findings[1],), (CauseAt("", ""),))
    file = tmp_path / "x.yaml"
    file.write_text(case_text(case))
    read = load_case(file, library(), bench(SINGLE).layout)
    assert read.findings[0].one_of == ("fades", "stops")
    assert read.examination[0].one_of == some


def test_a_gate_stays_shut_while_it_is_not_known_which(tmp_path: Path) -> None:
    """'Dry or damp' is not dry: no run on it."""
    b = bench(SINGLE)
    gate = open_gates(b, ())[0]
    safe = b.library.questions[gate.question].gate
    other = next(c for c in b.library.questions[gate.question].classes if c != safe)
    dry = Finding(gate.question, gate.place, safe, gate.state)
    assert gate not in open_gates(b, [dry])
    assert gate in open_gates(b, [replace(dry, one_of=(safe, other))])


def test_a_check_left_open_confirms_nothing() -> None:
    """A cause is found by the one result that shows it."""
    b, cause = bench(SINGLE), CauseAt("strainer-plugged", "strainer")
    check = next(c for c in library().causes["strainer-plugged"].checks if c.at == "itself")
    shown = Finding(check.check, "strainer", check.result, check=True)
    other = next(r for r in library().checks[check.check].results if r != check.result)
    assert confirmed(b, cause, [shown])
    assert not confirmed(b, cause, [replace(shown, one_of=(check.result, other))])


def test_good_then_lost_power_came_on_during_running_however_it_was_lost() -> None:
    """A set without the normal answer is surely bad; one with it tells nothing of time."""
    good = Finding("engine-behaviour", "engine", "normal", State("run-up"))
    told = read_in_time((good, LOST), library())
    assert [f.question for f in told] == ["good-running-before", "engine-behaviour"]
    unsure = replace(LOST, value="normal", one_of=("normal", "fades"))
    assert read_in_time((good, unsure), library()) == (good, unsure)
