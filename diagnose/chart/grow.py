"""A decision chart grown by the planner: the same reasoning as a job, asked beforehand.

The branch that most such reports take is grown first, until the paper is full.  Every node is the
action the planner chooses after the answers on the way to it.  A run of the engine is one step;
what its readings showed is then looked at one after another, the most telling first.  Answers
too seldom for a step of their own are gathered in one terminal; what cannot be grown any more
ends as a list of checks in order.  Nothing ends without saying where to go on.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from diagnose.belief import UNKNOWN
from diagnose.chart.nodes import Choice, Node
from diagnose.chart.numbering import numbered
from diagnose.chart.spoken import Spoken
from diagnose.chart.start import Start
from diagnose.chart.suspects import suspects
from diagnose.chart.tree import Chart, Seldom
from diagnose.job.confirming import found
from diagnose.job.diagnosis import Bench, Diagnosis, Step, open_gates
from diagnose.job.gates import closed_off
from diagnose.model import Finding
from diagnose.planner import Action, Reading, Situation
from diagnose.planner.actions import evidence_lost
from diagnose.planner.outlook import Outlook, check_table, reading_table
from diagnose.planner.plan import LEAST_BITS
from diagnose.planner.worth import entropy_gain

OWN_STEP = (0.05, 0.1, 0.2)
"""An answer that fewer of all such reports give than this gets no step of its own; where the paper
does not take that many, the next share is tried."""

NOT_CHECKED = 0.05
"""Share of a step's reports taken as not checked, to decide what is grown (no source)."""

MOST_STEPS = 60
"""Most actions one chart holds, whatever the paper takes."""

REFUSED = 3
"""Leaves tried that do not fit, before the paper is called full."""

REST, REST_LEAST = 36, 0.0005
"""Checks of the list of the rest, and the least belief at the start in what they find."""

LISTED = 4
"""Checks printed in a list of suspects."""

Fits = Callable[[Chart], bool]
"""Whether a chart fits the paper asked for."""


class Grower:
    """Grows one chart on one layout."""

    def __init__(self, bench: Bench, start: Start) -> None:
        """Begin with nothing but the start."""
        self.bench = bench
        self.start = start
        self.diagnosis = Diagnosis(bench, engine=False)
        self.spoken = Spoken(self.diagnosis)
        self.root = Node(start.findings, Situation(asked=start.asked), 1.0, 0)
        step = self._look_at(self.root)
        self.rest = suspects(
            self.diagnosis, self.spoken, step, self.root.situation, REST, REST_LEAST
        )

    def grow(self, fits: Fits, progress: Callable[[int], None] | None = None) -> Chart:
        """Return the chart, grown as far as it ``fits``.

        ``progress`` is told how many actions the chart holds.
        """
        count, refused = 0, 0
        while count < MOST_STEPS and refused < REFUSED:
            leaves = [n for n in self.root.walk() if not n.grown and not n.ended]
            if not leaves:
                break
            node = max(leaves, key=lambda n: (n.mass, -n.path))
            node.choice = self._choose(node)
            for own in OWN_STEP:
                node.branch(own)
                if not node.grown or not count or fits(self.chart()):
                    break
                node.prune()
                refused += own == OWN_STEP[-1]
            node.ended = not node.grown
            count += node.grown
            if node.grown and progress:
                progress(count)
        return self.chart()

    # ------------------------------------------------------------------ one node

    def _look_at(self, node: Node) -> Step:
        step = self.diagnosis.see(node.findings)
        node.cause = found(self.bench, step)
        node.known = dict(step.posterior.ranking())
        node.ended = node.cause is not None
        outcome = step.outcome
        stops = dict.fromkeys(s.text for s in outcome.stops)  # two rules may say the same
        warns = dict.fromkeys(c.text for c in outcome.cautions)
        node.stops = tuple(s for s in stops if s not in node.told)
        node.warns = tuple(w for w in warns if w not in node.told)
        node.told = node.told | set(node.stops) | set(node.warns)
        if node.stops or self._known_unsafe(node):  # as in a job: from here no power and no run
            node.situation = closed_off(self.bench, node.situation, "power")
        if node.cause is None:
            node.suspects = suspects(self.diagnosis, self.spoken, step, node.situation, LISTED)
        return step

    def _known_unsafe(self, node: Node) -> bool:
        """Return whether fuel was smelt or seen, or nobody could say: the gate was looked at."""
        asked = {(f.question, at) for f in node.findings for at in f.places}
        return any((g.question, g.place) in asked for g in open_gates(self.bench, node.findings))

    def _choose(self, node: Node) -> Choice | None:
        """Return what the planner does here, each answer followed; None where it hands over."""
        step = self.diagnosis.see(node.findings)
        outlook = Outlook(self.diagnosis.belief, step.posterior)
        reading = self._most_telling(outlook, node.pending)
        if reading is not None:
            taken = tuple(r for r in node.pending if r.key != reading.key)
            return self._read(node, Action((reading,)), taken, outlook, looks=True)
        # no deadline: the same chart on every machine
        action = self.diagnosis.plan(step, node.situation, deadline=float("inf")).action
        if action is None:
            return None
        if action.is_check:
            return self._check(node, action, outlook)
        reading = self._most_telling(outlook, action.readings) or action.readings[0]
        others = tuple(r for r in action.readings if r.key != reading.key)
        return self._read(node, replace(action, readings=(reading, *others)), others, outlook)

    def _most_telling(self, outlook: Outlook, readings: tuple[Reading, ...]) -> Reading | None:
        best, most = None, 3.0 * LEAST_BITS  # less is not worth a place, as on a run card
        for r in readings:
            given = outlook.given(reading_table(self.diagnosis.belief, r))
            bits = entropy_gain(outlook.weights, given)
            if bits > most:
                best, most = r, bits
        return best

    def _read(
        self,
        node: Node,
        action: Action,
        pending: tuple[Reading, ...],
        outlook: Outlook,
        *,
        looks: bool = False,
    ) -> Choice:
        reading = action.readings[0]
        q = self.bench.library.questions[reading.question]
        given = outlook.given(reading_table(self.diagnosis.belief, reading))
        shares = dict(zip(q.classes, (outlook.weights @ given).tolist(), strict=True))
        known = node.situation.asked | {r.key for r in action.readings}
        opened = node.situation.opened | q.opens
        situation = replace(node.situation, asked=known, opened=opened)
        after = replace(node, situation=situation, pending=pending)
        found_as = {
            v: Finding(q.id, reading.place, v, reading.state, q.known_there) for v in shares
        }
        return self._followed(after, Choice(action, shares, looks=looks), found_as)

    def _check(self, node: Node, action: Action, outlook: Outlook) -> Choice:
        check = self.bench.library.checks[action.check]
        given = outlook.given(check_table(self.diagnosis.belief, action.check, action.at))
        shares = dict(zip(check.results, (outlook.weights @ given).tolist(), strict=True))
        situation = replace(
            node.situation,
            done=node.situation.done | {(action.check, action.at)},
            opened=node.situation.opened | check.opens(self.bench.layout.owner_of(action.at)),
            lost=node.situation.lost | evidence_lost(check, action.at),
        )
        after = replace(node, situation=situation, pending=(), by=check.id)
        found_as = {v: Finding(check.id, action.at, v, check=True) for v in shares}
        return self._followed(after, Choice(action, shares), found_as)

    def _followed(self, after: Node, choice: Choice, found_as: Mapping[str, Finding]) -> Choice:
        """Follow every answer, and 'not checked', one step on from ``after``, which all share."""
        for value, finding in found_as.items():
            kid = after.next((*after.findings, finding), after.mass * choice.shares[value])
            self._look_at(kid)
            likeliest = next(iter(kid.known))
            settle = None
            if kid.cause is None and likeliest != UNKNOWN:
                settle = self.bench.planner.settles(likeliest, kid.situation)
            choice.kids[value] = kid
            choice.seldom[value] = Seldom(
                value, kid.cause or likeliest, kid.cause is not None, settle, kid.warns
            )
        # what was taken in the same run can still be looked at when one reading is missing
        choice.rest = after.next(after.findings, after.mass * NOT_CHECKED)
        choice.rest.by = ""
        self._look_at(choice.rest)
        return choice

    # ------------------------------------------------------------------ numbers

    def chart(self) -> Chart:
        """Return the chart as it stands, its steps numbered, the likelier branch first."""
        return Chart(self.start, numbered(self.bench, self.root, self.rest))
