"""Layouts: the parts, lines, limits and run states of one kind of aeroplane."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from diagnose.errors import NOWHERE, Origin
from diagnose.model.aeroplanes import Aeroplane
from diagnose.model.states import State, nothing

TANKS = ("tank", "header-tank")
FUEL = "fuel"
"""Kind of what is in one tank; work there is fuelling it."""
FUEL_ABOARD = "fuel-aboard"
"""Kind of what is in all tanks together."""
"""Kinds that hold fuel; fuel passes on through a header tank, never through another tank."""

COCKS = ("selector-cock", "cross-feed-cock", "shut-off-cock")
"""Kinds that open and shut a way of the fuel by hand."""

METERS = ("float-carburettor", "injection-carburettor", "injection-unit")
"""Kinds that meter fuel to an engine."""


@dataclass(frozen=True)
class Part:
    """A named part of a layout.

    ``of`` is the part it belongs to (a cap's tank, a gauge's engine).  ``numbers`` are SI values
    of the part's figures (capacity [m3], height [m], displacement [m3/s] ...), keys as written
    in the layout file; ``traits`` its words.
    """

    id: str
    kind: str
    name: str
    side: str = ""
    position: str = ""
    number: int | None = None
    of: str = ""
    bus: str = ""
    traits: Mapping[str, str] = field(default_factory=nothing)
    numbers: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    positions: Mapping[str, tuple[tuple[str, str], ...]] = field(
        default_factory=lambda: MappingProxyType({})
    )  # cocks: position -> joined (port, port) pairs
    normal: str = ""  # cocks: position in normal running
    origin: Origin = NOWHERE

    @property
    def brim(self) -> float:
        """Return what a tank holds to the brim, its expansion space taken in [m3]."""
        return self.numbers["capacity"] * (1.0 + self.numbers.get("expansion", 0.0))

    def may_hold(self, volume: float) -> bool:
        """Return whether a tank's contents [m3] may be a bad reading yet: within a tenth of it."""
        return -0.1 * self.brim <= volume <= 1.1 * self.brim


@dataclass(frozen=True)
class Line:
    """A run of pipe from ``start`` to ``end`` ('part' or 'part.port'), fuel normally that way."""

    id: str
    start: str
    end: str
    bore: float  # [m]
    length: float  # [m]
    loss: float  # sum of fitting loss coefficients K [-]
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class Limit:
    """A figure of the layout with the approved-data reference it was typed from."""

    name: str
    low: float | None
    high: float | None
    unit: str  # dimension
    reference: str
    shown: str  # as typed, for people
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class RunState:
    """A standard state in which readings are taken, and what it costs."""

    id: str
    title: str
    stage: str
    settings: Mapping[str, str]
    minutes: float  # to set up and hold, once the engine is in the right mood
    start_minutes: float = 0.0  # start, warm-up and shut-down, paid once a run
    engine_running: bool = False
    needs: tuple[str, ...] = ()
    origin: Origin = NOWHERE

    @property
    def state(self) -> State:
        """Return it as a finding made in it would state it."""
        return State(self.stage, self.settings)


@dataclass(frozen=True)
class Layout:
    """The fuel system of one kind of aeroplane, or of one aeroplane with its own file laid over."""

    id: str
    title: str
    invented: bool
    notes: str
    traits: Mapping[str, str]
    parts: Mapping[str, Part]
    lines: tuple[Line, ...]
    limits: Mapping[str, Limit]
    run_states: tuple[RunState, ...]
    edition: str
    origin: Origin = NOWHERE
    aeroplane: Aeroplane | None = None  # laid over: limits and traits are already this one's own

    def owner_of(self, at: str) -> str:
        """Return the engine or tank that a part belongs to at last; itself where to none."""
        while at in self.parts and self.parts[at].of in self.parts:
            at = self.parts[at].of
        return at

    @property
    def its_aeroplane(self) -> Aeroplane:
        """Return the aeroplane whose file is laid over; asked only where there is one."""
        assert self.aeroplane is not None
        return self.aeroplane
