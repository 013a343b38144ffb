"""How procedures are worded: short commands, one condition first, the warning before the step.

The limits follow the simplified technical English of aerospace procedures as told second-hand
(ASD-STE100: 20 words in procedures, 25 in descriptions, 6 sentences; commands, active, no -ing).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from diagnose.lint.base import Base
from diagnose.lint.codes import Found, code, finds
from diagnose.lint.prose import Text, Use, sentences, texts, words

_LIST: Final = """
add adjust agree allow answer ask attach audit bind blank bleed bond book bring burn calibrate
carry catch change charge check chock clamp clean clear climb close cold-soak collect compare
confirm connect cool copy correct count cover crank cut decide deliver depart dip discard
disconnect distrust divide do drain draw dry ease empty enter examine exchange expect feed feel
fill find fit flush fly follow free fuel get give go grease ground halve hand have hold inhibit
inspect jack keep know label lap latch lay leak-check learn leave let level lift list listen
load lock log look lower make man mark match measure mend mind mop move name note observe open
order overhaul park part patch pay photograph place plan post pour press prime prove pull pump
put raise rate re-clip re-hang re-rig re-route re-run reach read recalibrate reckon record refit
refuel release remake remove renew repack repair repeat replace report reseat reset restore
return ride rig rinse rock rotate route run sample save say seal seat secure see select send
separate set settle shade shake show shut slacken slow soak stand start state stay stick stop
store straighten strip switch tag take teach tell test thaw tie tighten time torque touch trace
transfer treat try turn uncross unload use ventilate verify wait walk warm wash watch wear weigh
wipe wire work write
"""

COMMANDS: Final = frozenset(_LIST.split())
"""What a procedure may begin with: a closed list, so that 'Cleaning' is seen to be none."""

LONG = code(
    "WORD-01",
    "sentence too long",
    means="A sentence of a procedure or caution has more than 20 words, one of a description more"
    " than 25. A sentence that ends in a colon and a list counts in parts.",
    matters="With cold hands a person reads ten words and looks at the aeroplane.",
    do="Make two sentences of it.",
)
MANY = code(
    "WORD-02",
    "too many sentences in one text",
    means="A text has more than six sentences.",
    matters="What stands in the middle is not read.",
    do="Split it, or leave out what the reader knows.",
)
NOT_A_COMMAND = code(
    "WORD-03",
    "instruction that is no command",
    means="An instruction, a caution or a stop does not begin with a command, or with a condition"
    " and then a command.",
    matters="'The line is opened' does not say who opens it, nor that it is you.",
    do="Begin with the verb: 'Open the line'. A condition comes first: 'With the power off, open'.",
)
SOFT = code(
    "WORD-04",
    "instruction with should, must or you",
    means="An instruction or caution uses 'should', 'must', 'is to be' or 'you'.",
    matters="It can be read as advice, or as a description of somebody else.",
    do="Give the command itself: 'Do ...', 'Do not ...'.",
)
LATE = code(
    "WORD-05",
    "warning after the step",
    means="A 'do not' or 'never' stands behind the act it warns of: later in the same text, or"
    " under good, bad or close-out.",
    matters="Whoever works line by line has done it when the warning is read.",
    do="Put the warning first, or list it as a hazard, which is shown before the check.",
)

AFTERTHOUGHT = code(
    "WORD-06",
    "condition behind the act",
    means="An instruction or caution ends in 'if ...' or 'unless ...'.",
    matters="Whoever does what is read first has done it when the condition comes.",
    do="Put the condition first, then a comma: 'If fuel is smelt, stop the run'.",
)

PROCEDURE, DESCRIPTION, PARAGRAPH = 20, 25, 6

_OPENERS: Final = """
after as at away before both by each for from if in no nobody nothing on once only then to unless
until when where while with without
"""
_CONDITION: Final = frozenset(_OPENERS.split())
"""Words that open a condition, or forbid ('no flame')."""
_NOT: Final = re.compile(r"(?i)(?:^|[,:;.]\s+|\band\s+|\bthen\s+)(?:do not|don't|never)\b")
_SOFT: Final = re.compile(
    r"(?i)\b(?:should|must|shall|ought to|has to|have to|had to be|you|your|(?:is|are) to be)\b"
)
_IF: Final = re.compile(r"(?i)\w[^,;:.]*(?<!\bonly)(?<!\bsee)(?<!\bas)\s(?:if|unless)\b")
"""A condition with something before it; 'see if', 'as if' are none, 'only if' opens one."""
_AFTER: Final = ("good", "bad", "close-out")
_CLAUSE: Final = re.compile(r"(?<=[.;!?])\s+")


def most_words(use: Use) -> int:
    """Return how many words a sentence of a text for ``use`` may have."""
    return PROCEDURE if use in ("act", "caution") else DESCRIPTION


def long_sentences(text: str, use: Use) -> Iterator[tuple[str, int]]:
    """Yield the sentences of a text that are too long for its ``use``, with their words."""
    for sentence in sentences(text):
        # what a colon or semicolon parts is read in parts
        count = max(len(words(part)) for part in re.split(r"[:;]\s", sentence))
        if count > most_words(use):
            yield sentence, count


@finds(LONG, MANY, doing="wording: length")
def length(base: Base) -> Iterator[Found]:
    """Yield sentences and texts that are too long to act on."""
    for t in texts(base.library):
        if t.use == "name":
            continue
        every = sentences(t.text)
        for sentence, count in long_sentences(t.text, t.use):
            text = (
                f"'{t.name}' has a sentence of {count} words ('{sentence[:40]}...'), more than"
                f" {most_words(t.use)}; make two of it"
            )
            yield base.found(LONG, t.item, text, t.origin, *t.keys)
        if len(every) > PARAGRAPH:
            text = f"'{t.name}' has {len(every)} sentences, more than {PARAGRAPH}; split it"
            yield base.found(MANY, t.item, text, t.origin, *t.keys)


@finds(NOT_A_COMMAND, SOFT, doing="wording: commands")
def commands(base: Base) -> Iterator[Found]:
    """Yield instructions that do not tell anybody to do anything."""
    for t in texts(base.library):
        if not t.text or t.use not in ("act", "caution"):
            continue
        soft = _SOFT.search(t.text)
        if soft:
            text = f"'{t.name}' says '{soft.group()}'; give the command itself"
            yield base.found(SOFT, t.item, text, t.origin, *t.keys)
        first = sentences(t.text)[0]
        # what to see afterwards is a state, not an act; a warning may state the fact that warns
        if t.keys[0] not in ("verify", "warns") and not is_command(first):
            text = f"'{t.name}' begins '{first[:30]}', which is no command; begin with the verb"
            yield base.found(NOT_A_COMMAND, t.item, text, t.origin, *t.keys)


def is_command(sentence: str) -> bool:
    """Return whether a sentence begins with what to do, or with a condition of it."""
    first = words(sentence)[:1]
    if not first:
        return False
    word = first[0].lower()
    return word in COMMANDS or word in _CONDITION or bool(_NOT.match(sentence))


@finds(LATE, AFTERTHOUGHT, doing="wording: warnings and conditions first")
def warnings_first(base: Base) -> Iterator[Found]:
    """Yield warnings and conditions that stand behind the act they belong to."""
    for t in texts(base.library):
        # what to see afterwards may hang on what was seen before
        if t.use in ("act", "caution") and t.keys[0] != "verify":
            behind = next((c for c in _CLAUSE.split(t.text) if _IF.search(c)), "")
            if behind:
                text = f"'{t.name}' has its condition last: '{behind[:60]}'; put it first"
                yield base.found(AFTERTHOUGHT, t.item, text, t.origin, *t.keys)
        if t.use not in ("act", "tell") or t.keys[0] not in _PROCEDURES:
            continue
        late = _late(t)
        if late:
            text = f"'{t.name}' warns late: '{late[:60]}'; put it before the act or list a hazard"
            yield base.found(LATE, t.item, text, t.origin, *t.keys)


_PROCEDURES: Final = ("how", "aim", "steps", "rectify", "verify", *_AFTER)


def _late(t: Text) -> str:
    clauses = [c for c in _CLAUSE.split(t.text) if c.strip()]
    for n, clause in enumerate(clauses):
        if _NOT.search(clause) and (
            t.keys[0] in ("good", "bad") or (n and not _NOT.search(clauses[0]))
        ):
            return clause
    return ""
