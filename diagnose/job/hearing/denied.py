"""What stands under a 'no' is asked about, never concluded from."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from diagnose.job.hearing.clauses import Clause
from diagnose.job.hearing.plain_words import NEGATIONS
from diagnose.job.hearing.said import Said
from diagnose.job.hearing.vocabulary import Suggestion

_LABOURED = re.compile(r"\b(?:slow|slower|unwilling|reluctant|failed|fails|refused|refuses) to\b")
_NO_DENIAL = re.compile(r"\bno (?=\d)|\b(?:not only|not just|no doubt|nothing but)\b")
REACH = 5
"""Words before a phrase in which a negation counts."""
_TIES = re.compile(r"\b(?:after|since|because|when|whenever|following|while|unless|despite)\b")
"""What ends its reach: 'will not idle after the rain' denies no rain."""
PARTIAL = 2
"""Words between a 'no' and the one class it is said of, at most."""


def if_not_denied(x: Said, clause: Clause) -> Suggestion:
    """Return the suggestion, without its value where a 'no' stands in the words before it.

    'Without the booster' only tells the state: it denies nothing.
    """
    said = _NO_DENIAL.sub("", clause.rest[: x.start])
    before = _TIES.split(said)[-1].split()[-REACH:]
    s = x.suggestion
    denied = bool(NEGATIONS & set(before)) and not _TIES.match(s.phrase)
    # 'slow to get her pressure up' says of no time that it was up
    laboured = s.value == "normal" and bool(_LABOURED.search(clause.rest[: x.start]))
    return to_be_asked(s) if s.value and (denied or laboured) else s


def denies(x: Said) -> bool:
    """Return whether a phrase itself is a denial: 'would not restart'."""
    return not NEGATIONS.isdisjoint(x.suggestion.phrase.split())


def to_be_asked(s: Suggestion) -> Suggestion:
    """Return ``s`` without its value, as a question."""
    return replace(s, value="", one_of=(), asks=s.asks or (s.question,), negated=True)


def is_partial(x: Said, said: Iterable[Said], clause: Clause) -> bool:
    """Return whether a 'no' is said of one class only: 'no smell in the cabin' leaves outside."""
    s = x.suggestion
    return (
        bool(s.value)
        and s.phrase.split()[0] in NEGATIONS
        and any(
            y.suggestion.question == s.question
            and y.suggestion.value not in ("", s.value)
            and x.end <= y.start
            and len(clause.text[x.end : y.start].split()) <= PARTIAL
            for y in said
        )
    )
