"""Causes: how a kind of part fails, what that produces, and what settles it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from diagnose.errors import NOWHERE, Origin
from diagnose.model.states import nothing
from diagnose.model.words import SourceRef

Shown = Mapping[str, Mapping[str, float]]
"""What an instrument shows for what a sound one would: sound class -> shown class -> chance."""


@dataclass(frozen=True)
class Produces:
    """``effect`` takes ``value`` at the places related to the cause's part, when the state fits.

    ``how_often`` is P(value | this cause alone, grade), net of background, per grade;
    a grade not stated is absent.  ``when[dimension]`` lists the values that fit; ``only_if`` the
    traits of the cause's part, or of the layout, without which the row is not said.
    """

    effect: str
    value: str
    at: str
    how_often: Mapping[str, float]
    said: Mapping[str, str]  # grade -> the word as written
    when: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))
    origin: Origin = NOWHERE
    only_if: Mapping[str, str] = field(default_factory=nothing)  # trait -> value, 'x or y'
    one_position: bool = False  # of a cock that fails in one of its positions, not known which
    source: SourceRef | None = None  # where this row alone was said, beside the cause's sources

    def conditions(self) -> str:
        """Return what must hold for the row, 'power low/mid, booster off', '' when nothing."""
        held = (f"{k} {v}" for k, v in self.only_if.items())
        return ", ".join(c for c in (_in_state(self.when), *held) if c)


@dataclass(frozen=True)
class Distorts:
    """An instrument fault: what the question shows (class) for what a sound one would show.

    ``when[dimension]`` lists the values of the run state in which it does so.  ``by_grade``: what
    it shows at a grade, in place of ``shows``, where how far it has gone matters.
    """

    question: str
    shows: Shown  # a sound class that is absent is shown as it is
    when: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))
    by_grade: Mapping[str, Shown] = field(default_factory=lambda: MappingProxyType({}))
    origin: Origin = NOWHERE

    def at_grade(self, grade: str) -> Shown:
        """Return what the question shows when the fault has gone as far as ``grade``."""
        return self.by_grade.get(grade, self.shows)

    def tables(self) -> tuple[tuple[str, Shown], ...]:
        """Return every table it has with its grade, '' where it is the same at all."""
        return tuple(self.by_grade.items()) or (("", self.shows),)

    def conditions(self) -> str:
        """Return the run state in which it does so, 'power low', '' when in any."""
        return _in_state(self.when)


def _in_state(when: Mapping[str, tuple[str, ...]]) -> str:
    return ", ".join(f"{d} {'/'.join(v)}" for d, v in when.items())


@dataclass(frozen=True)
class LookAlike:
    """A cause that looks the same, and what tells it apart."""

    cause: str
    told_apart_by: str
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class CauseCheck:
    """What a check shows with this cause there: the result and the chance of it.

    Under ``checks`` of a cause it settles it; under ``also_shows`` it only speaks for it.
    """

    check: str
    result: str
    chance: float = 0.95
    at: str = "itself"  # relation from the cause's part to the part the check is done at
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class Provenance:
    """Who said it, when and how well it is known."""

    said_by: str
    on: str
    how: str  # published | interview | own case | common practice
    confidence: str = ""


@dataclass(frozen=True)
class Physical:
    """What the failure does to an element of the fuel-system model, per severity grade."""

    change: str  # e.g. blocked, leaks, output, relief-set, stuck-at, ...
    grades: Mapping[str, float]
    unit: str = ""


@dataclass(frozen=True)
class Difference:
    """Where the fuel-system model and what is said of ``causes`` differ and both stand, and why.

    Meant are rows that give one of ``values`` of ``effect``, or that there are none.
    """

    causes: tuple[str, ...]
    effect: str
    values: tuple[str, ...]
    because: str
    origin: Origin = NOWHERE

    def holds(self, cause: str, effect: str, value: str) -> bool:
        """Say whether this value of an effect, with ``cause``, is meant."""
        return cause in self.causes and effect == self.effect and value in self.values


@dataclass(frozen=True)
class Cause:
    """A failure mode of a kind of part; with a part of a layout it becomes a *cause* there."""

    id: str
    title: str
    family: str
    part_kinds: tuple[str, ...]
    mode: str
    code: str
    how_common: float
    common_word: str
    because: str
    severity: Mapping[str, float]
    produces: tuple[Produces, ...]
    distorts: tuple[Distorts, ...] = ()
    only_if: Mapping[str, str] = field(default_factory=nothing)  # part or layout attribute -> value
    after_work: tuple[str, ...] = ()
    pattern: str = "steady"
    look_alikes: tuple[LookAlike, ...] = ()
    checks: tuple[CauseCheck, ...] = ()
    also_shows: tuple[CauseCheck, ...] = ()  # at checks made for other causes; confirms nothing
    rectify: str = ""
    rectify_hazards: tuple[str, ...] = ()  # of mending, beside those of the checks that settle it
    root_question: str = ""
    also_look: str = ""
    verify: str = ""
    verify_needs: str = "run"  # what proving it puts at risk: nothing | power | run
    harm: str = ""
    physical: Physical | None = None
    outside: str = ""  # '', 'not-fuel' or 'no-fault'
    provenance: Provenance | None = None
    status: str = "draft"
    fires_on: tuple[str, ...] = ()
    silent_on: tuple[str, ...] = ()
    settled_on: tuple[str, ...] = ()  # cases in which only its check tells it from its look-alikes
    judged: float = 1.0  # factor that judged reports put on its odds, beside how common it is
    sources: tuple[SourceRef, ...] = ()
    origin: Origin = NOWHERE

    @property
    def at_checks(self) -> tuple[CauseCheck, ...]:
        """Return all that checks show with this cause, what settles it first."""
        return (*self.checks, *self.also_shows)

    @property
    def own_rows(self) -> tuple[Produces, ...]:
        """Return the rows written in the cause's own file, without those that effects add."""
        return tuple(row for row in self.produces if row.origin.file == self.origin.file)

    @property
    def proofs(self) -> Mapping[str, tuple[str, ...]]:
        """Return the ids of its cases under what each proves, as a cause's file has them."""
        return {
            "fires-on": self.fires_on,
            "settled-on": self.settled_on,
            "silent-on": self.silent_on,
        }


ALOFT = "only at height"
"""Pattern of a fault that no run on the ground shows."""


def shows_each_try(cause: Cause) -> float:
    """Return the chance that a fault of this kind, being there, shows itself at any one try.

    1 unless its pattern is 'random' with a chance; a fault bound to a condition shows whenever
    the condition is reached, which its rows state.
    """
    kind, _, chance = cause.pattern.partition(" ")
    return float(chance) if kind == "random" and chance else 1.0
