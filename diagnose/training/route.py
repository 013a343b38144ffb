"""The planner's own route through the same world: the same acts, priced and refused alike."""

from __future__ import annotations

from diagnose.job.confirming import found
from diagnose.job.gates import Need, need_of, still_open
from diagnose.planner import Action
from diagnose.training.attempt import Attempt, Unkept

MOST_ACTIONS = 60
MOST_MINUTES = 720.0
"""Actions and minutes after which a route is given up: a long working day (no source)."""


def best_route(attempt: Attempt) -> Attempt:
    """Return the planner's work on the aeroplane of ``attempt``, from the same report."""
    route = Attempt(attempt.bench, attempt.plane, Unkept(attempt.log.events[:1]))
    work(route)
    return route


def work(route: Attempt) -> None:
    """Go on as the planner would until the part at fault is named or nothing more can help."""
    for _ in range(MOST_ACTIONS):
        if route.state.minutes > MOST_MINUTES:
            break
        step = route.step()
        sound = route.sound(route.state)
        cause = found(route.bench, step, sound)
        if cause is not None:
            chance = dict(step.posterior.ranking())[cause]
            if route.name(cause, min(chance, 1.0)):
                return
            continue
        # no deadline: the same route on every machine
        plan = route.diagnosis.plan(step, route.situation(), deadline=float("inf"))
        if plan.action is None:
            break
        _do(route, plan.action)
    route.stop("nothing more would help")


def _do(route: Attempt, action: Action) -> None:
    need = need_of(route.bench, action)
    if need and not _made_safe(route, need):
        return
    if action.is_check:
        route.check(action.check, action.at)
        return
    # a run state after another, as on a run card
    states = list(dict.fromkeys(r.key[2] for r in action.readings))
    for reading in sorted(action.readings, key=lambda r: states.index(r.key[2])):
        route.ask(reading)


def _made_safe(route: Attempt, need: Need) -> bool:
    """Look at every gate not known safe, then confirm; return whether the way is open."""
    for gate in still_open(route.bench, route.state.findings, route.log.events):
        found_there = route.ask(gate)
        safe = route.bench.library.questions[gate.question].gate
        if found_there is None or found_there.value != safe:
            return False
    if not route.state.running:
        route.confirm()
    return True
