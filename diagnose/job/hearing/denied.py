"""What stands under a 'no' is asked about, never concluded from."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from diagnose.job.hearing.clauses import FILLERS, Clause
from diagnose.job.hearing.plain_words import NEGATIONS
from diagnose.job.hearing.said import Said
from diagnose.job.hearing.vocabulary import Suggestion, Vocabulary

_LABOURED = re.compile(r"\b(?:slow|slower|unwilling|reluctant|failed|fails|refused|refuses) to\b")
_NO_DENIAL = re.compile(r"\bno (?=\d)|\b(?:not only|not just|no doubt|nothing but)\b")
_SOUGHT = re.compile(
    r"\b(?:check|look|listen|sniff|watch|test|search|hunt|inspect|examine|feel|felt)"
    r"(?:s|d|ed|ing)? "
    r"(?:[a-z]+ ){0,4}for (?:[a-z]+ ){0,2}$"
)
"""Before what was looked for, and perhaps not found: 'checked the drains for water'."""
_AFTER = re.compile(r"\s*(?:none|nothing|nowt|nought|not at all|not a bit)\b")
"""A 'no' that stands behind what it denies: 'leaning helps none'."""
REACH = 5
"""Words that say something before a phrase, in which a negation counts."""
_TIES = re.compile(r"\b(?:after|since|because|when|whenever|following|while|unless|despite)\b")
"""What ends its reach: 'will not idle after the rain' denies no rain."""
PARTIAL = 2
"""Words between a 'no' and the one class it is said of, at most."""


def if_not_denied(x: Said, clause: Clause) -> Suggestion:
    """Return the suggestion, without its value where a 'no' stands in the words before it.

    'Without the booster' only tells the state: it denies nothing.  What was looked for is asked
    about as well.
    """
    said = _NO_DENIAL.sub("", clause.rest[: x.start])
    before = [w for w in _TIES.split(said)[-1].split() if w not in FILLERS][-REACH:]
    s = x.suggestion
    denied = bool(NEGATIONS & set(before)) and not _TIES.match(s.phrase)
    denied |= bool(_AFTER.match(clause.text[x.end :]))
    # 'slow to get her pressure up' says of no time that it was up
    laboured = s.value == "normal" and bool(_LABOURED.search(clause.rest[: x.start]))
    sought = bool(_SOUGHT.search(clause.rest[: x.start]))
    return to_be_asked(s) if (s.value or s.one_of) and (denied or laboured or sought) else s


def denies(x: Said) -> bool:
    """Return whether a phrase itself is a denial: 'would not restart'."""
    return not NEGATIONS.isdisjoint(x.suggestion.phrase.split())


def without_denied(said: list[Said], clause: Clause, vocabulary: Vocabulary) -> list[Said]:
    """Return ``said`` without what begins inside a denial and adds only where that was looked for.

    'No water found in the tanks' denies all water in them; 'no smell in the cabin' no other smell.
    """
    no = [x for x in said if x.suggestion.value and x.suggestion.phrase.split()[0] in NEGATIONS]

    def adds_a_name(y: Said, x: Said) -> bool:
        question = y.suggestion.question
        more = f" {clause.text[x.end : y.end]}"
        return x.suggestion.question == question and any(
            more.endswith(f" {name}") and question in questions
            for name, questions in vocabulary.subjects.items()
        )

    return [
        y
        for y in said
        if not any(x.start < y.start < x.end < y.end and adds_a_name(y, x) for x in no)
    ]


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
