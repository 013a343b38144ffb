"""What of a report tells that something was amiss, and what may have brought it on."""

from __future__ import annotations

import re
from collections.abc import Sequence

from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.the_others import says_well
from diagnose.job.hearing.vocabulary import Suggestion
from diagnose.signs import normal_class

ONSET = "what-just-before"
"""What tells of no onset where all is said to be well: 'fine when opened up'."""
GAUGE_THEN = "gauge-when-it-came"
"""What tells of the gauge when an engine gave trouble, and of nothing where none did."""
RAN_WELL = "good-running-before"
"""What tells how long an engine ran well before it gave trouble."""
OF_IT = frozenset({ONSET, RAN_WELL, "when-it-comes"})
"""Questions that ask about the trouble itself."""
_LEAKS = frozenset({
    "vent-discharge", "engine-bay-leak", "jettison-drip", "carburettor-drips", "tank-stains",
    "strainer-drip", "pump-drain-wet", "fuel-smell", "cock-stain",
})  # fmt: skip
_IT_STOPPED = re.compile(r"(?:(?:and|then|so|but|when|until) )*(?:it|they|that|the [a-z]+)? ?stop")
"""Begins a clause about what was told of before."""
NOTHING = "nothing"
"""The class of what came of itself, which can be no remedy."""
_WITH = re.compile(r"\b(?:with|without|unless|only on|only in)(?: (?:the|its|both|all))?\s*$")
"""Before what tells a state and no moment: 'with the pump switched off'."""
_WHEN = re.compile(
    r"\b(?:when|whenever|as|after|following|since|before|earlier|had|if|just|(?:each|every) time)\b"
)


_STOOD = re.compile(r"\b(?:stood|standing|sat|sitting|parked|waited|waiting|left (?:out|on|in))\b")


def tells_standing(text: str) -> bool:
    """Return whether a clause tells how long an aeroplane stood: 'sat on the apron an hour'."""
    return bool(_STOOD.search(text))


def is_amiss(bench: Bench, s: Suggestion) -> bool:
    """Return whether ``s`` tells another class than the usual one of its question."""
    return bool(s.value) and s.value != usual(bench, s)


def may_be_amiss(s: Suggestion) -> bool:
    """Return whether ``s`` tells trouble of which it is asked what it was: 'coughed'."""
    return bool(s.question and s.asks) and not (s.value or s.negated or s.means == s.phrase)


def is_leak_that_stopped(s: Suggestion, text: str, amiss: Sequence[str]) -> bool:
    """Return whether what stopped is the leak told of last: 'the vent streamed.  It stopped'."""
    engine = s.question == "engine-behaviour" and s.phrase.startswith("stop")
    return engine and bool(amiss and amiss[-1] in _LEAKS and _IT_STOPPED.match(text))


def usual(bench: Bench, s: Suggestion) -> str:
    """Return the class that the question of ``s`` has where nothing is amiss."""
    asked = bench.library.questions[s.question]
    return normal_class(asked, bench.library)


def is_onset(s: Suggestion, text: str, *, after: bool) -> bool:
    """Return whether what a clause tells was done may have brought the trouble on.

    ``after``: whether something amiss was told before; then it may as well be the remedy, unless
    the clause says when it came: 'it stopped.  Tanks were changed and it ran'.
    """
    before, _, behind = text.partition(s.phrase)
    if _WITH.search(before):
        return False
    led = _WHEN.match(s.phrase) or _WHEN.search(before) or _WHEN.search(behind)
    return s.value == NOTHING or (not says_well(text) and bool(led or not after))
