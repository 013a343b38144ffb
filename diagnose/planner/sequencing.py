"""Looking ahead over sequences of tests.

Small and exact: the planner uses ``lookahead`` on its short list; the tests hold it against
published examples.  Source: Pattipati & Alexandridis 1990 (test sequencing by AND/OR trees).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from diagnose.belief.hypotheses import Floats

Value = Callable[[Floats], Floats]
"""Expected cost of stopping with each belief: (B, H) -> (B,)."""


@dataclass(frozen=True)
class Test:
    """A test: P(outcome | hypothesis), shape (H, C), and its cost."""

    given: Floats
    cost: float


def lookahead(
    weights: Floats, tests: Sequence[Test], value: Value, depth: int
) -> tuple[float, int]:
    """Return (expected cost, best test or -1 to stop now) over at most ``depth`` tests.

    weights: belief, shape (H,), sums to 1.  Outcomes of mass below 1e-9 are not followed.
    """
    stop = float(value(weights[None, :])[0])
    if depth == 0 or not tests or stop == 0.0:
        return stop, -1
    best, choice = stop, -1
    for k, test in enumerate(tests):
        cost = test.cost
        if cost >= best:
            continue
        joint = (weights[:, None] * test.given).T
        mass = joint.sum(axis=1)
        if mass.max() > 1.0 - 1e-9:  # tells nothing here
            continue
        live = mass > 1e-9
        posts = joint[live] / mass[live, None]
        rest = [t for j, t in enumerate(tests) if j != k]
        if depth == 1:
            cost += float(mass[live] @ value(posts))
        else:
            for m, post in zip(mass[live], posts, strict=True):
                cost += float(m) * lookahead(post, rest, value, depth - 1)[0]
                if cost >= best:
                    break
        if cost < best - 1e-12:
            best, choice = cost, k
    return best, choice
