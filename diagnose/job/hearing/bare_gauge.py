"""A gauge without a name: 'gauge sticks' may be told of the contents or of the pressure.

Where a tank is named with it, or its contents were told of before, it is that tank's.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from dataclasses import replace

from diagnose.job.hearing.of_an_engine import PRESSURE
from diagnose.job.hearing.vocabulary import Suggestion, Vocabulary

CONTENTS, MOVEMENT = "contents-gauge", "gauge-movement"
_BARE = re.compile(r"(?:(?:the|its|a) )?(?:gauge|needle|dial|pointer|indicator|clock|reading)s?\b")
_OF_A_TANK = re.compile(r"\b(?:tanks?|tank's|contents|quantity|sight)\b|\b(?:fuel|petrol) $")
"""Before it in its clause."""
_AS_WELL = frozenset({"erratic", "pegged-empty"})
"""What a contents gauge may do that a pressure gauge does as well."""


def of_which_gauge(
    s: Suggestion,
    text: str,
    vocabulary: Vocabulary,
    tanks: Collection[str],
    before: Iterable[Suggestion],
) -> Suggestion:
    """Return ``s``, asked about where what it tells of a contents gauge may be of another.

    ``text``: the clause.  ``tanks``: those named with it.  ``before``: what was told so far.
    """
    if s.question != CONTENTS or s.value not in _AS_WELL or tanks or not _BARE.match(s.phrase):
        return s
    if _OF_A_TANK.search(text.partition(s.phrase)[0]):
        return s
    of_tanks = vocabulary.read[CONTENTS]
    if PRESSURE not in vocabulary.read or any(
        of_tanks & vocabulary.read.get(b.question, frozenset()) for b in before
    ):
        return s
    asks = tuple(q for q in (CONTENTS, PRESSURE, MOVEMENT) if q in vocabulary.read)
    return replace(s, question="", value="", means=s.phrase, asks=asks)
