"""One question or check of an exercise, measured by what was known just before it."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from diagnose.job.diagnosis import Step
from diagnose.job.keeping.finding_data import finding_of
from diagnose.job.keeping.log import Event
from diagnose.job.wording import answer_words
from diagnose.model import CauseAt
from diagnose.planner import Action
from diagnose.planner.plan import LEAST_BITS
from diagnose.training.as_set import read_alike
from diagnose.training.attempt import Attempt
from diagnose.training.progress import Progress
from diagnose.training.route import settled
from diagnose.training.situation import situation_of
from diagnose.training.worth import (
    Better,
    best_of,
    better_than,
    half_split,
    name_of,
    option_of,
    options,
    part_chances,
    ruled_out,
)


@dataclass(frozen=True)
class Moment:
    """Where an exercise stood before an act: its events, what they add up to, what they say."""

    events: tuple[Event, ...]
    state: Progress
    step: Step
    parts: Mapping[str, float]


def moment(attempt: Attempt, events: tuple[Event, ...], state: Progress) -> Moment:
    """Return where ``attempt`` stood after ``events``, which add up to ``state``."""
    step = attempt.step_of(state)
    return Moment(events, state, step, part_chances(step.posterior))


@dataclass(frozen=True)
class Looked:
    """One question or check as it was made.

    bits: expected before its answer; best: of the most telling thing at that moment.  share: bits
    over best, None where nothing would have told anything.  better: what would have told as much
    for fewer minutes.  settled: the cause that stood as settled already.  tells_apart: the
    likeliest cause then and the one best told from it.  tool: what the planner would have done
    next, knowing the same; None where it would have named the part, or stopped.  ruled_out: parts.
    raised: the part lifted most by the answer, with its chance before and after.
    share_of_minutes: of all that the exercise cost, together 1 with namings.
    """

    n: int
    action: Action
    answer: str
    minutes: float
    starts: int
    share_of_minutes: float
    bits: float
    best: float
    share: float | None
    better: Better | None
    settled: CauseAt | None
    tells_apart: tuple[CauseAt, ...]
    tool: Action | None
    half_split: float
    again: bool
    gate: bool
    ruled_out: tuple[str, ...] = ()
    raised: tuple[str, float, float] | None = None

    @property
    def redundant(self) -> bool:
        """Return whether it could tell nothing new, and was not owed for safety."""
        return self.again or (self.bits < LEAST_BITS and not self.gate)

    @property
    def worth(self) -> str:
        """Return what it was worth, in a word: again, safety, settled, nothing, dear or good."""
        if self.again:
            return "again"
        if self.gate:
            return "safety"
        if self.settled is not None:
            return "settled"
        if self.redundant:
            return "nothing"
        return "dear" if self.better is not None else "good"


@dataclass(frozen=True)
class NextLook:
    """What the planner would have done where it was given up, and the two causes it parts best.

    action is None where it would have named ``cause``, or known nothing more to do ('' then).
    """

    action: Action | None
    apart: tuple[CauseAt, ...]
    cause: CauseAt | None


def next_look(attempt: Attempt) -> NextLook:
    """Return what would have come next in ``attempt``, by what was known at its end."""
    step, situation = attempt.step(), attempt.situation()
    cause = settled(attempt.bench, step, attempt.sound(attempt.state))
    if cause is not None:
        return NextLook(None, (), cause)
    action = attempt.diagnosis.plan(step, situation, deadline=float("inf")).action
    if action is None:
        return NextLook(None, (), None)
    outlook, _ = options(attempt.bench, attempt.diagnosis, step, situation)
    return NextLook(action, outlook.parted(option_of(outlook, action).given), None)


def looked(
    attempt: Attempt,
    before: Moment,
    event: Event,
    total: float,
    held: Collection[tuple[str, str, str]] = (),
) -> Looked:
    """Return what was made of ``event``, by what was known ``before`` it; call it in that moment.

    total: minutes of the whole exercise.  What the answer did is added by ``answered``.  held: what
    was held against an earlier look already; one thing left out is one lesson.
    """
    bench, step = attempt.bench, before.step
    situation = situation_of(bench, before.state, before.events)
    outlook, found = options(bench, attempt.diagnosis, step, situation)
    action = action_of(attempt, event)
    own = option_of(outlook, action)
    tool = attempt.diagnosis.plan(step, situation, deadline=float("inf")).action
    if action.is_check:
        again, gate = (action.check, action.at) in before.state.done, False
    else:
        reading = action.readings[0]
        again = reading.key in read_alike(bench, before.state.asked)
        gate = bool(bench.library.questions[reading.question].gate)
    best = best_of(found if again else [own, *found])
    most = best.bits if best else 0.0
    bits = 0.0 if again else own.bits
    sound = attempt.sound(before.state)
    better = better_than(
        bench, before.state, own, [o for o in found if name_of(o.action) not in held]
    )
    return Looked(
        event["n"],
        action,
        answer_of(attempt, event),
        event["minutes"],
        event["starts"],
        event["minutes"] / total,
        bits,
        most,
        min(bits / most, 1.0) if most >= LEAST_BITS else None,
        better,
        settled(bench, step, sound),
        outlook.parted(own.given),
        tool,
        0.0 if again else half_split(outlook, own),
        again,
        gate,
    )


def answered(look: Looked, before: Moment, after: Moment) -> Looked:
    """Return ``look`` with what its answer did: parts ruled out, the part lifted most."""
    return replace(
        look,
        ruled_out=ruled_out(before.parts, after.parts),
        raised=_raised(before.parts, after.parts),
    )


def action_of(attempt: Attempt, event: Event) -> Action:
    """Return the question or check of an event."""
    if event["event"] == "checked":
        check, at = event["check"]
        return Action(check=check, at=at)
    key = tuple(event["reading"])
    for reading in attempt.bench.planner.catalogue.readings:
        if reading.key == key:
            return Action((reading,))
    raise KeyError(key)  # names are held against the knowledge when the exercise is taken up


def answer_of(attempt: Attempt, event: Event) -> str:
    """Return in words what a question or check of ``event`` showed."""
    finding = finding_of(event["finding"])
    figure = f" ({finding.typed})" if finding.typed else ""
    return f"{answer_words(attempt.bench.library.asked(finding).answers, finding)}{figure}"


def _raised(
    before: Mapping[str, float], after: Mapping[str, float]
) -> tuple[str, float, float] | None:
    """Return the part whose chance rose most, if by a twentieth or more."""
    rises = {p: chance - before.get(p, 0.0) for p, chance in after.items() if p}
    part = max(rises, key=lambda p: rises[p], default="")
    if not part or rises[part] < 0.05:
        return None
    return part, before.get(part, 0.0), after[part]
