"""A hint: how to split what is still possible, never what it is."""

from __future__ import annotations

import numpy as np

from diagnose.job.wording import action_words
from diagnose.planner.plan import LEAST_BITS
from diagnose.training.attempt import Attempt
from diagnose.training.worth import OPEN, best_of, half_split, name_of, options, part_chances

CHEAP = 0.5
"""Of what tells at least this share of the best, the hint names what costs least."""


def hint(attempt: Attempt) -> str:
    """Return the next hint; a second one without an answer between says more than the first."""
    step = attempt.step()
    outlook, found = options(attempt.bench, attempt.diagnosis, step, attempt.situation())
    best = best_of(found)
    left = sum(p >= OPEN for part, p in part_chances(step.posterior).items() if part)
    parts = "1 part is" if left == 1 else f"{left} parts are"
    if best is None or best.bits < LEAST_BITS:
        return f"{parts} still possible, and nothing left here would tell them apart."
    good = [o for o in found if o.bits >= CHEAP * best.bits]
    option = min(good, key=lambda o: (attempt.price(o.action)[0], -o.bits))
    library, action = attempt.bench.library, option.action
    name = name_of(action)[0]
    asked = library.checks[name] if action.is_check else library.questions[name]
    kind, labels = asked.title, asked.answers
    if not _given_since_the_last_answer(attempt):
        halves = half_split(outlook, option) >= CHEAP
        split = (
            "Ask what answers differently for about half of them, cheapest first"
            if halves
            else "Nothing splits them in half now, so ask what tells most for its minutes"
        )
        return (
            f"{parts} still possible. {split}: think of '{kind}', and where and in which run state "
            "it would differ."
        )
    shares = outlook.weights @ option.given
    order = np.argsort(-shares)[:2]
    answers = "; ".join(
        f"'{labels[option.answers[k]]}' is expected of {shares[k]:.0%}" for k in order.tolist()
    )
    return (
        f"{action_words(attempt.bench, action)}: {answers} of what is still possible "
        f"(half-split index {half_split(outlook, option):.2f}; 1 is half on each side)."
    )


def _given_since_the_last_answer(attempt: Attempt) -> bool:
    kinds = [e["event"] for e in attempt.log.events]
    told = [k for k in kinds if k in ("hint", "asked", "checked", "named")]
    return told[-1:] == ["hint"]
