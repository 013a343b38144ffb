"""A clause that tells nothing but 'all was well' or 'no better' goes on about what was amiss.

'No. 3 surges with the boosters off.  Steady with them on': the contrast often tells the cause, and
so does what was tried in vain.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.clauses import FILLERS, PUMP, Clause
from diagnose.job.hearing.of_an_engine import IMPLIED
from diagnose.job.hearing.phrases import PhraseBook
from diagnose.job.hearing.plain_words import plain_words
from diagnose.job.hearing.the_others import denies, well_words
from diagnose.job.hearing.vocabulary import Suggestion, Vocabulary
from diagnose.signs import normal_class

_BESIDES = FILLERS | plain_words(
    "they them she he then at any bit rock again otherwise both now once more quite as back put "
    "everything so "
    "below above under over air ground flight instantly immediately straight away completely"
)
"""What may stand beside it and says nothing of its own."""


_AGAIN = re.compile(
    r"\b(?:ran(?: on| again)?|caught|clear(?:s|ed)|off (?:she|it|they) went(?: again)?|"
    r"went(?: on| again)|took(?: up)?|came right|"
    r"did so no more|stopped doing it|did the trick|helped|"
    r"got (?:it|her|them) (?:going|running)(?: again)?|"
    r"(?:brought|brings) (?:it|her|them|both) back|"
    r"(?:settle|steadi|cure|fixe?|clear|stopp?|sort|restore)(?:s|d|ed|y)? "
    r"(?:it|that|her|them|things|both))\b"
)
"""How people say that what was amiss went away, of whatever it was."""


_SOON = re.compile(
    r"\b(?:after|within|in)(?: about| around| some| another)?(?: (?:a|a few|[\w-]+))? "
    r"(?:seconds?|secs?|minutes?|moments?|while|bit)\b"
)
"""When it went away: 'caught after about fifteen seconds'."""
_TO_FIGURE = re.compile(r"\bto (?:about |nearly |over )?\d+(?:\.\d+)?(?: (?:psi|lbs?|pounds))?\b")
"""What it came back to: 'the pump brings it back to 5'."""
_NOT_THEN = re.compile(r"(?:but |and )?(?:not|never)(?= (?:on|with|at|in|when|once)\b)")
"""'Fades on the right, not on the left.'"""


def _only_well(clause: Clause, usual: PhraseBook) -> str:
    """Return the words by which a clause says that all was well and nothing else, ''.

    ``usual``: how people say so of what was amiss.
    """
    not_then = _NOT_THEN.match(clause.text)
    if not_then and set(clause.rest[not_then.end() :].split()) <= _BESIDES:
        return clause.text
    words = well_words(clause.text, usual) + [hit.span() for hit in _AGAIN.finditer(clause.text)]
    words = [(a, b) for a, b in words if clause.rest[a:b].strip()]
    rest = clause.rest  # 'boosters off' says of no lamp that it was off
    besides = [hit.span() for how in (_SOON, _TO_FIGURE) for hit in how.finditer(rest)]
    for a, b in [*words, *besides]:
        rest = f"{rest[:a]}{' ' * (b - a)}{rest[b:]}"
    alone = bool(words) and set(rest.split()) <= _BESIDES
    return clause.text[slice(*words[0])] if alone and not denies(clause.text) else ""


def came_right(bench: Bench, clause: Clause, amiss: Sequence[str]) -> list[Suggestion]:
    """Return what was amiss as it was well in a clause that says nothing else."""
    question = bench.library.questions[IMPLIED if IMPLIED in amiss else amiss[-1]]
    usual = normal_class(question, bench.library)
    words = _only_well(clause, Vocabulary.of(bench).how(question, usual))
    return [Suggestion(words, question.classes[usual], question.id, usual)] if words else []


_IN_VAIN = re.compile(
    r"\b(?:(?:(?:is|was|were|made|makes|make|did|does|do|had|has) )?(?:no|not|nor|little|never) "
    r"(?:(?:be|been|any|much|give|make|do|have) )*"
    r"(?:better|different|difference|help(?:ed)?|change|use|good|effect|cure(?:d)?(?: it)?|"
    r"improvement)"
    r"(?: at all)?|(?:did|does|do) nothing|"
    r"(?:just |exactly )?(?:the )?same(?: thing)?(?: again)?)\b"
)
_TRIED = _BESIDES | plain_words(
    "either changing switching over putting selecting trying tried there did does do booster "
    "boosters boost pump pumps electric tank engine also just nor"
)
"""What may stand beside it and says nothing more."""


def says_only_in_vain(clause: Clause) -> bool:
    """Return whether a clause says that nothing changed, and no more: 'no different'."""
    hit = _IN_VAIN.match(clause.text)
    return hit is not None and set(clause.rest[hit.end() :].split()) <= _TRIED


def in_vain(clause: Clause, fed: Mapping[str, str]) -> tuple[str, Mapping[str, str]] | None:
    """Return the words by which a clause says that something was tried in vain, and the settings.

    ``fed``: the tank that it says fed.  None where it says more, or not what was tried.
    """
    hit = _IN_VAIN.search(clause.text)
    if hit is None:
        return None
    rest = f"{clause.rest[: hit.start()]} {clause.rest[hit.end() :]}"
    tried = {**clause.settings, **fed}
    if re.search(rf"\b{PUMP}\b", clause.text):
        tried.setdefault("booster", "on")
    if not (tried or (clause.own and clause.stage)) or not set(rest.split()) <= _TRIED:
        return None
    return hit[0], tried
