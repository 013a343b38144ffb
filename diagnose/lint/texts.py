"""Texts that say nothing: filler, missing, or the title over again."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Final

from diagnose.lint.base import Base
from diagnose.lint.codes import Found, code, finds
from diagnose.lint.prose import Text, texts, words
from diagnose.model import Cause, Check, Effect, Hazard, Question, Symptom

FILLER = code(
    "TEXT-01",
    "filler text",
    means="A text holds words that fill a line and say nothing: 'unknown', 'as required', 'etc'.",
    matters="The person in front of the aeroplane has to know what the writer did not.",
    do="Say what is meant, or leave the field out.",
)
NO_REASON = code(
    "TEXT-02",
    "reason missing",
    means="An effect or a symptom gives no reason, a question does not say why it is asked, or a"
    " cause does not say what mends it, what to verify, what else to look at or whence.",
    matters="Nobody follows advice without a reason twice.",
    do="Write the reason in one sentence.",
)
NO_SOURCE = code(
    "TEXT-03",
    "source missing",
    means="An item names no source.",
    matters="What it says cannot be looked up or weighed.",
    do="Name one; where nothing is published it is common-practice or from-memory.",
)
SAYS_AGAIN = code(
    "TEXT-04",
    "reason that says the title again",
    means="A reason holds no word that its title does not hold, or fewer than four words.",
    matters="It looks like a reason and is none.",
    do="Say what makes it so.",
)

_FILLER: Final = re.compile(
    r"(?i)(?<![\w-])(?:unknown (?:reason|cause)s?"
    r"|as required|as necessary|as needed|as appropriate|if required|if applicable"
    r"|where applicable|to be determined|to be defined|to be confirmed|not known yet|see above"
    r"|and so on|and/or|etc|tbd|tba|tbc|todo|xxx|lorem|n/a|placeholder|some kind of|various"
    r" reasons|for some reason|check everything|the usual checks|usual precautions)(?![\w-])"
)
_WHOLE: Final = re.compile(r"(?i)[\s.?-]*|(?:unknown|none|any|other|various|nil|not known|same)\.?")
"""A text that is nothing but one of these; 'unknown' within a sentence can be meant."""


@finds(FILLER, SAYS_AGAIN, doing="texts: filler")
def filler(base: Base) -> Iterator[Found]:
    """Yield texts that fill a line and say nothing."""
    titles = {t.item: t.text for t in texts(base.library) if t.keys == ("title",)}
    for t in texts(base.library):
        if not t.text:
            continue
        found = _FILLER.search(t.text)
        whole = t.use != "name" and _WHOLE.fullmatch(t.text)
        if found or whole:
            said = found.group() if found else t.text
            text = f"'{t.name}' says '{said}', which tells nobody anything; say what is meant"
            yield base.found(FILLER, t.item, text, t.origin, *t.keys)
        elif t.use == "reason" and _again(t, titles[t.item]):
            text = f"'{t.name}' says no more than the title; say what makes it so"
            yield base.found(SAYS_AGAIN, t.item, text, t.origin, *t.keys)


def _again(t: Text, title: str) -> bool:
    mine = {w.lower() for w in words(t.text)}
    return len(mine) < 4 or mine <= {w.lower() for w in words(title)}


_Sourced = Effect | Question | Symptom | Cause | Check | Hazard
_NEEDED: Final = ("because", "why", "rectify", "root-question", "also-look", "verify", "close-out")


@finds(NO_REASON, NO_SOURCE, doing="texts: reasons and sources")
def reasons(base: Base) -> Iterator[Found]:
    """Yield items without a reason or a source that they should have."""
    library = base.library
    outside = {f"causes/{c.id}" for c in library.causes.values() if c.outside}
    for t in texts(library):
        if (
            t.keys[-1] in _NEEDED
            and not t.text
            and not (t.item in outside and t.keys[0] != "because")
        ):
            text = f"has no '{t.keys[-1]}'; write it in one sentence"
            yield base.found(NO_REASON, t.item, text, t.origin)
    folders: Mapping[str, Mapping[str, _Sourced]] = {
        "effects": library.effects,
        "questions": library.questions,
        "symptoms": library.symptoms,
        "causes": library.causes,
        "checks": library.checks,
        "hazards": library.hazards,
    }
    for folder, items in folders.items():
        for item in items.values():
            if not item.sources:
                text = "names no source; name one, or common-practice, or from-memory"
                yield base.found(NO_SOURCE, f"{folder}/{item.id}", text, item.origin)
