"""Rules, belief and planner joined for one library and one layout.

A ``Bench`` is compiled once and shared; a ``Diagnosis`` follows one job on it.  Pure reasoning:
no files, no clock beyond the planner's deadline, no terminal.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from diagnose.belief import Belief, BeliefNet, Posterior
from diagnose.model import CauseAt, Finding, Layout, Library, Work
from diagnose.places import Places
from diagnose.planner import Plan, Planner, Situation
from diagnose.planner.actions import Catalogue, Reading
from diagnose.rules import Outcome, PlainSession, RuleBase


class Bench:
    """Everything compiled for a library and a layout; parts are made when first needed."""

    def __init__(self, library: Library, layout: Layout) -> None:
        """Hold ``library`` and ``layout``; compile nothing yet."""
        self.library = library
        self.layout = layout
        self.places = Places(layout, library.words.unstated)

    @cached_property
    def net(self) -> BeliefNet:
        """Return the belief tables."""
        return BeliefNet(self.library, self.places)

    @cached_property
    def planner(self) -> Planner:
        """Return the planner with its catalogue."""
        return Planner(Catalogue(self.net))

    @cached_property
    def rules(self) -> RuleBase:
        """Return the rule base compiled on experta (about a second for the full knowledge)."""
        return RuleBase.compile(self.library, self.layout, self.places)

    def plain_rules(self) -> PlainSession:
        """Return the plain evaluator, ready at once; it agrees with ``rules`` exactly."""
        return PlainSession(self.library, self.layout, self.places)


@dataclass(frozen=True)
class Step:
    """The state of a job after its findings.

    findings: as weighed, in order.  outcome: what the rules conclude, traced.
    posterior: belief over causes.
    """

    findings: tuple[Finding, ...]
    outcome: Outcome
    posterior: Posterior


@dataclass
class Diagnosis:
    """One job's reasoning; ``see`` takes the whole list of findings each time and is exact."""

    bench: Bench
    before: tuple[Work, ...] = ()
    use_engine: bool = True
    belief: Belief = field(init=False)

    def __post_init__(self) -> None:
        """Start from the prior lifted by the work done before."""
        self.belief = Belief(self.bench.net, self.before)
        self._session = self.bench.rules.session() if self.use_engine else self.bench.plain_rules()

    def see(
        self, findings: Sequence[Finding], rectified: Mapping[CauseAt, int] | None = None
    ) -> Step:
        """Return what ``findings`` (all of them, in order) say."""
        outcome = self._session.see(findings)
        posterior = self.belief.update(findings, rectified, outcome.never())
        return Step(tuple(findings), outcome, posterior)

    def plan(self, step: Step, situation: Situation, deadline: float = 0.2) -> Plan:
        """Return the next action for ``step``."""
        return self.bench.planner.next(self.belief, step.posterior, situation, deadline)


def open_gates(
    bench: Bench, findings: Sequence[Finding], running: Callable[[Finding], bool] | None = None
) -> tuple[Reading, ...]:
    """Return the gate readings whose safe class is not known; unknown blocks an engine run."""
    library = bench.library
    out = []
    for gate in bench.planner.catalogue.gates:
        safe = library.questions[gate.question].gate
        latest = [f for f in findings if f.question == gate.question and f.at == gate.place]
        if not latest or latest[-1].value != safe:
            out.append(gate)
    return tuple(out)
