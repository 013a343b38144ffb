"""How the aeroplane is set: cocks, pumps, power, contents, air and fuel, for one solve."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from diagnose.fuel import properties as fp
from diagnose.fuel.network import Network
from diagnose.fuel.stretches import PUMPS
from diagnose.model import COCKS, TANKS

BANDS: Mapping[str, str] = MappingProxyType({"low": "idle", "mid": "cruise", "high": "run-up"})
"""Power band of a run state -> power of the model; 'high' is a run-up unless a stage says more."""
STAGE_POWER: Mapping[str, str] = MappingProxyType(
    {
        "cranking": "cranking", "idle": "idle", "taxi": "idle", "run-up": "run-up",
        "take-off": "take-off", "climb": "take-off", "cruise": "cruise", "descent": "idle",
        "approach": "idle", "landing": "idle", "go-around": "take-off",
    }
)  # fmt: skip
"""Stage of operation -> power of the model; stages not named stand at power none."""
POWERS = ("none", "cranking", "idle", "cruise", "run-up", "take-off", "can")
"""Powers of the model; 'can' is the delivery test: an open union above a can at each engine."""
NOT_RUNNING = ("none", "cranking", "can")
"""Powers at which no engine runs by itself."""
LEVELS: Mapping[str, float] = MappingProxyType({"full": 0.95, "part": 0.5, "low": 0.12})
"""Contents as a share of capacity for the words of a run state."""


@dataclass(frozen=True)
class Settings:
    """One state to solve.

    Attributes:
        positions: Cock -> position, where it is not the normal one.
        boosters: Electric and hand pumps running.
        open_valves: Transfer valves, jettison valves and primers in use.
        power: Engine -> power (see ``POWERS``); engines not named stand.
        levels: Tank -> contents as a share of capacity; others at half.
        temperature: Of the fuel in the tanks [K].
        height: Pressure height [m].
        rvp: Reid vapour pressure of the fuel [Pa].
        engine_heat: Added to the fuel in the engine bays [K].
        pitch, roll: Nose up and starboard wing down [rad].
        vent_ram: Pressure the airflow adds at the vents [Pa]; negative is suction.
        rising: Pressure is coming up (starting), which matters to a switch with hysteresis.
        density_15c: Fuel density at 15 C [kg/m3].
    """

    positions: Mapping[str, str] = field(default_factory=dict)
    boosters: frozenset[str] = frozenset()
    open_valves: frozenset[str] = frozenset()
    power: Mapping[str, str] = field(default_factory=dict)
    levels: Mapping[str, float] = field(default_factory=dict)
    temperature: float = fp.SEA_LEVEL_TEMPERATURE
    height: float = 0.0
    rvp: float = fp.AVGAS_RVP
    engine_heat: float = 0.0
    pitch: float = 0.0
    roll: float = 0.0
    vent_ram: float = 0.0
    rising: bool = False
    density_15c: float = fp.DENSITY_15C

    def key(self) -> tuple[Any, ...]:
        """Return a hashable image, equal for settings that solve alike."""
        return (
            tuple(sorted(self.positions.items())), self.boosters, self.open_valves,
            tuple(sorted(self.power.items())), tuple(sorted(self.levels.items())),
            self.temperature, self.height, self.rvp, self.engine_heat, self.pitch, self.roll,
            self.vent_ram, self.rising, self.density_15c,
        )  # fmt: skip


def position_of(network: Network, settings: Settings, cock: str) -> str:
    """Return the position a cock stands in."""
    return settings.positions.get(cock, network.layout.parts[cock].normal)


def joined(network: Network, settings: Settings, cock: str) -> frozenset[frozenset[str]]:
    """Return the port pairs a cock joins as it stands."""
    part = network.layout.parts[cock]
    pairs = part.positions.get(position_of(network, settings, cock), ())
    return frozenset(frozenset(pair) for pair in pairs)


def all_engines(network: Network, power: str) -> dict[str, str]:
    """Return every engine at one power."""
    return {engine.id: power for engine in network.engines}


def selecting(network: Network, tank: str) -> dict[str, str]:
    """Return the cock positions that feed from ``tank`` alone through its own selector.

    Empty where no selector stands between the tank and an engine.
    """
    start = network.tank(tank).node
    ahead, seen = [start], {t.node for t in network.tanks}  # not on through another tank
    while ahead:
        node = ahead.pop()
        for number, run in enumerate(network.runs):
            if run.a != node or run.role == "return" or run.top_tank >= 0:
                continue
            for gate in network.gates:
                part = network.layout.parts.get(gate.part)
                if gate.run == number and part is not None and part.kind == "selector-cock":
                    for name, pairs in part.positions.items():
                        if [frozenset(p) for p in pairs] == [gate.pair]:
                            return {gate.part: name}
            onward = [run.b] if run.b < len(network.nodes) else []
            onward += [p.b for p in network.boosters if p.a == run.b]
            ahead += [n for n in onward if n not in seen]
            seen |= set(onward)
    return {}


def cocks_off(network: Network) -> dict[str, str]:
    """Return every selector and shut-off cock in its shut position, where it has one."""
    out: dict[str, str] = {}
    for part in network.layout.parts.values():
        if part.kind in COCKS and part.kind != "cross-feed-cock":
            shut = [name for name, pairs in part.positions.items() if not pairs]
            out |= {part.id: shut[0]} if shut else {}
    return out


def pumps_in_use(network: Network, positions: Mapping[str, str]) -> frozenset[str]:
    """Return the boosters worked in this selection: those of engines and of the tanks feeding."""
    parts = network.layout.parts
    out = set()
    probe = Settings(positions=positions)
    for pump in network.boosters:
        part = parts[pump.part]
        owner = parts.get(part.of)
        if pump.kind not in (PUMPS[0], PUMPS[2]):
            continue
        if owner is None or owner.kind not in TANKS:
            out.add(pump.part)
            continue
        wanted = selecting(network, owner.id)
        # a tank's own pump is worked while its tank is selected
        if all(position_of(network, probe, cock) == name for cock, name in wanted.items()):
            out.add(pump.part)
    return frozenset(out)


def from_state(
    network: Network, known: Mapping[str, str], stage: str = "", **figures: Any
) -> Settings:
    """Return the settings of a run state as people state it.

    ``known`` holds dimensions of a run state (power, booster, crossfeed, heat, attitude, level,
    tank); what it does not state is as in normal running.  ``figures`` replace single settings.
    With the cross-feed open, the selectors of the other tanks are off, so one tank feeds all; one
    that no tank stands before, but another selector, stays as it is.
    """
    tank = known.get("tank", "")
    positions = selecting(network, tank) if tank else {}
    if known.get("crossfeed") == "open":
        of_tanks = {cock for t in network.tanks for cock in selecting(network, t.id)}
        for part in network.layout.parts.values():
            opened = [name for name, pairs in part.positions.items() if pairs]
            shut = [name for name, pairs in part.positions.items() if not pairs]
            if part.kind == "cross-feed-cock" and opened:
                positions[part.id] = opened[0]
            elif tank and part.id in of_tanks and part.id not in positions and shut:
                positions[part.id] = shut[0]
    if stage == "parked":
        positions |= cocks_off(network)
    power = STAGE_POWER.get(stage) or BANDS.get(known.get("power", "none"), known.get("power", ""))
    if known.get("power") == "none":
        power = "none"
    hot = known.get("heat") == "hot"
    tilt = known.get("attitude") == "disturbed"
    level = LEVELS[known.get("level", "part")]
    values: dict[str, Any] = {
        "positions": positions,
        "boosters": pumps_in_use(network, positions) if known.get("booster") == "on" else (),
        "power": all_engines(network, power or "none"),
        "levels": {t.id: level for t in network.tanks},
        # a hot day, and engine bays after a shut-down (common practice, no source)
        "temperature": 308.15 if hot else fp.SEA_LEVEL_TEMPERATURE,
        "engine_heat": 20.0 if hot else 0.0,
        "pitch": 0.14 if tilt else 0.0,
        "roll": 0.09 if tilt else 0.0,
        "rising": power in ("none", "cranking"),
    }
    values |= figures
    values["boosters"] = frozenset(values["boosters"])
    return Settings(**values)
