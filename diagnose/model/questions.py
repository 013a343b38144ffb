"""Effects, which are never seen, and the questions whose answers speak of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from diagnose.errors import NOWHERE, Origin
from diagnose.model.checks import joint_among
from diagnose.model.follows import Follows
from diagnose.model.states import KnownBy, nothing
from diagnose.model.words import SourceRef


@dataclass(frozen=True)
class Effect:
    """A physical condition at a place in a run state; hidden, never itself observed.

    ``values[0]`` is the normal value.  ``background`` is the rate of each other value per report
    when none of our causes is at work.  ``depends_on`` names the run-state dimensions that can
    change it: two findings that differ in no such dimension speak of the same instance.
    ``reading`` names the fuel-model reading that gives it, '' when the model cannot.
    ``follows`` says what other effects bring this one with them.  ``in_use``: a tank shows it of
    the trouble, so it is read with the tank that fed when the trouble came.  ``passing``: it
    tells whether the trouble went by itself.
    """

    id: str
    title: str
    at: tuple[str, ...]  # part kinds, or ('aeroplane',)
    values: tuple[str, ...]
    background: Mapping[str, float]
    depends_on: tuple[str, ...] = ()
    reading: str = ""
    because: str = ""
    follows: tuple[Follows, ...] = ()
    in_use: bool = False
    passing: bool = False
    sources: tuple[SourceRef, ...] = ()
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class ImpliedBy:
    """Two findings on one thing in different stages that answer this question between them.

    ``change`` is 'came-on' (good, then bad at a later stage of the same running) or 'went-off'
    (bad, then good with nothing mended) in the answers to one of the questions ``of``;
    ``gives`` is the class implied, by the stage of the later finding.
    """

    change: str
    of: tuple[str, ...]
    gives: Mapping[str, str]
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class Refines:
    """The answer to another question at the same place that this one asks more of.

    Until that answer is given there is nothing to ask, nor where it was given as a figure; a
    report that gives it in words that say more (``heard`` of this question) answers both.
    ``zero`` is the class that a figure of nothing is, '' where it is none.
    """

    question: str
    value: str
    zero: str = ""
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class Question:
    """How to get one finding about one effect.

    ``shows[value][class]`` is P(class | effect value); rows sum to 1.  ``cut`` names the layout
    limit that turns a typed number into a class (below its low edge ``low``, above ``high``);
    ``cut_as`` says which class that is, and which one a figure of nothing is.
    """

    id: str
    title: str
    ask: str
    reads: str  # effect id
    at: tuple[str, ...]  # same part kinds as the effect
    classes: Mapping[str, str]  # class -> label shown to the user, in neutral order
    shows: Mapping[str, Mapping[str, float]]
    how: str = ""
    why: str = ""
    instruments: tuple[str, ...] = ()  # part kinds whose faults distort this reading
    unit: str = ""  # dimension of a typed number: pressure, volume, temperature, flow ...
    cut: str = ""
    cut_as: Mapping[str, str] = field(default_factory=nothing)  # zero|low|normal|high -> class
    stages: tuple[
        str, ...
    ] = ()  # stages in which it can be got; () = any time, from memory or papers
    needs: Mapping[str, str] = field(
        default_factory=nothing
    )  # further run-state settings it is read in
    where_fitted: Mapping[str, str] = field(
        default_factory=nothing
    )  # the same, where the layout can be set so
    minutes: float = 1.0
    next_minutes: float = 0.0  # each like place after the first, taken in one go; 0 = one by one
    hands: int = 1
    tools: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    opening: bool = False  # asked before anything is done
    on_paper: bool = False  # read off a log, a docket or the weather: it says the same tomorrow
    perishable: str = ""  # what destroys it: 'cooling', 'draining', 'opening', 'refuelling' ...
    destroys: tuple[str, ...] = ()  # perishable evidence that taking the reading destroys
    disturbs: Mapping[str, str] = field(
        default_factory=nothing
    )  # what taking it leaves open, as of a check; ``close_out`` says what restores it
    close_out: str = ""
    gate: str = ""  # class that must be KNOWN before power or an engine run ('' = not a gate)
    gate_holds: bool = False  # what was smelt then: nothing opened since makes it unknown again
    pump_only: bool = False  # the power its hazards warn of is that of a pump its run state has on
    only_if: Mapping[str, str] = field(
        default_factory=nothing
    )  # traits without which it is not asked
    also_called: tuple[str, ...] = ()  # what people call the thing looked at
    heard: Mapping[str, tuple[str, ...]] = field(
        default_factory=lambda: MappingProxyType({})
    )  # class -> how people say it
    told: Mapping[str, str] = field(
        default_factory=nothing
    )  # class -> a sentence that reports it, {it} for the place; every class or none
    implied_by: ImpliedBy | None = None
    refines: Refines | None = None
    sources: tuple[SourceRef, ...] = ()
    origin: Origin = NOWHERE

    @property
    def known_there(self) -> KnownBy:
        """Return how a person standing there knows the answer: a figure or a gauge is read."""
        return "read" if self.instruments or self.unit else "seen"

    @property
    def off_the_aeroplane(self) -> bool:
        """Return whether it is asked of people or papers, with nobody at the aeroplane."""
        return (self.on_paper or self.opening) and not (self.stages or self.gate or self.hazards)

    @property
    def answers(self) -> Mapping[str, str]:
        """Return its classes in words, as a check has its results."""
        return self.classes

    @property
    def opens(self) -> frozenset[str]:
        """Return what is paid for once it is read: the look at a joint it disturbs."""
        return frozenset(filter(None, (joint_among(self.disturbs),)))
