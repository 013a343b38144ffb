"""Counts read as they are said; what an estimate leaves open is asked for, nothing is made up."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

from diagnose.capture.asking import Ask, Ground
from diagnose.capture.asks_counts import over_all, unlike_his_case
from diagnose.capture.estimates import (
    COMMON_OF,
    Begun,
    begun_in,
    checked,
    how_common,
    read_figures,
    words_of,
)
from diagnose.capture.record import Interview
from diagnose.capture.told import Figures
from diagnose.cli.interview.choosing import Answer, passed
from diagnose.cli.job.talk import Talk
from diagnose.cli.room import wrap
from diagnose.errors import UsageError
from diagnose.job.choices import choose_listed

_SURE = re.compile(r"(?i)%|\bper ?cent\b|\bsure\b")


def estimate(of: int) -> Callable[[Talk, Interview, Ground, Ask], Answer]:
    """Return what reads an estimate: counts out of ``of``; 0 for figures in the unit asked."""

    def read_it(talk: Talk, interview: Interview, ground: Ground, ask: Ask) -> Answer:
        unit = ask.about.get("unit", "")
        rates = ground.bench.library.words.how_often

        def read(text: str) -> tuple[str, Begun, str]:
            if text.lower() not in ("0", "none", "never"):  # none of twenty is a count
                passed(text)
            try:
                figures, why = read_figures(text, of, unit)
            except UsageError:
                begun, word = begun_in(text, of, rates)
                _possible(text, begun, of)
                if word:
                    talk.say(f"  '{word}' is {begun.best:g} of {of}.")
                return text, begun, ""
            return text, Begun(figures.low, figures.high, figures.best, figures.sure), why

        asked = f"of {of}" if of else f"in {unit}"
        prompt = f"lowest, highest, best ({asked}), sure %, why:"
        text, begun, why = talk.ask(prompt, read, own_words=True)
        with talk.half_typed():
            figures, more = _completed(talk, begun, of, asked)
        text = " / ".join([text, *more])
        talk.say(f"  kept: {words_of(figures, of)}")
        told = interview.told()
        if unlike_his_case(told, ground, ask.about, figures.best):
            talk.say(
                "  In the case you told it was so. Both are kept; 'back' takes the count back."
            )
        others = over_all(told, ground, ask, figures.best) if of else ()
        if others:
            said = " and ".join(f"{n:g} of {of} '{words}'" for words, n in others)
            talk.say(
                wrap(
                    f"With {said} that is more than all {of}, and one aeroplane shows one of "
                    "them. Both are kept and neither becomes a draft; 'back' takes this one "
                    "back, 'said' lists the others to correct.",
                    "  ",
                    "  ",
                )
            )
        return text, {"figures": figures, "reason": why}

    return read_it


def _possible(text: str, begun: Begun, of: int) -> None:
    """Refuse what cannot be, before the rest is asked for."""
    told = [x for x in (begun.low, begun.high, begun.best) if x is not None]
    low = begun.low if begun.low is not None else min(told)
    high = begun.high if begun.high is not None else max(told)
    best = begun.best if begun.best is not None else low
    sure = 100.0 if begun.sure is None else begun.sure
    checked(text, Figures(low, high, best, sure), of)


def _completed(talk: Talk, begun: Begun, of: int, asked: str) -> tuple[Figures, list[str]]:
    """Ask for what an estimate leaves open; return it with what was typed."""
    typed: list[str] = []

    def told(text: str, example: str) -> Begun:
        try:
            return begun_in(text, 0, {})[0]
        except UsageError:
            raise UsageError(f"'{text}': type {example}.") from None

    def number(text: str, example: str) -> float:
        only = told(text, example)
        if only.best is None or only.low is not None:
            raise UsageError(f"'{text}': type {example}.")
        return only.best

    def bounds(text: str) -> Begun:
        try:  # the whole of it
            whole, _ = read_figures(text, of)
            typed.append(text)
            return Begun(whole.low, whole.high, whole.best, whole.sure)
        except UsageError:
            pass
        example = "the lowest and the highest, as 2 12"
        more = told(text, example)  # 'between 10 and 18, say 15, 80 % sure' tells all of it
        if more.low is None:
            raise UsageError(f"'{text}': type {example}.")
        found = Begun(
            more.low,
            more.high,
            begun.best if more.best is None else more.best,
            begun.sure if more.sure is None else more.sure,
        )
        _possible(text, found, of)
        typed.append(text)
        return found

    def best(text: str) -> Begun:
        one = number(text, "one figure, as 6")
        found = replace(begun, best=one)
        _possible(text, found, of)
        typed.append(text)
        return found

    def sure(text: str) -> Begun:
        one = number(_SURE.sub(" ", text), "how sure in %, as 80")
        found = replace(begun, sure=one)
        _possible(text, found, of)
        typed.append(text)
        return found

    if begun.low is None:
        begun = talk.ask(f"and the lowest and the highest you would believe ({asked}):", bounds)
    if begun.best is None:
        begun = talk.ask(f"and the best ({asked}):", best)
    if begun.sure is None:
        begun = talk.ask("how sure are you that it lies between, 50 to 100 %:", sure)
    low, high, middle, held = begun.low, begun.high, begun.best, begun.sure
    assert low is not None
    assert high is not None
    assert middle is not None
    assert held is not None
    return Figures(low, high, middle, held), typed


def common(talk: Talk, interview: Interview, ground: Ground, ask: Ask) -> Answer:
    """Read how common a failure is, as a count; the nearest word of the knowledge is kept."""
    numbers = ground.bench.library.words.how_common
    talk.say(f"  {label}" for label in ask.choices.values())

    def read(text: str) -> Answer:
        passed(text)
        try:
            picked = how_common(text, {k: numbers[k] for k in ask.choices})
        except UsageError:
            try:
                picked = choose_listed(text, ask.choices, "0")
            except UsageError:
                picked = ""
            if not picked:
                raise
        return text, {"picked": (picked,)}

    text, more = talk.ask(f"how many of {COMMON_OF} (Enter: leave out):", read, own_words=True)
    word = more["picked"][0]
    talk.say(f"  kept: {word}, {ask.choices[word]} of {COMMON_OF}")
    return text, more
