"""A clause that tells nothing but that all was well goes on about what was amiss before it.

'No. 3 surges with the boosters off.  Steady with them on': the contrast often tells the cause.
"""

from __future__ import annotations

import re

from diagnose.job.hearing.clauses import FILLERS, Clause
from diagnose.job.hearing.phrases import PhraseBook
from diagnose.job.hearing.the_others import denies, well_words

_BESIDES = FILLERS | {
    "it", "they", "them", "she", "he", "then", "again", "otherwise", "both", "now", "once", "more",
    "quite", "as", "back", "put", "everything", "so",
}  # fmt: skip
"""What may stand beside it and says nothing of its own."""


_AGAIN = re.compile(
    r"\b(?:ran(?: on| again)?|caught|cleared|went(?: on| again)|took(?: up)?|came right|"
    r"did so no more|stopped doing it)\b"
)
"""How people say that what was amiss went away, of whatever it was."""


def only_well(clause: Clause, usual: PhraseBook) -> str:
    """Return the words by which a clause says that all was well and nothing else, ''.

    ``usual``: how people say so of what was amiss.
    """
    words = well_words(clause.text, usual) + [hit.span() for hit in _AGAIN.finditer(clause.text)]
    words = [(a, b) for a, b in words if clause.rest[a:b].strip()]
    rest = clause.rest  # 'boosters off' says of no lamp that it was off
    for a, b in words:
        rest = f"{rest[:a]}{' ' * (b - a)}{rest[b:]}"
    alone = bool(words) and set(rest.split()) <= _BESIDES
    return clause.text[slice(*words[0])] if alone and not denies(clause.text) else ""
