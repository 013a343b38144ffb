"""The second half of an interview: what feels alike, what is first, how often, where it ends."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import zip_longest

from diagnose.capture.asking import (
    NEW,
    Ask,
    Ground,
    case_findings,
    case_signs,
    is_amiss,
    ruled_out,
    spoken,
    subject,
)
from diagnose.capture.asks_case import checks_at
from diagnose.capture.told import Told
from diagnose.capture.triads import triads
from diagnose.model import AEROPLANE, Finding

MOST_ROWS = 6
"""How-often questions about one cause: more tires him (common practice, no source)."""
OF = 20
"""Natural counts are out of this many reports."""

REASONS = {
    "time": "quickest",
    "access": "easiest to get at",
    "risk": "safest, or what hurts most if missed",
    "likelihood": "most often it",
}
TRADE_WORDS = 3


def alike(told: Told, ground: Ground) -> Iterator[Ask]:
    """Yield the triads: which two feel alike, what tells the third, what tells the two."""
    for k, three in enumerate(triads(told, ground), start=1):
        names = {c: ground.cause_title(c, told) for c in three}
        pairs = {
            f"{a}+{b}": f"{names[a]} / {names[b]}"
            for a, b in ((three[0], three[1]), (three[0], three[2]), (three[1], three[2]))
        }
        about = {"causes": " ".join(three)}
        yield Ask(
            f"alike-{k}",
            "alike",
            "Which two of these feel alike on the run-up?",
            "pick",
            pairs,
            about=about,
        )
        pair = told.picked(f"alike-{k}")
        if pair:
            two = pair[0].split("+")
            third = next(c for c in three if c not in two)
            yield Ask(
                f"alike-{k}-third",
                "alike",
                f"What tells '{names[third]}' from them?",
                "words",
                about={**about, "third": third},
            )
            yield Ask(
                f"alike-{k}-two",
                "alike",
                f"And what tells '{names[two[0]]}' from '{names[two[1]]}'?",
                "words",
                about={**about, "pair": pair[0]},
            )


def mate(told: Told, ground: Ground) -> str:
    """Return the cause he finds most alike to what it was, ''."""
    here = subject(told, ground)
    for k in range(1, 4):
        pair = [c for p in told.picked(f"alike-{k}") for c in p.split("+")]
        if here and here.cause in pair:
            return next(c for c in pair if c != here.cause)
    return (told.picked("new-like") or ("",))[0]


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
    yield Ask("first-check", "first-check", "Which would you look at first?", "pick", listed)
    if told.picked("first-check"):
        yield Ask("first-reason", "first-check", "Because it is", "some", REASONS)
        yield Ask("first-words", "first-check", "In your words: why that one first?", "words")


def how_often(told: Told, ground: Ground) -> Iterator[Ask]:
    """Yield the frequency questions, a seed after each, the seeds left at the end."""
    own = rows_asked(ground.first or told, ground)
    seeds = [
        Ask(f"seed-{s.id}", "how-often", s.ask, "figures", about={"seed": s.id, "unit": s.unit})
        for s in ground.seeds
    ]
    for row, seed in zip_longest(own, seeds):
        yield from (ask for ask in (row, seed) if ask is not None)


def rows_asked(told: Told, ground: Ground) -> Sequence[Ask]:
    """Return the frequency questions of the case: what it was, then what it is taken for."""
    here = subject(told, ground)
    if here is None:
        return ()
    out: list[Ask] = []
    for cause, most in ((here.cause, MOST_ROWS), (mate(told, ground), MOST_ROWS // 2)):
        amiss = [f for f in case_findings(told) if is_amiss(f, ground)]
        amiss.sort(key=lambda f: f.at == AEROPLANE)  # what was so that day comes last
        out += [_row(cause, f, told, ground) for f in amiss[:most] if cause]
    return tuple({ask.id: ask for ask in out}.values())


def _row(cause: str, f: Finding, told: Told, ground: Ground) -> Ask:
    state = " ".join(f"{d}={v}" for d, v in sorted(f.state.settings.items()) if d != "tank")
    about = {
        "cause": cause,
        "question": f.question,
        "value": f.value,
        "at": f.at,
        "stage": f.state.stage,
        "settings": state,
    }
    key = "-".join(x for x in (cause, f.question, f.value, f.state.stage, *state.split()) if x)
    prompt = (
        f"Of {OF} aeroplanes with '{ground.cause_title(cause, told)}' and nothing else wrong, "
        f"in how many is it so: '{ground.finding_words(f)}'?"
    )
    return Ask(f"often-{key}", "how-often", prompt, "counts", about=about)


def limits(told: Told, ground: Ground) -> Iterator[Ask]:
    """Yield the rule in his words, what would make it wrong, where it does not hold."""
    here = subject(told, ground)
    found = {key: ground.finding_words(f) for key, f in case_signs(told).items()}
    if here is not None and found:
        name = ground.cause_title(here.cause, told)
        yield Ask(
            "rule-signs",
            "limits",
            f"Which of these, together, say '{name}'?",
            "some",
            found,
            help="Numbers with spaces; 0: no rule.",
        )
    if told.picked("rule-signs") and here is not None:
        others = [c for c in dict.fromkeys((mate(told, ground), *ruled_out(told))) if c]
        against = {c: ground.cause_title(c, told) for c in others if c not in (here.cause, NEW)}
        if against:
            yield Ask("rule-against", "limits", "Against which does that speak?", "some", against)
        yield Ask("rule-title", "limits", "Give the rule a short name.", "words")
        yield Ask(
            "rule-words", "limits", "Say it as to an apprentice, and why it is so. Short.", "words"
        )
        yield from spoken("rule-not", "limits", "What would you have to see to drop it?", told)
        yield Ask(
            "rule-warns", "limits", "Anything to be careful of first? (Enter: nothing)", "words"
        )
    yield Ask("limits", "limits", "Where does it not hold: other systems, weather, fuel?", "words")
    for k in range(1, TRADE_WORDS + 1):
        yield Ask(
            f"trade-{k}",
            "limits",
            "A word of the trade in all this that a stranger would not know? (Enter: none)",
            "words",
        )
        if not told.words(f"trade-{k}"):
            return
        yield Ask(f"trade-{k}-means", "limits", "What does it mean?", "words")
        if found:
            yield Ask(f"trade-{k}-finding", "limits", "Which of these does it say?", "pick", found)
