"""A decision chart grown by the planner: the same reasoning as a job, asked beforehand.

The branch that most such reports take is grown first, until the paper is full.  Every node is the
action the planner chooses after the answers on the way to it.  A run of the engine is one step;
what its readings showed is then looked at one after another, the most telling first.  Answers
too seldom for a step of their own are gathered in one terminal; what cannot be grown any more
ends as a list of checks in order.  Nothing ends without saying where to go on.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from diagnose.belief import UNKNOWN
from diagnose.chart.nodes import Node
from diagnose.chart.numbering import numbered
from diagnose.chart.start import Start, known_by
from diagnose.chart.suspects import suspects
from diagnose.chart.tree import Chart, Seldom
from diagnose.job.confirming import found
from diagnose.job.diagnosis import Bench, Diagnosis, Step
from diagnose.model import Finding
from diagnose.planner import Action, Reading, Situation
from diagnose.planner.outlook import Outlook, check_table, reading_table
from diagnose.planner.plan import LEAST_BITS
from diagnose.planner.worth import entropy_gain

OWN_STEP = 0.05
"""An answer that fewer of all such reports give than this gets no step of its own."""

NOT_CHECKED = 0.05
"""Share of a step's reports taken as not checked, to decide what is grown (no source)."""

MOST_STEPS = 60
"""Most actions one chart holds, whatever the paper takes."""

REFUSED = 6
"""Leaves tried that do not fit, before the paper is called full."""

REST, REST_LEAST = 36, 0.002
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
        self.root = Node(start.findings, Situation(asked=start.asked), 1.0, 0)
        step = self._look_at(self.root)
        self.rest = suspects(self.diagnosis, step, self.root.situation, REST, REST_LEAST)

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
            self._expand(node)
            if not node.grown:
                continue
            if count and not fits(self.chart()):
                node.kids, node.action, node.seldom, node.seldom_share = [], None, (), 0.0
                node.ended, refused = True, refused + 1
                continue
            count += 1
            if progress:
                progress(count)
        return self.chart()

    # ------------------------------------------------------------------ one node

    def _look_at(self, node: Node) -> Step:
        step = self.diagnosis.see(node.findings)
        node.cause = found(self.bench, step)
        node.known = dict(step.posterior.ranking())
        node.ended = node.cause is not None
        outcome = step.outcome
        node.stops = tuple(s.text for s in outcome.stops if s.text not in node.told)
        node.warns = tuple(c.text for c in outcome.cautions if c.text not in node.told)
        node.told = node.told | set(node.stops) | set(node.warns)
        if node.cause is None:
            node.suspects = suspects(self.diagnosis, step, node.situation, LISTED)
        return step

    def _expand(self, node: Node) -> None:
        """Let the planner choose at ``node``; a node where nothing helps stays an end."""
        step = self.diagnosis.see(node.findings)
        outlook = Outlook(self.diagnosis.belief, step.posterior)
        reading = self._most_telling(outlook, node.pending)
        if reading is not None:
            node.looks = True
            node.action = Action((reading,))
        else:
            # no deadline: the same chart on every machine
            node.action = self.diagnosis.plan(step, node.situation, deadline=float("inf")).action
        action = node.action
        if action is None:
            node.ended = True
            return
        if action.is_check:
            self._branch_check(node, action, outlook)
            return
        if reading is None:
            reading = self._most_telling(outlook, action.readings) or action.readings[0]
        self._branch_reading(node, action, reading, outlook)

    def _most_telling(self, outlook: Outlook, readings: tuple[Reading, ...]) -> Reading | None:
        best, most = None, 3.0 * LEAST_BITS  # less is not worth a place, as on a run card
        for r in readings:
            given = outlook.given(reading_table(self.diagnosis.belief, r))
            bits = entropy_gain(outlook.weights, given)
            if bits > most:
                best, most = r, bits
        return best

    def _branch_reading(
        self, node: Node, action: Action, reading: Reading, outlook: Outlook
    ) -> None:
        q = self.bench.library.questions[reading.question]
        given = outlook.given(reading_table(self.diagnosis.belief, reading))
        shares = dict(zip(q.classes, (outlook.weights @ given).tolist(), strict=True))
        taken = node.pending if node.looks else action.readings
        pending = tuple(r for r in taken if r.key != reading.key)
        situation = replace(
            node.situation, asked=node.situation.asked | {r.key for r in action.readings}
        )
        node.action = replace(action, readings=(reading, *pending)) if not node.looks else action

        def answered(value: str) -> Finding:
            return Finding(q.id, reading.place, value, reading.state, known_by(q))

        self._branch(node, shares, answered, situation, pending, "")

    def _branch_check(self, node: Node, action: Action, outlook: Outlook) -> None:
        check = self.bench.library.checks[action.check]
        given = outlook.given(check_table(self.diagnosis.belief, action.check, action.at))
        shares = dict(zip(check.results, (outlook.weights @ given).tolist(), strict=True))
        opened = {check.access} if check.access else set()
        situation = replace(
            node.situation,
            done=node.situation.done | {(action.check, action.at)},
            opened=node.situation.opened | opened,
            lost=node.situation.lost | set(check.destroys),
        )

        def answered(value: str) -> Finding:
            return Finding(check.id, action.at, value, check=True)

        self._branch(node, shares, answered, situation, (), check.id)

    def _branch(
        self,
        node: Node,
        shares: dict[str, float],
        answered: Callable[[str], Finding],
        situation: Situation,
        pending: tuple[Reading, ...],
        by: str,
    ) -> None:
        first = next(iter(shares))
        kids: list[tuple[tuple[str, ...], float, Node]] = []
        seldom: list[Seldom] = []
        for value, share in shares.items():
            kid = Node(
                (*node.findings, answered(value)), situation, node.mass * share, node.path + 1,
                pending, node.told, by,
            )  # fmt: skip
            step = self._look_at(kid)
            # danger gets a step of its own however seldom, and so does 'nothing found'
            own = kid.mass >= OWN_STEP or kid.stops or (by and value == first)
            if own:
                kids.append(((value,), share, kid))
                continue
            likeliest = step.posterior.ranking()[0][0]
            settle = None
            if kid.cause is None and likeliest != UNKNOWN:
                settle = self.bench.planner.settles(likeliest, situation)
            seldom.append(Seldom(value, kid.cause or likeliest, kid.cause is not None, settle))
            node.seldom_share += share
        if not kids:  # nothing that is often answered: asking tells too little for a step
            node.action, node.seldom_share, node.ended = None, 0.0, True
            return
        # not checked: what was taken in the same run can still be looked at
        rest = Node(node.findings, situation, node.mass * NOT_CHECKED, node.path + 1, pending,
                     node.told)  # fmt: skip
        self._look_at(rest)
        node.kids = [*kids, (("",), NOT_CHECKED, rest)]
        node.seldom = tuple(seldom)

    # ------------------------------------------------------------------ numbers

    def chart(self) -> Chart:
        """Return the chart as it stands, its steps numbered, the likelier branch first."""
        return Chart(
            self.start,
            self.bench.layout.id,
            self.bench.library.edition,
            numbered(self.bench, self.root, self.rest),
        )


def decision_chart(
    bench: Bench, start: Start, fits: Fits, progress: Callable[[int], None] | None = None
) -> Chart:
    """Return the decision chart for ``start``, grown until it no longer ``fits`` the paper."""
    return Grower(bench, start).grow(fits, progress)
