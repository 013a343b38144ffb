"""The order of an interview, as one table; which question comes next follows from what was said.

The order is that of the critical decision method with a sort of causes, natural counts and seed
questions (conventions of knowledge elicitation: critical decision method 1989, IDEA protocol 2018,
Cooke 1991).  Consent and background come before anything is kept, at the opening.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from diagnose.capture import asks_case, asks_counts, asks_rules
from diagnose.capture.asking import Ask, Ground, subject
from diagnose.capture.told import Told


@dataclass(frozen=True)
class Step:
    """One part of an interview: what opens it, and what it asks as far as was said."""

    id: str
    title: str
    opens: str
    asks: Callable[[Told, Ground], Iterator[Ask]]
    blind: bool = False  # asked of a second expert, without the first's answers


def _read_back(told: Told, ground: Ground) -> Iterator[Ask]:
    if subject(told, ground) is not None:
        yield Ask(
            "read-back",
            "Is that how you would see it?",
            "read-back",
            {"agrees": "yes, so", "corrects": "no, otherwise"},
            rests_on="case-cause",
        )
        if told.picked("read-back") == ("corrects",):
            yield Ask("read-back-words", "What is wrong with it?", "words", rests_on="read-back")


STEPS: tuple[Step, ...] = (
    Step("case", "one real case", "One case of your own, not a rule from a book.", asks_case.case),
    Step("timeline", "in order", "The same case, step by step.", asks_case.timeline),
    Step("cues", "what you noticed", "At each turn: what told you.", asks_case.cues),
    Step("what-if", "what if", "Had it gone otherwise.", asks_case.what_if),
    Step(
        "alike",
        "what feels alike",
        "Three faults at a time, the nearest the knowledge has.",
        asks_rules.alike,
    ),
    Step("first-check", "what first", "What you go to first.", asks_rules.first_check),
    Step(
        "how-often",
        "how often",
        "Counts: lowest, highest, best, and how sure you are in %. Some are facts from books, to "
        "see how wide your ranges should be.",
        asks_counts.how_often,
        blind=True,
    ),
    Step(
        "limits", "the rule and its limits", "What you would tell an apprentice.", asks_rules.limits
    ),
    Step("read-back", "read back", "A new case, with and without what you said.", _read_back),
)
"""In this order, after consent and background; seed questions are mixed into 'how often'."""

STEP = {step.id: step for step in STEPS}


def next_ask(told: Told, ground: Ground) -> Ask | None:
    """Return the first question neither answered nor left out, None where there is none left."""
    for step in STEPS:
        if ground.first is not None and not step.blind:
            continue
        for ask in step.asks(told, ground):
            left = step.id in told.closed and ask.id not in told.reopened
            if not left and ask.id not in told.said and ask.id not in told.passed:
                return replace(ask, step=step.id)
    return None
