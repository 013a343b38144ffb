"""One simulated aeroplane with a fault: every question and check has its answer, always the same.

What the fuel-system model can compute comes from the model with the fault in it, with noise; what
it cannot, and what a fault without a physical form does, is drawn from what the knowledge states.
Each answer is drawn by the seed and what is asked alone, so the order of asking changes nothing;
how much of the fault shows is drawn once (``one_story``), so that no two answers contradict.
One part is at fault, and whoever looks sees what is there: nothing else is amiss but the day and
the make of the aeroplane, no check finds what is not there, and no answer is a slip.
A run state that names no tank is flown on the tank that feeds in normal running (``as_set``), so
that the run-up and the run-up on that tank are one and the same.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import cached_property, lru_cache

import numpy as np

from diagnose.belief import Belief
from diagnose.belief.hypotheses import Hypotheses
from diagnose.casebook.watch import Seen
from diagnose.casebook.worlds import World, Worlds
from diagnose.errors import UsageError
from diagnose.job.diagnosis import Bench
from diagnose.job.starting import STARTING
from diagnose.knowledge_files import cut, limit_of
from diagnose.model import GRADES, RUNNING, Finding, Question, agree
from diagnose.planner import Reading
from diagnose.signs import InstanceKey, normal_class, value_of
from diagnose.training.as_measured import figure_in, typed_limit
from diagnose.training.as_set import as_set
from diagnose.training.hidden import Hidden
from diagnose.training.modelled import MEANT, Modelled
from diagnose.training.one_story import Story, thread_of
from diagnose.units import show, unit_of

ACTS = 0.05
"""A fault brings about what a reading shows if it shows so at least so much more often with it."""
ORDINARY = 0.05
"""What more sound aeroplanes show than this is of the day or the make (this project's choice)."""
STOPS = ("engine-behaviour", "stops")
"""Question and class that say that an engine that ran has stopped."""
DIES = (STARTING[0], "fires-then-dies")
"""Question and class of a start after which no engine idles well."""


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
        self.story = Story(bench, hidden, reported)
        self._model = Modelled(self.story)
        self._told = {self._model.slot(f): f for f in reported}
        # what was read with the engine running says that it started
        self._ran = {f.at for f in reported if f.state.known().get("power") in RUNNING}

    def reading(self, reading: Reading) -> Finding:
        """Return what ``reading`` shows, with a figure where the instrument gives one."""
        reading = as_set(self.bench, reading)  # whoever runs it sees where the cocks stand
        question = self.bench.library.questions[reading.question]
        known = question.known_there
        asked = Finding(question.id, reading.place, "", reading.state)
        told = self._told.get(self._model.slot(asked))
        if told is not None:  # what was only told is now seen by whoever looks
            return replace(
                told, state=reading.state, known_by=known, others_normal=False, after="", epoch=0
            )
        seen = self._model.seen(reading)
        if self._leaves_the_usual(reading):
            value, figure = normal_class(question, self.bench.library), None
        elif seen is None:
            value = self._stated(reading)
            figure = self._figure(reading, value)
        else:
            value, figure = self._as_shown(question, seen)
        found = Finding(question.id, reading.place, value, reading.state, known)
        if figure is None:
            return found
        unit = unit_of(typed_limit(question, self.bench.layout))
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
        share = self._rng("check", check, at).random()
        value = self._worlds.brought_about(self.world, (check, at, (), 0), share)
        result = tuple(self.bench.library.checks[check].results)[value]
        return Finding(check, at, result, check=True)

    def is_amiss(self, reading: Reading) -> bool:
        """Return whether the fault makes ``reading`` show what a sound aeroplane does not."""
        shown = self.reading(reading).value
        if shown == self._usual(reading.question):
            return False
        seen = self._model.seen(reading)
        if seen is not None:
            return seen.amiss
        return self._more_often(reading, shown) >= ACTS or self._model.bent(reading)

    def _more_often(self, reading: Reading, shown: str) -> float:
        """Return how much more often ``reading`` is ``shown`` with the fault than without."""
        table = self.bench.net.table(self.story.key_of(reading))
        row = table.row_of(self.world.causes[0])
        if row < 0:
            return 0.0
        question = self.bench.library.questions[reading.question]
        sound = self.bench.net.instruments.shown(question, reading.place, reading.state.known())
        moved = (table.given[row, self.world.grades[0]] - table.usual) @ sound
        return float(moved[tuple(question.classes).index(shown)])

    # ------------------------------------------------------------------ what the rest leaves open

    def _leaves_the_usual(self, reading: Reading) -> bool:
        """Return whether what was told leaves only the usual answer.

        An engine that ran did start, and trouble that is there when it is tried has not gone.
        """
        if reading.question == STARTING[0]:
            return reading.place in self._ran
        return self.story.effect_of(reading).passing and any(
            f.value != self._usual(f.question)
            and f.state.known().get("power") == reading.state.known().get("power")
            and agree(reading.state.settings, f.state.settings)
            for f in self._told.values()
        )

    def _idles(self, start: Reading) -> bool:
        """Return whether the engine idles well after ``start``, set up alike."""
        set_up = {d: v for d, v in start.state.settings.items() if d != "power"}
        return any(
            self.reading(r).value == self._usual(r.question)
            for r in self.bench.planner.catalogue.readings
            if (r.question, r.place, r.state.stage) == (STOPS[0], start.place, "idle")
            and agree(set_up, r.state.settings)
        )

    def _usual(self, question: str) -> str:
        return normal_class(self.bench.library.questions[question], self.bench.library)

    # ------------------------------------------------------------------ what is shown

    def _as_shown(self, question: Question, seen: Seen) -> tuple[str, float | None]:
        """Return class and figure as one: a steady needle has both, a swinging one no figure."""
        word, figure = seen.finding.value, seen.figure
        if figure is None or limit_of(question, self.bench.layout) is None:
            return word, None
        steady = set(question.cut_as.values())
        if word not in steady:
            return word, None
        # what is written down is the figure as shown, so the class is that of the shown figure
        unit = unit_of(typed_limit(question, self.bench.layout))
        shown = cut(question, self.bench.layout, max(figure, 0.0)) if unit else ""
        return (shown, max(figure, 0.0)) if shown else (word, None)

    def _stated(self, reading: Reading) -> str:
        """Return what is drawn of ``reading``, as it is set up, from what is stated."""
        key = self.story.key_of(reading)
        if self._of_the_day(key):
            value = self._worlds.value(self.world, key, self._rng("effect", repr(key)))
        elif self.story.aloft(reading) or self.story.elsewhere(reading):
            value = 0
        else:
            value = self._worlds.brought_about(self.world, key, self._share(key))
        rng = self._rng("answer", reading.question, reading.place)
        shown = self._worlds.shown(self.world, reading, value, rng, MEANT)
        if (reading.question, shown) == DIES and self._idles(reading):
            return self._usual(reading.question)
        return shown

    def _of_the_day(self, key: InstanceKey) -> bool:
        """Return whether it is of the day or the make, whatever is at fault.

        No tank is short, and no trouble gone, that the fault has no hand in.
        """
        alone = bool(thread_of(self.bench, key[0], key[1])[1])
        often = self.bench.net.table(key).background.sum() > ORDINARY
        return alone and bool(often) and not self.bench.library.effects[key[0]].passing

    def _share(self, key: InstanceKey) -> float:
        """Return how much of the fault shows in the effect instance ``key``: 1 is all of it."""
        thread = thread_of(self.bench, key[0], key[1])
        share = float(self._rng("shows", *thread).random())
        if thread[1]:
            return share
        low, high = self._by_the_model
        return low + share * (high - low)

    @cached_property
    def _by_the_model(self) -> tuple[float, float]:
        """Return between which shares the fault shows what the model shows of how an engine runs.

        So that what is drawn beside it is as bad.  All of them, where it shows nothing amiss.
        """
        for r in self.bench.planner.catalogue.readings:
            seen = self._model.seen(r) if r.question == STOPS[0] else None
            if seen is None or not seen.amiss or not self.story.acts_on(r):
                continue
            question = self.bench.library.questions[r.question]
            key, value = self.story.key_of(r), value_of(question, seen.finding.value)
            p = self._worlds.chances(self.world, key)
            k = self.bench.library.effects[question.reads].values.index(value)
            if p[k] > 0.0:
                low = float(p[:k].sum())
                return low, low + float(p[k])
        return 0.0, 1.0

    def _figure(self, reading: Reading, value: str) -> float | None:
        """Return the figure of a ``value`` that was drawn.

        What is well stands where a sound aeroplane has it.  What is not is as far out in every run
        state and on every gauge that tells of it.
        """
        question, layout = self.bench.library.questions[reading.question], self.bench.layout
        if limit_of(question, layout) is None:
            return None  # and the model need not be solved for it
        sound = self._model.sound.get(reading.key)
        figure = None if sound is None else sound.figure
        if figure is not None and cut(question, layout, max(figure, 0.0)) == value:
            return max(figure, 0.0)
        thread = thread_of(self.bench, question.reads, reading.place)
        share = float(self._rng("figure", *thread, reading.place, value).random())
        return figure_in(question, layout, value, share)

    def _rng(self, *what: str) -> np.random.Generator:
        return self.hidden.rng(self.bench.layout.id, *what)


@lru_cache(maxsize=4)
def _prior(bench: Bench) -> Hypotheses:
    """Return what is likely on a layout before any report, worked out once."""
    return Belief(bench.net, paired=1).prior
