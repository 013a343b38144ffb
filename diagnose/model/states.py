"""Run states: severity grades, stages, the dimensions of a state and their values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal as Choice

GRADES = ("slight", "half", "severe")
"""Severity grades of a cause, mildest first."""

AEROPLANE = "aeroplane"
"""Id of the place that stands for the whole aeroplane; every layout has it."""

STAGES: Mapping[str, str] = MappingProxyType(
    {
        "parked": "none",
        "refuelling": "none",
        "static": "none",
        "after-shut-down": "none",
        "cranking": "cranking",
        "idle": "low",
        "taxi": "low",
        "run-up": "high",
        "take-off": "high",
        "climb": "high",
        "cruise": "mid",
        "descent": "mid",  # most descents are flown with power on
        "approach": "low",
        "landing": "low",  # the throttle is shut for the flare
        "go-around": "high",
    }
)
"""Stage of operation -> power band.  Knowledge speaks of power; people report stages."""

RUNNING = ("low", "mid", "high")
"""Power bands in which an engine runs."""

IN_FLIGHT = ("take-off", "climb", "cruise", "descent", "approach", "landing", "go-around")
"""Stages that no run on the ground is."""

DIMENSIONS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "power": ("none", "cranking", *RUNNING),
        "booster": ("off", "on"),
        "crossfeed": ("shut", "open"),
        "heat": ("cool", "hot"),
        "attitude": ("level", "disturbed"),
        "level": ("full", "part", "low"),
        # the tank that feeds, by its id, or the selector position in which several do ('both')
        "tank": (),
    }
)
"""Dimensions of a run state and their values; an unstated one is averaged over, never guessed."""

ELSEWHERE = "elsewhere"
"""A setting nobody states: 'yes' where an engine is on another tank than the one on which it did
wrong, 'both' where it did wrong on several (see ``in_use``)."""

KnownBy = Choice["measured", "read", "seen", "told", "assumed"]
KNOWN_BY: tuple[KnownBy, ...] = ("measured", "read", "seen", "told", "assumed")


def nothing() -> Mapping[str, str]:
    """Return an empty read-only mapping, for defaults."""
    return MappingProxyType({})


@dataclass(frozen=True)
class State:
    """A run state as stated: ``settings`` holds only the dimensions that are known."""

    stage: str = ""
    settings: Mapping[str, str] = field(default_factory=nothing)

    def known(self) -> Mapping[str, str]:
        """Return the known dimensions, with power taken from the stage unless it was stated."""
        out = dict(self.settings)
        if "power" not in out and self.stage in STAGES:
            out["power"] = STAGES[self.stage]
        return out


Allowed = Mapping[str, tuple[str, ...]]
"""Dimension -> the values that fit, as the ``when`` of a row or the ``state`` of a literal."""


def agree(one: Mapping[str, str], other: Mapping[str, str]) -> bool:
    """Return whether two states differ in nothing that both state."""
    return all(other.get(d, v) == v for d, v in one.items())


def fits(known: Mapping[str, str], allowed: Allowed) -> bool:
    """Return whether every dimension of ``allowed`` is known and has a value that fits."""
    return all(known.get(d) in values for d, values in allowed.items())


def overlap(one: Allowed, other: Allowed) -> bool:
    """Return whether some setting fits both."""
    return all(set(one[d]) & set(other[d]) for d in one.keys() & other.keys())


def narrower(one: Allowed, other: Allowed) -> bool:
    """Return whether every setting that fits ``one`` fits ``other``."""
    return all(d in one and set(one[d]) <= set(values) for d, values in other.items())


def on_the_ground(state: State) -> State:
    """Return a state told of a flight as a run on the ground repeats it: a run-up at its power."""
    if state.stage not in IN_FLIGHT:
        return state
    power = STAGES[state.stage]
    own = {} if power == STAGES["run-up"] else {"power": power}
    return State("run-up", {**own, **state.settings})


ANY_STATE = State()
"""Nothing known of the run state."""
