"""Emptying one tank into another, by each transfer the layout has."""

from __future__ import annotations

from dataclasses import dataclass, replace

from diagnose.errors import UsageError
from diagnose.fuel.asked.runs import Run, run
from diagnose.fuel.asked.setup import Setup
from diagnose.fuel.settings import Settings

GIVING, RECEIVING = 0.95, 0.5

_TRANSFERS = ("transfer-valve", "transfer-pump")


@dataclass(frozen=True)
class Transfer:
    """Fuel moved from one tank to another."""

    gives: str
    receives: str
    how: str
    run: Run


@dataclass(frozen=True)
class Transfers:
    """What was asked, and each transfer."""

    setup: Setup
    each: tuple[Transfer, ...]


def transfers(setup: Setup, minutes: float) -> Transfers:
    """Run every transfer the layout has, each by itself.

    Raises:
        UsageError: the layout has none.
    """
    parts, network = setup.network.layout.parts, setup.network
    ways = [(p.id, p.of, p.traits.get("to", "")) for p in parts.values() if p.kind in _TRANSFERS]
    for one in network.runs:  # a header tank is filled by the tank above it
        ends = {t.node: t for t in network.tanks}
        if one.a in ends and one.b in ends and ends[one.b].header:
            ways.append(("", ends[one.a].id, ends[one.b].id))
    ways = [w for w in ways if w[1] in network.tank_index and w[2] in network.tank_index]
    if not ways:
        raise UsageError(f"{setup.places.layout.id} has no transfer between tanks.")
    out = []
    for part, gives, receives in ways:
        state = _set_for(setup, part, gives, receives)
        how = setup.label(part) if part else "the line between them"
        name = f"{setup.label(gives)} to {setup.label(receives)} by {how}"
        one_run = run(setup, name, state, minutes, (gives, receives),
                           step=max(1.0, minutes / 60.0))  # fmt: skip
        out.append(Transfer(gives, receives, how, one_run))
    return Transfers(setup, tuple(out))


def _set_for(setup: Setup, part: str, gives: str, receives: str) -> Settings:
    """Return the settings with one transfer open or running, and the contents it begins with."""
    s, parts = setup.settings, setup.network.layout.parts
    levels = dict(s.levels)
    for tank, share in ((gives, GIVING), (receives, RECEIVING)):
        if tank not in setup.stated:
            levels[tank] = share
    if part and parts[part].kind == "transfer-pump":
        return replace(s, levels=levels, boosters=s.boosters | {part})
    return replace(s, levels=levels, open_valves=s.open_valves | ({part} if part else set()))
