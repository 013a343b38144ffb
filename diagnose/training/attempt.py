"""One person's work on a simulated aeroplane: what it answers, what it costs, what is refused.

Every act goes through the log first.  The planner's own route is worked through the same acts, so
that both are priced and refused alike.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Protocol

from diagnose.job.day.before_run import FOR_A_RUN, gate_words
from diagnose.job.day.disturbed import by_check
from diagnose.job.diagnosis import Bench, Diagnosis, Step
from diagnose.job.events import finding_as_json
from diagnose.job.gates import (
    Need,
    need_of_check,
    need_of_reading,
    refused,
    still_open,
)
from diagnose.job.log import Event
from diagnose.model import CauseAt, Finding
from diagnose.planner import Reading, Situation
from diagnose.planner.actions import evidence_lost
from diagnose.planner.worth import check_minutes
from diagnose.training.progress import Progress, progress
from diagnose.training.simulated import Simulated
from diagnose.training.situation import situation_of

WORK = 60.0
"""Minutes charged for work on a part that was named, before the verification run (no source)."""


NO_START = "the engine does not start"


class Keeps(Protocol):
    """What keeps events: the log of an exercise, or a list."""

    events: list[Event]

    def append(self, kind: str, **carries: Any) -> Event:
        """Keep one event and return it."""


class Unkept:
    """Events in memory alone, for a route nobody has to take up again."""

    def __init__(self, events: Iterable[Event]) -> None:
        """Begin with ``events``."""
        self.events: list[Event] = list(events)

    def append(self, kind: str, **carries: Any) -> Event:
        """Keep one event and return it."""
        event = {"n": len(self.events) + 1, "event": kind, **carries}
        self.events.append(event)
        return event


class Attempt:
    """An exercise being worked on; ``log`` begins with its opening."""

    def __init__(self, bench: Bench, plane: Simulated, log: Keeps) -> None:
        """Take up what ``log`` holds."""
        self.bench, self.plane, self.log = bench, plane, log
        self.state: Progress = progress(log.events)
        self.diagnosis = Diagnosis(bench, engine=False)

    def _record(self, kind: str, **carries: Any) -> Event:
        event = self.log.append(kind, **carries)
        self.state = progress(self.log.events)
        return event

    # ------------------------------------------------------------------ acts

    def ask(self, reading: Reading) -> Finding | None:
        """Take ``reading`` and return what the aeroplane shows; None where it is refused."""
        need = need_of_reading(self.bench, reading)
        question = self.bench.library.questions[reading.question]
        why, safety = self._bar(need, reading.run_state is not None and self.state.running)
        why = why or self._lacks(question.hands, question.tools)
        if not why and self.bench.planner.catalogue.gone(reading, self.state.lost):
            why = f"what it would show is gone: {question.perishable} was done before"
        runs = reading.run_state is not None and reading.run_state.engine_running
        why = why or self._no_start(reading.place, runs and not self.state.running)
        if why:
            self._refuse(question.title, reading.place, why, safety)
            return None
        return self._take(reading)

    def _take(self, reading: Reading) -> Finding:
        """Keep what ``reading`` shows and what it cost."""
        found = self.plane.reading(reading)
        minutes, starts = self.price(reading)
        runs = "yes" if reading.run_state and reading.run_state.engine_running else "no"
        self._record(
            "asked",
            reading=list(reading.key),
            finding=finding_as_json(found),
            minutes=minutes,
            starts=starts,
            runs=runs,
        )
        return found

    def check(self, check: str, at: str) -> Finding | None:
        """Make a check and return its result; None where it is refused."""
        known = self.bench.library.checks[check]
        why, safety = self._bar(need_of_check(known), False)
        why = why or self._lacks(known.hands, known.tools)
        why = why or self._no_start(at, need_of_check(known) == "run")
        if why:
            self._refuse(known.title, at, why, safety)
            return None
        found = self.plane.check(check, at)
        minutes, starts = self.price_of_check(check)
        self._record(
            "checked",
            check=[check, at],
            finding=finding_as_json(found),
            minutes=minutes,
            starts=starts,
            disturbs=by_check(known, at, self.bench.layout, ()),
            destroys=sorted(evidence_lost(known, at)),
        )
        return found

    def name(self, cause: CauseAt, confidence: float) -> str:
        """Name what is at fault; return 'cause', 'part' or '' where the trouble is still there.

        ``confidence``: that the part is right, 0 to 1.  It is worked on and the run repeated, so it
        costs both; no run while a gate is known unsafe.
        """
        truth = self.plane.hidden.cause
        right = "cause" if cause == truth else "part" if cause.at == truth.at else ""
        unsafe = refused(self.bench, self.state.findings, self.log.events)
        runs = () if unsafe or not self.state.opened["may_run"] else self.bench.layout.run_states
        run = max(
            (s for s in runs if s.engine_running),
            key=lambda s: s.start_minutes + s.minutes,
            default=None,
        )
        minutes = WORK + (run.start_minutes + run.minutes if run else 0.0)
        self._record(
            "named",
            cause=cause.cause,
            place=cause.at,
            confidence=confidence,
            right=right,
            minutes=minutes,
            starts=1 if run else 0,
        )
        return right

    def confirm(self) -> None:
        """Keep that everything before a run is in place."""
        self._record("confirmed", items=list(FOR_A_RUN))

    def shut_down(self) -> None:
        """Stop the engine."""
        self._record("shut-down")

    def hinted(self, text: str) -> None:
        """Keep that a hint was given."""
        self._record("hint", text=text)

    def clear(self, place: str) -> None:
        """Strike a part off the apprentice's own list of what is still possible."""
        self._record("cleared", place=place)

    def keep(self, place: str) -> None:
        """Put a part back on that list."""
        self._record("kept", place=place)

    def pause(self) -> None:
        """Keep that the person left; it goes on where it was."""
        self._record("paused")

    def stop(self, outcome: str) -> None:
        """End it without the part named."""
        self._record("finished", outcome=outcome)

    # ------------------------------------------------------------------ what an act costs

    def price(self, reading: Reading) -> tuple[float, int]:
        """Return (minutes, starts): a start and a setting are paid for once while they last."""
        q, run, now = self.bench.library.questions[reading.question], reading.run_state, self.state
        minutes = q.minutes * (1.0 + 0.5 * (q.hands - 1))
        if run is None:
            return minutes, 0
        starts = int(run.engine_running and not now.running)
        held = run.minutes if run.id != now.state else 0.0
        return minutes + held + starts * run.start_minutes, starts

    def price_of_check(self, check: str) -> tuple[float, int]:
        """Return (minutes, starts) of a check now; opened access is paid for once."""
        starts = int(need_of_check(self.bench.library.checks[check]) == "run")
        return check_minutes(self.bench.net, check, self.opened), starts

    @property
    def opened(self) -> frozenset[str]:
        """Return the access already paid for."""
        checks = self.bench.library.checks
        return frozenset(checks[c].access for c, _ in self.state.done if checks[c].access)

    # ------------------------------------------------------------------ what is refused

    def _bar(self, need: Need, running: bool) -> tuple[str, bool]:
        """Return why what has ``need`` is not done now, '' if it may be; and if for safety."""
        if not need:
            return "", False
        bench, now, events = self.bench, self.state, self.log.events
        if need == "run" and not now.opened["may_run"]:
            return "no engine may be run here", False
        if unsafe := refused(bench, now.findings, events):
            shown = "; ".join(gate_words(bench, unsafe))
            return f"not safe. Nothing is run or switched on until this is so: {shown}", True
        if gates := still_open(bench, now.findings, events):
            asked = "; ".join(gate_words(bench, gates))
            return f"not known safe; look first. It must be so: {asked}", True
        missing = [x for x in FOR_A_RUN if x not in now.confirmed]
        if missing and not running:
            return f"not ready ('ready' when they are in place): {'; '.join(missing)}", True
        return "", False

    def _lacks(self, hands: int, tools: Iterable[str]) -> str:
        opened = self.state.opened
        if hands > opened["hands"]:
            return f"takes {hands} people"
        missing = [t for t in tools if opened["tools"] is not None and t not in opened["tools"]]
        return f"not at hand: {', '.join(missing)}" if missing else ""

    def _no_start(self, place: str, to_be_run: bool) -> str:
        """Return NO_START where an engine is to be run and does not start: then it was tried."""
        tried = self.plane.will_not_start(place) if to_be_run else None
        if tried is None:
            return ""
        if tried.key not in self.state.asked:
            self._take(tried)
        return NO_START

    def _refuse(self, title: str, place: str, why: str, safety: bool) -> None:
        what = f"{title}, {self.bench.places.label(place)}"
        self._record("refused", what=what, why=why, safety=safety)

    # ------------------------------------------------------------------ what it comes to

    def step(self) -> Step:
        """Return what the knowledge makes of everything found so far."""
        return self.step_of(self.state)

    def step_of(self, state: Progress) -> Step:
        """Return what the knowledge makes of what was found in ``state``."""
        findings = [f for _, f in sorted(state.findings.items())]
        return self.diagnosis.see(findings, self.sound(state))

    def sound(self, state: Progress) -> Mapping[CauseAt, int]:
        """Return the causes at parts that were worked on while the trouble stayed."""
        parts = {n.cause.at for n in state.namings if not n.right}
        return {c: 0 for c in self.bench.net.instances if c.at in parts}

    def situation(self) -> Situation:
        """Return what the planner must know."""
        return situation_of(self.bench, self.state, self.log.events)
