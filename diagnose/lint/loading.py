"""What the loader refuses, under lint's codes: nothing else can be looked at until it is mended.

The loader and the compiler of the rules do the looking; here their problems only get a code.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from diagnose.errors import KnowledgeError, Problem
from diagnose.lint.base import Base
from diagnose.lint.codes import Found, code, finds

UNKNOWN = code(
    "LOAD-01",
    "unknown name",
    means="A name is used that no file defines; the nearest known name is suggested, never used.",
    matters="A misspelt name makes a row or a rule silent for ever.",
    do="Correct the name, or add the item it names.",
)
SUM = code(
    "LOAD-02",
    "chances that do not sum to 1",
    means="The rows of an answer table, the severity grades, the background rates or the weights of"
    " a setting do not sum as chances must.",
    matters="Belief would grow or shrink with each answer, whatever it says.",
    do="Correct the chance that slipped; nothing is scaled to fit, because which one is not known.",
)
MISSING = code(
    "LOAD-03",
    "reason, source or other needed word missing",
    means="An item lacks something it must state: its reason, its source, its look-alike ...",
    matters="A conclusion without reason and source cannot be checked by whoever has to trust it.",
    do="Add it; where nothing is published the source is common-practice or from-memory.",
)
STATE = code(
    "LOAD-04",
    "state of the aeroplane not stated",
    means="A check does not state engine, power, line pressure and ventilation.",
    matters="A condition left open is one that somebody gets wrong beside fuel.",
    do="State all four under 'aeroplane'.",
)
STEPS = code(
    "LOAD-05",
    "steps without a published source",
    means="A check prints steps, but none of its sources is published.",
    matters="Steps out of somebody's memory can hurt people.",
    do="Name the published source, or state aim, conditions, good and bad and leave the steps to"
    " the approved data.",
)
LOOP = code(
    "LOAD-06",
    "symptoms that rest on each other in a loop",
    means="A symptom needs itself, through other symptoms, to be known.",
    matters="None of them can ever be known, or each proves the other.",
    do="Break the loop: one of them must rest on signs alone.",
)
AGAINST_ITSELF = code(
    "LOAD-07",
    "symptom for and against one cause",
    means="A symptom points to a cause and speaks against the same cause.",
    matters="The reader is told both and can act on neither.",
    do="Keep one of the two.",
)
ONE_STATE = code(
    "LOAD-08",
    "signs that are of no one run state",
    means="Under 'all-in-one-state' stands what has no run state, a symptom or a check, or signs"
    " whose run states exclude each other.",
    matters="Nothing could ever meet the condition, or it would mean less than it says.",
    do="Keep only signs of questions there, in states that can be one; join the rest by 'all'.",
)
OTHER = code(
    "LOAD-09",
    "file that cannot be used",
    means="The loader refuses a file for another reason, which it states.",
    matters="Nothing runs on half a knowledge base.",
    do="Do what the message says.",
)

_KINDS: Final = {
    "name": UNKNOWN,
    "sum": SUM,
    "missing": MISSING,
    "state": STATE,
    "steps": STEPS,
    "loop": LOOP,
    "contradiction": AGAINST_ITSELF,
    "one-state": ONE_STATE,
}


def refused(problems: Iterable[Problem]) -> tuple[Found, ...]:
    """Return what the loader refused as findings, in file order."""
    return tuple(sorted(_found(problem) for problem in problems))


def _found(problem: Problem) -> Found:
    file = problem.origin.file
    item = file.partition("/")[2].removesuffix(".yaml")
    return Found(problem.origin, _KINDS.get(problem.kind, OTHER).id, problem.text, item)


@finds(
    *(UNKNOWN, SUM, MISSING, STATE, STEPS, LOOP, AGAINST_ITSELF, ONE_STATE, OTHER),
    doing="compiling the rules",
)
def rules_compile(base: Base) -> Iterable[Found]:
    """Yield what keeps the rules from being put in order on a layout."""
    problems: set[Problem] = set()
    for on in base.on.values():
        try:
            _ = on.book
        except KnowledgeError as error:
            problems |= set(error.problems)
    return refused(problems)
