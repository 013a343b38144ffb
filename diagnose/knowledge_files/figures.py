"""Which figures a part of each kind may carry, and their dimensions."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from diagnose.knowledge_files.vocabulary import FLOW_KINDS
from diagnose.model import METERS, TANKS
from diagnose.units import EXAMPLES

_PIPE: Final = {"bore": "length", "loss": "number"}
_OPENING: Final = {"bore": "length"}
_LONG_PIPE: Final = {**_PIPE, "length": "length"}
_PUMP: Final = {
    "shutoff": "pressure",
    "rated-flow": "flow",
    "rated-pressure": "pressure",
    "bypass-bore": "length",
    "bypass-loss": "number",
    "needed-margin": "pressure",
}
_TANK: Final = {
    "capacity": "volume",
    "unusable": "volume",
    "depth": "length",
    "expansion": "fraction",
    "sump": "volume",
    "lateral": "length",
    "aft": "length",
    "outlet-lateral": "length",
    "outlet-aft": "length",
}
_BURN: Final = {f"burn-{power}": "flow" for power in ("take-off", "cruise", "run-up", "idle")}
_INJECTION: Final = {**_BURN, "inlet-min": "pressure", "return-normal": "flow"}
_VALVE: Final = {**_PIPE, "cracking": "pressure"}
_SCALE: Final = {"division": "volume"}

_OWN: Final[Mapping[str, Mapping[str, str]]] = {
    **dict.fromkeys(TANKS, _TANK),
    "tank-vent": _LONG_PIPE,
    "filler-cap": _OPENING,
    "tank-drain": _OPENING,
    "outlet-screen": {**_PIPE, "standpipe": "length"},
    "booster-pump": _PUMP,
    "transfer-pump": _PUMP,
    "selector-cock": _PIPE,
    "cross-feed-cock": _PIPE,
    "shut-off-cock": _PIPE,
    "transfer-valve": _VALVE,
    "non-return-valve": _VALVE,
    "strainer": {**_PIPE, "flow-factor": "flow", "bowl": "volume"},
    "supply-line": _LONG_PIPE,
    "hose": _LONG_PIPE,
    "vapour-return": _LONG_PIPE,
    "gauge-line": _LONG_PIPE,
    "engine-pump": {
        "displacement": "flow",
        "relief": "pressure",
        "relief-rise": "pressure",
        "bypass-bore": "length",
        "bypass-loss": "number",
        "needed-margin": "pressure",
    },
    "pump-relief": {"relief": "pressure", "relief-rise": "pressure"},
    "reducing-valve": {**_PIPE, "setting": "pressure"},
    "float-carburettor": {**_BURN, "seat-bore": "length", "bowl": "volume"},
    "injection-carburettor": _INJECTION,
    "injection-unit": {**_INJECTION, "nozzles": "number"},
    "primer": {"stroke": "volume"},
    "hand-pump": {
        "stroke": "volume",
        "rated-flow": "flow",
        "shutoff": "pressure",
        "bypass-bore": "length",
        "bypass-loss": "number",
    },
    "jettison-valve": {**_OPENING, "standpipe": "length", "rate": "flow"},
    "pressure-gauge": {"full-scale": "pressure"},
    "flow-meter": {**_PIPE, "full-scale": "flow"},
    "contents-gauge": {"full-scale": "volume"},
    "contents-sender": {"empty": "resistance", "full": "resistance"},
    "dip-stick": _SCALE,
    "ledger": _SCALE,
    "bus": {"voltage": "voltage"},
    "engine": {
        "power-take-off": "power",
        **{f"speed-{p}": "rotation" for p in ("take-off", "cruise", "run-up", "idle", "cranking")},
    },
}
_WITH_HEIGHT: Final = (
    *FLOW_KINDS,
    "pressure-gauge",
    "pressure-switch",
    "tank-vent",
    "filler-cap",
    "tank-drain",
)

FIGURES: Final[Mapping[str, Mapping[str, str]]] = MappingProxyType(
    {
        kind: MappingProxyType(
            {**_OWN.get(kind, {}), **({"height": "length"} if kind in _WITH_HEIGHT else {})}
        )
        for kind in {**_OWN, **dict.fromkeys(_WITH_HEIGHT)}
    }
)
"""Part kind -> figure key -> dimension; every key lands in ``Part.numbers`` in SI."""

_AS_WRITTEN: Final = {
    **dict.fromkeys(("height", "length"), "1.2 m"),
    **dict.fromkeys(("depth", "lateral", "aft", "outlet-lateral", "outlet-aft"), "0.2 m"),
    "capacity": "18 imp gal",
    "unusable": "1.5 imp gal",
    **dict.fromkeys(("sump", "bowl"), "0.1 imp gal"),
    "stroke": "0.004 imp gal",
    "expansion": "3 %",
}


def example_of(key: str, dimension: str) -> str:
    """Return how a figure of a part is written, for messages: a height in metres, a bore in mm."""
    return _AS_WRITTEN.get(key) or EXAMPLES[dimension].partition(" or ")[0]


SIGNED: Final = ("height", "lateral", "aft", "outlet-lateral", "outlet-aft")
"""Figures that may be negative; every other must not be."""

REQUIRED: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        **dict.fromkeys(TANKS, ("capacity", "unusable", "depth", "height")),
        "engine-pump": ("displacement", "relief"),
        **dict.fromkeys(("booster-pump", "transfer-pump", "hand-pump"), ("shutoff", "rated-flow")),
        "reducing-valve": ("setting",),
        **dict.fromkeys(METERS, tuple(_BURN)),
    }
)
"""Figures without which neither the fuel-system model nor the sums of contents can work."""
