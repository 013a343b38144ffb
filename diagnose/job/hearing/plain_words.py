"""Words of plain English by which a report is heard, besides those of the knowledge."""

from __future__ import annotations


def plain_words(words: str) -> frozenset[str]:
    """Return the words of a line."""
    return frozenset(words.split())


SPOKEN = plain_words(
    "engine engines motor tank tanks cock selector strainer pump pumps primer booster boosters "
    "throttle throttled power crossfeed battery generator switched electric electrical lamp lamps "
    "light lights gauge gauges needle needles pointer pressure pressures others other rest "
    "remaining when while until before after during normally behave behaved affected unaffected "
    "usual revs"
)
"""What clauses, places and the others are heard by."""
NEGATIONS = plain_words("no not never without none nor cannot neither nothing nobody hardly")
_SHORT_NEGATIONS = plain_words(
    "dont doesnt didnt isnt wasnt werent arent wont cant couldnt wouldnt shouldnt havent hasnt "
    "hadnt don't doesn't didn't isn't wasn't weren't won't can't wouldn't couldn't shouldn't "
    "haven't hasn't hadn't"
)
SIDES = plain_words(
    "left right port starboard inner outer middle centre upper lower front rear forward inboard "
    "outboard main auxiliary reserve header"
)
FIGURES = plain_words(
    "one two three four five six seven eight nine ten eleven twelve twenty thirty forty fifty "
    "sixty hundred thousand half quarter third fifth both imperial gallon gallons litre litres "
    "pound pounds degree degrees second seconds minute minutes hour hours feet "
    "sec secs min mins hr hrs"
)
NEVER_READ = NEGATIONS | _SHORT_NEGATIONS | SIDES | FIGURES
"""What no other word is ever read as, because it turns a finding round, moves it or scales it."""
