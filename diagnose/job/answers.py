"""One typed answer to a question: a choice of its list, a figure with its unit, or 'not checked'.

What was typed is kept beside what was made of it; nothing is guessed.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from diagnose.counted import whole_number
from diagnose.errors import UsageError
from diagnose.job.choices import OR, choose_some
from diagnose.knowledge_files import cut, limit_of
from diagnose.knowledge_files.cutting import (
    NO_FIGURE,
    NOT_CHECKED,
    card_of,
    is_figure,
    why_unclassed,
)
from diagnose.model import KNOWN_BY, Finding, KnownBy, Layout, Question, State
from diagnose.units import EXAMPLES, parse, show, unit_of

_TRIES = re.compile(
    r"(?P<answer>.+?)[\s,]+(?P<seen>\d{1,3}) of (?P<tries>\d{1,3})(?: (?:times|tries|runs))?"
    r"(?P<out>[\s,]+(?:condition )?not reached)?"
)
"""'low 2 of 5', 'normal 3 of 3 not reached'."""

MOST_TRIES = 200


_KNOWN: Mapping[str, KnownBy] = {
    **{known: known for known in KNOWN_BY},
    **dict.fromkeys(("heard", "smelt", "smelled", "felt"), "seen"),
}
"""What is typed behind an answer -> how it is known."""


@dataclass(frozen=True)
class Answer:
    """What was typed and what it means; value '' is 'not checked / cannot tell'.

    known_by is None when the person did not say.  note says what was made of a figure.  A figure
    that no approved figure classes has its number and no value: kept, concluding nothing.
    """

    value: str
    known_by: KnownBy | None
    number: float | None = None
    typed: str = ""
    note: str = ""
    tries: int = 1
    seen: int = 1
    reached: bool = True
    one_of: tuple[str, ...] = ()  # 'fades or stops': the classes, in the question's order

    @property
    def is_given(self) -> bool:
        """Return whether there is something to keep: a class, or a figure without one."""
        return bool(self.value) or self.number is not None

    def finding(self, question: str, place: str, state: State, usual: KnownBy) -> Finding:
        """Return the finding this answers; ``usual``: how it is known where that was not said."""
        return Finding(
            question,
            place,
            self.value,
            state,
            self.known_by or usual,
            number=self.number,
            typed=self.typed,
            tries=self.tries,
            seen=self.seen,
            reached=self.reached,
            one_of=self.one_of,
        )


_DO_NOT_KNOW = frozenset({
    "dunno", "don't know", "dont know", "do not know", "no idea", "not sure", "unknown",
    "not known", "cannot tell", "not checked / cannot tell", "can't tell",
    "cant tell", "not looked at", "didn't look", "n/a", "-", "not used", "not tried", "not read",
    "not measured",
})  # fmt: skip


def is_not_checked(text: str) -> bool:
    """Return whether somebody says that a thing was not looked at, or that they cannot tell."""
    word = " ".join(text.lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'").split())
    word = word.removeprefix("0 ")  # the number typed with its words
    return word in NOT_CHECKED or word == "0" or word in _DO_NOT_KNOW


def nothing(text: str) -> bool:
    """Return whether somebody says that there is nothing to tell, or that he cannot tell it."""
    return is_not_checked(text) or text.lower() in ("", "no", "none", "nothing")


def split_known_by(text: str) -> tuple[str, KnownBy | None]:
    """Return (answer, how it is known) of '2 told' or '4.5 psi measured'."""
    *answer, last = text.split() or [""]
    known = _KNOWN.get(last.lower().strip("()")) if answer else None
    return (" ".join(answer), known) if known else (text.strip(), None)


def usually_known(question: Question) -> KnownBy:
    """Return how an answer is known where nobody says otherwise.

    What needs no aeroplane, no tool and no caution is asked of people, and so is told.
    """
    if not (question.stages or question.gate or question.hazards or question.tools):
        return "told"
    return question.known_there


def read_answer(text: str, question: Question, layout: Layout, place: str = "") -> Answer:
    """Return what ``text`` answers to ``question`` asked at ``place``.

    A figure is corrected by the error card of the gauge it was read on, where this aeroplane has
    one, before it is held against the limit.

    Raises:
        UsageError: One line saying what is wrong, what was meant and what to do.
    """
    bare, known = split_known_by(text)
    match = _TRIES.fullmatch(bare)
    if match:
        return _tried(match, known, question, layout, place)
    if is_not_checked(bare) and bare.lower() not in question.classes:
        return Answer("", known, typed=text.strip())
    number = whole_number(bare)
    chosen = number is not None and number <= len(question.classes)
    if question.unit and bare.isdigit() and not chosen:
        raise UsageError(
            f"'{bare}' is neither a number from 1 to {len(question.classes)} nor a figure with its "
            f"unit, as {EXAMPLES[question.unit]}."
        )
    parts = OR.split(bare)
    if question.unit and len(parts) > 1 and any(is_figure(p) and not p.isdigit() for p in parts):
        raise UsageError(f"'{bare}' is more than one figure; type the one read, or the answers.")
    if question.unit and is_figure(bare) and not chosen and len(parts) == 1:
        return _figure(bare, known, question, layout, place)
    try:
        named = choose_some(bare, question.classes)
    except UsageError as error:
        if said := _as_people_say(bare, question):
            return Answer(said, known)
        if not question.unit:
            raise
        also = f"A figure with its unit is an answer too, as {EXAMPLES[question.unit]}."
        raise UsageError(f"{error} {also}") from None
    return Answer(named[0], known, one_of=named if len(named) > 1 else ())


def _as_people_say(text: str, question: Question) -> str:
    """Return the class that reports tell in just these words ('no smell'), '' for none or two."""
    words = " ".join(text.lower().split())
    fits = [name for name, phrases in question.heard.items() if words in phrases]
    return fits[0] if len(fits) == 1 else ""


def _tried(
    match: re.Match[str], known: KnownBy | None, question: Question, layout: Layout, place: str
) -> Answer:
    """Return what was seen so many times in so many tries."""
    seen, tries = int(match["seen"]), int(match["tries"])
    if not (1 <= tries <= MOST_TRIES and seen <= tries):
        raise UsageError(
            f"'{match['seen']} of {match['tries']}' is no count of tries; from 1 to {MOST_TRIES} "
            "tries, seen no more often than tried."
        )
    if not seen:
        raise UsageError(
            f"'{match['answer']}' was not seen in {tries} tries; answer what was seen instead, "
            f"{tries} of {tries}."
        )
    one = read_answer(match["answer"], question, layout, place)
    if one.one_of:
        raise UsageError(
            f"'{match['answer']}' leaves open what was seen; a count of tries is of one answer."
        )
    return replace(one, known_by=known, tries=tries, seen=seen, reached=match["out"] is None)


def _figure(
    text: str, known: KnownBy | None, question: Question, layout: Layout, place: str
) -> Answer:
    figure, _, word = text.rpartition(" ")
    limit = limit_of(question, layout)
    if word in question.classes and figure and limit is None:
        # without an approved figure the person says what it is, beside its neighbours
        note = f"{text}: {NO_FIGURE}; called so by who read it, beside the others"
        return Answer(word, known, parse(figure, question.unit).value_si, figure, note)
    quantity = parse(text, question.unit)
    card = card_of(question, layout, place)
    true = card.true(quantity.value_si) if card else quantity.value_si
    note = ""
    if card:
        note = f"{text} shown is {show(true, unit_of(text))} by its error card ({card.title}); "
    value = cut(question, layout, true)
    if limit is None or not value:
        why = why_unclassed(question, layout)
        how = "compare it with its like, and if that tells you, " if question.cut else ""
        note += (
            f"{text} is kept: {why} for {question.title}, so it is called none of them. To say "
            f"which it is, {how}type it behind the figure: {text} {next(iter(question.classes))}"
        )
        return Answer("", known, quantity.value_si, text, note)
    shown = show(true, unit_of(text)) + " true" if card else text
    note += f"{shown} is '{question.classes[value]}' against {limit.shown} ({limit.reference})"
    return Answer(value, known, quantity.value_si, text, note)
