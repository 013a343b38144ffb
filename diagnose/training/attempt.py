"""One person's work on a simulated aeroplane: what it answers, what it costs, what is refused.

Every act goes through the log first.  The planner's own route is worked through the same acts, so
that both are priced and refused alike.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from diagnose.job.at_hand import lacks
from diagnose.job.day.before_run import FOR_A_RUN, FOR_POWER, gate_words
from diagnose.job.diagnosis import Bench, Diagnosis, Step, open_gates
from diagnose.job.gates import (
    NEEDS,
    Need,
    need_of_check,
    need_of_reading,
    refused,
    still_open,
)
from diagnose.job.keeping.disturbed import by_check
from diagnose.job.keeping.finding_data import finding_as_json
from diagnose.job.keeping.log import Event, JobLog
from diagnose.job.wording import action_words, cause_words
from diagnose.model import CauseAt, Check, Finding, Question
from diagnose.planner import Action, Reading, Situation
from diagnose.planner.actions import evidence_lost
from diagnose.training.progress import Progress, gate_id, progress
from diagnose.training.simulated import Simulated
from diagnose.training.situation import price_of, situation_of
from diagnose.training.worth import part_chances

WORK = 60.0
"""Minutes charged for work on a part that was named, before the verification run (no source)."""

_GONE: Mapping[str, str] = {
    "cooling": "it has cooled",
    "draining": "it was drained",
    "moving": "it was moved",
    "opening": "it was opened",
    "refuelling": "fuel was put in",
    "rectifying": "it was worked on",
}
"""What destroys evidence -> what came before."""
NO_START = "the engine does not start"

_PROVED: Mapping[Need, str] = {"power": "power is put on", "run": "the engine is run"}


@dataclass(frozen=True)
class Bar:
    """Why an act is not done now.

    owed: the safety steps it asks for first, by name; none where safety does not bar it.
    """

    why: str
    owed: tuple[str, ...] = ()


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

    def __init__(self, bench: Bench, plane: Simulated, log: JobLog | Unkept) -> None:
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
        running = reading.run_state is not None and self.state.runs_in(reading.run_state.id)
        bar = (
            self._bar(need, running)
            or self._lacks(question)
            or self._gone(reading)
            or self._no_start(reading.place, reading.is_run and not running)
        )
        if bar is not None:
            self._refuse(action_words(self.bench, Action((reading,))), bar)
            return None
        return self._take(reading)

    def _take(self, reading: Reading) -> Finding:
        """Keep what ``reading`` shows and what it cost."""
        found = self.plane.reading(reading)
        minutes, starts = self.price(Action((reading,)))
        stops = reading.is_run and self.plane.stops(reading)
        runs = "no" if not reading.is_run else "stopped" if stops else "yes"
        self._record(
            "asked",
            reading=list(reading.key),
            finding=finding_as_json(found),
            minutes=minutes,
            starts=starts,
            runs=runs,
            destroys=sorted(
                evidence_lost(self.bench.library.questions[reading.question], reading.place)
            ),
        )
        return found

    def check(self, check: str, at: str) -> Finding | None:
        """Make a check and return its result; None where it is refused."""
        known = self.bench.library.checks[check]
        bar = (
            self._bar(need_of_check(known), False)
            or self._lacks(known)
            or self._no_start(at, need_of_check(known) == "run")
        )
        if bar is not None:
            self._refuse(action_words(self.bench, Action(check=check, at=at)), bar)
            return None
        found = self.plane.check(check, at)
        minutes, starts = self.price(Action(check=check, at=at))
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

    def name(self, cause: CauseAt, confidence: float) -> str | None:
        """Name what is at fault; return 'cause', 'part' or '' where the trouble is still there.

        ``confidence``: that the part is right, 0 to 1.  It is worked on and proved as the knowledge
        says of it, so it costs both.  None where that would run an engine, or switch on, and nobody
        ever looked whether it is safe; no run while that is known not to be.
        """
        need = self._proving(cause)
        if never := self.never_looked_at(cause):
            bar = self._first(f"{_PROVED[need]} to prove the work; look first", never)
            self._refuse(cause_words(self.bench, cause), bar)
            return None
        truth = self.plane.hidden.cause
        right = "cause" if cause == truth else "part" if cause.at == truth.at else ""
        may_run = need == "run" and not self._unsafe() and self.state.opened["may_run"]
        runs = self.bench.layout.run_states if may_run else ()
        run = max(
            (s for s in runs if s.engine_running),
            key=lambda s: s.start_minutes + s.minutes,
            default=None,
        )
        chance = part_chances(self.step().posterior).get(cause.at, 0.0)
        minutes = WORK + (run.start_minutes + run.minutes if run else 0.0)
        self._record(
            "named",
            cause=cause.cause,
            place=cause.at,
            confidence=confidence,
            right=right,
            chance=min(chance, 1.0),
            minutes=minutes,
            starts=1 if run else 0,
        )
        return right

    def never_looked_at(self, cause: CauseAt) -> tuple[Reading, ...]:
        """Return the gates nobody ever looked at, though proving work on ``cause`` asks for them.

        A danger that the report tells of is looked at as well before it is called over.  None where
        one is known unsafe: then nothing is run or switched on.
        """
        if not self._proving(cause) or self._unsafe():
            return ()
        gates = {q.id: q.gate for q in self.bench.library.questions.values()}
        looked = {
            (f.question, at)
            for n, f in self.state.findings.items()
            for at in f.places
            if n > 0 or (gates.get(f.question) and f.surely(gates[f.question]))
        }
        return tuple(g for g in open_gates(self.bench, ()) if (g.question, g.place) not in looked)

    def proof_waits_on(self, cause: CauseAt) -> tuple[str, ...]:
        """Return in words what was found unsafe and is safe again before ``cause`` is proved."""
        return gate_words(self.bench, self._unsafe()) if self._proving(cause) else ()

    def _unsafe(self) -> tuple[Reading, ...]:
        """Return the gates found unsafe, or passed over, since the system was last disturbed."""
        return refused(self.bench, self.state.findings, self.log.events)

    def _proving(self, cause: CauseAt) -> Need:
        """Return what proving work on ``cause`` asks for here."""
        need = NEEDS[self.bench.library.causes[cause.cause].verify_needs]
        return "" if need == "run" and not self.state.opened["may_run"] else need

    def confirm(self) -> None:
        """Keep that everything before a run is in place."""
        self._record("confirmed", items=list(FOR_A_RUN))

    def shut_down(self) -> None:
        """Stop the engine."""
        self._record("shut-down")

    def heed(self) -> tuple[str, ...]:
        """Keep and return what must be done at once by what was found, each danger once."""
        outcome = self.step().outcome
        new = {f"{s.symptom} {s.at}": s.text for s in outcome.stops}
        told = {k: v for k, v in new.items() if k not in self.state.dangers}
        for danger, text in told.items():
            self._record("danger", danger=danger, text=text)
        return tuple(told.values())

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

    def price(self, action: Action) -> tuple[float, int]:
        """Return (minutes, starts) of one reading or check now."""
        return price_of(self.bench, self.state, action)

    # ------------------------------------------------------------------ what is refused

    def _bar(self, need: Need, running: bool) -> Bar | None:
        """Return why what has ``need`` is not done now."""
        if not need:
            return None
        bench, now, events = self.bench, self.state, self.log.events
        if need == "run" and not now.opened["may_run"]:
            return Bar("no engine may be run here")
        if unsafe := self._unsafe():
            why = "not safe. Nothing is run or switched on until this is so"
            return self._first(why, unsafe)
        if gates := still_open(bench, now.findings, events):
            return self._first("not known safe; look first. It must be so", gates)
        wanted = FOR_A_RUN if need == "run" else FOR_POWER
        missing = tuple(x for x in wanted if x not in now.confirmed)
        if not missing or running:
            return None
        if now.in_hand:  # whoever had them in place for the last start left nothing out
            return Bar("stopped since, so look round again, and say 'ready' before the next start")
        return Bar(f"not ready ('ready' when they are in place): {'; '.join(missing)}", missing)

    def _first(self, why: str, gates: Sequence[Reading]) -> Bar:
        """Return the bar of an act before which ``gates`` are looked at."""
        shown = "; ".join(gate_words(self.bench, gates))
        return Bar(f"{why}: {shown}", tuple(gate_id(g.question, g.place) for g in gates))

    def _lacks(self, what: Question | Check) -> Bar | None:
        opened = self.state.opened
        why = lacks(what, opened["hands"], opened["tools"])
        return Bar(why) if why else None

    def _gone(self, reading: Reading) -> Bar | None:
        if not self.bench.planner.catalogue.gone(reading, self.state.lost):
            return None
        kind = self.bench.library.questions[reading.question].perishable
        return Bar(f"what it would show is gone: {_GONE[kind]}")

    def _no_start(self, place: str, to_be_run: bool) -> Bar | None:
        """Bar a run of an engine that does not start; by then it was tried."""
        tried = self.plane.will_not_start(place) if to_be_run else None
        if tried is None:
            return None
        if tried.key not in self.state.asked:
            self._take(tried)
        return Bar(NO_START)

    def _refuse(self, what: str, bar: Bar) -> None:
        owed = list(bar.owed)
        self._record("refused", what=what, why=bar.why, safety=bool(owed), owed=owed)

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
        return {c: 0 for c in self.bench.net.instances if c.at in state.worked_on}

    def situation(self) -> Situation:
        """Return what the planner must know."""
        return situation_of(self.bench, self.state, self.log.events)
