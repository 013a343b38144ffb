"""Which tank feeds which engine through which parts, in every setting of the cocks, weighed.

A report seldom says which tank was on or whether the cross-feed was open.  Each setting that feeds
every engine is kept with a weight, and a question about the layout is answered by the share of the
weight in which the answer is yes.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType

from diagnose.errors import KnowledgeError, Problem
from diagnose.model import TANKS, Layout
from diagnose.places.graph import FlowGraph, cock_position, joint_positions

Shares = Mapping[str, float]
"""Part -> share of the unstated settings in which it is the one meant, 0..1; absent means 0."""

Unstated = Mapping[str, Mapping[str, float]]
"""Run-state dimension -> value -> weight when nobody stated it."""

DEFAULT_UNSTATED: Unstated = MappingProxyType(
    {
        "power": {"none": 0.10, "cranking": 0.05, "low": 0.20, "mid": 0.35, "high": 0.30},
        "booster": {"off": 0.60, "on": 0.40},
        "crossfeed": {"shut": 0.95, "open": 0.05},
        "heat": {"cool": 0.75, "hot": 0.25},
        "attitude": {"level": 0.85, "disturbed": 0.15},
        "level": {"full": 0.25, "part": 0.60, "low": 0.15},
    }
)
"""Weights where no words file is at hand (common practice, no source)."""

_PUMPS = ("engine-pump", "booster-pump", "hand-pump")

MOST_SETTINGS = 2000
"""Settings of selectors and cross-feed together beyond which a layout is refused."""


@dataclass(frozen=True)
class Setting:
    """One position of every selector and cross-feed cock, in which every engine is fed.

    ``feeders[engine]`` are the tanks that feed it; ``on[engine][part]`` is the share of its
    feeders whose fuel passes the part: where two tanks feed at once, each counts for half.
    """

    crossfeed: str
    weight: float
    ways: tuple[tuple[str, ...], ...]
    feeders: Mapping[str, tuple[str, ...]]
    on: Mapping[str, Shares]


class Feeding:
    """All settings of a layout that feed every engine, and what follows from them."""

    def __init__(self, layout: Layout, graph: FlowGraph, crossfeed: Shares) -> None:
        """Work out the settings; ``crossfeed`` weighs 'shut' and 'open'.

        :raises KnowledgeError: no setting feeds every engine, or there are too many settings.
        """
        self.layout = layout
        self.graph = graph
        self._parts_feeding: dict[tuple[str, str, str], Shares] = {}
        parts = layout.parts.values()
        self.engines = tuple(p.id for p in parts if p.kind == "engine")
        self.tanks = tuple(p.id for p in parts if p.kind in TANKS)
        self._joint = joint_positions(layout)
        fed = [s for s in self._settings() if all(s.feeders.get(e) for e in self.engines)]
        if not fed:
            raise KnowledgeError(
                [Problem(layout.origin, "no position of the cocks feeds every engine")]
            )
        count = {c: sum(s.crossfeed == c for s in fed) for c in ("shut", "open")}
        total = sum(crossfeed.get(c, 0.0) for c, n in count.items() if n) or 1.0
        self.settings = tuple(
            Setting(
                s.crossfeed,
                crossfeed.get(s.crossfeed, 0.0) / total / count[s.crossfeed],
                s.ways,
                s.feeders,
                s.on,
            )
            for s in fed
        )

    def _settings(self) -> Iterator[Setting]:
        parts = self.layout.parts.values()
        fixed = {p.id: cock_position(p) for p in parts if p.kind == "shut-off-cock"}
        free = [p for p in parts if p.kind in ("selector-cock", "cross-feed-cock")]
        choices = [tuple(p.positions) for p in free]
        combinations = 1
        for choice in choices:
            combinations *= len(choice)
        if combinations > MOST_SETTINGS:
            text = f"{combinations} settings of the cocks; at most {MOST_SETTINGS} can be weighed"
            raise KnowledgeError([Problem(self.layout.origin, text)])
        for choice in itertools.product(*choices):
            opened = any(
                p.kind == "cross-feed-cock" and p.positions[c]
                for p, c in zip(free, choice, strict=True)
            )
            positions = fixed | {p.id: c for p, c in zip(free, choice, strict=True)}
            yield self._setting("open" if opened else "shut", positions)

    def _setting(self, crossfeed: str, positions: Mapping[str, str]) -> Setting:
        ways = tuple(w for t in self.tanks for w in self.graph.feeds(t, positions))
        passed: dict[str, dict[str, set[str]]] = {}  # engine -> feeder -> parts
        for way in ways:
            feeder = [p for p in way if self.layout.parts[p].kind in TANKS][-1]
            passed.setdefault(way[-1], {}).setdefault(feeder, set()).update(way)
        on = {
            engine: {
                part: sum(part in through for through in by.values()) / len(by)
                for part in set().union(*by.values())
            }
            for engine, by in passed.items()
        }
        return Setting(crossfeed, 1.0, ways, {e: tuple(by) for e, by in passed.items()}, on)

    # ------------------------------------------------------------------ what follows

    @cached_property
    def moved_by(self) -> Mapping[str, str]:
        """Return what moves the fuel through each part of the feed lines.

        'suction' where the pump that drives the engine draws through the part, 'pump' behind a
        pump, else 'gravity'.
        """
        out: dict[str, str] = {}
        for way in (w for setting in self.settings for w in setting.ways):
            kinds = [self.layout.parts[p].kind for p in way]
            drives = "engine-pump" if "engine-pump" in kinds else "booster-pump"
            for k, part in enumerate(way):
                behind = "pump" if any(kind in _PUMPS for kind in kinds[:k]) else "gravity"
                out[part] = "suction" if drives in kinds[k + 1 :] else behind
        return MappingProxyType(out)

    def matching(self, engine: str, tank: str, crossfeed: str) -> list[Setting]:
        """Return the settings in which ``tank`` feeds ``engine`` ('' = any), by ``crossfeed``.

        Who names the tank that feeds means that it feeds alone, so a setting in which it does
        so outranks one in which another tank helps.  A tank that cannot feed this engine was
        named for another: it then says nothing here.  A selector position that joins several
        tanks ('both') stands for the settings in which no tank feeds alone.
        """
        every = [s for s in self.settings if crossfeed in ("", s.crossfeed)]
        if tank in self._joint:
            return [s for s in every if len(s.feeders[engine]) > 1] or every
        fits = [s for s in every if s.on[engine].get(tank)]
        alone = [s for s in fits if s.on[engine][tank] == 1.0]
        return alone or fits or every

    def parts_feeding(self, engine: str, tank: str, crossfeed: str) -> Shares:
        """Return the parts that feed ``engine`` and the share of its fuel that passes each."""
        key = (engine, tank, crossfeed)
        found = self._parts_feeding.get(key)
        if found is None:
            found = _weighed((s.weight, s.on[engine]) for s in self.matching(*key))
            self._parts_feeding[key] = found
        return found

    def tanks_feeding(self, engine: str, tank: str, crossfeed: str) -> Shares:
        """Return the tanks that feed ``engine`` and the share of settings in which each does."""
        return _weighed(
            (s.weight, dict.fromkeys(s.feeders[engine], 1.0))
            for s in self.matching(engine, tank, crossfeed)
        )

    def engines_through(self, part: str, tank: str, crossfeed: str) -> dict[str, float]:
        """Return the engines fed through ``part`` and the share of their fuel that passes it."""
        shares = ((e, self.parts_feeding(e, tank, crossfeed).get(part, 0.0)) for e in self.engines)
        return {e: share for e, share in shares if share}

    def together(self, part: str, tank: str, crossfeed: str) -> Shares:
        """Return the parts on one way to an engine with ``part``, when fuel passes ``part``.

        The share is of the settings in which fuel passes ``part`` at all.
        """
        return self._passing(part, tank, crossfeed, lambda way: way)

    def tanks_upstream(self, part: str, tank: str, crossfeed: str) -> Shares:
        """Return the tanks ``part`` draws from, the nearest upstream on each way through it.

        The share is of the settings in which fuel passes ``part`` at all.
        """
        return self._passing(part, tank, crossfeed, lambda way: [self._last_tank(way, part)])

    def _last_tank(self, way: tuple[str, ...], part: str) -> str:
        before = way[: way.index(part) + 1]
        return next(p for p in reversed(before) if self.layout.parts[p].kind in TANKS)

    def _passing(
        self, part: str, tank: str, crossfeed: str, pick: Callable[[tuple[str, ...]], Sequence[str]]
    ) -> Shares:
        through = [(s, ways) for s in self.settings if (ways := [w for w in s.ways if part in w])]
        engines = {w[-1] for s, ways in through if crossfeed in ("", s.crossfeed) for w in ways}
        fits = {id(s) for e in engines for s in self.matching(e, tank, crossfeed)}
        return _weighed(
            (s.weight, {p: 1.0 for w in ways for p in pick(w)})
            for s, ways in through
            if id(s) in fits
        )

    def joined(self, tank: str, crossfeed: str) -> dict[str, float]:
        """Return the tanks that feed an engine together with ``tank``, by share of settings."""
        shares = _weighed(
            (
                s.weight,
                dict.fromkeys(
                    (t for f in s.feeders.values() if tank in f for t in f if t != tank), 1.0
                ),
            )
            for s in self.settings
            if crossfeed in ("", s.crossfeed)
        )
        return dict(shares)


def _weighed(cases: Iterator[tuple[float, Shares]]) -> dict[str, float]:
    """Average ``(weight, shares)`` over the cases; nothing when there are none."""
    total, out = 0.0, dict[str, float]()
    for weight, shares in cases:
        total += weight
        for part, share in shares.items():
            out[part] = out.get(part, 0.0) + weight * share
    # Rounding must not push a share past one: it is used as a probability.
    return {part: min(w / total, 1.0) for part, w in out.items()} if total else {}
