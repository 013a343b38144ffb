"""What a failure does: the physical changes of the knowledge, laid on rows of conditions.

A fault names a part, a change and how much of it.  ``FITS`` lists which kinds of part can have
which change; anything else is refused, so that no fault is ever silently without effect.  Changes
of gauges, senders, sticks and switches do not touch the flow: ``diagnose.fuel.readings`` applies
them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from diagnose.fuel.changes import APPLY
from diagnose.fuel.conditions import Conditions, prepare
from diagnose.fuel.job import FaultError, Job
from diagnose.fuel.network import Network
from diagnose.fuel.settings import Settings
from diagnose.fuel.stretches import PIPES
from diagnose.model import COCKS, METERS, TANKS, Physical

__all__ = ["FITS", "INSTRUMENTS", "Fault", "FaultError", "apply", "fault_of", "has_form"]

INSTRUMENTS = (
    "pressure-gauge", "gauge-line", "pressure-switch", "warning-lamp", "warning-circuit",
    "flow-meter", "contents-gauge", "contents-sender", "sender-wiring", "dip-stick", "ledger",
)  # fmt: skip
"""Kinds that only show something."""
READ_CHANGES = ("reads", "scale", "switch-set", "dead", "stuck-open", "stuck-shut", "stuck-at")
"""Changes of an instrument that the flow does not feel."""

_VALVES = ("non-return-valve", "transfer-valve", "jettison-valve", "primer")
_BOOSTERS = ("booster-pump", "transfer-pump", "hand-pump")
_PUMPS = (*_BOOSTERS, "engine-pump")
_FLOW = (
    *PIPES, *COCKS, *_VALVES, *_PUMPS, *METERS, "strainer", "outlet-screen", "reducing-valve",
)  # fmt: skip
_CONTACTS = ("pressure-switch", "warning-circuit")
_TANK_FITTINGS = ("filler-cap", "tank-vent", "tank-drain", "fuel")
_KINDS: Mapping[str, tuple[str, ...]] = {
    "blocked": (*_FLOW, *TANKS, "tank-vent", "filler-cap", "pressure-switch"),
    "leaks-out": (
        *_FLOW, *TANKS, "tank-drain", "strainer-drain", "filler-cap", "pressure-gauge",
        "pressure-switch",
    ),
    "leaks-through": (*COCKS, *_VALVES, *_PUMPS, *METERS, "pump-relief", "reducing-valve"),
    "output": (*_PUMPS, "booster-circuit", "primer", "bus"),
    "slip": ("engine-pump",),
    "dead": (*_PUMPS, "booster-circuit", "bus", *INSTRUMENTS),
    "relief-set": ("pump-relief", "engine-pump", "reducing-valve"),
    "stuck-open": (
        *COCKS, *_VALVES, *_PUMPS, *METERS, "pump-relief", "reducing-valve", "mixture-control",
        "tank-drain", "tank-vent", "filler-cap", "jettison-control", "cock-linkage",
        *_CONTACTS,
    ),
    "stuck-shut": (
        *COCKS, *_VALVES, *_PUMPS, *METERS, "pump-relief", "reducing-valve", "mixture-control",
        "tank-vent", "jettison-control", "cock-linkage", *_CONTACTS,
    ),
    "stuck-at": (
        *COCKS, "transfer-valve", "jettison-valve", "primer", "reducing-valve",
        "mixture-control", "cock-linkage", "pressure-gauge", "gauge-line", "flow-meter",
        "contents-gauge", "contents-sender",
    ),
    "air-in": (*_FLOW, "strainer-drain"),
    "air-left": ("supply-line", "hose"),
    "vent-blocked": (*TANKS, "tank-vent", "filler-cap"),
    "return-open": (*METERS, "vapour-return", "non-return-valve"),
    "heat": (*_FLOW, *TANKS, "fuel"),
    "soak": _FLOW,
    "vapour-pressure": (*TANKS, "fuel", "fuel-aboard"),
    "float-level": ("float-carburettor",),
    "metering": (*METERS, "mixture-control"),
    "main-metering": (*METERS, "mixture-control"),
    "enrichment": METERS,
    "contents-loss": (*TANKS, *_TANK_FITTINGS, "contents-sender"),
    "drawn-off": ("filler-cap", "tank-vent"),
    "reads": (*INSTRUMENTS, *TANKS),  # a folded bladder: gauge and stick read what is not there
    "scale": INSTRUMENTS,
    "switch-set": ("pressure-switch",),
}  # fmt: skip
FITS: Mapping[str, frozenset[str]] = MappingProxyType(
    {change: frozenset(kinds) for change, kinds in _KINDS.items()}
)
"""Physical change -> kinds of part that can have it."""
_STANDS_FOR = ("cock-linkage", "booster-circuit")


@dataclass(frozen=True)
class Fault:
    """One physical change: ``value`` in the unit of the change's vocabulary (mm2, factor, ...)."""

    part: str
    change: str
    value: float
    unit: str = ""


def fault_of(physical: Physical, part: str, grade: str) -> Fault:
    """Return the fault of a cause's physical form at ``part`` in one severity grade."""
    return Fault(part, physical.change, float(physical.grades[grade]), physical.unit)


def has_form(network: Network, fault: Fault) -> bool:
    """Return whether the change of ``fault`` has a physical form at its part."""
    state = Settings()
    try:
        apply(network, prepare(network, [state]), 0, state, fault)
    except FaultError:
        return False
    return True


def apply(network: Network, c: Conditions, row: int, state: Settings, fault: Fault) -> None:
    """Change one row of ``c`` as the fault does.

    Raises:
        FaultError: the part or change is unknown, or the change has no physical form there.
    """
    parts = network.layout.parts
    if fault.part not in parts:
        raise FaultError(f"{fault.part!r} is no part of {network.layout.id}")
    if fault.change not in FITS:
        known = ", ".join(sorted(FITS))
        raise FaultError(f"{fault.change!r} is no physical change; there are {known}")
    part = parts[fault.part]
    kind = part.kind
    while part.kind in _STANDS_FOR and part.of in parts:
        part = parts[part.of]  # a linkage acts on its cock, a circuit on its pump
    job = Job(network, c, row, state, part, fault.change, fault.value, fault.unit)
    if kind not in FITS[fault.change]:
        job.refuse()
    shown_only = kind in INSTRUMENTS and fault.change in READ_CHANGES
    if shown_only or fault.change == "reads":
        return
    APPLY[fault.change](job)
