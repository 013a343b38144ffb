"""The one object that rules, belief and planner ask about places."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from types import MappingProxyType

from diagnose.errors import UsageError
from diagnose.model import (
    AEROPLANE,
    COCKS,
    ELSEWHERE,
    Cause,
    CauseAt,
    Check,
    Layout,
    Library,
    Part,
    Produces,
    Question,
    TradeWord,
)
from diagnose.places.feeding import DEFAULT_UNSTATED, Feeding, Shares, Unstated
from diagnose.places.graph import FlowGraph
from diagnose.places.naming import Naming, PlaceMatch
from diagnose.places.relations import Relations

_NOTHING: Shares = MappingProxyType({})
FED = "engines-fed-through-it"
_INDICATORS = (
    "contents-gauge",
    "contents-sender",
    "warning-lamp",
    "warning-circuit",
    "pressure-gauge",
    "flow-meter",
)

_IN_ANOTHER = {"": 1.0, "yes": 0.0, "both": 0.3}
"""How far what fails in one position of a cock shows, by whether the engine did wrong in another:
not there, and on both tanks only as an engine that had stopped may not pick up at once (common
practice, no source)."""

Known = Mapping[str, str]
"""Run-state settings that were stated: dimension -> value."""


class _Reach:
    """Where rows of one relation, ``when`` and ``only_if`` show: by settings, then by part."""

    __slots__ = ("by_settings", "dims")

    def __init__(self, row: Produces) -> None:
        mine = (ELSEWHERE,) if row.one_position else ()
        self.dims = ("tank", "crossfeed", *mine, *sorted(set(row.when) - {"tank", "crossfeed"}))
        self.by_settings: dict[tuple[str | None, ...], dict[str, Shares]] = {}


class Places:
    """The relations between the parts of one layout, per run state, cached.

    ``unstated`` gives the weight of each value of a run-state dimension when nobody stated it;
    a layout without electric or hand pump has its booster 'off', one without cross-feed 'shut'.
    """

    def __init__(
        self,
        layout: Layout,
        unstated: Unstated = DEFAULT_UNSTATED,
        trade: Iterable[TradeWord] = (),
    ) -> None:
        """Work out the flow graph and every setting of the cocks.

        ``trade``: words of the trade, some of which stand for a kind of part.

        :raises KnowledgeError: no position of the cocks feeds every engine.
        """
        self.layout = layout
        kinds = {p.kind for p in layout.parts.values()}
        self.unstated = {d: dict(values) for d, values in unstated.items()}
        if not kinds & {"booster-pump", "hand-pump"}:
            self.unstated["booster"] = {"off": 1.0}
        if "cross-feed-cock" not in kinds:
            self.unstated["crossfeed"] = {"shut": 1.0}
        self._graph = FlowGraph.of(layout)
        self.feeding = Feeding(layout, self._graph, self.unstated.get("crossfeed", {}))
        self.engines = self.feeding.engines
        self.tanks = self.feeding.tanks
        self._relations = Relations(layout, self._graph, self.feeding)
        self._naming = Naming(layout, self._relations.owners, trade)
        self._related: dict[tuple[str, str, str, str], Shares] = {}
        self._reaches: dict[tuple[object, ...], _Reach] = {}
        # by identity, with the row so that it lives as long as its number
        self._reach_of: dict[int, tuple[Produces, _Reach]] = {}
        self._cross_vented = frozenset(
            tank
            for vent in layout.parts.values()
            if vent.kind == "tank-vent" and vent.traits.get("with")
            for tank in (vent.of, vent.traits["with"])
        )
        self.traits: Known = MappingProxyType(
            {
                **layout.traits,
                **{f"has-{kind}": "yes" for kind in sorted(kinds - {AEROPLANE})},
                **{f"several-{kind}": "yes" for kind in _several(layout)},
            }
        )

    # ------------------------------------------------------------------ relations

    def related(self, part: str, relation: str, state: Known) -> Shares:
        """Return the places ``relation`` leads to from ``part``, each with its share, 0..1.

        The share is the weight of the unstated settings of cocks in which the relation holds; of
        ``state`` only 'tank' (the tank that feeds the engine in question, or the selector position
        that joins several) and 'crossfeed' count.
        Where two tanks feed an engine at once, 'engines-fed-through-it' counts each for half.

        :raises UsageError: the part or the relation is not known.
        """
        key = (part, relation, state.get("tank", ""), state.get("crossfeed", ""))
        found = self._related.get(key)
        if found is None:
            if part not in self.layout.parts:
                raise UsageError(f"'{part}' is not a part of {self.layout.id}")
            found = MappingProxyType(dict(self._relations.related(*key)))
            self._related[key] = found
        return found

    def reach(self, row: Produces, cause_part: str, known: Known) -> Shares:
        """Return every place where ``row`` may show with the cause at ``cause_part``: its share.

        Nowhere where the part or the layout lacks a trait that ``row.only_if`` asks for.  Else
        the share is that of the relation times the weight of the unstated settings that fit
        ``row.when``; a stated setting that does not fit gives nothing.  With the tank unstated,
        the engines fed through a part are taken in proportion, the most fed one in full.
        """
        near = self._near(row, known)
        found = near.get(cause_part)
        if found is None:
            found = near[cause_part] = self._reach(row, cause_part, known)
        return found

    def shares(
        self, row: Produces, cause_parts: Iterable[str], place: str, known: Known
    ) -> list[float]:
        """Return how far ``row`` applies at ``place``, 0..1, with the cause at each part."""
        near = self._near(row, known)
        return [
            (near[part] if part in near else self.reach(row, part, known)).get(place, 0.0)
            for part in cause_parts
        ]

    def _near(self, row: Produces, known: Known) -> dict[str, Shares]:
        """Return what was worked out of ``row`` in ``known``: part -> where it shows."""
        found = self._reach_of.get(id(row))
        if found is None:
            when, traits = sorted(row.when.items()), sorted(row.only_if.items())
            alike = (row.at, row.one_position, *when, *traits)
            found = (row, self._reaches.setdefault(alike, _Reach(row)))
            self._reach_of[id(row)] = found
        reach = found[1]
        return reach.by_settings.setdefault(tuple(map(known.get, reach.dims)), {})

    def _reach(self, row: Produces, part: str, known: Known) -> Shares:
        if not self.allows(row, part):
            return _NOTHING
        placed = {d for d in ("tank", "crossfeed") if d not in known}  # they change the places
        weight = self.weight({d: v for d, v in row.when.items() if d not in placed}, known)
        if row.one_position:
            weight *= _IN_ANOTHER[known.get(ELSEWHERE, "")]
        if not weight:
            return _NOTHING
        out: dict[str, float] = {}
        for settings, w in self._crossfeeds(row, known):
            tanks = row.when.get("tank", ()) if "tank" not in known else ()
            if not tanks:
                for place, share in self._given_in_use(part, row, settings).items():
                    out[place] = out.get(place, 0.0) + weight * w * share
            for tank in tanks:
                for place, share in self.related(part, row.at, {**settings, "tank": tank}).items():
                    in_use = self._in_use(tank, place, settings)
                    out[place] = out.get(place, 0.0) + weight * w * share * in_use
        out = {place: min(share, 1.0) for place, share in out.items() if share}
        return MappingProxyType(out) if out else _NOTHING

    def _given_in_use(self, part: str, row: Produces, settings: Known) -> Shares:
        """Return the places of ``row``, given that what hangs on ``part`` was in use.

        Nobody said which tank fed, but the report comes from the one that did.  Each tank has
        its share of the prior; given that it was in use the row holds in full, and for every
        engine that draws from it alike.
        """
        shares = self.related(part, row.at, settings)
        if row.at != FED or "tank" in settings or not shares:
            return shares
        most = max(shares.values())
        return {place: share / most for place, share in shares.items()}

    def _crossfeeds(self, row: Produces, known: Known) -> list[tuple[Known, float]]:
        """Return the settings of the cross-feed that fit ``row.when``, each with its weight.

        They are kept apart because they change the places as well as the weight.
        """
        weights = self.unstated["crossfeed"]
        fit = row.when.get("crossfeed")
        if fit is None and row.at == FED and "tank" not in known:
            fit = tuple(weights)  # who shares a tank in use depends on the cross-feed
        if fit is None or "crossfeed" in known:
            return [(known, 1.0)]
        total = sum(weights.values())
        return [({**known, "crossfeed": v}, weights[v] / total) for v in fit if weights.get(v)]

    def _in_use(self, tank: str, place: str, settings: Known) -> float:
        """Return the share of settings in which ``tank`` feeds ``place``, or any engine."""
        engines = (place,) if place in self.engines else self.engines
        return max(self.fed_by(e, settings).get(tank, 0.0) for e in engines)

    def weight(self, when: Mapping[str, tuple[str, ...]], known: Known) -> float:
        """Return the weight, 0..1, of the unstated settings that fit ``when``; 0 or 1 if stated."""
        out = 1.0
        for dimension, values in when.items():
            out *= self._fit(dimension, values, known)
        return out

    def _fit(self, dimension: str, values: tuple[str, ...], known: Known) -> float:
        """Return the weight of the values that fit: 0 or 1 when stated."""
        if dimension in known:
            return float(known[dimension] in values)
        weights = self.unstated.get(dimension, {})
        total = sum(weights.values())
        return sum(weights.get(v, 0.0) for v in values) / total if total else 0.0

    # ------------------------------------------------------------------ parts

    def parts_of_kind(self, kind: str | Iterable[str]) -> tuple[str, ...]:
        """Return the parts of ``kind`` (or of any of several kinds), in file order."""
        kinds = {kind} if isinstance(kind, str) else set(kind)
        return tuple(p.id for p in self.layout.parts.values() if p.kind in kinds)

    def is_instrument_of(self, part: str, place: str) -> bool:
        """Return whether a fault of ``part`` can distort what is read at ``place``.

        It can when it belongs to the place, or is the electrical bus its indicators live on.
        """
        if place == part or place in self._relations.owners(part):
            return True
        p = self.layout.parts[part]
        if place == AEROPLANE:
            return p.of == AEROPLANE
        return p.kind == "bus" and any(
            q.bus == part and q.kind in _INDICATORS and place in self._relations.owners(q.id)
            for q in self.layout.parts.values()
        )

    def instrument_for(self, kind: str, place: str) -> tuple[str, ...]:
        """Return the parts of ``kind`` that read what is at ``place``, in file order."""
        return tuple(p for p in self.parts_of_kind(kind) if self.is_instrument_of(p, place))

    def cause_instances(self, library: Library) -> tuple[CauseAt, ...]:
        """Return each cause at each part it can be at here, causes in the library's order."""
        return tuple(
            CauseAt(cause.id, part)
            for cause in library.causes.values()
            for part in self.parts_of_kind(cause.part_kinds)
            if self.allows(cause, part)
        )

    def allows(self, item: Cause | Check | Question | Produces, part: str) -> bool:
        """Return whether ``part`` meets all of ``item.only_if``.

        'x or y' is met by either, 'any' by whatever the trait says as long as it is there,
        'not-stated' also by a layout that does not give the trait.
        """
        return all(
            (has := self.trait(part, key) or "not-stated") in value.split(" or ")
            or (value == "any" and has != "not-stated")
            for key, value in item.only_if.items()
        )

    def trait(self, part: str, key: str) -> str:
        """Return a trait of ``part``: its own, else its owners', else the aeroplane's, else ''.

        'has-<kind>' and 'several-<kind>' are 'yes' or 'no'; 'under' says what moves the fuel
        through the part: 'suction' where an engine-driven pump draws through it, so that a hole
        lets air in, 'pump' behind a pump, else 'gravity'; '' off the feed lines.  'cross-vented'
        is 'yes' of what belongs to a tank that breathes with another.  'kind', 'side' and
        'position' are traits too.
        """
        if key == "under":
            return self.feeding.moved_by.get(part, "")
        if key == "cross-vented":
            tanks = {part, *self._relations.owners(part)}
            return "yes" if tanks & self._cross_vented else "no"
        line = (part, *self._relations.owners(part))
        for p in (self.layout.parts[o] for o in line):
            own = {"kind": p.kind, "side": p.side, "position": p.position, **p.traits}
            if own.get(key):
                return own[key]
        return self.traits.get(key, "no" if key.startswith(("has-", "several-")) else "")

    def owners(self, part: str) -> tuple[str, ...]:
        """Return what ``part`` belongs to, nearest first, without the aeroplane."""
        return self._relations.owners(part)

    # ------------------------------------------------------------------ the way of the fuel

    def fed_by(self, engine: str, state: Known) -> Shares:
        """Return the tanks that feed ``engine`` in ``state``, each with its share of settings."""
        return self.related(engine, "tanks-feeding-it", state)

    def path(self, tank: str, engine: str, state: Known | None = None) -> tuple[str, ...]:
        """Return the parts fuel passes from ``tank`` to ``engine``, in order; () when it cannot.

        With the cross-feed unstated the way is taken with it shut wherever that is possible.
        """
        crossfeed = (state or {}).get("crossfeed", "")
        settings = sorted(self.feeding.settings, key=lambda s: s.crossfeed != "shut")
        return next(
            (
                way
                for s in settings
                if crossfeed in ("", s.crossfeed)
                for way in s.ways
                if way[0] == tank and way[-1] == engine
            ),
            (),
        )

    def neighbours(self, part: str) -> tuple[str, ...]:
        """Return the parts joined to ``part`` by a line."""
        return self._graph.adjacent(part)

    def cocks(self) -> tuple[Part, ...]:
        """Return the cocks, in file order."""
        return tuple(self.layout.parts[p] for p in self.parts_of_kind(COCKS))

    # ------------------------------------------------------------------ names

    def label(self, part: str) -> str:
        """Return the name for people: 'no. 2 engine (port inner)'."""
        return self._naming.label(part)

    def find_places(self, words: str) -> PlaceMatch:
        """Return the parts free words may mean, and the question to ask when they are several."""
        return self._naming.find(words)


def _several(layout: Layout) -> list[str]:
    """Return the kinds of which the layout has more than one part."""
    kinds = Counter(part.kind for part in layout.parts.values())
    return sorted(kind for kind, count in kinds.items() if count > 1)
