"""The planner's own route through the same world: the same acts, priced and refused alike."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from diagnose.job.confirming import FOUND, found
from diagnose.job.diagnosis import Bench, Step
from diagnose.job.gates import need_of, still_open
from diagnose.model import CauseAt
from diagnose.planner import Action
from diagnose.training.attempt import Attempt, Unkept
from diagnose.training.worth import part_chances

MOST_ACTIONS = 60
MOST_MINUTES = 720.0
"""Actions and minutes after which a route is given up: a long working day (no source)."""


SETTLED = 0.9
"""Belief in a part from which the tool names it without one more look (this project's choice)."""


def settled(bench: Bench, step: Step, sound: Mapping[CauseAt, int]) -> CauseAt | None:
    """Return the cause that a check confirmed, or the likeliest of a part as good as certain.

    ``sound``: causes at parts that were worked on in vain.
    """
    cause = found(bench, step, sound)
    if cause is not None:
        return cause
    part, chance = max(part_chances(step.posterior).items(), key=lambda x: x[1])
    if not part or chance < SETTLED:
        return None
    return next((c for c, _ in step.posterior.ranking() if c.at == part and c not in sound), None)


@dataclass(frozen=True)
class Luck:
    """The look that settled where the fault is, and the chance of the part just before it."""

    n: int
    chance: float


@dataclass(frozen=True)
class Route:
    """The planner's work on one aeroplane, and the luck it had there."""

    attempt: Attempt
    luck: Luck | None


def best_route(attempt: Attempt) -> Route:
    """Return the planner's work on the aeroplane of ``attempt``, from the same report."""
    route = Attempt(attempt.bench, attempt.plane, Unkept(attempt.log.events[:1]))
    return Route(route, settling(work(route)))


def settling(path: Sequence[tuple[int, float]]) -> Luck | None:
    """Return the entry after which a part stayed likelier than all others together.

    path: the chance of the part after each entry, by its number, the report first.  None where it
    stood so by the report, or never did.
    """
    out: Luck | None = None
    for (_, was), (n, now) in pairwise(path):
        if was < FOUND <= now:
            out = Luck(n, was)
        elif now < FOUND:
            out = None
    return out


def work(route: Attempt) -> list[tuple[int, float]]:
    """Go on as the planner would until the part at fault is named or nothing more can help.

    Return the chance of the part at fault after each action, by the number of its last entry.
    """
    path: list[tuple[int, float]] = []
    for _ in range(MOST_ACTIONS):
        if route.state.minutes > MOST_MINUTES:
            break
        step = route.step()
        chances = part_chances(step.posterior)
        path.append((len(route.log.events), chances.get(route.plane.hidden.cause.at, 0.0)))
        sound = route.sound(route.state)
        cause = settled(route.bench, step, sound)
        if cause is not None:
            for gate in route.never_looked_at(cause):
                route.ask(gate)
            if route.name(cause, min(chances[cause.at], 1.0)):
                return path
            continue
        # no deadline: the same route on every machine
        plan = route.diagnosis.plan(step, route.situation(), deadline=float("inf"))
        if plan.action is None:
            break
        _do(route, plan.action)
    route.stop("nothing more would help")
    return path


def _do(route: Attempt, action: Action) -> None:
    need = need_of(route.bench, action)
    if need and not _made_safe(route):
        return
    if action.is_check:
        route.check(action.check, action.at)
        return
    # a run state after another, as on a run card
    states = list(dict.fromkeys(r.state_id for r in action.readings))
    for reading in sorted(action.readings, key=lambda r: states.index(r.state_id)):
        if need and not route.state.runs_in(reading.state_id):
            route.confirm()
        route.ask(reading)


def _made_safe(route: Attempt) -> bool:
    """Look at every gate not known safe, then confirm; return whether the way is open."""
    for gate in still_open(route.bench, route.state.findings, route.log.events):
        found_there = route.ask(gate)
        safe = route.bench.library.questions[gate.question].gate
        if found_there is None or found_there.value != safe:
            return False
    if not route.state.running:
        route.confirm()
    return True
