"""The second half of an interview: what feels alike, what is first, the rule, its limits."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations

from diagnose.capture.asking import (
    NEW,
    Ask,
    Ground,
    Printed,
    case_signs,
    ruled_out,
    spoken,
    subject,
)
from diagnose.capture.asks_case import checks_at
from diagnose.capture.asks_counts import mate
from diagnose.capture.told import Told
from diagnose.capture.triads import triads
from diagnose.model import Finding

REASONS = {
    "time": "quickest",
    "access": "easiest to get at",
    "risk": "safest, or what hurts most if missed",
    "likelihood": "most often it",
}
TRADE_WORDS = 3
RULE = "rule-signs"
RULE_WORDS = {
    "rule-title": "Give the rule a short name.",
    "rule-words": "Say it as to an apprentice, and why it is so. Short.",
    "rule-not": "What would you have to see to drop it?",
    "rule-warns": "Anything to be careful of first? (Enter: nothing)",
}
"""What is asked of a rule once its signs are named."""
RULE_PRINTED: Mapping[str, Printed] = {"rule-words": "reason", "rule-warns": "caution"}


def alike(told: Told, ground: Ground) -> Iterator[Ask]:
    """Yield the triads: which two feel alike, what tells the third, what tells the two.

    A triad is known by its causes, so that an answer stays what it was when another cause is told.
    """
    for three in triads(told, ground):
        names = {c: ground.cause_title(c, told) for c in three}
        pairs = {f"{a}+{b}": f"{names[a]} / {names[b]}" for a, b in combinations(three, 2)}
        about = {"causes": " ".join(three)}
        id = f"alike-{'+'.join(three)}"
        asked = "Which two of these feel alike on the run-up?"
        yield Ask(id, asked, "pick", pairs, about=about)
        for pair in told.picked(id):
            one, other = pair.split("+")
            third = next(c for c in three if c not in (one, other))
            yield Ask(
                f"{id}-third",
                f"What tells '{names[third]}' from them?",
                "words",
                about={**about, "third": third, "pair": pair},
                rests_on=id,
                printed="tell",
            )
            yield Ask(
                f"{id}-two",
                f"And what tells '{names[one]}' from '{names[other]}'?",
                "words",
                about={**about, "pair": pair},
                rests_on=id,
                printed="tell",
            )


def first_check(told: Told, ground: Ground) -> Iterator[Ask]:
    """Yield which check comes first and why."""
    here = subject(told, ground)
    if here is None:
        return
    causes, checks = ground.bench.library.causes, ground.bench.library.checks
    named = [
        k.check for c in (here.cause, mate(told, ground)) if c in causes for k in causes[c].checks
    ]
    listed = {c: checks[c].title for c in [*named, *checks_at(ground, here.at)]}
    first = "first-check"
    yield Ask(first, "Which would you look at first?", "pick", listed, rests_on="case-cause")
    if told.picked(first):
        yield Ask("first-reason", "Because it is", "some", REASONS, rests_on=first)
        yield Ask("first-words", "In your words: why that one first?", "words", rests_on=first)


NOT = "rule-not"


def wanted_and_not(told: Told) -> tuple[Finding, ...]:
    """Return the signs of his rule that he would also drop it for: such a rule never holds."""
    signs = case_signs(told)
    wanted = [signs[key] for key in told.picked(RULE) if key in signs]
    against = told.findings(NOT)
    return tuple(
        f for f in wanted
        if any((f.question, f.at, f.classes, f.state) == (n.question, n.at, n.classes, n.state)
               for n in against)
    )  # fmt: skip


def limits(told: Told, ground: Ground) -> Iterator[Ask]:
    """Yield the rule in his words, what would make it wrong, where it does not hold."""
    here = subject(told, ground)
    found = {key: ground.finding_words(f) for key, f in case_signs(told).items()}
    if here is not None and found:
        name = ground.cause_title(here.cause, told)
        yield Ask(
            RULE,
            f"Which of these, together, say '{name}'?",
            "some",
            found,
            help="Numbers with spaces; 0: no rule.",
            rests_on="case-cause",
        )
    if told.picked(RULE) and here is not None:
        others = [c for c in dict.fromkeys((mate(told, ground), *ruled_out(told))) if c]
        against = {c: ground.cause_title(c, told) for c in others if c not in (here.cause, NEW)}
        if against:
            asked = "Against which does that speak?"
            yield Ask("rule-against", asked, "some", against, rests_on=RULE)
        for id, prompt in RULE_WORDS.items():
            if id == NOT:
                yield from spoken(id, prompt, told, RULE)
            else:
                printed = RULE_PRINTED.get(id, "")
                yield Ask(id, prompt, "words", rests_on=RULE, printed=printed)
    where = "Where does it not hold: other systems, weather, fuel?"
    yield Ask("limits", where, "words", printed="reason")
    for k in range(1, TRADE_WORDS + 1):
        on = f"trade-{k}"
        asked = "A word of the trade in all this that a stranger would not know? (Enter: none)"
        yield Ask(on, asked, "words")
        if not told.words(on):
            return
        yield Ask(f"{on}-means", "What does it mean?", "words", rests_on=on)
        if found:
            yield Ask(f"{on}-finding", "Which of these does it say?", "pick", found, rests_on=on)
