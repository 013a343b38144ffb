"""A person with the paper in hand, and the planner beside them: both get the answers of a case."""

from __future__ import annotations

from dataclasses import dataclass, replace

from diagnose.chart.start import Start
from diagnose.chart.tree import Chart, ChartStep
from diagnose.job.confirming import found
from diagnose.job.diagnosis import Bench, Diagnosis
from diagnose.model import Case, CauseAt, Finding
from diagnose.planner import Reading, Situation
from diagnose.planner.actions import evidence_lost


@dataclass(frozen=True)
class Answers:
    """What a case answers, whenever it is asked; '' for not checked.

    A check that can find the case's cause and is not told of shows nothing; so do all others.
    """

    bench: Bench
    case: Case

    def reading(self, r: Reading) -> str:
        """Return the class the case gives for a reading."""
        asked = r.state.known()
        for f in (*self.case.findings, *self.case.examination):
            known = f.state.known()
            if f.check or (f.question, f.at) != (r.question, r.place):
                continue
            if all(known.get(d, v) == v for d, v in asked.items()):
                return f.value
        return ""

    def check(self, check: str, at: str) -> str:
        """Return the result of a check: as examined, else nothing found."""
        for f in self.case.examination:
            if f.check and (f.question, f.at) == (check, at):
                return f.value
        return next(iter(self.bench.library.checks[check].results))


def by_paper(chart: Chart, answers: Answers, most: int = 100) -> tuple[list[int], list[CauseAt]]:
    """Return the steps walked and the causes named as found; [] when handed over."""
    step, walked = chart.step(1), []
    for _ in range(most):
        walked.append(step.number)
        if step.kind == "found":
            assert step.cause is not None
            return walked, [step.cause]
        if step.kind == "hand-over":
            return walked, []
        if step.kind in ("suspects", "rest"):
            causes = _by_list(chart, step, answers, walked)
            if causes:
                return walked, causes
            step = chart.step(step.otherwise)
            continue
        if step.check:
            value = answers.check(step.check, step.at)
        else:
            assert step.asks is not None
            value = answers.reading(step.asks)
        way = next(w for w in step.ways if value in w.values)
        step = chart.step(way.to)
        told = next((s for s in step.seldom if s.value == value), None)
        if told is not None and told.confirmed:
            return [*walked, step.number], [told.cause]
        if told is not None and chart.step(told.step).kind == "settle":
            assert told.settle is not None
            causes = _settled(chart.step(told.step), told.settle[1], answers)
            if causes:
                return [*walked, told.step], causes
    raise AssertionError(f"the paper goes round in circles: {walked}")


def _by_list(chart: Chart, step: ChartStep, answers: Answers, walked: list[int]) -> list[CauseAt]:
    for s in step.suspects:
        walked.append(s.step)
        for at in s.at:
            causes = _settled(chart.step(s.step), at, answers)
            if causes:
                return causes
    return []


def _settled(step: ChartStep, at: str, answers: Answers) -> list[CauseAt]:
    """Return what the result of a check at one place confirms, by the step that tells of it."""
    assert at in step.places
    result = answers.check(step.check, at)
    library, related = answers.bench.library, answers.bench.places.related
    return [
        c
        for m in step.meanings
        if m.result == result
        for c in m.causes
        for k in library.causes[c.cause].checks
        if (k.check, k.result) == (step.check, result) and at in related(c.at, k.at, {})
    ]


def by_planner(bench: Bench, start: Start, answers: Answers, most: int = 60) -> CauseAt | None:
    """Return the cause the planner comes to with the same answers from the same start."""
    diagnosis = Diagnosis(bench, engine=False)
    findings: list[Finding] = list(start.findings)
    situation = Situation(asked=start.asked)
    for _ in range(most):
        step = diagnosis.see(findings)
        cause = found(bench, step)
        if cause is not None:
            return cause
        action = diagnosis.plan(step, situation, deadline=float("inf")).action
        if action is None:
            return None
        if action.is_check:
            value = answers.check(action.check, action.at)
            findings.append(Finding(action.check, action.at, value, check=True))
            known = bench.library.checks[action.check]
            situation = replace(
                situation,
                done=situation.done | {(action.check, action.at)},
                opened=situation.opened | known.opens(bench.layout.owner_of(action.at)),
                lost=situation.lost | evidence_lost(known, action.at),
            )
            continue
        situation = replace(situation, asked=situation.asked | {r.key for r in action.readings})
        for r in action.readings:
            value = answers.reading(r)
            if value:
                q = bench.library.questions[r.question]
                findings.append(Finding(q.id, r.place, value, r.state, q.known_there))
    return None
