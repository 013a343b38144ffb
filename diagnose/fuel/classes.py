"""Readings as the words of the knowledge: low, normal, high, hunting; lit, out; full, weak, none.

Limits of the layout decide where it has them; where it has none the reading is compared with the
same state in a sound aeroplane.  Bands named here are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from diagnose.fuel.network import Network
from diagnose.fuel.properties import HOUR, PSI, Array
from diagnose.fuel.readings import Readings
from diagnose.fuel.settings import NOT_RUNNING
from diagnose.fuel.solve import Solution

Words = NDArray[np.str_]

LITRE_HOUR = 1e-3 / HOUR
SURGE_MARGIN = 2.0 * PSI
"""Vapour margin below which the pressure hunts, where the pump states no need of its own."""
SUCTION_LIMIT = 4.0 * PSI
"""Suction at the pump inlet beyond which starving is put down to blockage: low but steady."""
AIR_HUNTS = 0.05
"""Share of air above which the pressure hunts."""
AIR_PASSES_FLOAT = 0.2
"""Share of air above which an engine with a float chamber surges: less is let out by the chamber's
vent while the float holds the level, so that the needle swings before the engine is felt (common
practice, no source)."""
NEXT_TO_NOTHING = 1.0 * PSI
"""Pressure at which, engine stopped and pump on, people say that the gauge stays at zero."""
WEAK_BESIDE = 0.7
"""Share of the sound delivery that is called weak where a sound aeroplane misses the figure or has
none, as by gravity past a pump at rest: it is then held against the engine beside it, and the
height of the fuel alone moves it by a fifth."""

TOO_LEAN, TOO_RICH = 0.4, 2.5
"""Shares of the fuel wanted outside which an engine stops.  A mixture fires from about 0.7 to 3
times the chemically right one and rich settings stand near 1.3 (textbook figures, from memory); as
the fuel falls to a share f the engine slows by about its cube root, which leaves 1.3 f^(2/3)."""


def classify(
    network: Network, solution: Solution, found: Readings, sound: Readings
) -> Mapping[str, Words]:
    """Return the class of every reading (B, places); '' where there is none.

    ``sound`` are the readings of the same states with nothing broken.  The readings and their
    words (first = nothing wrong): metering-pressure, booster-only-pressure, pressure-gauge,
    flow, flow-meter normal|low|high|hunting|none; pressure-lamp lit|out; return-flow
    trickle|large|none; mixture-strength normal|rich|lean; engine-running
    normal|fades|stops|surges|rough; delivery full|weak|none|with-bubbles; trend-parked
    steady|falls|rises; trend-running as-burned|falls-fast|rises|stays; vent-outflow
    none|streams; vent-suction none|suction; gauge-against-stick
    agree|reads-high|reads-low|pegged-full|pegged-empty; booster-current normal|none|low|high.
    """
    job = _Classes(network, solution, found, sound)
    out = {name: make(job) for name, make in _MAKERS.items()}
    bad = ~solution.converged
    for name, words in out.items():
        words[bad] = ""
        places = found.places[_PLACES.get(name, name)]
        if words.shape[1] != len(places):
            raise AssertionError(name)
    return out


def places_of(found: Readings, name: str) -> tuple[str, ...]:
    """Return the parts that the classes of ``name`` stand at, in their order."""
    return found.places[_PLACES.get(name, name)]


class _Classes:
    """What the class functions share."""

    def __init__(
        self, network: Network, solution: Solution, found: Readings, sound: Readings
    ) -> None:
        self.network, self.s, self.found, self.sound = network, solution, found, sound
        c = solution.conditions
        engines = [e.id for e in network.engines]
        power = [[s.power.get(e, "none") for e in engines] for s in solution.states]
        self.power = np.asarray(power, dtype="U12").reshape(len(solution.states), len(engines))
        self.running = ~np.isin(self.power, NOT_RUNNING)
        self.pumped = np.asarray(
            [[bool(s.boosters)] * len(engines) for s in solution.states]
        ).reshape(self.running.shape)
        value = found.values
        suction = c.ambient - value["pump-inlet-pressure"]
        pumps = {p.engine: network.layout.parts[p.part].numbers for p in network.pumps}
        need = [pumps.get(e, {}).get("needed-margin", SURGE_MARGIN) for e in engines]
        vapour = (value["vapour-margin"] < np.asarray(need)) & (suction < SUCTION_LIMIT)
        self.hunts = self.running & (vapour | (value["air-share"] > AIR_HUNTS))
        floats = [e.meter >= 0 and network.meters[e.meter].kind == "float-carburettor"
                  for e in network.engines]  # fmt: skip
        felt = value["air-share"] > np.where(floats, AIR_PASSES_FLOAT, AIR_HUNTS)
        self.surges = self.running & (vapour | felt)

    def limit(self, name: str) -> tuple[float, float]:
        """Return a limit's low and high edge, NaN where there is none."""
        limit = self.network.layout.limits.get(name)
        edges = (None, None) if limit is None else (limit.low, limit.high)
        low, high = (np.nan if edge is None else edge for edge in edges)
        return low, high

    def pressure(self, name: str) -> Words:
        """Return low, normal, high or hunting for a pressure reading at engines."""
        value, sound = self.found.values[name], self.sound.values[name]
        spread = np.maximum(0.1 * np.abs(sound), 0.5 * PSI)
        low, high = sound - spread, sound + spread
        run_low, run_high = self.limit("fuel-pressure")
        low = np.where(self.running & ~np.isnan(run_low), run_low, low)
        high = np.where(self.running & ~np.isnan(run_high), run_high, high)
        for limit in ("booster-pressure", "hand-pump-pressure"):
            edge_low, edge_high = self.limit(limit)
            still = (self.power == "none") & self.pumped
            low = np.where(still & ~np.isnan(edge_low), edge_low, low)
            high = np.where(still & ~np.isnan(edge_high), edge_high, high)
        # a gauge stands higher than its carburettor: its sound reading is never called low
        low, high = np.minimum(low, sound), np.maximum(high, sound)
        return _pick([(self.hunts, "hunting"), (value < low - 1.0, "low"),
                      (value > high + 1.0, "high")], "normal", value)  # fmt: skip

    def against_sound(self, name: str) -> Words:
        """Return low, normal or high by comparison of a flow with the sound aeroplane."""
        value, sound = self.found.values[name], self.sound.values[name]
        spread = np.maximum(0.08 * np.abs(sound), LITRE_HOUR)
        return _pick([(self.hunts, "hunting"), (value < sound - spread, "low"),
                      (value > sound + spread, "high")], "normal", value)  # fmt: skip


def _pick(cases: list[tuple[np.ndarray, str]], otherwise: str, value: Array) -> Words:
    """Return the word of the first case that holds, '' where ``value`` is NaN."""
    out = np.full(value.shape, otherwise, dtype="U12")
    for holds, word in reversed(cases):
        out[np.broadcast_to(holds, value.shape)] = word
    out[np.isnan(value)] = ""
    return out


def _booster_only(j: _Classes) -> Words:
    words = _gauged(j, "metering-pressure")
    words[~((j.power == "none") & j.pumped)] = ""
    return words


def _gauged(j: _Classes, name: str = "pressure-gauge") -> Words:
    words = j.pressure(name)
    still = (j.power == "none") & j.pumped
    words[still & (j.found.values[name] < NEXT_TO_NOTHING)] = "none"
    return words


def _lamp(j: _Classes) -> Words:
    value = j.found.values["pressure-lamp"]
    return _pick([(value > 0.5, "lit")], "out", value)


def _return_flow(j: _Classes) -> Words:
    value, sound = j.found.values["return-flow"], j.sound.values["return-flow"]
    _, high = j.limit("return-flow")
    top = np.where(np.isnan(high), 2.0 * sound + LITRE_HOUR, np.maximum(high, 1.2 * sound))
    return _pick([(value > top, "large"), (value < 0.2 * sound, "none")], "trickle", value)


def _mixture(j: _Classes) -> Words:
    value = j.found.values["burn-fraction"]
    words = _pick([(value > 1.08, "rich"), (value < 0.93, "lean")], "normal", value)
    words[~j.running] = ""
    return words


def _engine(j: _Classes) -> Words:
    value = j.found.values["burn-fraction"]
    words = _pick([((value < TOO_LEAN) | (value > TOO_RICH), "stops"), (j.surges, "surges"),
                   (value < 0.85, "fades"), (value > 1.35, "rough")], "normal", value)  # fmt: skip
    words[~j.running] = ""
    return words


def _delivery(j: _Classes) -> Words:
    value, sound = j.found.values["flow"], j.sound.values["flow"]
    low, _ = j.limit("delivery")
    edge = np.where(sound >= low, np.minimum(low, 0.9 * sound), WEAK_BESIDE * sound)
    bubbles = j.found.values["air-share"] > AIR_HUNTS
    words = _pick([(value < 0.05 * edge, "none"), (bubbles, "with-bubbles"),
                   (value < edge, "weak")], "full", value)  # fmt: skip
    words[j.power != "can"] = ""
    return words


def _trend_parked(j: _Classes) -> Words:
    value = j.found.values["tank-rate"] - j.sound.values["tank-rate"]
    band = 0.2 * LITRE_HOUR  # what a stick can tell from one evening to the next morning
    words = _pick([(value < -band, "falls"), (value > band, "rises")], "steady", value)
    words[(j.power != "none").any(axis=1)] = ""
    return words


def _trend_running(j: _Classes) -> Words:
    value, sound = j.found.values["tank-rate"], j.sound.values["tank-rate"]
    band = np.maximum(0.1 * np.abs(sound), 3.0 * LITRE_HOUR)
    stays = (sound < -band) & (value > 0.15 * sound) & (value < band)
    words = _pick([(value < sound - band, "falls-fast"), (stays, "stays"),
                   (value > np.maximum(sound, 0.0) + band, "rises")],
                  "as-burned", value)  # fmt: skip
    # how contents move 'with engines running' is not to be seen where none goes on running
    words[~(j.running & (_engine(j) != "stops")).any(axis=1)] = ""
    return words


def _vent_outflow(j: _Classes) -> Words:
    rate, volume = j.found.values["tank-rate"], j.found.values["tank-contents"]
    full = np.asarray([t.capacity for t in j.network.tanks])
    runs_over = (volume > 0.97 * full) & (rate > 2.0 * LITRE_HOUR)
    spills = j.found.values["vent-spill"] > 1.0 * LITRE_HOUR
    return _pick([(runs_over | spills, "streams")], "none", rate)


def _vent_suction(j: _Classes) -> Words:
    value = j.found.values["tank-air-pressure"]
    return _pick([(value < -0.1 * PSI, "suction")], "none", value)


def _gauge_against_stick(j: _Classes) -> Words:
    gauge, stick = j.found.values["contents-gauge"], j.found.values["dip-stick"]
    full = np.asarray([t.capacity for t in j.network.tanks])
    off = (gauge - stick) / full
    return _pick([((gauge >= 0.999 * full) & (off > 0.1), "pegged-full"),
                  ((gauge <= 0.001 * full) & (off < -0.1), "pegged-empty"),
                  (off > 0.04, "reads-high"), (off < -0.04, "reads-low")],
                 "agree", off)  # fmt: skip


def _booster_current(j: _Classes) -> Words:
    duty, sound = j.found.values["booster-duty"], j.sound.values["booster-duty"]
    words = _pick([((duty <= 0.0) & (sound > 0.0), "none"), (duty < 0.75 * sound, "low"),
                   (duty > 1.2 * sound, "high")], "normal", duty)  # fmt: skip
    words[sound <= 0.0] = ""
    return words


_MAKERS: Mapping[str, Callable[[_Classes], Words]] = MappingProxyType(
    {
        "metering-pressure": lambda j: j.pressure("metering-pressure"),
        "pressure-gauge": _gauged,
        "booster-only-pressure": _booster_only,
        "pressure-lamp": _lamp,
        "flow": lambda j: j.against_sound("flow"),
        "flow-meter": lambda j: j.against_sound("flow-meter"),
        "return-flow": _return_flow,
        "mixture-strength": _mixture,
        "engine-running": _engine,
        "delivery": _delivery,
        "trend-parked": _trend_parked,
        "trend-running": _trend_running,
        "vent-outflow": _vent_outflow,
        "vent-suction": _vent_suction,
        "gauge-against-stick": _gauge_against_stick,
        "booster-current": _booster_current,
    }
)
_PLACES: Mapping[str, str] = MappingProxyType(
    {
        "booster-only-pressure": "metering-pressure",
        "mixture-strength": "burn-fraction",
        "engine-running": "burn-fraction",
        "delivery": "flow",
        "trend-parked": "tank-rate",
        "trend-running": "tank-rate",
        "vent-outflow": "tank-rate",
        "vent-suction": "tank-air-pressure",
        "gauge-against-stick": "contents-gauge",
        "booster-current": "booster-duty",
    }
)
CLASSED: tuple[str, ...] = tuple(_MAKERS)
"""Readings that have classes; effects of the knowledge name them under ``reading``."""
