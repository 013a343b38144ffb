"""What can be done on a layout: readings in run states, and checks at parts."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from diagnose.belief import BeliefNet
from diagnose.model import Check, Question, RunState, State, agree
from diagnose.signs import InstanceKey, instance_of

Key = tuple[str, str, str]
"""A reading by its names: (question, place, run state id), the last '' of any time."""


@dataclass(frozen=True)
class Reading:
    """One question asked at one place in one run state (``run_state`` None: any time)."""

    question: str
    place: str
    run_state: RunState | None = None

    @cached_property
    def state(self) -> State:
        """Return the run state as a finding would state it."""
        return self.run_state.state if self.run_state else State()

    @property
    def state_id(self) -> str:
        """Return the id of the run state, '' of any time."""
        return self.run_state.id if self.run_state else ""

    @property
    def key(self) -> Key:
        """Return (question, place, run state id), the same on every run."""
        return (self.question, self.place, self.state_id)

    @property
    def look(self) -> tuple[str, str]:
        """Return what readings at like places share: (question, run state id)."""
        return (self.question, self.state_id)

    @property
    def is_run(self) -> bool:
        """Return whether an engine runs in its state."""
        return self.run_state is not None and self.run_state.engine_running


@dataclass(frozen=True)
class Action:
    """One thing to do: a bundle of readings (often of one), or a check.

    also: further places at which the check is made in the same go.
    minutes: what it costs now, access and starts included.  gain: expected bits about the cause.
    saves: expected minutes it saves, net of its cost.  chance: that a check settles the job.
    """

    readings: tuple[Reading, ...] = ()
    check: str = ""
    at: str = ""
    also: tuple[str, ...] = ()
    minutes: float = 0.0
    gain: float = 0.0
    saves: float = 0.0
    chance: float = 0.0

    @property
    def is_check(self) -> bool:
        """Return whether this is a check rather than readings."""
        return bool(self.check)

    @property
    def places(self) -> tuple[str, ...]:
        """Return every place at which the check is made."""
        return (self.at, *self.also) if self.check else ()

    @property
    def is_run(self) -> bool:
        """Return whether an engine must run for it."""
        return any(r.is_run for r in self.readings)


@dataclass(frozen=True)
class Situation:
    """What is known, done and at hand when the next action is chosen.

    asked: readings already answered or 'not checked', by key.  done: (check, part) done or
    refused.  opened: access words already paid for.  tools: None = everything at hand.
    lost: perishable evidence gone, as ``evidence_lost`` says it.  open_gates: gate readings whose
    safe class is not known.
    """

    asked: frozenset[Key] = frozenset()
    done: frozenset[tuple[str, str]] = frozenset()
    opened: frozenset[str] = frozenset()
    tools: frozenset[str] | None = None
    hands: int = 2
    may_run: bool = True
    lost: frozenset[str] = frozenset()
    open_gates: tuple[Reading, ...] = ()

    def has(self, act: Check | Question) -> bool:
        """Return whether the tools and hands that ``act`` needs are at hand."""
        return act.hands <= self.hands and (self.tools is None or set(act.tools) <= self.tools)


NOTHING_DONE = Situation()
"""A job just opened, everything at hand."""


GLANCE = 2.0
"""Minutes of a look that is taken at all of several like places rather than asked for again: the
next lamp on the panel, not the next tank to dip (this project's statement)."""


def taken_along(question: Question) -> bool:
    """Return whether the like places are looked at in the same go: a glance, or a tool in hand."""
    return bool(question.next_minutes) or (question.minutes <= GLANCE and not question.tools)


_NEAR: Mapping[str, tuple[str, ...]] = {
    "draining": ("itself", "its-strainer", "tanks-feeding-it"),
    "moving": ("itself",),
    "opening": ("itself", "its-tank"),
    "rectifying": ("itself",),
}
"""What destroys evidence only near the part at which it is done: relations that lead there."""


def evidence_lost(act: Check | Question, at: str) -> frozenset[str]:
    """Return the evidence that ``act`` done ``at`` a part destroys: 'cooling', 'draining at P'."""
    return frozenset(f"{kind} at {at}" if kind in _NEAR else kind for kind in act.destroys)


class Catalogue:
    """All readings and checks possible on a layout, enumerated once."""

    def __init__(self, net: BeliefNet) -> None:
        """List readings and checks of ``net``'s library on its layout."""
        self.net = net
        library, layout = net.library, net.layout
        self.readings: tuple[Reading, ...] = tuple(self._readings())
        at: dict[tuple[str, str], None] = {}
        for c in net.instances:
            for k in library.causes[c.cause].checks:
                for place in net.places.related(c.at, k.at, {}):
                    check = library.checks[k.check]
                    if layout.parts[place].kind in check.at and net.places.allows(check, place):
                        at[(k.check, place)] = None
        self.checks: tuple[tuple[str, str], ...] = tuple(sorted(at))
        self.offers = frozenset(at)
        gates = _first_of_each(
            r for r in self.readings if library.questions[r.question].gate and not r.is_run
        )
        # what is looked at now comes before what was smelt then
        self.gates = tuple(sorted(gates, key=lambda g: library.questions[g.question].gate_holds))

    def gone(self, reading: Reading, lost: Collection[str]) -> bool:
        """Return whether what ``lost`` says has destroyed what ``reading`` would show.

        A part that is drained takes with it the strainer and the tanks whose fuel runs to it with
        the cross-feed shut; a tank that is opened, what its own suction would have shown.
        """
        kind = self.net.library.questions[reading.question].perishable
        return self._gone(kind, reading.place, lost)

    def check_gone(self, check: str, at: str, lost: Collection[str]) -> bool:
        """Return whether what ``lost`` says has destroyed what a check would find."""
        return self._gone(self.net.library.checks[check].perishable, at, lost)

    def _gone(self, kind: str, place: str, lost: Collection[str]) -> bool:
        if not kind or not lost:
            return False
        done_at = [where.removeprefix(f"{kind} at ") for where in lost]
        near = _NEAR.get(kind, ())
        return kind in lost or any(
            place in self.net.places.related(part, relation, {"crossfeed": "shut"})
            for part in done_at
            if part in self.net.layout.parts
            for relation in near
        )

    def _readings(self) -> Iterable[Reading]:
        library, layout = self.net.library, self.net.layout
        for q in library.questions.values():
            effect = library.effects[q.reads]
            of_stage = [s for s in layout.run_states if s.stage in q.stages]
            can_be = self.net.places.unstated
            fitted = {d: v for d, v in q.where_fitted.items() if can_be.get(d, {}).get(v)}
            needs = {**fitted, **q.needs}
            states: list[RunState | None] = [s for s in of_stage if agree(needs, s.settings)]
            if not q.stages:
                states = [None]
            for part in layout.parts.values():
                if part.kind not in q.at or not self.net.places.allows(q, part.id):
                    continue
                seen: set[InstanceKey] = set()
                for s in states:
                    known = s.state.known() if s else {}
                    if not self._fits(part.id, known):
                        continue
                    key = instance_of(effect, part.id, known, 0)
                    if key in seen:
                        continue  # the cheaper state that reads the same instance came first
                    seen.add(key)
                    yield Reading(q.id, part.id, s)

    def _fits(self, place: str, known: Mapping[str, str]) -> bool:
        """Return whether the settings can hold at ``place`` (its engine fed by that tank)."""
        tank = known.get("tank")
        if tank is None or self.net.layout.parts[place].kind != "engine":
            return True
        return bool(self.net.places.path(tank, place, known))


def _first_of_each(readings: Iterable[Reading]) -> tuple[Reading, ...]:
    out: dict[tuple[str, str], Reading] = {}
    for r in readings:
        out.setdefault((r.question, r.place), r)
    return tuple(out.values())
