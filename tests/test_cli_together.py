"""A run of several readings at the terminal: one card, answered in one go or one by one."""

from __future__ import annotations

from pathlib import Path

import pytest
from diagnosis.shipped import bench
from job.test_bundle import SINGLE, readings

from diagnose.cli.job.talk import Talk
from diagnose.cli.job.together import answered_in_one_go, card_lines, in_order
from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry
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
def job(tmp_path: Path) -> Job:
    """Return a new job on an invented single."""
    return Job.open(Registry(tmp_path), bench(SINGLE), "2026-11-25", "Fades on the run-up.")


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
