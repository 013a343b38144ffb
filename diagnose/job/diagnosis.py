"""Rules, belief and planner joined for one library and one layout.

A ``Bench`` is compiled once and shared; a ``Diagnosis`` follows one job on it.  Pure reasoning:
no files, no clock beyond the planner's deadline, no terminal.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from diagnose.aeroplane import known_defects, suspected_defects
from diagnose.belief import Belief, BeliefNet, Held, Mixed, Posterior
from diagnose.in_places import told_each
from diagnose.in_time import read_in_time
from diagnose.in_use import in_use, read_in_use
from diagnose.model import CauseAt, CauseCheck, Evidence, Finding, Layout, Library, Work
from diagnose.places import Places
from diagnose.planner import Plan, Planner, Situation
from diagnose.planner.actions import NOTHING_DONE, Catalogue, Reading
from diagnose.rules import Outcome, PlainRules, RuleBase, Session

if TYPE_CHECKING:  # who wants no predictions need not load the model
    from diagnose.predict import Predictions


class Bench:
    """Everything compiled for a library and a layout; each part is made when first needed."""

    def __init__(
        self, library: Library, layout: Layout, predictions: Predictions | None = None
    ) -> None:
        """Hold ``library`` and ``layout``; compile nothing yet.

        ``predictions``: of the fuel-system model, weighed with what the knowledge states; without
        them the knowledge stands alone.
        """
        self.library = library
        self.layout = layout
        self.predictions = predictions
        self.places = Places(layout, library.words.unstated, library.words.trade)
        self._nets: dict[frozenset[CauseAt], BeliefNet] = {}

    @property
    def evidence(self) -> Evidence:
        """Return what the rates of causes rest on here."""
        return self.predictions.evidence if self.predictions else "stated"

    @cached_property
    def net(self) -> BeliefNet:
        """Return the belief tables, with the known defects of the aeroplane in them."""
        return self.net_with(frozenset(known_defects(self.layout)))

    def net_with(self, known: frozenset[CauseAt]) -> BeliefNet:
        """Return the belief tables with exactly ``known`` defects in them."""
        if known not in self._nets:
            model = self.predictions
            predict, fit = (model.merge, model.fit) if model else (None, None)
            self._nets[known] = BeliefNet(self.library, self.places, predict, known, fit)
        return self._nets[known]

    def parts_of(self, cause: str) -> list[str]:
        """Return the parts of the layout that can have the failure mode ``cause``."""
        return [c.at for c in self.net.instances if c.cause == cause]

    def settling(self, cause: CauseAt) -> Iterator[tuple[CauseCheck, str]]:
        """Yield each check that settles ``cause``, at each part it is made at."""
        known = self.library.causes.get(cause.cause)
        return self._made_at(cause, known.checks if known else ())

    def at_checks(self, cause: CauseAt) -> Iterator[tuple[CauseCheck, str]]:
        """Yield what any check shows with ``cause``, at each part it is made at."""
        known = self.library.causes.get(cause.cause)
        return self._made_at(cause, known.at_checks if known else ())

    def _made_at(
        self, cause: CauseAt, rows: Iterable[CauseCheck]
    ) -> Iterator[tuple[CauseCheck, str]]:
        for row in rows:
            for at in self.places.related(cause.at, row.at, {}):
                yield row, at

    @cached_property
    def planner(self) -> Planner:
        """Return the planner with its catalogue of what can be done on the layout."""
        return Planner(Catalogue(self.net))

    @cached_property
    def rules(self) -> RuleBase:
        """Return the rule base compiled on the forward-chaining engine."""
        return RuleBase.compile(self.library, self.layout, self.places)

    @cached_property
    def plain(self) -> PlainRules:
        """Return the plain evaluator: ready at once, looks ahead, agrees with ``rules``."""
        return PlainRules.of(self.library, self.layout, self.places)


@dataclass(frozen=True)
class Step:
    """The state of a job after its findings.

    findings: all of them, in order.  read: the same as rules and belief read them, in time order
    and with the tank in use.
    outcome: what the rules conclude, traced (finding keys are positions in ``read``).
    posterior: belief over causes.
    each: ``read`` in every way it can be meant, one where no place is left open.
    mended: what was found and put right; it explains what was read before, and nothing since.
    """

    findings: tuple[Finding, ...]
    read: tuple[Finding, ...]
    outcome: Outcome
    posterior: Posterior
    each: tuple[tuple[Finding, ...], ...]
    mended: frozenset[CauseAt]


class Diagnosis:
    """One job's reasoning; ``see`` takes the whole list of findings each time and is exact."""

    def __init__(self, bench: Bench, before: Sequence[Work] = (), *, engine: bool = True) -> None:
        """Start from the prior, lifted by the work done ``before`` the report.

        ``engine=False`` uses the plain evaluator alone (same conclusions, nothing to compile).
        """
        self.bench = bench
        self.before = tuple(before)
        self._listed = {**known_defects(bench.layout), **suspected_defects(bench.layout)}
        self._beliefs = [self._new_belief(bench.net)]  # one for each way findings can be meant
        self.belief: Held = self._beliefs[0]
        self._session: Session | None = bench.rules.session() if engine else None
        self._given = 0

    def see(
        self, findings: Sequence[Finding], rectified: Mapping[CauseAt, int] | None = None
    ) -> Step:
        """Return what ``findings`` (all of them, in order) say.

        ``rectified``: cause -> first epoch in which it no longer acts.
        Raises UsageError when a finding names an unknown question, place or class, or when the
        places left open can be meant in too many ways.
        """
        read = self._read(findings)
        each: tuple[tuple[Finding, ...], ...] = (read,)
        if any(f.one_of_places for f in findings):
            each = tuple(self._read(way) for way in told_each(findings, self.bench.library))
        self._hold_known_against(read, rectified or {})
        outcome = self._concluded(read)
        never = [c for p in outcome.points for c in p.never]
        posterior = self._weighed(each, rectified, never)
        return Step(tuple(findings), read, outcome, posterior, each, frozenset(rectified or ()))

    def _read(self, findings: Sequence[Finding]) -> tuple[Finding, ...]:
        library, layout = self.bench.library, self.bench.layout
        return read_in_use(read_in_time(findings, library), library, layout)

    def _new_belief(self, net: BeliefNet) -> Belief:
        return Belief(net, self.before, listed=self._listed)

    def _weighed(
        self,
        each: Sequence[Sequence[Finding]],
        rectified: Mapping[CauseAt, int] | None,
        never: Sequence[CauseAt],
    ) -> Posterior:
        """Weigh every way the findings can be meant; ``belief`` then is that of them all."""
        library, layout = self.bench.library, self.bench.layout
        first = self._beliefs[0]
        self._beliefs += [self._new_belief(first.net) for _ in each[len(self._beliefs) :]]
        del self._beliefs[len(each) :]
        posteriors = []
        for belief, read in zip(self._beliefs, each, strict=True):
            belief.in_use = in_use(read, library, layout)
            posteriors.append(belief.update(read, rectified, never))
        if len(each) == 1:
            self.belief = first
            return posteriors[0]
        self.belief = Mixed(self._beliefs, posteriors)
        return self.belief.posterior()

    def _hold_known_against(
        self, findings: Sequence[Finding], rectified: Mapping[CauseAt, int]
    ) -> None:
        """Take a defect for known no longer once a check did not find it, or it was rectified."""
        bench = self.bench
        gone = {c for c in known_defects(bench.layout) if c in rectified}
        for cause in known_defects(bench.layout):
            for row in bench.library.causes[cause.cause].checks:
                places = bench.places.related(cause.at, row.at, {})
                results = [
                    f
                    for f in findings
                    if f.check and f.value and f.question == row.check and f.at in places
                ]
                if results and results[-1].surely_not(row.result):
                    gone.add(cause)
        net = bench.net_with(frozenset(known_defects(bench.layout)) - gone)
        if net is not self._beliefs[0].net:
            self._beliefs = [self._new_belief(net)]

    def _concluded(self, findings: Sequence[Finding]) -> Outcome:
        if self._session is None:
            return self.bench.plain.outcome(dict(enumerate(findings)))
        for key in range(len(findings), self._given):
            self._session.set(key, None)
        for key, finding in enumerate(findings):
            self._session.set(key, finding)
        self._given = len(findings)
        return self._session.outcome()

    def plan(self, step: Step, situation: Situation = NOTHING_DONE, deadline: float = 0.2) -> Plan:
        """Return the next action for ``step``; ``deadline`` in seconds."""
        return self.bench.planner.next(self.belief, step.posterior, situation, deadline)


def open_gates(bench: Bench, findings: Sequence[Finding]) -> tuple[Reading, ...]:
    """Return the gate readings whose safe class is not known; unknown blocks an engine run."""
    out = []
    for gate in bench.planner.catalogue.gates:
        safe = bench.library.questions[gate.question].gate
        # at one of two engines: a leak shuts both, and what is dry at one of them opens neither
        answers = [f for f in findings if f.question == gate.question and gate.place in f.places]
        if not answers or not answers[-1].surely(safe) or answers[-1].one_of_places:
            out.append(gate)
    return tuple(out)
