"""One simulated aeroplane with a fault: every question and check has its answer, always the same.

What the fuel-system model can compute comes from the model with the fault in it, with noise; what
it cannot, and what a fault without a physical form does, is drawn from what the knowledge states.
Each answer is drawn by the seed and what is asked alone, so the order of asking changes nothing.
One part is at fault, and whoever looks sees what is there: nothing else is amiss but the day and
the make of the aeroplane, no check finds what is not there, and no answer is a slip.
A run state that names no tank is flown on the tank that feeds in normal running (``as_set``), so
that the run-up and the run-up on that tank are one and the same.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from diagnose.belief import Belief
from diagnose.belief.hypotheses import Hypotheses
from diagnose.casebook.draw import how_bad
from diagnose.casebook.watch import ANY_TIME, GAUGED, Seen, watch
from diagnose.casebook.worlds import World, Worlds
from diagnose.errors import UsageError
from diagnose.fuel import Fault, FaultError, build
from diagnose.job.at_hand import STARTING
from diagnose.job.diagnosis import Bench
from diagnose.knowledge_files import cut, limit_of
from diagnose.model import (
    ALOFT,
    GRADES,
    RUNNING,
    CauseAt,
    Finding,
    KnownBy,
    Physical,
    Question,
    on_the_ground,
)
from diagnose.planner import Reading
from diagnose.signs import InstanceKey, normal_class
from diagnose.training.as_set import as_set, state_as_set
from diagnose.units import show, unit_of

BELOW, BEYOND = 0.3, 1.4
"""Figures are drawn from this share of the low edge of a band to this multiple of its high edge."""
TRIES = 200
"""Figures drawn before a class is told without one."""
ACTS = 0.05
"""A fault brings about what a reading shows if it shows so at least so much more often with it."""
MEANT = 0.1
"""A class that is seen of a value at least so often is what the value looks like, and no slip."""
ORDINARY = 0.05
"""What more sound aeroplanes show than this is of the day or the make (this project's choice)."""
STOPS = ("engine-behaviour", "stops")
"""Question and class that say that an engine that ran has stopped."""

Slot = tuple[str, str, tuple[tuple[str, str], ...]]
"""Question, place and run-state settings."""


@dataclass(frozen=True)
class Hidden:
    """What is wrong with the aeroplane: cause, severity grade, and the seed of everything else."""

    cause: CauseAt
    grade: str
    seed: int

    def __str__(self) -> str:
        return f"{self.cause.cause} {self.cause.at} {self.grade} {self.seed}"

    @staticmethod
    def read(text: str) -> Hidden:
        """Return what ``str`` wrote.

        Raises:
            UsageError: If it is something else.
        """
        match text.split():
            case [cause, at, grade, seed] if grade in GRADES and seed.isdecimal():
                return Hidden(CauseAt(cause, at), grade, int(seed))
        raise UsageError("the hidden fault kept in the exercise cannot be read.")


class Simulated:
    """The aeroplane of ``hidden`` on the layout of ``bench``."""

    def __init__(self, bench: Bench, hidden: Hidden, told: Iterable[Finding] = ()) -> None:
        """Put the fault in; ``told``: what the report says already, which stays as it was told.

        Raises:
            UsageError: If the layout has no such cause.
        """
        index = bench.net.index.get(hidden.cause)
        if index is None or hidden.cause not in bench.net.instances:
            raise UsageError(f"'{hidden.cause}' is no cause of layout {bench.layout.id}.")
        self.bench, self.hidden = bench, hidden
        self.world = World((index,), (GRADES.index(hidden.grade),))
        self._worlds = Worlds(bench.net, _prior(bench), self._rng("world"))
        reported = [f for f in told if f.value and not f.one_of_places]
        self._told = {self._slot(f): f for f in reported}
        # what was read with the engine running says that it started
        self._ran = {f.at for f in reported if f.state.known().get("power") in RUNNING}

    def reading(self, reading: Reading) -> Finding:
        """Return what ``reading`` shows, with a figure where the instrument gives one."""
        asked = _asked(reading)
        question = self.bench.library.questions[reading.question]
        known: KnownBy = "read" if question.instruments or question.unit else "seen"
        told = self._told.get(self._slot(asked))
        if told is not None:  # what was only told is now seen by whoever looks
            return replace(
                told, state=reading.state, known_by=known, others_normal=False, after="", epoch=0
            )
        if question.id == STARTING[0] and reading.place in self._ran:
            usual = normal_class(question, self.bench.library)
            return Finding(question.id, reading.place, usual, reading.state, known)
        seen = self._seen(reading)
        if seen is None:
            value = self._stated(reading)
            figure = self._figure(question, value, self._rng("figure", repr(self._slot(asked))))
        else:
            value, figure = self._as_shown(question, seen)
        found = Finding(question.id, reading.place, value, reading.state, known)
        if figure is None:
            return found
        unit = unit_of(self._typed_limit(question))
        return replace(found, number=figure, typed=show(figure, unit, 2) if unit else "")

    def will_not_start(self, place: str) -> Reading | None:
        """Return how an engine that ``place`` needs running is seen not to start, None if it does.

        A place that is no engine is read with any of them, so none must start.
        """
        engines = self.bench.places.engines
        meant = [place] if place in engines else engines
        tries = [
            r
            for r in self.bench.planner.catalogue.readings
            if r.question == STARTING[0] and r.place in meant and "heat" not in r.state.settings
        ]
        fails = [r for r in tries if self.reading(r).value == STARTING[1]]
        return fails[0] if fails and len(fails) == len(tries) else None

    def stops(self, run: Reading) -> bool:
        """Return whether no engine runs on in the run state of ``run``, though they started."""
        ways = {r.place: r for r in self.bench.planner.catalogue.readings
                if r.question == STOPS[0] and r.run_state == run.run_state}  # fmt: skip
        engines = self.bench.places.engines
        return all(e in ways and self.reading(ways[e]).value == STOPS[1] for e in engines)

    def check(self, check: str, at: str) -> Finding:
        """Return what a check shows: it finds what is there with the chance the knowledge states.

        It finds nothing that is not there.  Made again it shows the same.
        """
        key = (check, at, (), 0)
        value = self._worlds.brought_about(self.world, key, self._rng("check", check, at))
        result = tuple(self.bench.library.checks[check].results)[value]
        return Finding(check, at, result, check=True)

    def is_amiss(self, reading: Reading) -> bool:
        """Return whether the fault makes ``reading`` show what a sound aeroplane does not."""
        question = self.bench.library.questions[reading.question]
        shown = self.reading(reading).value
        if shown == normal_class(question, self.bench.library):
            return False
        seen = self._seen(reading)
        if seen is not None:
            return seen.amiss
        return self._more_often(reading, shown) >= ACTS or self._bent(reading)

    def _more_often(self, reading: Reading, shown: str) -> float:
        """Return how much more often ``reading`` is ``shown`` with the fault than without."""
        table = self.bench.net.table(self._key_of(reading))
        row = table.row_of(self.world.causes[0])
        if row < 0:
            return 0.0
        question = self.bench.library.questions[reading.question]
        sound = self.bench.net.instruments.shown(question, reading.place, reading.state.known())
        moved = (table.given[row, self.world.grades[0]] - table.usual) @ sound
        return float(moved[tuple(question.classes).index(shown)])

    # ------------------------------------------------------------------ from the model

    @cached_property
    def _model(self) -> Mapping[tuple[str, str, str], Seen]:
        """Return what the model shows, by question, place and run state.

        For a fault without a physical form it is a sound aeroplane, of which only the figures of
        what the fault leaves alone are used.
        """
        network, fault = build(self.bench.layout), self._fault()
        try:
            seen = watch(self.bench, network, fault, self._rng("model"), MEANT)
        except FaultError:
            fault = None
            seen = watch(self.bench, network, None, self._rng("model"), MEANT)
        by_state: dict[Slot, Seen] = {}
        for s in seen:
            by_state.setdefault(self._slot(s.finding), s)
        out = {}
        for reading in self.bench.planner.catalogue.readings:
            found = by_state.get(self._slot(_taken(self.bench, reading)))
            if found is not None and (fault is not None or not self._acts(reading)):
                out[reading.key] = found
        return out

    def _seen(self, reading: Reading) -> Seen | None:
        """Return what the model shows of ``reading``, None where it has no say."""
        question = self.bench.library.questions[reading.question]
        if not self.bench.library.effects[question.reads].reading or self._bent(reading):
            return None
        return self._model.get(reading.key)

    def _fault(self) -> Fault | None:
        hidden = self.hidden
        physical: Physical | None = self.bench.library.causes[hidden.cause.cause].physical
        if physical is None or hidden.cause.at not in self.bench.layout.parts:
            return None
        value = how_bad(physical, hidden.grade, self._rng("severity"))
        if value is None:
            return None
        return Fault(hidden.cause.at, physical.change, value, physical.unit)

    def _acts(self, reading: Reading) -> bool:
        table = self.bench.net.table(self._key_of(reading))
        return table.row_of(self.world.causes[0]) >= 0

    def _bent(self, reading: Reading) -> bool:
        """Return whether the fault is one of the instrument read, and stated alone."""
        state = state_as_set(self.bench, reading.place, reading.state)
        bent = self.bench.net.instruments.bent(reading.question, reading.place, state.known())
        physical = self.bench.library.causes[self.hidden.cause.cause].physical
        in_model = reading.question in GAUGED and physical is not None
        return self.world.causes[0] in bent and not in_model

    def _as_shown(self, question: Question, seen: Seen) -> tuple[str, float | None]:
        """Return class and figure as one: a steady needle has both, a swinging one no figure."""
        word, figure = seen.finding.value, seen.figure
        if figure is None or limit_of(question, self.bench.layout) is None:
            return word, None
        steady = set(question.cut_as.values())
        if word not in steady:
            return word, None
        # what is written down is the figure as shown, so the class is that of the shown figure
        unit = unit_of(self._typed_limit(question))
        shown = cut(question, self.bench.layout, max(figure, 0.0)) if unit else ""
        return (shown, max(figure, 0.0)) if shown else (word, None)

    # ------------------------------------------------------------------ from what is stated

    def _stated(self, reading: Reading) -> str:
        flown = as_set(self.bench, reading)
        key = self._key_of(reading)
        of_the_day = self._worlds.net.table(key).background.sum() > ORDINARY
        drawn = self._worlds.value if of_the_day else self._worlds.brought_about
        kept = self._kept_aloft(reading)
        value = 0 if kept else drawn(self.world, key, self._rng("effect", repr(key)))
        rng = self._rng("answer", repr(self._slot(_asked(reading))))
        return self._worlds.shown(self.world, flown, value, rng, MEANT)

    def _kept_aloft(self, reading: Reading) -> bool:
        """Return whether the fault shows at height alone and the run is on the ground."""
        library = self.bench.library
        effect = library.effects[library.questions[reading.question].reads]
        on_ground = bool(reading.state.stage) and on_the_ground(reading.state) == reading.state
        aloft = library.causes[self.hidden.cause.cause].pattern == ALOFT
        return aloft and on_ground and "power" in effect.depends_on

    def _key_of(self, reading: Reading) -> InstanceKey:
        return self._worlds.key_of(as_set(self.bench, reading))

    def _figure(self, question: Question, value: str, rng: np.random.Generator) -> float | None:
        """Return a figure that the layout's limit calls ``value``; None where there is none."""
        limit = limit_of(question, self.bench.layout)
        if limit is None or value not in question.cut_as.values():
            return None
        edges = [x for x in (limit.low, limit.high) if x is not None]
        if not edges or not unit_of(self._typed_limit(question)):
            return None
        if question.cut_as.get("zero") == value:
            return 0.0
        low, high = sorted((BELOW * edges[0], BEYOND * edges[-1]))
        for _ in range(TRIES):
            figure = float(rng.uniform(low, high))
            if cut(question, self.bench.layout, figure) == value:
                return figure
        return None

    def _typed_limit(self, question: Question) -> str:
        """Return the figure with its unit that ends the limit as its owner typed it, '' for none.

        What the aeroplane shows is told in the unit its papers use.
        """
        limit = limit_of(question, self.bench.layout)
        words = limit.shown.split() if limit else []
        first = next((k for k in reversed(range(len(words))) if words[k][:1].isdigit()), None)
        return " ".join(words[first:]) if first is not None else ""

    def _slot(self, finding: Finding) -> Slot:
        """Return what makes two findings one: question, place, and the run state as set up."""
        known = state_as_set(self.bench, finding.at, finding.state).known()
        return finding.question, finding.at, tuple(sorted(known.items()))

    def _rng(self, *what: str) -> np.random.Generator:
        name = f"{self.bench.layout.id} {self.hidden.cause} {self.hidden.grade} {' '.join(what)}"
        return np.random.default_rng([self.hidden.seed, zlib.crc32(name.encode())])


@lru_cache(maxsize=4)
def _prior(bench: Bench) -> Hypotheses:
    """Return what is likely on a layout before any report, worked out once."""
    return Belief(bench.net, paired=1).prior


def _asked(reading: Reading) -> Finding:
    """Return ``reading`` as a finding without an answer."""
    return Finding(reading.question, reading.place, "", reading.state)


def _taken(bench: Bench, reading: Reading) -> Finding:
    """Return ``reading`` in the state in which the model takes it."""
    effect = bench.library.effects[bench.library.questions[reading.question].reads]
    state = reading.state
    if reading.run_state is None:
        state = ANY_TIME.get(effect.reading, state)
    return Finding(reading.question, reading.place, "", state)
