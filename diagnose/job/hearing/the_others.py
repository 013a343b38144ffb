"""'The others steady', 'other three fine', 'the rest OK': what a clause says of the others.

It is said of the finding before it, which then speaks of all parts of its kind; whatever else is
said of the others is not said of the part that was named.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from diagnose.job.hearing.clauses import Clause
from diagnose.job.hearing.phrases import PhraseBook

_COUNTS = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "1": 1, "2": 2, "3": 3, "5": 5}
_PARTS = (
    "ones?|engines?|tanks?|gauges?|needles?|pointers?|lamps?|lights?|pressures?|flows?|strainers?|"
    "cocks?|selectors?|pumps?|boosters?|sides?|caps?|vents?"
)
_PEOPLE_OR_TIME = (
    "lots?|shifts?|crews?|firms?|chaps?|blokes?|man|men|fellows?|pilots?|engineers?|mechanics?|"
    "people|days?|nights?|weeks?|months?|flights?|hangar|airfield"
)
"""Behind 'the other' what is no part: 'the other lot put it in', 'the other day'."""
_OTHERS = re.compile(
    r"(?:^|\b(?:with|while|but|and|whereas)\s+)(?:all\s+|on\s+)?(?:the\s+)?"
    rf"(?:others|rest|(?:other|remaining)(?:\s+(?P<count>{'|'.join(_COUNTS)}))?(?:\s+(?:{_PARTS}))?)"
    rf"(?=\s|$)(?!\s+(?:of|way|{_PEOPLE_OR_TIME})\b)(?P<said>.*)$"
)
_WELL = re.compile(
    r"\b(?:steady|normal|normally|fine|ok|okay|good|as usual|perfect|alright|sweet|"
    r"unaffected|sound|well|spot on|in (?:the (?:green|band)|limits)|as (?:they|it) should be|"
    r"(?<!the )(?<!to )(?<!on )right(?! (?:tank|main|tip|engine|side|one)\b)|"
    r"no (?:trouble|problems?|bother|issues?|snags?)|nothing wrong|not affected|unchanged|behaved?|"
    r"healthy)\b"
)
_NOT = re.compile(
    r"\b(?:not|no longer|never|cannot|less|more|hardly|too|same|also|as well|alike|until|only|"
    r"either)\b"
)
_NOTHING_WRONG = re.compile(r"\b(?:no trouble|nothing wrong|not affected)\b")


@dataclass(frozen=True)
class TheOthers:
    """What is said of the others: ``words`` as told, ``count`` of them, 0 where that is not said.

    ``said``: of them, '' where something in it denies or compares.
    """

    words: str
    count: int
    said: str

    def well(self, usual: PhraseBook) -> bool:
        """Return whether all is normal there; ``usual``: how people say so of what is asked."""
        return bool(well_words(self.said, usual))


def well_words(text: str, usual: PhraseBook | None) -> list[tuple[int, int]]:
    """Return where ``text`` says that something was well; ``usual``: how people say so besides."""
    besides = [(hit.start, hit.end) for hit in usual.found(text)] if usual else []
    return [hit.span() for hit in _WELL.finditer(text)] + besides


def says_well(text: str) -> bool:
    """Return whether a clause tells that something was well, and denies nothing."""
    return bool(well_words(text, None)) and not denies(text)


def denies(text: str) -> bool:
    """Return whether something in ``text`` denies or compares."""
    return bool(_NOT.search(_NOTHING_WRONG.sub("", text)))


def told_of_others(clause: Clause) -> tuple[Clause, TheOthers | None]:
    """Return ``clause`` with what it says of the others blanked out, and that apart."""
    hit = _OTHERS.search(clause.text)
    if hit is None:
        return clause, None
    said = "" if denies(hit["said"]) else hit["said"]
    others = TheOthers(hit[0].strip(), _COUNTS.get(hit["count"] or "", 0), said)
    rest = clause.rest[: hit.start()] + " " * (len(clause.rest) - hit.start())
    return replace(clause, rest=rest), others
