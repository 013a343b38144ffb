"""A seeded walk at random through whole jobs: whatever is typed, what must hold holds."""

from __future__ import annotations

import random
import re
import sys
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import pytest

from diagnose.__main__ import main
from diagnose.cli.job.doing import Doing
from diagnose.job.gates import need_of
from diagnose.job.job import Job
from diagnose.job.keeping.events import fold
from diagnose.job.keeping.log import Event, JobLog
from diagnose.job.keeping.registry import Registry
from diagnose.planner import Action

SITTINGS, LINES = 4, 35
"""Lines typed in one sitting; then the input ends, or Ctrl-C is typed."""

REPORTS = {
    "low-wing-single": "Engine faded in the climb on the left tank, pressure low, smell of fuel.",
    "radial-single-hand-pump": "Coughed at take-off, handle stiff, water in the strainer.",
    "low-wing-twin": "No. 2 surged in the cruise; gauge flickers, lamp lit at the run-up.",
    "four-engine-injection": "No. 2 fuel pressure lamp lit on the run-up, boosters off.",
}

COMMANDS = """help|ranking|numbers|cautions|why|why 2|why ²|why not|what would change|others|
similar|findings|add|add fuel pressure 9 psi|add strainer|add smell of fuel in the cabin|
add engine stopped|change 1|change ²|change water|withdraw 2|back|back|note latch loose|
record drained left tank|record replaced strainer|record rectified 1|
record work cleaned at strainer|at hand|state|sign|disturbed panel cowling off at engine|
disturbed line union open at strainer|hand over|pause|stop no light left|
add repeat in the reported state|add press the warning lamp|add measure the bus voltage|
add hand over to ignition|add watch the pump seal drain"""
"""What can be typed at any prompt, between bars."""

ODD = ["", " ", "²", "9" * 5000, "x" * 3000, "\x1b[A", "\x00", "Кавитация", "燃料", "🙂", "-9 psi",
       "9,5 psi", "1e400 psi", "nan", "4 gal", "62 kPa", "1 or 2", "2 or ²", "low 2 of 5",
       "low 6 of 5", "1: 9 psi, 2: normal, 3: -", "99: 3", "1:", "not checked", "none", "all",
       "2 told", "sure", "[", "%s", "{0}", "AB", "later"]  # fmt: skip

_CHOICE = re.compile(r"^ +(\d{1,3})  \S", re.MULTILINE)
_TO_TYPE = re.compile(r"[Tt]ype '(\w+)'")


class Monkey:
    """Types at the prompts: mostly what they ask for, now and then a command or nonsense."""

    def __init__(self, seed: int, shown: Callable[[], str]) -> None:
        """Type by ``seed``; ``shown``: what came on the screen since the last line."""
        self.chance = random.Random(seed)
        self.shown = shown
        self.typed: list[str] = []
        self.left = LINES

    def isatty(self) -> bool:
        """Say that a pipe is read, so that a job is opened without being asked for names."""
        return False

    def readline(self) -> str:
        """Return the next line."""
        screen = self.shown()
        assert "\x1b" not in screen.replace(self.typed[-1] if self.typed else "", "")
        self.left -= 1
        if self.left < 0:
            if self.chance.random() < 0.3:
                raise KeyboardInterrupt
            return ""
        self.typed.append(self._answer(screen))
        return f"{self.typed[-1]}\n"

    def _answer(self, screen: str) -> str:
        roll, prompt = self.chance.random(), screen.rpartition("\n")[2]
        if roll < 0.05:
            return self.chance.choice(ODD)
        if roll < 0.15:
            return self.chance.choice(COMMANDS.replace("\n", "").split("|"))
        if asked := _TO_TYPE.findall(prompt):
            return str(asked[0])
        if "1 yes / 2 no" in prompt:
            return self.chance.choice(["yes", "no", "1", "2"])
        if "gone /" in prompt:
            return self.chance.choice(["gone", "still there", "partly"])
        offered = _CHOICE.findall(screen)[-9:]
        if "initials" in prompt or not offered:
            return self.chance.choice(["AB", "CD", "dry AB", "", "cleaned, refitted"])
        # the first is mostly the sound one: without those no run is ever reached
        return str(offered[0] if roll < 0.7 else self.chance.choice(offered))


@pytest.fixture
def held(monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    """Hold every entry and action of every session against what must be; count the entries."""
    seen: dict[str, Any] = {"entries": 0, "bytes": b""}
    record, carry_out = Job.record_group, Doing._carry_out

    def recorded(job: Job, entries: Sequence[tuple[str, Mapping[str, Any]]]) -> list[Event]:
        kept = record(job, entries)
        on_disk = job.log.path.read_bytes()
        assert kept[0]["n"] == 1 or on_disk.startswith(seen["bytes"]), "what was kept was changed"
        seen["bytes"] = on_disk
        seen["entries"] += 1
        log = JobLog(job.log.path)
        assert log.events == job.log.events
        assert fold(log.events) == job.state
        return kept

    def carried_out(doing: Doing, action: Action, *needs: Any, **how: Any) -> None:
        assert_may_be_done(doing.job, action)
        carry_out(doing, action, *needs, **how)

    monkeypatch.setattr(Job, "record_group", recorded)
    monkeypatch.setattr(Doing, "_carry_out", carried_out)
    return seen


def assert_may_be_done(job: Job, action: Action) -> None:
    """Refuse an action that a danger not yet read, a gate, a closed place or a joint forbids."""
    step = job.step()
    single = step.posterior.single
    assert single.min() >= 0.0
    assert single.sum() <= 1 + 1e-9
    assert (step.posterior.marginal >= single - 1e-12).all()
    read = job.state.acknowledged
    stops = [f"stop {s.symptom} {s.at}" for s in job.stops(step)]
    assert all(any(key.startswith(stop) for key in read) for stop in stops), "a danger not read"
    need = need_of(job.bench, action)
    if not need:
        return
    assert not job.state.indoors, action
    assert need != "run" or not any(d.open and d.bars_a_run for d in job.state.disturbed.values())
    last = {(f.question, f.at): f for f in job.findings if not f.check}
    for gate in job.bench.planner.catalogue.gates:
        answer = last.get(gate.key[:2])
        safe = job.bench.library.questions[gate.question].gate
        assert answer is not None, f"{gate} was never asked"
        assert answer.surely(safe), f"{gate} is not known safe"


@pytest.mark.parametrize("seed", range(len(REPORTS)))
def test_whatever_is_typed_nothing_is_lost_and_nothing_unsafe_is_asked_for(
    seed: int,
    held: dict[str, Any],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Each sitting ends in order; what is on disk is the job; the job can be taken up again."""
    monkeypatch.setenv("DIAGNOSE_TRACE", "1")  # a failure not foreseen comes through as itself
    monkey = Monkey(seed, lambda: capsys.readouterr().out)
    monkeypatch.setattr(sys, "stdin", monkey)
    layout, report = list(REPORTS.items())[seed]
    new = ["new", "--layout", layout, "--report", report]
    words = new
    for _ in range(SITTINGS):
        monkey.left = LINES
        monkeypatch.setattr(sys, "argv", ["diagnose", "job", *words])
        with pytest.raises(SystemExit) as end:
            main()
        assert end.value.code in (0, None), monkey.typed[-5:]
        last = Registry().entries()[-1]
        words = new if last.state in ("finished", "stopped") else ["resume", last.id]
    assert held["entries"] > 10, "hardly anything was answered: the test proves nothing"
