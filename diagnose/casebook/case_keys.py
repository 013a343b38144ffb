"""What every key of a case file means, for those who write one without reading the code.

README shows them in an example under 'Write a case'; a test holds that none is left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

CASE_KEYS: Final[Mapping[str, Mapping[str, str]]] = MappingProxyType(
    {
        "case": {
            "case": "id of the case; letters, figures and hyphens",
            "title": "a few words, for lists; may be left out",
            "source": "where it is published, by its number, or 'invented'",
            "invented": "yes where nobody ever saw it; else left out",
            "layout": "the layout it happened on, or the one nearest to it",
            "family": "a family of failure modes, to sort by; it is not scored",
            "reported": "the report in your own words; shown, never searched for findings",
            "before": "work done since the last good run, a list",
            "findings": "what was seen, heard, read or measured before any check, in order: good, "
            "then bad at a later stage says how long it ran well; bad, then good says that it went "
            "off; else the same question answered again at one place, in one epoch and in a state "
            "alike in all that matters to it replaces the earlier answer, with a warning",
            "examination": "what checks showed, and findings made then; given only when asked; of "
            "a check given twice the last counts, so write the one that settles it",
            "cause": "what it was: one, a list (several faults, or a chain), or "
            "not-in-the-knowledge; any of the list is as right, and the best placed is scored",
            "also-accept": "answers that are as right, a list like 'cause'",
            "notes": "anything else, for people",
        },
        "before": {
            "work": "what was done, in free words; they are shown and never searched",
            "at": "the part, or airframe or aeroplane; this is what counts: it lifts what such "
            "work can leave behind there and next to it",
        },
        "finding": {
            "finding": "a question",
            "at": "the part; its kind will do, or nothing, where the layout has one such part; a "
            "list where it was at one of them, not known which: only of what was told with the "
            "report, without a figure, and meant in 16 ways at most; it never means at each, for "
            "which a line each is written",
            "value": "a class of the question; a list of classes where it was one of them, not "
            "known which (lost power: [fades, stops]), never both: of two that are true write the "
            "one nearer to the trouble; a figure with its unit where the layout has a limit; or "
            "'not checked'",
            "reading": "the figure with its unit, beside a class judged by other means",
            "state": "what is known of the run state; what is left out is averaged over; any stage "
            "may be told, also one in which the question is not asked",
            "known-by": "how it is known; seen where it is left out, read where there is a figure",
            "others-normal": "yes where the other parts of that kind were looked at, and normal",
            "after": "what had been done just before; such a finding is not told with the report "
            "but when it is asked for; one that begins with drained, refuelled, rectified or "
            "replaced starts a new epoch, the same words in the next line the same one",
            "epoch": "0 before any drain, uplift or repair, 1 after the first; it holds for what "
            "follows; answers of two epochs never replace each other; leave out what was found "
            "once the fault itself was mended, or it counts against the true cause",
        },
        "check": {
            "check": "a check",
            "at": "as of a finding",
            "result": "a result of the check; a list where it was one of them; or 'not checked'",
            "known-by": "as of a finding",
            "after": "as of a finding",
            "epoch": "as of a finding",
        },
        "cause": {
            "cause": "a failure mode, or not-in-the-knowledge",
            "at": "the part that failed",
        },
    }
)
"""Table -> key -> what it means."""

SETTINGS_MEAN: Final[Mapping[str, str]] = MappingProxyType(
    {
        "power": "how hard the engine works; the stage says it, so it is stated only without one",
        "booster": "electric or hand pump of the engine or tank spoken of",
        "crossfeed": "the cross-feed cock",
        "heat": "hot: a hot day or a hot bay, as after a stop; cool: neither",
        "attitude": "disturbed: turning, pitched, rolled or in rough air",
        "level": "how much was in the tank spoken of",
        "tank": "the tank that fed, or the selector position in which several did",
    }
)
"""Setting of a run state -> what it means."""

KNOWN_BY_MEANS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "measured": "with test kit",
        "read": "read off a gauge or lamp of the aeroplane",
        "seen": "seen, heard, smelt or felt by whoever works on it",
        "told": "passed on by somebody, as most of a report is",
        "assumed": "nobody said it: it follows from the rest, as that the engine ran well until "
        "then; it counts least and makes nothing safe",
    }
)
"""How a finding is known -> what that means."""
