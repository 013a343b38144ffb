"""A guided run of one case: the tool asks, the case answers, the rest is 'not checked'.

The run starts from what was told with the report.  It stops when a confirming check leaves a
cause at .9, after 12 answers, or when the answered actions have cost 180 minutes.  ``minutes``
prices everything asked for, answered or not, so that orders of asking can be compared.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from diagnose.job.diagnosis import Bench, Diagnosis, Step
from diagnose.job.refining import nothing_to_refine
from diagnose.model import Case, Finding
from diagnose.planner import Action, Situation
from diagnose.planner.worth import check_minutes
from diagnose.replay.answers import CaseAnswers
from diagnose.replay.score import Scored, accepted, place_of

SURE = 0.9
MOST_ANSWERS = 12
MOST_MINUTES = 180.0
MOST_ACTIONS = 150

Policy = Callable[[Diagnosis, Step, Situation], "Action | None"]


@dataclass(frozen=True)
class Guided:
    """How one guided run went.

    before_check: score just before the first check that touches the true cause is answered (at
    the end when none is).  settled: whether such a check was answered.
    """

    findings: Scored
    before_check: Scored
    final: Scored
    settled: bool
    questions: int
    minutes: float
    asked: tuple[str, ...]


def play(bench: Bench, case: Case, policy: Policy | None = None) -> Guided:
    """Return how the guided run of ``case`` goes under ``policy`` (the planner when None)."""
    choose = policy or _planned
    everything = Diagnosis(bench, case.before, engine=False).see(case.findings)
    from_findings = place_of(everything.posterior, case, bench.library)
    answers = CaseAnswers(case, bench.library, bench.layout)
    diagnosis = Diagnosis(bench, case.before, engine=False)
    findings: list[Finding] = list(answers.told)
    step = diagnosis.see(findings)
    situation = Situation(hands=9)
    before: Scored | None = None
    questions, minutes, paid, asked = 0, 0.0, 0.0, []
    confirmed = False
    for _ in range(MOST_ACTIONS):
        if questions >= MOST_ANSWERS or paid >= MOST_MINUTES or confirmed:
            break
        more_of_nothing = nothing_to_refine(bench, findings)
        now = replace(situation, asked=situation.asked | more_of_nothing)
        action = choose(diagnosis, step, now)
        if action is None:
            break
        minutes += action.minutes
        asked.append(_name(action))
        if action.is_check:
            made = (action.check, action.at)
            way_in = bench.library.opened_by(bench.layout, [made])
            situation = replace(
                situation, done=situation.done | {made}, opened=situation.opened | way_in
            )
            found = answers.check(action.check, action.at)
            got = [found] if found else []
            if found and before is None and touches_truth(bench, case, action):
                before = place_of(step.posterior, case, bench.library)
        else:
            situation = replace(situation, asked=situation.asked | {r.key for r in action.readings})
            got = [f for r in action.readings if (f := answers.reading(r)) is not None]
            read = bench.library.opened_by(bench.layout, (), (f.question for f in got))
            situation = replace(situation, opened=situation.opened | read)
        if got:
            questions += len(got)
            paid += action.minutes
            findings += [f for f in got if f not in findings]
            step = diagnosis.see(findings)
            confirmed = action.is_check and _confirms(bench, step, got[0])
    final = place_of(step.posterior, case, bench.library)
    return Guided(
        from_findings, before or final, final, before is not None, questions, minutes, tuple(asked)
    )


def touches_truth(bench: Bench, case: Case, action: Action) -> bool:
    """Return whether the check of ``action`` can find a true cause of ``case``."""
    settle = {(k.check, at) for c in accepted(case) for k, at in bench.settling(c)}
    return (action.check, action.at) in settle


def _confirms(bench: Bench, step: Step, check: Finding) -> bool:
    nothing = bench.library.checks[check.question].nothing_found
    return check.surely_not(nothing) and step.posterior.ranking()[0][1] >= SURE


def _planned(diagnosis: Diagnosis, step: Step, situation: Situation) -> Action | None:
    # no deadline: the same answer on every machine
    return diagnosis.plan(step, situation, deadline=float("inf")).action


def _name(action: Action) -> str:
    if action.is_check:
        return f"{action.check}@{action.at}"
    return " + ".join(
        f"{r.question}@{r.place}" + (f" [{r.run_state.id}]" if r.run_state else "")
        for r in action.readings
    )


# ------------------------------------------------------------------ orders to compare with


def _open_actions(bench: Bench, situation: Situation) -> list[Action]:
    catalogue = bench.planner.catalogue
    readings = [
        Action((r,), minutes=bench.planner.minutes_of((r,)))
        for r in catalogue.readings
        if r.key not in situation.asked
    ]
    return [*readings, *_open_checks(bench, situation)]


def _open_checks(bench: Bench, situation: Situation) -> list[Action]:
    return [
        Action(check=c, at=at, minutes=check_minutes(bench.net, c, at, situation.opened))
        for c, at in bench.planner.catalogue.checks
        if (c, at) not in situation.done
    ]


def random_order(seed: int) -> Policy:
    """Return the policy that takes any reading or check, evenly, with this seed."""
    rng = random.Random(seed)

    def choose(diagnosis: Diagnosis, step: Step, situation: Situation) -> Action | None:
        actions = _open_actions(diagnosis.bench, situation)
        return rng.choice(actions) if actions else None

    return choose


def fixed_order(diagnosis: Diagnosis, step: Step, situation: Situation) -> Action | None:
    """Take every reading, then every check, in the order of the files."""
    actions = _open_actions(diagnosis.bench, situation)
    return actions[0] if actions else None


def prior_order(diagnosis: Diagnosis, step: Step, situation: Situation) -> Action | None:
    """Take the checks by prior probability over cost, whatever is found."""
    bench = diagnosis.bench
    prior = diagnosis.belief.prior
    mass: dict[tuple[str, str], float] = {}
    for i, c in enumerate(bench.net.instances):
        for k, at in bench.settling(c):
            mass[(k.check, at)] = mass.get((k.check, at), 0.0) + float(prior.prior[i])
    checks = _open_checks(bench, situation)
    return max(checks, key=lambda a: mass.get((a.check, a.at), 0.0) / a.minutes, default=None)


BASELINES: Sequence[tuple[str, Callable[[str], Policy]]] = (
    ("random", lambda case: random_order(sum(map(ord, case)))),
    ("prior_only", lambda case: prior_order),
    ("fixed", lambda case: fixed_order),
)
"""Name and policy (for a case id) of the orders the planner is compared with."""
