"""What the fuel-system model shows of a simulated aeroplane, with the fault in it and without."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

from diagnose.casebook.draw import how_bad
from diagnose.casebook.watch import ANY_TIME, GAUGED, Seen, watch
from diagnose.fuel import Fault, FaultError, build
from diagnose.fuel.faults import INSTRUMENTS, READ_CHANGES
from diagnose.model import Finding
from diagnose.planner import Reading
from diagnose.training.as_set import state_as_set
from diagnose.training.one_story import Story

MEANT = 0.1
"""A class that is seen of a value at least so often is what the value looks like, and no slip."""

AGAINST_STICK = "gauge-against-stick"
"""The reading of the model that has the faults of contents gauges in it."""

Slot = tuple[str, str, tuple[tuple[str, str], ...]]
"""Question, place and run-state settings."""
Shown = Mapping[tuple[str, str, str], Seen]
"""Question, place and run state -> what is seen."""


class Modelled:
    """The aeroplane of ``story`` in the model; a fault without a physical form is not in it."""

    def __init__(self, story: Story) -> None:
        """Nothing is solved before it is asked for."""
        self.story, self.bench = story, story.bench

    def seen(self, reading: Reading) -> Seen | None:
        """Return what the model shows of ``reading``, None where it has no say.

        Of a fault that is not in it, it says what the fault leaves alone.
        """
        if not self.story.effect_of(reading).reading or self.bent(reading):
            return None
        if self.story.elsewhere(reading):
            return self.sound.get(reading.key)
        if self._faulty is None or self._by_way_of_people(reading):
            return None if self.story.acts_on(reading) else self.sound.get(reading.key)
        return self._faulty.get(reading.key)

    def bent(self, reading: Reading) -> bool:
        """Return whether the fault is one of the instrument read, and stated alone."""
        state = state_as_set(self.bench, reading.place, reading.state)
        net, hidden = self.bench.net, self.story.hidden
        bent = net.instruments.bent(reading.question, reading.place, state.known())
        in_model = reading.question in GAUGED and self.story.cause.physical is not None
        return net.index[hidden.cause] in bent and not in_model

    def _by_way_of_people(self, reading: Reading) -> bool:
        """Return whether a false gauge did it through whoever believed it: a tank run dry."""
        physical, part = self.story.cause.physical, self.bench.layout.parts.get(self.story.at)
        if physical is None or part is None or part.kind not in INSTRUMENTS:
            return False
        question = self.bench.library.questions[reading.question]
        shown = part.kind in question.instruments
        shown |= self.story.effect_of(reading).reading == AGAINST_STICK
        return physical.change in READ_CHANGES and not shown

    @cached_property
    def sound(self) -> Shown:
        """Return what a sound aeroplane shows, as well as this one is otherwise."""
        return self._watched(None)

    @cached_property
    def _faulty(self) -> Shown | None:
        fault = self._fault()
        try:
            return None if fault is None else self._watched(fault)
        except FaultError:
            return None

    def _watched(self, fault: Fault | None) -> Shown:
        rng = self.story.hidden.rng(self.bench.layout.id, "model")
        network = build(self.bench.layout)
        by_state: dict[Slot, Seen] = {}
        for s in watch(self.bench, network, fault, rng, MEANT, true_gauges=True):
            by_state.setdefault(self.slot(s.finding), s)
        readings = self.bench.planner.catalogue.readings
        found = {r.key: by_state.get(self.slot(self._taken(r))) for r in readings}
        return {key: s for key, s in found.items() if s is not None}

    def _fault(self) -> Fault | None:
        hidden, physical = self.story.hidden, self.story.cause.physical
        if physical is None or self.story.at not in self.bench.layout.parts:
            return None
        rng = hidden.rng(self.bench.layout.id, "severity")
        value = how_bad(physical, hidden.grade, rng)
        if value is None:
            return None
        return Fault(hidden.cause.at, physical.change, value, physical.unit)

    def slot(self, finding: Finding) -> Slot:
        """Return what makes two findings one: question, place, and the run state as set up."""
        known = state_as_set(self.bench, finding.at, finding.state).known()
        return finding.question, finding.at, tuple(sorted(known.items()))

    def _taken(self, reading: Reading) -> Finding:
        """Return ``reading`` in the state in which the model takes it."""
        state = reading.state
        if reading.run_state is None:
            state = ANY_TIME.get(self.story.effect_of(reading).reading, state)
        return Finding(reading.question, reading.place, "", state)
