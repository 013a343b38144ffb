"""A decision chart as plain frozen data: numbered steps, the ways on from each, terminals."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal as Choice

from diagnose.chart.start import Start
from diagnose.job.gates import Need
from diagnose.model import CauseAt
from diagnose.planner import Reading

Kind = Choice[
    "reading", "run", "look", "check", "found", "suspects", "rest", "settle", "hand-over", "stop"
]
"""reading: get one finding; run: an engine run with its readings; look: what a reading of that run
showed; check: at a part.  Terminals: found; suspects (checks in order); rest (every further check,
in the order that holds at the start); settle (a check that lists send to, with what each result
means); hand-over; stop (what to do at once about a danger found at any step)."""

AFTER_THE_TREE = ("rest", "settle", "hand-over", "stop")

TERMINALS = ("found", "suspects", *AFTER_THE_TREE)


@dataclass(frozen=True)
class Way:
    """Where an answer leads.

    values: classes or results, '' for not checked.  share: how often they come at this step.
    """

    values: tuple[str, ...]
    to: int
    share: float


@dataclass(frozen=True)
class Suspect:
    """A check to make, at which parts, the best first; what it can find, likeliest first.

    minutes: at one of them.  step: the step that tells how it is done.
    """

    check: str
    at: tuple[str, ...]
    minutes: float
    causes: tuple[tuple[CauseAt, float], ...]
    step: int = 0


@dataclass(frozen=True)
class Seldom:
    """An answer too seldom for a step of its own: what it says, in one line.

    cause: the likeliest then.  confirmed: whether it may be called found.  settle: the check that
    would settle it, and where; warns: what the rules warn of then; step: the step that tells how,
    or the hand-over.
    """

    value: str
    cause: CauseAt
    confirmed: bool
    settle: tuple[str, str] | None = None
    warns: tuple[str, ...] = ()
    step: int = 0


@dataclass(frozen=True)
class Danger:
    """What is found, in the titles of the rules that stop a job for it, and what to do at once."""

    found: tuple[str, ...]
    do: str


@dataclass(frozen=True)
class Meaning:
    """What a result of a check says: the causes it confirms at its places, likeliest mode first."""

    result: str
    causes: tuple[CauseAt, ...]


@dataclass(frozen=True)
class ChartStep:
    """One numbered step.

    mass: share of such reports that come here.  readings: all that are taken (a run takes
    several); asks: the one whose answer decides.  stops, warns: what the rules say on arrival.
    cause: what is found.  otherwise: the step to go on at if that was not it.
    """

    number: int
    kind: Kind
    mass: float
    ways: tuple[Way, ...] = ()
    readings: tuple[Reading, ...] = ()
    asks: Reading | None = None
    check: str = ""
    at: str = ""
    minutes: float = 0.0
    need: Need = ""
    stops: tuple[str, ...] = ()
    warns: tuple[str, ...] = ()
    cause: CauseAt | None = None
    suspects: tuple[Suspect, ...] = ()
    seldom: tuple[Seldom, ...] = ()
    seldom_of: tuple[str, str] = ("", "")  # question or check the seldom answers were to, its place
    places: tuple[str, ...] = ()  # where a check may be sent to
    meanings: tuple[Meaning, ...] = ()
    covered: float = 0.0  # chance that a check named from here on settles it, of those who come
    dangers: tuple[Danger, ...] = ()
    danger: int = 0  # the step to go to at once where one of the dangers is found here
    otherwise: int = 0

    @property
    def terminal(self) -> bool:
        """Return whether the chart ends here."""
        return self.kind in TERMINALS

    @property
    def mends(self) -> tuple[str, ...]:
        """Return the causes the step calls found and says how to mend, each once."""
        found = [self.cause] if self.kind == "found" and self.cause else []
        found += [s.cause for s in self.seldom if s.confirmed]
        found += [c for m in self.meanings for c in m.causes]
        return tuple(dict.fromkeys(c.cause for c in found))


@dataclass(frozen=True)
class Chart:
    """A decision chart for one start on one layout.

    steps: in order of their numbers: the tree from 1, the rest, the hand-over, the stop, the checks
    that lists send to.
    """

    start: Start
    steps: tuple[ChartStep, ...]

    def step(self, number: int) -> ChartStep:
        """Return a step by its number."""
        return self.steps[number - 1]

    @property
    def tree(self) -> tuple[ChartStep, ...]:
        """Return the steps of the tree itself."""
        return tuple(s for s in self.steps if s.kind not in AFTER_THE_TREE)

    @property
    def after(self) -> tuple[ChartStep, ...]:
        """Return what the ends of the tree send to: the rest, the hand-over, the checks."""
        return tuple(s for s in self.steps if s.kind in AFTER_THE_TREE)

    @property
    def stop(self) -> ChartStep:
        """Return the step that says what to do about a danger found at any other."""
        return next(s for s in self.steps if s.kind == "stop")

    @property
    def covered(self) -> float:
        """Return the share of such reports whose cause a check named on their way settles."""
        return min(sum(s.mass * s.covered for s in self.steps), 1.0)
