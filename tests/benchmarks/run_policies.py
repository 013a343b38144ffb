"""Two ways to use engine runs: one card for everything worth reading, or one question a run."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from diagnose.belief import Held, Posterior
from diagnose.job.confirming import confirmed, found
from diagnose.job.day.card import lines_for
from diagnose.job.diagnosis import Bench, Diagnosis
from diagnose.job.gates import need_of_check
from diagnose.model import CauseAt, Finding
from diagnose.planner import Action, Planner, Reading, Situation
from diagnose.planner.occasion import worth_in_one_run
from diagnose.planner.outlook import Outlook
from diagnose.planner.plan import Scored

LINES = 9
"""Lines of a card: what fits one page for four engines (seen on the printed cards: 4 to 10)."""

MOST_ACTIONS = 60
LONGEST = 960.0
"""Minutes after which a job is handed over: two working days (no source)."""

Asked = Callable[[Reading], Finding | None]
Looked = Callable[[str, str], str | None]


@dataclass(frozen=True)
class Played:
    """How one job went: engine runs started, minutes spent, whether the true part was found."""

    starts: int
    minutes: float
    found: bool


class OneAtATime(Planner):
    """Plans every reading of a running engine as a run of its own."""

    def bundle(self, outlook: Outlook, runs: Sequence[Scored], size: int = 1) -> tuple[Scored, ...]:
        """Return the one reading that tells most."""
        return super().bundle(outlook, runs, 1)


def played(
    bench: Bench,
    reported: Sequence[Finding],
    asked: Asked,
    looked: Looked,
    truth: CauseAt,
    *,
    cards: bool,
    planner: Planner | None = None,
) -> Played:
    """Play one job to the confirmed cause; ``cards``: a run reads a whole card, else one thing.

    Both ways ask the same planner the same question, pay a start for every run and stop at the
    same point: a check confirms the true cause, or the true part is called found, nothing more
    would tell, or two days.
    What the job has no answer to is not asked: two of three actions went to it, and nobody who
    stands at an aeroplane answers nothing to most of what is asked.
    """
    use = planner or (bench.planner if cards else OneAtATime(bench.planner.catalogue))
    diagnosis = Diagnosis(bench, engine=False)
    findings = list(reported)
    mute = frozenset(r.key for r in bench.planner.catalogue.readings if asked(r) is None)
    situation = Situation(asked=mute)
    starts, minutes = 0, 0.0
    for _ in range(MOST_ACTIONS):
        step = diagnosis.see(findings)
        part = found(bench, step)
        if (part is not None and part.at == truth.at) or confirmed(bench, truth, findings):
            return Played(starts, minutes, True)
        action = use.next(diagnosis.belief, step.posterior, situation, float("inf")).action
        if action is None or minutes > LONGEST:
            break
        if action.is_run:
            starts += 1
            if cards:
                action = carded(bench, diagnosis.belief, step.posterior, situation, action)
        elif action.is_check and need_of_check(bench.library.checks[action.check]) == "run":
            starts += 1
        minutes += action.minutes
        situation = done(situation, bench, action)
        for r in action.readings:
            got = asked(r)
            if got is not None:
                findings.append(got)
        if action.is_check:
            result = looked(action.check, action.at)
            if result is not None:
                findings.append(Finding(action.check, action.at, result, check=True))
    return Played(starts, minutes, False)


def carded(
    bench: Bench, belief: Held, posterior: Posterior, situation: Situation, action: Action
) -> Action:
    """Return the run of ``action`` with everything on its card read; neighbours cost a glance."""
    wanted = worth_in_one_run(bench.planner, belief, posterior, situation, 48)
    lines = lines_for(bench, wanted)[:LINES]
    readings = tuple(r for line in lines for r in line.readings())
    first = [line.readings()[0] for line in lines]
    return replace(action, readings=readings, minutes=bench.planner.minutes_of(first))


def done(situation: Situation, bench: Bench, action: Action) -> Situation:
    """Return the situation after ``action``."""
    asked = situation.asked | {r.key for r in action.readings}
    opened, made = situation.opened, situation.done
    if action.is_check:
        made = made | {(action.check, action.at)}
        opened = opened | bench.library.opened_by(bench.layout, [(action.check, action.at)])
    return replace(situation, asked=asked, done=made, opened=opened)


def answers_from(answers: Mapping[tuple[str, str, str], Finding]) -> Asked:
    """Return what a table of answers says to a reading, None for 'not checked'."""
    return lambda reading: answers.get(reading.key)


def looks_at(bench: Bench, truth: CauseAt) -> Looked:
    """Return what a check shows when ``truth`` is all that is wrong: the likeliest of its results.

    Its own checks always find it; one made for another cause finds nothing where that is likeliest.
    """
    known = bench.library.causes[truth.cause]

    def look(check: str, at: str) -> str | None:
        here = [
            c
            for c in known.at_checks
            if c.check == check and at in bench.places.related(truth.at, c.at, {})
        ]
        best = max(here, key=lambda c: (c in known.checks, c.chance), default=None)
        rest = 1.0 - sum(c.chance for c in here)
        if best is None or (best not in known.checks and rest > best.chance):
            return next(iter(bench.library.checks[check].results))
        return best.result

    return look
