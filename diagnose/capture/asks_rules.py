"""The second half of an interview: what feels alike, what is first, how often, where it ends."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations, zip_longest

from diagnose.capture.asking import (
    NEW,
    Ask,
    Ground,
    Printed,
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
from diagnose.model import AEROPLANE, Finding, State
from diagnose.signs import value_of

MOST_ROWS = 6
"""How-often questions about one cause: more tires him (common practice, no source)."""
OF = 20
"""Natural counts are out of this many reports."""
SELDOM = 0.25
"""Up to this share it is told that his own case was otherwise (common practice, no source)."""

REASONS = {
    "time": "quickest",
    "access": "easiest to get at",
    "risk": "safest, or what hurts most if missed",
    "likelihood": "most often it",
}
TRADE_WORDS = 3
MORE_SEEDS = "more-seeds"
"""Whether he goes on with the seeds that no count is left to be mixed with: they weigh nothing."""
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


def mate(told: Told, ground: Ground) -> str:
    """Return the cause he finds most alike to what it was, ''."""
    here = subject(told, ground)
    for said in told.said.values():
        pair = [c for p in said.picked for c in p.split("+")] if said.step == "alike" else []
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
    first = "first-check"
    yield Ask(first, "Which would you look at first?", "pick", listed, rests_on="case-cause")
    if told.picked(first):
        yield Ask("first-reason", "Because it is", "some", REASONS, rests_on=first)
        yield Ask("first-words", "In your words: why that one first?", "words", rests_on=first)


def how_often(told: Told, ground: Ground) -> Iterator[Ask]:
    """Yield the frequency questions, a seed after each; the seeds left only if he wants."""
    own = rows_asked(ground.first or told, ground)
    seeds = [
        Ask(f"seed-{s.id}", s.ask, "figures", about={"seed": s.id, "unit": s.unit})
        for s in ground.seeds
    ]
    left = seeds[len(own) :]
    for row, seed in zip_longest(own, seeds[: len(own)]):
        if row is not None:
            yield row
            yield from _instead(row, told, ground)
        if seed is not None:
            yield seed
    if left:
        many = f"{len(left)} more such facts" if len(left) > 1 else "one more such fact"
        asked = f"There {'are' if len(left) > 1 else 'is'} {many} from books. Go on with them?"
        yield Ask(MORE_SEEDS, asked, "pick", {"yes": "yes", "no": "no, that is enough"})
    if told.picked(MORE_SEEDS) == ("yes",):
        yield from left


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


def _instead(row: Ask, told: Told, ground: Ground) -> Sequence[Ask]:
    """Return what else the knowledge says of the thing counted in ``row``, where both are too many.

    A thing shows one value at a time: eighteen of twenty that do not start leave no room for four
    that fire and die.  Only he can say how many those are.
    """
    said = told.said.get(row.id)
    cause = ground.bench.library.causes.get(row.about["cause"])
    if said is None or said.figures is None or cause is None:
        return ()
    question = ground.bench.library.questions[row.about["question"]]
    settings = dict(x.split("=", 1) for x in row.about["settings"].split())
    state = State(row.about["stage"], settings)
    counted = value_of(question, row.about["value"])
    others: dict[str, float] = {}
    for r in cause.own_rows:
        if r.effect == question.reads and r.value != counted and _fits(r.when, state.known()):
            share = sum(cause.severity.get(g, 0.0) * p for g, p in r.how_often.items())
            others[r.value] = max(others.get(r.value, 0.0), share)
    if said.figures.best / OF + sum(others.values()) <= 1.0:
        return ()
    shown = {value_of(question, c): c for c in reversed(tuple(question.classes))}
    return [
        _row(row.about["cause"], Finding(question.id, row.about["at"], shown[v], state), told,
             ground, on=row.id)
        for v in others if v in shown
    ]  # fmt: skip


def _fits(when: Mapping[str, tuple[str, ...]], known: Mapping[str, str]) -> bool:
    return all(known.get(d, v[0]) in v for d, v in when.items())


def unlike_his_case(told: Told, ground: Ground, about: Mapping[str, str], best: float) -> bool:
    """Return whether he calls seldom what stood in the case that he told, of the same cause.

    The rows asked are findings of that case, so it is enough that the cause is that of the case.
    """
    here = subject(told, ground)
    return here is not None and about.get("cause") == here.cause and best / OF <= SELDOM


def over_all(told: Told, ground: Ground, ask: Ask, best: float) -> Sequence[tuple[str, float]]:
    """Return the other counts of the same thing with which ``best`` is more than all there are.

    A thing shows one value at a time, so that at one place in one state they share the ``OF``.
    """
    questions = ground.bench.library.questions

    def known(about: Mapping[str, str]) -> Mapping[str, str]:
        settings = dict(x.split("=", 1) for x in about["settings"].split())
        return State(about["stage"], settings).known()

    def shown(about: Mapping[str, str]) -> tuple[str, str]:
        question = questions[about["question"]]
        return question.reads, value_of(question, about["value"])

    mine, state = shown(ask.about), known(ask.about)
    found: dict[str, tuple[str, float]] = {}
    for said in told.said.values():
        about = said.about
        if said.figures is None or said.ask == ask.id or "cause" not in about:
            continue
        if (about["cause"], about["at"]) != (ask.about["cause"], ask.about["at"]):
            continue
        effect, value = shown(about)
        meets = all(state.get(k, v) == v for k, v in known(about).items())
        if effect == mine[0] and value != mine[1] and meets:
            label = questions[about["question"]].classes[about["value"]]
            if said.figures.best > found.get(value, ("", -1.0))[1]:
                found[value] = label, said.figures.best
    return tuple(found.values()) if best + sum(n for _, n in found.values()) > OF else ()


def _row(cause: str, f: Finding, told: Told, ground: Ground, on: str = "") -> Ask:
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
    lead = "And of the same" if on else "Of"
    prompt = (
        f"{lead} {OF} aeroplanes with '{ground.cause_title(cause, told)}' and nothing else wrong, "
        f"in how many is it so: '{ground.finding_words(f)}'?"
    )
    return Ask(f"often-{key}", prompt, "counts", about=about, rests_on=on)


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
