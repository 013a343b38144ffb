"""What a debrief measures, step by step and over the whole exercise, each with its source."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from diagnose.job.confirming import FOUND
from diagnose.job.events import finding_of
from diagnose.job.log import Event
from diagnose.job.wording import answer_words
from diagnose.model import CauseAt
from diagnose.planner import Action
from diagnose.planner.plan import LEAST_BITS
from diagnose.training.attempt import Attempt
from diagnose.training.progress import Progress, progress
from diagnose.training.situation import situation_of
from diagnose.training.worth import (
    OPEN,
    TEN_DECIBANS,
    best_of,
    by_part,
    half_split,
    odds,
    option_of,
    options,
    ruled_out,
)

SOURCES: Mapping[str, str] = MappingProxyType(
    {
        "solved": "the part at fault was named (common practice, no source)",
        "time": "minutes and starts over those of the planner's own route in the same world "
        "(cost to isolate over the optimum: common practice, no source)",
        "information": "bits a step was expected to tell over the most any step could have told "
        "(Shannon 1948, from memory)",
        "half-split": "1 - |2q - 1|, q the share of what is possible on one side of the answer; 16 "
        "equal causes need 4 splits in half, 8.44 one by one",
        "redundant": f"steps asked before, or expected to tell under {LEAST_BITS} bits (common "
        "practice, no source)",
        "premature": f"a part named while all others together were likelier (below {FOUND}; "
        "common practice, no source)",
        "eliminations": "a part is ruled out when its odds are a tenth of what they were, ten "
        "decibans (General Report on Tunny, 1945); leaving parts on the list is the commonest slip "
        "(network fault-finding study of 1987)",
        "safety": "acts asked for before what makes them safe was known (common practice, no "
        "source)",
        "confidence": "mean of (confidence - right)^2, 0 best, 1 worst (Brier 1950, from memory)",
        "false no-fault": "called no fault while there was one (common practice, no source)",
    }
)
"""Measure -> what it is, and where it comes from."""


@dataclass(frozen=True)
class Worked:
    """One question or check as it was worked.

    bits: expected before its answer; best: of the most telling thing at that moment, best_name
    what that was.  share: bits over best, None where nothing would have told anything.
    ruled_out: parts.  share_of_minutes: of all that the exercise cost, together 1 with namings.
    """

    n: int
    action: Action
    answer: str
    minutes: float
    starts: int
    share_of_minutes: float
    bits: float
    best: float
    best_action: Action | None
    share: float | None
    half_split: float
    redundant: bool
    gate: bool
    again: bool
    ruled_out: tuple[str, ...]


@dataclass(frozen=True)
class Named:
    """One naming: belief in the part when it was named, and how many others were still open."""

    n: int
    cause: CauseAt
    confidence: float
    right: str
    chance: float
    others: int
    minutes: float
    share_of_minutes: float

    @property
    def premature(self) -> bool:
        """Return whether all others together were likelier."""
        return self.chance < FOUND


@dataclass(frozen=True)
class Struck:
    """A part struck off the list: belief in it then, whether what was found bore that out."""

    place: str
    chance: float
    justified: bool


@dataclass(frozen=True)
class Measures:
    """Everything measured of one attempt."""

    steps: tuple[Worked, ...]
    namings: tuple[Named, ...]
    struck: tuple[Struck, ...]
    missed: tuple[str, ...]
    left: Mapping[str, float]

    @property
    def redundant(self) -> int:
        """Return how many steps could tell nothing new."""
        return sum(s.redundant for s in self.steps)

    @property
    def information(self) -> float | None:
        """Return the mean share of the best information, gates left out; None without steps."""
        shares = [s.share for s in self.steps if s.share is not None and not s.gate]
        return sum(shares) / len(shares) if shares else None

    @property
    def half_split(self) -> float | None:
        """Return the mean half-split index, gates left out; None without steps."""
        splits = [s.half_split for s in self.steps if not s.gate]
        return sum(splits) / len(splits) if splits else None

    @property
    def brier(self) -> float | None:
        """Return the mean squared error of the confidences; None where nothing was named."""
        errors = [(n.confidence - bool(n.right)) ** 2 for n in self.namings]
        return sum(errors) / len(errors) if errors else None


def measured(attempt: Attempt) -> Measures:
    """Return the measures of ``attempt``, from its events."""
    events = attempt.log.events
    total = max(attempt.state.minutes, 1e-9)
    steps: list[Worked] = []
    namings: list[Named] = []
    struck: dict[str, Struck] = {}
    before = progress(events[:1])
    first = now = by_part(attempt.step_of(before).posterior)
    for k, event in enumerate(events[1:], start=1):
        after = progress(events[: k + 1])
        if event["event"] in ("asked", "checked"):
            step, now = _worked(attempt, before, event, events[:k], now, after, total)
            steps.append(step)
        elif event["event"] == "named":
            namings.append(_named(event, now, total))
            now = by_part(attempt.step_of(after).posterior)
        elif event["event"] == "cleared":
            place = event["place"]
            struck[place] = Struck(place, now.get(place, 0.0), _gone(place, first, now))
        elif event["event"] == "kept":
            struck.pop(event["place"], None)
        before = after
    out = [p for p in first if p and first[p] >= OPEN and _gone(p, first, now)]
    missed = tuple(p for p in out if p not in attempt.state.cleared)
    return Measures(
        tuple(steps),
        tuple(namings),
        tuple(struck.values()),
        missed if attempt.state.keeps_list else (),
        now,
    )


def _gone(place: str, first: Mapping[str, float], now: Mapping[str, float]) -> bool:
    """Return whether what was found rules a part out, or it never was possible."""
    here = now.get(place, 0.0)
    return here < OPEN or odds(here) * TEN_DECIBANS <= odds(first.get(place, 0.0))


def _worked(
    attempt: Attempt,
    before: Progress,
    event: Event,
    earlier: Sequence[Event],
    chances: Mapping[str, float],
    after: Progress,
    total: float,
) -> tuple[Worked, Mapping[str, float]]:
    bench, library = attempt.bench, attempt.bench.library
    step = attempt.step_of(before)
    situation = situation_of(bench, before, earlier)
    outlook, found = options(bench, attempt.diagnosis, step, situation)
    action = action_of(attempt, event)
    own = option_of(outlook, action)
    again = (
        (action.check, action.at) in before.done
        if action.is_check
        else action.readings[0].key in before.asked
    )
    bits = 0.0 if again else own.bits
    best = best_of([own, *found] if not again else found)
    most = best.bits if best else 0.0
    gate = not action.is_check and bool(library.questions[action.readings[0].question].gate)
    split = half_split(outlook, own)
    finding = finding_of(event["finding"])
    labels = (
        library.checks[action.check].results
        if action.is_check
        else library.questions[finding.question].classes
    )
    figure = f" ({finding.typed})" if finding.typed else ""
    now = by_part(attempt.step_of(after).posterior)
    return Worked(
        event["n"],
        action,
        f"{answer_words(labels, finding)}{figure}",
        event["minutes"],
        event["starts"],
        event["minutes"] / total,
        bits,
        most,
        best.action if best else None,
        min(bits / most, 1.0) if most >= LEAST_BITS else None,
        0.0 if again else split,
        (again or bits < LEAST_BITS) and not gate,
        gate,
        again,
        ruled_out(chances, now),
    ), now


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


def _named(event: Event, chances: Mapping[str, float], total: float) -> Named:
    place = event["place"]
    others = sum(p >= OPEN for part, p in chances.items() if part and part != place)
    return Named(
        event["n"],
        CauseAt(event["cause"], place),
        event["confidence"],
        event["right"],
        chances.get(place, 0.0),
        others,
        event["minutes"],
        event["minutes"] / total,
    )
