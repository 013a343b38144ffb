"""'Left tank clean. Right tank same': what was told last of one part is told of another as well."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.clauses import FILLERS, Clause
from diagnose.job.hearing.plain_words import plain_words
from diagnose.job.hearing.told_state import state_of
from diagnose.job.hearing.trouble import OF_IT
from diagnose.job.hearing.vocabulary import Suggestion
from diagnose.job.hearing.whereabouts import Named, Where

_SAME = re.compile(r"\b(?:same(?: (?:thing|story|again|there))?|likewise|ditto|no different)\b")
_BESIDES = FILLERS | plain_words("exactly just much is was did does had has on one side")
TANK = "tank"
"""The setting that says which tank fed."""
OF_TANKS = "tank-dipped"
"""A question that is asked of tanks alone: what it is asked of is the tank named."""


def same_there(
    bench: Bench,
    where: Where,
    clause: Clause,
    here: Sequence[Named],
    told: Sequence[Suggestion],
) -> list[Suggestion]:
    """Return what was ``told`` last once more, of the places ``here`` of a clause that says 'same'.

    [] where the clause says more than that, or where it is told of the part it was told of.
    """
    rest = where.without(clause.rest, here)
    hit = _SAME.search(rest)
    if not here or hit is None:
        return []
    if not set(f"{rest[: hit.start()]} {rest[hit.end() :]}".split()) <= _BESIDES:
        return []
    out = []
    for s in told:
        if not s.value or s.question in OF_IT:
            continue
        places = where.of(s.question, here) or _opposite(bench, where, here, s)
        fed = where.of(OF_TANKS, here) if TANK in s.state.settings else ()
        if len(fed) == 1 and fed[0] != s.state.settings[TANK]:
            settings = {**s.state.settings, TANK: fed[0]}
            state = state_of(bench, s.question, s.state.stage, settings)
            out.append(replace(s, phrase=clause.text, state=state))
        elif places and not set(places) & set(s.places):
            out.append(replace(s, phrase=clause.text, places=places, one_of_places=()))
    return out


def _opposite(bench: Bench, where: Where, here: Sequence[Named], s: Suggestion) -> tuple[str, ...]:
    """Return the part of a side alone that stands there as the one told of stands on its own."""
    if len(s.places) != 1:
        return ()
    parts = bench.layout.parts
    mine = parts.get(s.places[0])
    if mine is None or not mine.position:
        return ()
    return tuple(
        p
        for p in where.among(s.question, here)
        if (parts[p].kind, parts[p].position) == (mine.kind, mine.position)
    )
