"""A name that stands away from what is said of it.

'Flow and pressure as usual': the name that hangs before the 'and' is heard with what is said
behind it.  'Leaps about all over the dial, the contents gauge': so is one that comes late.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from diagnose.job.hearing.clauses import FILLERS, Clause
from diagnose.job.hearing.vocabulary import Suggestion, Vocabulary

_I_MEAN = frozenset({"i", "mean", "mind", "you"})
_BESIDES = FILLERS | _I_MEAN | {"both", "fuel", "had", "has", "have"}


def only_names(clause: Clause, vocabulary: Vocabulary) -> bool:
    """Return whether ``clause`` names something and says nothing of it."""
    left = clause.rest
    for a, b in _names(clause, vocabulary):
        left = f"{left[:a]}{' ' * (b - a)}{left[b:]}"
    return left != clause.rest and set(left.split()) <= _BESIDES


def only_a_name(said: Sequence[Suggestion], clause: Clause) -> bool:
    """Return whether nothing but names was heard of a clause that says something of them.

    'Fuel cap was not there when I walked round.'
    """
    names = [s.phrase for s in said if s.means == s.phrase and not (s.value or s.negated)]
    if not names or len(names) < len(said):
        return False
    left = clause.rest
    for name in names:
        left = left.replace(name, " ", 1)
    return not set(left.split()) <= _BESIDES


def said_of_both(hanging: Clause, clause: Clause, vocabulary: Vocabulary) -> Clause | None:
    """Return what ``clause`` says of its own subject as said of what ``hanging`` names.

    None where it is not joined to ``hanging`` or does not begin with a name.
    """
    if not clause.joined or clause.sentence != hanging.sentence:
        return None
    begins = [b for a, b in _names(clause, vocabulary) if set(clause.rest[:a].split()) <= _BESIDES]
    if not begins:
        return None
    end = max(begins)
    return replace(
        clause,
        text=hanging.text + clause.text[end:],
        rest=hanging.rest + clause.rest[end:],
    )


def named_late(before: Clause, clause: Clause, vocabulary: Vocabulary) -> Clause | None:
    """Return what ``before`` says as said of the name that ``clause`` only adds to it.

    None where ``clause`` goes on, or ``before`` names something itself.
    """
    late = not clause.joined and clause.sentence == before.sentence
    if not late or _names(before, vocabulary) or not only_names(clause, vocabulary):
        return None
    names = _names(clause, vocabulary)
    name = clause.text[min(a for a, _ in names) : max(b for _, b in names)]
    rest = f"{' ' * len(name)} {before.rest}"
    return replace(before, text=f"{name} {before.text}", rest=rest)


def _names(clause: Clause, vocabulary: Vocabulary) -> list[tuple[int, int]]:
    return [
        (hit.start, hit.end)
        for hit in vocabulary.book.found(clause.text)
        if hit.exact and hit.phrase in vocabulary.subjects
    ]
