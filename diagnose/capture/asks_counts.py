"""How often: natural counts of what stood in his case, with facts from books mixed in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import zip_longest

from diagnose.capture.asking import (
    Ask,
    Ground,
    case_findings,
    is_amiss,
    subject,
)
from diagnose.capture.told import Told
from diagnose.model import AEROPLANE, Finding, State, agree
from diagnose.signs import value_of

MOST_ROWS = 6
"""How-often questions about one cause: more tires him (common practice, no source)."""
OF = 20
"""Natural counts are out of this many reports."""
SELDOM = 0.25
"""Up to this share it is told that his own case was otherwise (common practice, no source)."""
MORE_SEEDS = "more-seeds"
"""Whether he goes on with the seeds that no count is left to be mixed with: they weigh nothing."""


def mate(told: Told, ground: Ground) -> str:
    """Return the cause he finds most alike to what it was, ''."""
    here = subject(told, ground)
    for said in told.said.values():
        pair = [c for p in said.picked for c in p.split("+")] if said.step == "alike" else []
        if here and here.cause in pair:
            return next(c for c in pair if c != here.cause)
    return (told.picked("new-like") or ("",))[0]


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
        amiss = _conditions(told, ground)
        amiss.sort(key=lambda f: f.at == AEROPLANE)  # what was so that day comes last
        out += [_row(cause, f, told, ground) for f in amiss[:most] if cause]
    return tuple({ask.id: ask for ask in out}.values())


def _conditions(told: Told, ground: Ground) -> list[Finding]:
    """Return what was amiss in his case, each condition once, in the state he told it in.

    A lamp and a gauge of one pressure are one condition: what he said of the booster with the lamp
    holds for the gauge, and the count of one is that of the other.
    """
    questions = ground.bench.library.questions
    by: dict[tuple[str, str, str, str], list[Finding]] = {}
    for f in case_findings(told):
        if is_amiss(f, ground):
            question = questions[f.question]
            value = value_of(question, f.value)
            by.setdefault((question.reads, value, f.at, f.state.stage), []).append(f)
    out: dict[tuple[object, ...], Finding] = {}
    for key, found in by.items():
        for f in found:
            settings = dict(f.state.settings)
            for other in found:
                for d, v in other.state.settings.items():
                    if len({o.state.settings[d] for o in found if d in o.state.settings}) == 1:
                        settings.setdefault(d, v)
            full = replace(f, state=State(f.state.stage, settings))
            out.setdefault((*key, *sorted(settings.items())), full)
    return list(out.values())


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
    state = finding_asked(row.about).state
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
    mine, state = value_asked(ask.about, ground), finding_asked(ask.about).state.known()
    found: dict[str, tuple[str, float]] = {}
    for said in told.said.values():
        about = said.about
        if said.figures is None or said.ask == ask.id or "cause" not in about:
            continue
        if (about["cause"], about["at"]) != (ask.about["cause"], ask.about["at"]):
            continue
        effect, value = value_asked(about, ground)
        meets = agree(state, finding_asked(about).state.known())
        if effect == mine[0] and value != mine[1] and meets:
            label = questions[about["question"]].classes[about["value"]]
            if said.figures.best > found.get(value, ("", -1.0))[1]:
                found[value] = label, said.figures.best
    return tuple(found.values()) if best + sum(n for _, n in found.values()) > OF else ()


def finding_asked(about: Mapping[str, str]) -> Finding:
    """Return the finding a frequency question is about."""
    settings = dict(x.split("=", 1) for x in about["settings"].split())
    state = State(about["stage"], settings)
    return Finding(about["question"], about["at"], about["value"], state, "told")


def value_asked(about: Mapping[str, str], ground: Ground) -> tuple[str, str]:
    """Return the effect, and the value of it, that a frequency question is about."""
    question = ground.bench.library.questions[about["question"]]
    return question.reads, value_of(question, about["value"])


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
