"""What a debrief measures over a whole exercise, each measure with its source."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import NamedTuple

from diagnose.job.confirming import FOUND
from diagnose.job.keeping.log import Event
from diagnose.model import CauseAt
from diagnose.planner.plan import LEAST_BITS
from diagnose.training.attempt import Attempt
from diagnose.training.looked import Looked, Moment, answered, looked, moment
from diagnose.training.progress import progress
from diagnose.training.route import Luck, settling
from diagnose.training.worth import OPEN, cause_chance, is_ruled_out, name_of

SOURCES: Mapping[str, str] = MappingProxyType(
    {
        "solved": "the part at fault was named (common practice, no source)",
        "time": "minutes and starts beside those of the tool on the same aeroplane, which knows "
        "what is known and not the fault (cost to isolate: common practice, no source)",
        "luck": "the chance of the part by what was known when the look that settled it was made, "
        "or when it was named (common practice, no source)",
        "worth": "a look is dear where another would have told as much for two thirds of its "
        "minutes or less; what was left out is held against one look (bits: Shannon 1948, from "
        "memory; the limit is this project's choice)",
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
        "safety": "acts asked for before what makes them safe was known, each step once until it "
        "is made (common practice, no source)",
        "confidence": "mean of (confidence - right)^2, 0 best, 1 worst (Brier 1950, from memory)",
        "false no-fault": "called no fault while there was one (common practice, no source)",
    }
)
"""Measure -> what it is, and where it comes from."""


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
class Followed:
    """One cause over an exercise: its chance by the report and at the end.

    out: the act after which it was ruled out for good, 0 where the report did that, None where it
    was still possible.
    """

    first: float
    last: float
    out: int | None


@dataclass(frozen=True)
class Measures:
    """Everything measured of one attempt."""

    steps: tuple[Looked, ...]
    namings: tuple[Named, ...]
    struck: tuple[Struck, ...]
    missed: tuple[str, ...]
    left: Mapping[str, float]
    followed: tuple[Followed, ...]
    luck: Luck | None

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


class Act(NamedTuple):
    """A look or a naming, and where the exercise stood before and after it."""

    event: Event
    before: Moment
    after: Moment


def measured(attempt: Attempt, follow: Sequence[CauseAt] = ()) -> Measures:
    """Return the measures of ``attempt``, from its events; the causes to ``follow`` over it too."""
    total = max(attempt.state.minutes, 1e-9)
    events = tuple(attempt.log.events)
    first = now = moment(attempt, events[:1], progress(events[:1]))
    steps: list[Looked] = []
    held: set[tuple[str, str, str]] = set()
    namings: list[Named] = []
    acts: list[Act] = []
    for k, event in enumerate(events[1:], start=1):
        if event["event"] not in ("asked", "checked", "named"):
            continue
        before = replace(now, events=events[:k], state=progress(events[:k]))
        naming = event["event"] == "named"
        look = None if naming else looked(attempt, before, event, total, held)
        now = moment(attempt, events[: k + 1], progress(events[: k + 1]))
        if look is None:
            namings.append(_named(event, before.parts, total))
        else:
            steps.append(answered(look, before, now))
            if look.worth == "dear" and look.better is not None:
                held.add(name_of(look.better.action))
        acts.append(Act(event, before, now))
    looks = [a for a in acts if a.event["event"] != "named"]
    at = attempt.plane.hidden.cause.at
    path = [(1, first.parts.get(at, 0.0))]
    path += [(int(e["n"]), after.parts.get(at, 0.0)) for e, _, after in looks]
    return Measures(
        tuple(steps),
        tuple(namings),
        tuple(_struck(attempt, first, acts)),
        _missed(attempt, first, now),
        now.parts,
        tuple(_followed(c, first, looks) for c in follow),
        settling(path),
    )


def _struck(attempt: Attempt, first: Moment, acts: Sequence[Act]) -> list[Struck]:
    """Return the parts that stand struck off, each by what was known when it was."""
    out: dict[str, Struck] = {}
    for event in attempt.log.events:
        if event["event"] == "kept":
            out.pop(event["place"], None)
        elif event["event"] == "cleared":
            place, earlier = event["place"], [a for a in acts if a.event["n"] < event["n"]]
            parts = earlier[-1].after.parts if earlier else first.parts
            chance = parts.get(place, 0.0)
            out[place] = Struck(place, chance, is_ruled_out(first.parts.get(place, 0.0), chance))
    return list(out.values())


def _missed(attempt: Attempt, first: Moment, last: Moment) -> tuple[str, ...]:
    """Return the parts that were ruled out and left on the list; none where none was kept."""
    if not attempt.state.keeps_list:
        return ()
    return tuple(
        p
        for p, chance in first.parts.items()
        if p
        and chance >= OPEN
        and is_ruled_out(chance, last.parts.get(p, 0.0))
        and p not in attempt.state.cleared
    )


def _followed(cause: CauseAt, first: Moment, looks: Sequence[Act]) -> Followed:
    """Return how one cause stood over the looks; a naming is no finding."""
    start = now = cause_chance(first.step.posterior, cause)
    out: int | None = 0 if start < OPEN else None
    for event, _, after in looks:
        now = cause_chance(after.step.posterior, cause)
        if not is_ruled_out(start, now):
            out = None
        elif out is None:
            out = int(event["n"])
    return Followed(start, now, out)


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
