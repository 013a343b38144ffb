"""The relations knowledge may name in ``at:``, worked out on one layout.

Every relation answers with shares: the weight of the unstated settings in which it holds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from diagnose.errors import UsageError
from diagnose.model import AEROPLANE, FUEL_ABOARD, TANKS, Layout, Part
from diagnose.places.feeding import Feeding, Shares
from diagnose.places.graph import FlowGraph

_TRANSFER = (
    "transfer-valve",
    "transfer-pump",
    "non-return-valve",
    "shut-off-cock",
    "outlet-screen",
)
_OUTLETS = (*TANKS, "outlet-screen", "booster-pump", "transfer-pump", "transfer-valve")
"""Parts of a tank that pass all it gives."""
_RETURN = ("vapour-return", "non-return-valve")

_GOES_ALONG = (*TANKS, "fuel", "filler-cap", "transfer-valve", "transfer-pump")
"""Kinds of a transfer-only tank whose faults travel with the fuel; suction, held back at a vent or
a screen, does not."""

ALIKE = 0.75
"""Share of the tanks in which what one delivery brought, or one cold night, or a winter's standing
did to the fuel aboard is found (common practice, no source)."""

TRANSFERRED = 0.5
"""Share of reports in which fuel was transferred, or had to be (common practice, no source)."""

_Answer = dict[str, float]


class Relations:
    """Relations between the parts of one layout; an unstated tank or cross-feed is ''."""

    def __init__(self, layout: Layout, graph: FlowGraph, feeding: Feeding) -> None:
        """Index owners and permanent joints of ``layout``."""
        self.layout = layout
        self.graph = graph
        self.feeding = feeding
        self._order = {p: n for n, p in enumerate(layout.parts)}
        self._owners = {p: self._chain(p) for p in layout.parts}
        self._on_ways = {p for s in feeding.settings for w in s.ways for p in w}
        self._on_open_ways = self._on_ways - {
            p for s in feeding.settings if s.crossfeed == "shut" for w in s.ways for p in w
        }
        self._links = self._permanent_links()
        self._named: dict[str, Callable[[Part, str, str], _Answer]] = {
            "itself": lambda p, t, c: {p.id: 1.0},
            AEROPLANE: lambda p, t, c: {AEROPLANE: 1.0},
            "its-tank": self._its_tank,
            "its-engine": self._its_engine,
            "engines-fed-through-it": self._engines_through,
            "engines-it-alone-drives": self._engines_alone,
            "other-engines": self._other_engines,
            "same-side-engines": self._same_side_engines,
            "tanks-feeding-it": self._tanks_feeding,
            "neighbour-tank": self._neighbour_tank,
            "return-tank": self._return_tank,
            "tank-it-fills": self._tank_it_fills,
            "other-tanks": self._other_tanks,
            "same-bus": self._same_bus,
        }

    def related(self, part: str, relation: str, tank: str, crossfeed: str) -> Shares:
        """Return the places ``relation`` leads to from ``part``, in file order.

        :raises UsageError: the relation is not known.
        """
        p = self.layout.parts[part]
        if relation in self._named:
            found = self._named[relation](p, tank, crossfeed)
        elif relation.startswith("its-"):
            found = self._its(p, relation.removeprefix("its-"), tank, crossfeed)
        else:
            raise UsageError(f"'{relation}' is not a relation between places")
        return {q: found[q] for q in sorted(found, key=self._order.__getitem__) if found[q]}

    # ------------------------------------------------------------------ belonging

    def owners(self, part: str) -> tuple[str, ...]:
        """Return what ``part`` belongs to, nearest first, without the aeroplane."""
        return self._owners[part]

    def _chain(self, part: str) -> tuple[str, ...]:
        out: list[str] = []
        here = self.layout.parts[part].of
        while here and here != AEROPLANE and here not in out:
            out.append(here)
            here = self.layout.parts[here].of
        return tuple(out)

    def _owner(self, part: Part, kinds: Iterable[str]) -> str:
        line = (part.id, *self._owners[part.id])
        return next((o for o in line if self.layout.parts[o].kind in kinds), "")

    def _anchor(self, part: Part) -> str:
        """Return the part on the feed lines that ``part`` is or hangs on, '' when none."""
        line = (part.id, *self._owners[part.id])
        return next((p for p in line if p in self._on_ways), "")

    def at_large(self, part: Part) -> bool:
        """Return whether ``part`` belongs to the whole aeroplane: the cabin, the ledger ..."""
        return not self._owner(part, (*TANKS, "engine", "bus")) and not self._anchor(part)

    # ------------------------------------------------------------------ engines and tanks

    def _its_engine(self, part: Part, tank: str, crossfeed: str) -> _Answer:
        own = self._owner(part, ("engine",))
        return {own: 1.0} if own else self._engines_through(part, tank, crossfeed)

    def _engines_through(self, part: Part, tank: str, crossfeed: str) -> _Answer:
        if part.kind == "bus":
            return _most(self._engines_through(p, tank, crossfeed) for p in self._on_bus(part.id))
        if self.at_large(part):
            return dict.fromkeys(self.feeding.engines, _reaching(part))
        anchor = self._anchor(part)
        found = self.feeding.engines_through(anchor, tank, crossfeed) if anchor else {}
        into = self._transfers_into(part)
        if into:
            fed = self.feeding.engines_through(into, tank, crossfeed)
            return {e: TRANSFERRED * share for e, share in fed.items()}
        own = self._owner(part, ("engine",))
        # A primer or a gauge feeds nothing, yet what it does is done to its own engine.
        return {own: 1.0} if own and anchor in ("", own) else found

    def _engines_alone(self, part: Part, tank: str, crossfeed: str) -> _Answer:
        """Return the engines fed through ``part`` that no engine-driven pump would feed."""
        driven = {
            self._owner(p, ("engine",))
            for p in self.layout.parts.values()
            if p.kind == "engine-pump"
        }
        fed = self._engines_through(part, tank, crossfeed)
        return {e: share for e, share in fed.items() if e not in driven}

    def _other_engines(self, part: Part, tank: str, crossfeed: str) -> _Answer:
        its = self._its_engine(part, tank, crossfeed)
        return {e: 1.0 - its.get(e, 0.0) for e in self.feeding.engines}

    def _same_side_engines(self, part: Part, tank: str, crossfeed: str) -> _Answer:
        side, own = self.side(part), self._owner(part, ("engine",))
        engines = (self.layout.parts[e] for e in self.feeding.engines)
        return {e.id: 1.0 for e in engines if side and e.side == side and e.id != own}

    def _its_tank(self, part: Part, tank: str, crossfeed: str) -> _Answer:
        own = self._owner(part, TANKS)
        return {own: 1.0} if own else self._tanks_feeding(part, tank, crossfeed)

    def _tanks_feeding(self, part: Part, tank: str, crossfeed: str) -> _Answer:
        if part.kind in TANKS:
            return {t: 1.0 for t in self.feeding.tanks if part.id in self._runs_into(t)}
        if part.kind == "bus":
            return _most(self._its_tank(p, tank, crossfeed) for p in self._on_bus(part.id))
        if self.at_large(part):
            return dict.fromkeys(self.feeding.tanks, _reaching(part))
        engine = self._owner(part, ("engine",))
        if engine:
            return dict(self.feeding.tanks_feeding(engine, tank, crossfeed))
        if part.kind == "cross-feed-cock":
            # Shut or open, the fuel of the tanks in use on either side stands at it.
            return _most(
                self.feeding.tanks_feeding(e, tank, crossfeed) for e in self.feeding.engines
            )
        anchor = self._anchor(part)
        if anchor and anchor != part.id:
            return self._its_tank(self.layout.parts[anchor], tank, crossfeed)
        return dict(self.feeding.tanks_upstream(anchor, tank, crossfeed)) if anchor else {}

    # ------------------------------------------------------------------ tanks joined to tanks

    def _runs_into(self, tank: str) -> tuple[str, ...]:
        return self.graph.downstream_tanks(tank, _TRANSFER)

    def _transfers_into(self, part: Part) -> str:
        """Return the feeding tank that takes what goes along with ``part``'s fuel, '' when none."""
        own = self._owner(part, TANKS)
        if not own or self._anchor(part) or part.kind not in _GOES_ALONG:
            return ""
        return next((t for t in self._runs_into(own) if t in self._on_ways), "")

    def _permanent_links(self) -> dict[str, set[str]]:
        links: dict[str, set[str]] = {t: set() for t in self.feeding.tanks}
        pairs = [(t, to) for t in self.feeding.tanks for to in self._runs_into(t)]
        for p in self.layout.parts.values():
            other = {"tank-vent": "with", "transfer-valve": "to", "transfer-pump": "to"}.get(p.kind)
            own = self._owner(p, TANKS)
            if own and other and p.traits.get(other) in links:
                pairs.append((own, p.traits[other]))
        for a, b in pairs:
            links[a].add(b)
            links[b].add(a)
        return links

    def _neighbour_tank(self, part: Part, tank: str, crossfeed: str) -> _Answer:
        own = self._owner(part, TANKS)
        if own:
            joined = self.feeding.joined(own, crossfeed)
            return joined | dict.fromkeys(self._links[own], 1.0)
        if self._owner(part, ("selector-cock",)):
            # Its neighbours are the tanks it holds shut while another feeds.
            here = self._its_tank(part, tank, crossfeed)
            every = self._its_tank(part, "", "")
            return {t: 1.0 - here.get(t, 0.0) for t in every}
        its = self._its_tank(part, tank, crossfeed)
        return _most(
            {
                q: share * w
                for q, w in self._neighbour_tank(self.layout.parts[t], tank, crossfeed).items()
            }
            for t, share in its.items()
        )

    def _return_tank(self, part: Part, tank: str, crossfeed: str) -> _Answer:
        engines = self._its_engine(part, tank, crossfeed)
        out: _Answer = {}
        for p in self.layout.parts.values():
            share = engines.get(self._owner(p, ("engine",)), 0.0)
            if p.kind != "vapour-return" or not share:
                continue
            ends = (
                (p.traits["to"],)
                if "to" in p.traits
                else (self.graph.downstream_tanks(p.id, _RETURN))
            )
            out = _most([out, dict.fromkeys(ends, share)])
        return out

    def _tank_it_fills(self, part: Part, tank: str, crossfeed: str) -> _Answer:
        """Return the tanks that fuel from the tank before ``part`` runs into by way of it."""
        own = self._owner(part, TANKS)
        start = own if own and part.kind in _OUTLETS else part.id
        return dict.fromkeys(self.graph.downstream_tanks(start, _TRANSFER), 1.0)

    def _other_tanks(self, part: Part, tank: str, crossfeed: str) -> _Answer:
        """Return the tanks of its side that its return does not run to, each as likely as another.

        One of them gets what is led astray, and nobody knows which.
        """
        right, side = self._return_tank(part, tank, crossfeed), self.side(part)
        other = [t for t in self.feeding.tanks if t not in right]
        near = [t for t in other if side and self.layout.parts[t].side == side] or other
        return dict.fromkeys(near, 1.0 / len(near)) if near and right else {}

    # ------------------------------------------------------------------ buses and kinds

    def _on_bus(self, bus: str) -> list[Part]:
        return [p for p in self.layout.parts.values() if p.bus == bus]

    def _same_bus(self, part: Part, tank: str, crossfeed: str) -> _Answer:
        bus = part.id if part.kind == "bus" else part.bus
        return {p.id: 1.0 for p in self._on_bus(bus) if bus and p.id != part.id}

    def _its(self, part: Part, kind: str, tank: str, crossfeed: str) -> _Answer:
        """Return the parts of ``kind`` that belong with ``part``, the nearest of them only.

        Nearest is: itself, what hangs on it, what hangs on what it hangs on, what shares a way
        to an engine with it, what belongs to its engines and tanks, what the aeroplane has.
        """
        if part.kind == kind:
            return {part.id: 1.0}
        if kind == "bus":
            bus = part.bus or next(
                (
                    self.layout.parts[o].bus
                    for o in self.owners(part.id)
                    if self.layout.parts[o].bus
                ),
                "",
            )
            return {bus: 1.0} if bus else {}
        every = [p for p in self.layout.parts.values() if p.kind == kind]
        if part.kind == "bus":
            return {p.id: 1.0 for p in every if p.bus == part.id}
        for owner in (part.id, *self.owners(part.id)):
            own = {p.id: 1.0 for p in every if owner in (p.id, *self.owners(p.id))}
            if own:
                return own
        into = self._transfers_into(part)
        anchor = into or self._anchor(part)
        # What belongs to what is a matter of the normal arrangement, cross-feed shut, unless the
        # report says more; what only an open cross-feed uses has no other arrangement.
        if anchor in self._on_open_ways:
            crossfeed = "open"
        elif not tank and not crossfeed:
            crossfeed = "shut"
        together = dict(self.feeding.together(anchor, tank, crossfeed)) if anchor else {}
        if into:
            together = {p: TRANSFERRED * share for p, share in together.items()}
        if self.at_large(part):
            every_one = (*self.feeding.engines, *self.feeding.tanks)
            together = dict.fromkeys(every_one, _reaching(part))
        found = {p.id: together.get(p.id, 0.0) for p in every}
        if not any(found.values()):
            found = {
                p.id: max((together.get(o, 0.0) for o in self.owners(p.id)), default=0.0)
                for p in every
            }
        if not any(found.values()):
            found = {p.id: 1.0 for p in every if not self.owners(p.id)}
        return found

    def side(self, part: Part) -> str:
        """Return the side ``part`` is on, its own or that of what it belongs to."""
        line = (part.id, *self.owners(part.id))
        return next((s for o in line if (s := self.layout.parts[o].side)), "")


def _reaching(part: Part) -> float:
    """Return the share of engines and tanks that what is of the whole aeroplane reaches."""
    return ALIKE if part.kind == FUEL_ABOARD else 1.0


def _most(answers: Iterable[Shares]) -> _Answer:
    """Return for each place the largest share any of ``answers`` gives it."""
    out: _Answer = {}
    for answer in answers:
        for part, share in answer.items():
            out[part] = max(out.get(part, 0.0), share)
    return out
