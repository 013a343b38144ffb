"""The closed lists of words that knowledge and layout files may use.

Kinds, relations and figures are closed on purpose: a misspelt kind would otherwise be a place that
nothing is ever found at, and the rule about it would stay silent for ever.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

from diagnose.model import AEROPLANE, COCKS, METERS, TANKS

SIDES: Final = ("port", "starboard", "centre")

FLOW_KINDS: Final = (
    *TANKS,
    "outlet-screen",
    "booster-pump",
    *COCKS,
    "strainer",
    "supply-line",
    "hose",
    "engine-pump",
    "reducing-valve",
    *METERS,
    "non-return-valve",
    "transfer-valve",
    "transfer-pump",
    "vapour-return",
    "jettison-valve",
    "primer",
    "hand-pump",
    "engine",
    "flow-meter",
)
"""Kinds that carry fuel and may stand at the end of a line."""

OTHER_KINDS: Final = (
    "filler-cap",
    "tank-vent",
    "tank-drain",
    "contents-gauge",
    "contents-sender",
    "sender-wiring",
    "dip-stick",
    "ledger",
    "booster-circuit",
    "cock-linkage",
    "strainer-drain",
    "pump-relief",
    "mixture-control",
    "pressure-gauge",
    "gauge-line",
    "pressure-switch",
    "warning-lamp",
    "warning-circuit",
    "jettison-control",
    "bus",
    "cabin",
    "fuel",
    "fuel-aboard",
)
"""Kinds that hang on a flow part, or on the aeroplane."""

PART_KINDS: Final = (AEROPLANE, *FLOW_KINDS, *OTHER_KINDS)

SAID_FOR: Final = MappingProxyType(
    {
        "wobble-pump": "hand-pump",
        "dump-valve": "jettison-valve",
        "gascolator": "strainer",
        "finger-screen": "outlet-screen",
        "electric-pump": "booster-pump",
        "fire-cock": "shut-off-cock",
        "pressure-lamp": "warning-lamp",
    }
)
"""What people call a kind of part -> the kind."""

CARRIES_FUEL: Final = (
    *(kind for kind in FLOW_KINDS if kind != "engine"),
    "tank-drain", "strainer-drain", "contents-sender", "pump-relief",
    "gauge-line", "pressure-gauge", "pressure-switch",
)  # fmt: skip
"""Kinds that fuel stands or runs in: to take one off, or apart, opens the system."""

CONTROLS: Final = (*COCKS, "cock-linkage", "mixture-control", "jettison-control")
"""Kinds that are worked by a hand elsewhere: disturbed, they are a control joint."""

PAPER: Final = ("ledger",)
"""Kinds that are written, not made: nothing comes off the aeroplane to put them right."""

OWNERS: Final = MappingProxyType(
    {
        "filler-cap": TANKS,
        "tank-vent": TANKS,
        "tank-drain": TANKS,
        "outlet-screen": TANKS,
        "contents-gauge": TANKS,
        "contents-sender": TANKS,
        "sender-wiring": TANKS,
        "dip-stick": (*TANKS, AEROPLANE),
        "ledger": (AEROPLANE,),
        "booster-pump": (*TANKS, "engine"),
        "booster-circuit": ("booster-pump",),
        "cock-linkage": (*COCKS, "transfer-valve", "jettison-valve"),
        "shut-off-cock": ("engine",),
        "strainer-drain": ("strainer",),
        "engine-pump": ("engine",),
        "pump-relief": ("engine-pump", "engine"),
        "reducing-valve": ("engine",),
        "float-carburettor": ("engine",),
        "injection-carburettor": ("engine",),
        "injection-unit": ("engine",),
        "mixture-control": ("engine", *METERS),
        "vapour-return": ("engine",),
        "hose": ("engine",),
        "transfer-valve": TANKS,
        "transfer-pump": TANKS,
        "pressure-gauge": ("engine",),
        "gauge-line": ("engine",),
        "pressure-switch": ("engine",),
        "warning-lamp": ("engine",),
        "warning-circuit": ("engine",),
        "flow-meter": ("engine",),
        "jettison-valve": TANKS,
        "jettison-control": (AEROPLANE,),
        "cabin": (AEROPLANE,),
        "fuel": TANKS,
        "fuel-aboard": (AEROPLANE,),
    }
)
"""Kind -> the kinds its ``of`` may name, and must name, save those in ``OWNER_OPTIONAL``."""

OWNER_OPTIONAL: Final = (
    "shut-off-cock", "booster-pump", "ledger", "jettison-control", "cabin", "fuel-aboard",
)  # fmt: skip

RELATION_KINDS: Final = MappingProxyType(
    {
        "its-tank": TANKS,
        "its-engine": ("engine",),
        "engines-fed-through-it": ("engine",),
        "engines-it-alone-drives": ("engine",),
        "other-engines": ("engine",),
        "same-side-engines": ("engine",),
        "tanks-feeding-it": TANKS,
        "neighbour-tank": TANKS,
        "return-tank": TANKS,
        "tank-it-fills": TANKS,
        "other-tanks": TANKS,
        AEROPLANE: (AEROPLANE,),
        **{f"its-{kind}": (kind,) for kind in PART_KINDS if kind not in ("tank", "engine")},
    }
)
"""Relation -> kinds of the places it leads to; ``itself`` and ``same-bus`` lead to any."""

RELATIONS: Final = ("itself", "same-bus", *RELATION_KINDS)

TRAITS: Final = MappingProxyType(
    {
        "feed": ("gravity", "pumped"),
        "carburettor": ("float", "injection", "nozzles"),
    }
)
"""Layout traits whose values are closed."""

RUN_NEEDS: Final = ("chocks", "fire guard", "no fuel leak", "no fuel smell")
"""What a run state may say must be known before it is set up."""

PERISHABLE: Final = ("cooling", "draining", "moving", "opening", "refuelling", "rectifying")
"""What destroys evidence that can be had only once; 'opening' is that of a tank, 'moving' of a
cock or valve."""

AEROPLANE_STATE: Final = ("engine", "power", "line-pressure", "ventilation")
"""What every check must state about the aeroplane."""

SOURCE_KINDS: Final = (
    "regulation",
    "circular",
    "handbook",
    "report",
    "paper",
    "standard",
    "practice",
    "memory",
    "model",
    "interview",
)
PUBLISHED: Final = SOURCE_KINDS[:6]
"""Kinds of source that steps may be printed from."""

LIMITS: Final = MappingProxyType(
    {
        "fuel-pressure": "pressure",
        "booster-pressure": "pressure",
        "hand-pump-pressure": "pressure",
        "pressure-warning": "pressure",
        "fuel-flow": "flow",
        "cruise-flow": "flow",
        "delivery": "flow",
        "return-flow": "flow",
        "bus-voltage": "voltage",
        "primer-strokes": "number",
        "fuel-temperature": "temperature",
    }
)
"""Names of a layout's limits and their dimensions; questions are cut at them."""

NAMED_PORTS: Final = MappingProxyType(
    {
        **dict.fromkeys(TANKS, ("top", "bottom")),
        **dict.fromkeys(METERS, ("vapour",)),
        "engine": ("primer",),
    }
)
"""Ports a line may name on parts other than cocks, whose ports stand in their positions."""

PHYSICAL_CHANGES: Final = MappingProxyType(
    {
        "blocked": "fraction of the flow area lost",
        "leaks-out": "mm2 of equivalent orifice",
        "leaks-through": "mm2 of equivalent orifice",
        "output": "fraction of the normal output left",
        "slip": "fraction of the full output that slips back at the relief pressure",
        "dead": "1",
        "relief-set": "fraction of the normal setting",
        "stuck-open": "1",
        "stuck-shut": "fraction shut",
        "stuck-at": "fraction of the travel between positions",
        "air-in": "mm2 of equivalent orifice",
        "air-left": "fraction of what the pump draws",
        "vent-blocked": "fraction of the flow area lost",
        "return-open": "times the normal return flow",
        "heat": "kelvin added at the part",
        "soak": "kelvin added at the part while the engine bay is hot",
        "vapour-pressure": "kPa of Reid vapour pressure added",
        "float-level": "fraction of the needle setting",
        "metering": "fraction of the normal area",
        "main-metering": "fraction of the normal area, above idle",
        "enrichment": "times the fuel that should flow",
        "reads": "fraction of full scale",
        "scale": "factor",
        "switch-set": "factor on the setting",
        "contents-loss": "l/h",
        "drawn-off": "l/h",  # by the air stream: only while an engine runs
    }
)
"""What a failure can do to an element of the fuel-system model -> unit of its figure."""
