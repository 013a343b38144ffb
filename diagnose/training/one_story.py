"""What makes the stated answers of a simulated aeroplane one story and not many.

Rows state chances, each by itself.  Drawn apart they contradict one another: pressure that is lost
at idle and there at full power, an engine that dies after the start and idles well.  So how much
of a fault shows is one number for all that follows from one another, and one for each other thing
at its part; both are the same in every run state.  And the trouble came on one tank.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache

from diagnose.in_use import in_use
from diagnose.job.diagnosis import Bench
from diagnose.model import ALOFT, CauseAt, Effect, Finding, Library, on_the_ground
from diagnose.planner import Reading
from diagnose.signs import InstanceKey, instance_of
from diagnose.training.as_set import state_as_set
from diagnose.training.hidden import Hidden


def thread_of(bench: Bench, effect: str, place: str) -> tuple[str, str]:
    """Return what ``effect`` at ``place`` shares its number with: like threads, like numbers."""
    head = _threads(bench).get(effect)
    return (effect, place) if head is None else (head, "")


@lru_cache(maxsize=4)
def _threads(bench: Bench) -> Mapping[str, str]:
    """Return effect -> the first of all that hang together with it; none that stands alone.

    Effects hang together where one follows from the other, or both are the same reading of the
    fuel-system model.
    """
    heads = {e: e for e in bench.library.effects}
    for one, other in _ties(bench.library):
        new, old = sorted((heads[one], heads[other]))
        heads = {e: new if head == old else head for e, head in heads.items()}
    shared = list(heads.values())
    return {e: head for e, head in heads.items() if shared.count(head) > 1}


def _ties(library: Library) -> Iterable[tuple[str, str]]:
    first: dict[str, str] = {}
    for effect in library.effects.values():
        yield from ((effect.id, f.effect) for f in effect.follows)
        if effect.reading:
            yield effect.id, first.setdefault(effect.reading, effect.id)


def tanks_of_it(bench: Bench, cause: CauseAt) -> tuple[str, ...]:
    """Return the tanks on which ``cause`` makes some engine do wrong, by what is stated of it."""
    places, library, net = bench.places, bench.library, bench.net
    by_tank = [e for e in library.effects.values() if {"tank", "power"} <= {*e.depends_on}]
    out = []
    for tank in places.tanks:
        known = {"tank": tank, "crossfeed": "shut"}
        fed = [e for e in places.engines if places.path(tank, e, known)]
        keys = (instance_of(effect, e, known, 0) for effect in by_tank for e in fed)
        if any(net.table(key).row_of(net.index[cause]) >= 0 for key in keys):
            out.append(tank)
    return tuple(out)


class Story:
    """Where and when the fault of ``hidden`` shows: on which tank, in which runs."""

    def __init__(self, bench: Bench, hidden: Hidden, told: Sequence[Finding]) -> None:
        """Find the tank on which it came: the one ``told`` of, else one of those that can be."""
        self.bench, self.hidden = bench, hidden
        self.at = hidden.cause.at
        self.cause = bench.library.causes[hidden.cause.cause]
        self._one_position = any(row.one_position for row in self.cause.produces)
        self._tanks = tanks_of_it(bench, hidden.cause)
        named = in_use(told, bench.library, bench.layout).tank
        rng = hidden.rng(bench.layout.id, "tank")
        self.tank = named or (str(rng.choice(self._tanks)) if self._tanks else "")

    def effect_of(self, reading: Reading) -> Effect:
        """Return what ``reading`` reads."""
        return self.bench.library.effect_of(reading.question)

    def key_of(self, reading: Reading) -> InstanceKey:
        """Return the effect instance of which ``reading`` speaks, on the tank on which it came."""
        effect = self.effect_of(reading)
        known = {**state_as_set(self.bench, reading.place, reading.state).known()}
        if effect.in_use and self.tank:
            known.setdefault("tank", self.tank)
        return instance_of(effect, reading.place, known, 0)

    def acts_on(self, reading: Reading) -> bool:
        """Return whether it is stated that the fault does something to what ``reading`` reads."""
        net = self.bench.net
        return net.table(self.key_of(reading)).row_of(net.index[self.hidden.cause]) >= 0

    def elsewhere(self, reading: Reading) -> bool:
        """Return whether another tank feeds the engine in ``reading`` than the fault is on.

        What is in one position of a cock is on the tank on which it came.
        """
        state = state_as_set(self.bench, reading.place, reading.state)
        tank, mine = state.settings.get("tank", ""), self._tanks
        if not tank or not self.tank:
            return False
        if self._one_position:
            return tank != self.tank
        return tank in self.bench.places.tanks and tank not in mine

    def aloft(self, reading: Reading) -> bool:
        """Return whether the fault shows at height alone, and the run is on the ground."""
        on_ground = bool(reading.state.stage) and on_the_ground(reading.state) == reading.state
        return self.cause.pattern == ALOFT and on_ground and "power" in (
            self.effect_of(reading).depends_on
        )  # fmt: skip
