"""One job: its log, the state it adds up to, and the reasoning on it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from diagnose.errors import CaseError, Origin, Problem
from diagnose.in_places import held_ways
from diagnose.job.at_hand import allowed
from diagnose.job.confirming import found, put_right
from diagnose.job.diagnosis import Bench, Diagnosis, Step
from diagnose.job.epochs import asked_in_force, complaints, told_already
from diagnose.job.gates import refused, shut_in, still_open
from diagnose.job.keeping.disturbed import access_to, by_check, by_reading
from diagnose.job.keeping.events import JobState, fold, last_undoable, live
from diagnose.job.keeping.finding_data import finding_as_json
from diagnose.job.keeping.log import Event, JobLog, Unkept
from diagnose.job.keeping.names import unknown_name
from diagnose.job.keeping.registry import Entry, Registry
from diagnose.job.ranking import ranking_rows
from diagnose.job.refining import nothing_to_refine, said_with
from diagnose.job.starting import starts_had
from diagnose.model import A_JOINT, CauseAt, Finding, KnownBy, Work
from diagnose.planner import Plan, Reading, Situation
from diagnose.planner.actions import evidence_lost
from diagnose.planner.like_places import with_like_places
from diagnose.planner.off_the_aeroplane import asked_at_one_time, worth_asking
from diagnose.planner.which_tank import at_the_tank_meant
from diagnose.planner.while_set_up import with_what_is_set_up
from diagnose.rules import Caution
from diagnose.signs import is_normal


class Job:
    """A defect being worked on a bench; every change goes through the log first."""

    def __init__(self, name: str, log: JobLog, bench: Bench, registry: Registry) -> None:
        """Take up the job kept in ``log``.

        Raises:
            CaseError: If an event names what the knowledge in use does not have.
        """
        self.name = name
        self.log = log
        self.bench = bench
        self.registry = registry
        self.state: JobState = self._folded()
        self._diagnosis: Diagnosis | None = None
        self._before: tuple[Work, ...] = ()

    @classmethod
    def open(
        cls,
        registry: Registry,
        bench: Bench,
        day: str,
        reported: str,
        also: Sequence[Unkept] = (),
        **typed: str,
    ) -> Job:
        """Open a new job on ``bench`` for what was ``reported``, verbatim.

        ``also``: entries without which the job is not to be opened, such as the aeroplane's own
        file.  ``typed``: aeroplane, serial, hours, asked_by, place, wind, outside_air, pressure ...
        as typed by the person; kept and printed, never interpreted, but that a closed place bars
        pumps and runs.
        """
        name = registry.new_id(day)
        job = cls(name, JobLog(registry.path(name)), bench, registry)
        opened = {
            "layout": bench.layout.id,
            "layout_edition": bench.layout.edition,
            "edition": bench.library.edition,
            "evidence": bench.evidence,
            "reported": reported,
            **typed,
        }
        job.record_group([("opened", opened), *also])
        return job

    def _folded(self) -> JobState:
        problems = [
            Problem(
                Origin(self.log.path.name, int(e["n"]), 1),
                f"{unknown}; the job was kept with knowledge edition "
                f"{self.state_edition() or 'unknown'}. Give that with --knowledge.",
            )
            for e in self.log.events
            if (unknown := unknown_name(self.bench.library, self.bench.layout, e))
        ]
        if problems:
            raise CaseError(problems)
        return fold(self.log.events)

    @property
    def aeroplane(self) -> str:
        """Return the registration as it was typed, or that nobody named one."""
        return str(self.state.opened.get("aeroplane") or "aeroplane not named")

    def state_edition(self) -> str:
        """Return the knowledge edition the job was opened with."""
        return str(self.log.events[0].get("edition", "")) if self.log.events else ""

    def edition_differs(self) -> bool:
        """Return whether the knowledge in use is another edition than the job's own."""
        return self.state_edition() not in ("", self.bench.library.edition)

    # ------------------------------------------------------------------ writing

    def record(self, kind: str, **carries: Any) -> Event:
        """Append one event; on disk when this returns."""
        return self.record_group([(kind, carries)])[0]

    def record_group(self, entries: Sequence[Unkept]) -> list[Event]:
        """Append events that only count together; on disk, all of them, when this returns."""
        events = self.log.append_group(entries)
        self.state = fold(self.log.events)
        self.registry.note(Entry.of(self.name, self.state))
        return events

    def answer(self, finding: Finding, reading: Reading | None = None, note: str = "") -> Event:
        """Keep one finding, in the epoch in force.

        Raises:
            UsageError: If the places left open then make too many ways; nothing is kept.
        """
        held_ways([*self.findings, replace(finding, epoch=self.state.epoch)])
        key = reading.key if reading else None
        given = ("answered", self.as_answered(finding, key, note=note))
        more = [("answered", self.as_answered(f, None)) for f in said_with(self.bench, finding)]
        return self.record_group([given, *more])[0]

    def as_answered(
        self, finding: Finding, key: tuple[str, str, str] | None, **carries: Any
    ) -> dict[str, Any]:
        """Return what the entry of a finding carries: what taking it spoiled and left open too.

        ``key``: of the reading that was asked for; without one nobody can say that it was taken
        just now.
        """
        question = self.bench.library.questions[finding.question]
        # what was told was done before, and whether the tank was opened for it nobody can say; but
        # whoever tells of what goes with the looking (the hiss at a cap) tells that it was looked
        once = question.perishable in question.destroys
        by_others = ("assumed",) if once else ("told", "assumed")
        here = () if finding.known_by in by_others else finding.places
        lost = frozenset(x for at in here for x in evidence_lost(question, at))
        standing = self.state.disturbed.values()
        opened = [d for at in here for d in by_reading(question, at, standing)] if key else []
        return {
            "finding": finding_as_json(replace(finding, epoch=self.state.epoch)),
            "reading": list(key) if key else None,
            "destroys": sorted(lost),
            "disturbs": opened,
            **carries,
        }

    def skip(self, reading: Reading) -> Event:
        """Keep that a reading was not checked; it is not asked again."""
        return self.record("not-checked", reading=list(reading.key))

    def skip_check(self, check: str, at: str) -> Event:
        """Keep that a check was not made; it is not proposed again."""
        return self.record("not-checked", check=[check, at])

    def checked(
        self,
        check: str,
        at: str,
        result: str,
        known_by: KnownBy = "seen",
        as_found: str = "",
        as_left: str = "",
        one_of: tuple[str, ...] = (),
    ) -> Event:
        """Keep the result of a check, as found and as left; ``one_of`` as in ``Finding``."""
        finding = Finding(check, at, result, known_by=known_by, check=True, one_of=one_of)
        return self.checked_together([finding], as_found, as_left)[0]

    def checked_together(
        self,
        shown: Sequence[Finding],
        as_found: str = "",
        as_left: str = "",
        left_out: Sequence[tuple[str, str]] = (),
        opened: bool = True,
    ) -> list[Event]:
        """Keep what one check showed at several places in one go, all of it or none.

        ``left_out``: (check, part) at which it was not made, or nothing could be told; ``opened``:
        whether it came to what it disturbs only where that is needed.
        """
        entries: list[Unkept] = []
        lying: list[dict[str, str]] = []
        for f in shown:
            known = self.bench.library.checks[f.question]
            standing, layout = self.state.disturbed.values(), self.bench.layout
            left = [d for d in by_check(known, f.at, layout, standing, opened) if d not in lying]
            lying += left
            kept = {
                "finding": finding_as_json(replace(f, epoch=self.state.epoch)),
                "check": [f.question, f.at],
                "as_found": as_found,
                "as_left": as_left,
                "destroys": sorted(evidence_lost(known, f.at)),
                "disturbs": left,
                "access": access_to(known, self.bench.layout, f.at),
            }
            entries.append(("checked", kept))
        entries += [("not-checked", {"check": list(key)}) for key in left_out]
        return self.record_group(entries)

    def step_back(self) -> Event | None:
        """Take back the last undoable event; return it, or None when there is none."""
        last = last_undoable(self.log.events)
        if last is not None:
            place, size = last.get("part", (1, 1))
            first = last["n"] - place
            group = self.log.events[first : first + size]  # a table goes as it came: whole
            # a part that the check taken back had found is found no more
            since = self.log.events[first + size :]
            found = [e for e in live(since) if e["event"] == "part-found"]
            taken = [("stepped-back", {"of": e["n"], "what": e["event"]}) for e in [*group, *found]]
            self.record_group(taken)
        return last

    # ------------------------------------------------------------------ reasoning

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Return the findings in the order they were given."""
        return tuple(f for _, f in sorted(self.state.findings.items()))

    def finding_numbers(self) -> tuple[int, ...]:
        """Return the event numbers of ``findings``, in the same order."""
        return tuple(sorted(self.state.findings))

    @property
    def diagnosis(self) -> Diagnosis:
        """Return the reasoning, begun again when work done before came to light."""
        if self._diagnosis is None or self._before != self.state.before:
            self._before = self.state.before
            self._diagnosis = Diagnosis(self.bench, self.state.before)
        return self._diagnosis

    def let_go(self) -> None:
        """Give back what reasons for this job; asked again, it begins again with the same."""
        self._diagnosis = None

    def step(self) -> Step:
        """Return what the findings say now."""
        return self.diagnosis.see(self.findings, self.put_right)

    def step_but_for(self, found: Iterable[CauseAt]) -> Step:
        """Return what the findings say of what else is amiss, with ``found`` as put right."""
        put_right = {**self.put_right, **dict.fromkeys(found, self.state.epoch + 1)}
        return self.diagnosis.see(self.findings, put_right)

    @property
    def put_right(self) -> Mapping[CauseAt, int]:
        """Return the causes mended and not found again since, with the epoch that began then."""
        return put_right(self.bench, self.state.rectified, self.findings)

    def open_gates(self) -> tuple[Reading, ...]:
        """Return the gates whose safe class is not known now."""
        return still_open(self.bench, self.state.findings, self.log.events)

    def refused_gates(self) -> tuple[Reading, ...]:
        """Return the open gates that were asked and are not safe, as ``refused`` has it."""
        return refused(self.bench, self.state.findings, self.log.events)

    def amiss(self) -> tuple[Finding, ...]:
        """Return what was told or seen amiss, up to now."""
        return complaints(self.bench, self.state.findings, self.state.epoch + 1)

    def situation(self) -> Situation:
        """Return what the planner must know of the job."""
        s = self.state
        events = self.log.events
        situation = Situation(
            asked=asked_in_force(self.bench, events)
            | starts_had(self.bench, self.findings, s.epoch)
            | nothing_to_refine(self.bench, self.findings)
            | told_already(self.bench, self.findings),
            done=s.done,
            opened=self._opened(),
            tools=s.tools,
            hands=s.hands,
            may_run=s.runs_here,
            lost=s.lost,
            open_gates=self.open_gates(),
        )
        return shut_in(self.bench, allowed(self.bench, s, situation), s.findings, events)

    def _opened(self) -> frozenset[str]:
        """Return the access paid for, and the joint once one was disturbed by whatever was done."""
        s = self.state
        joint = [A_JOINT] if any(d.joint for d in s.disturbed.values()) else []
        return self.bench.library.opened_by(self.bench.layout, s.done).union(joint)

    def plan(self, step: Step, deadline: float) -> Plan:
        """Return the next action, with what is done in the same go.

        A look takes in the like places that are worth it and what is read in the same set-up, a
        question to people or papers the others of its kind.
        """
        situation = self.situation()
        plan = self.diagnosis.plan(step, situation, deadline)
        if plan.action is None or plan.greedy:
            return plan
        planner, belief = self.bench.planner, self.diagnosis.belief
        known = (planner, belief, step.posterior, situation)
        plan = asked_at_one_time(*known, plan, deadline)
        if plan.action is None or len(plan.action.readings) > 1:
            return plan
        well = {
            (f.question, f.at)
            for f in self.state.findings.values()
            if not f.check and is_normal(f, self.bench.library)
        }
        action = with_like_places(*known, at_the_tank_meant(*known, plan.action, well))
        return replace(plan, action=with_what_is_set_up(*known, action))

    def asked_before_work(self, longest: float) -> tuple[Reading, ...]:
        """Return what is worth asking of people and papers now, in ``longest`` minutes each."""
        step, planner = self.step(), self.bench.planner
        action = worth_asking(planner, self.diagnosis.belief, step.posterior, self.situation())
        questions = self.bench.library.questions
        readings = action.readings if action else ()
        return tuple(r for r in readings if questions[r.question].minutes <= longest)

    def telling(self, readings: Sequence[Reading]) -> list[tuple[Reading, float]]:
        """Return ``readings`` with the bits each would give now, most telling first."""
        step = self.step()
        return self.bench.planner.telling(self.diagnosis.belief, step.posterior, readings)

    def stops(self, step: Step) -> tuple[Caution, ...]:
        """Return the dangers in force: those seen since the last repair."""
        return tuple(s for s in step.outcome.stops if s.epoch >= self.state.last_repair)

    def keep_ranking(self, step: Step) -> None:
        """Keep the first five of the ranking after a step, for the record."""
        rows = ranking_rows(self.bench, step)[:5]
        kept = [{k: r[k] for k in ("rank", "cause", "at", "probability", "word")} for r in rows]
        last = next((e for e in reversed(self.log.events) if e["event"] == "ranked"), None)
        if last is None or last["ranking"] != kept:
            self.record("ranked", ranking=kept)

    def found(self, step: Step, left: Collection[CauseAt] = ()) -> CauseAt | None:
        """Return the cause a check has confirmed, not yet rectified; None while there is none.

        ``left``: what was found and is left as it is for now, to look further.
        """
        return found(self.bench, step, {*self.put_right, *left})
