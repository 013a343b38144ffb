"""One root for all forms of a word: 'surged', 'surges' and 'surging'; 'fell' and 'falls'; '5'.

Regular endings go by rule, irregular verbs by a list.  A root is compared with roots only and
never shown.  A stemmer of a library was weighed: it knows no 'fell' of 'fall', and makes one word
of 'generator' and 'general'.
"""

from __future__ import annotations

import re
from functools import lru_cache

from diagnose.job.hearing.plain_words import NEVER_READ


def _each(words: str) -> list[str]:
    return words.split()


_IRREGULAR = """
be is are was were been being am / have has had having / do does did doing done / will would /
may might / shall should / begin began begun / bleed bled / blow blew blown /
bring brought / build built / burn burnt / catch caught / choke choked / come came / creep crept /
cut cutting / deal dealt / die dies died dying / draw drew drawn / drive drove driven / feed fed /
feel felt / fall fell fallen / find found / flee fled / fly flew flown / freeze froze frozen /
get got gotten / give gave given / go goes went gone going / grow grew grown / hang hung /
hear heard / hold held / keep kept / lag lagged / lay laid / lead led / lean leaned leant / lie lies
lying lay / lift lifted / lose lost / make made / put putting / quit quitting quits / read reading /
ride rode / ring rang rung / rise rose risen / run ran running / say said / see saw seen /
shake shook shaken / shine shone / show shown showed / shrink shrank shrunk / sink sank sunk /
sit sat sitting / smell smelt / spill spilt / spin spun / spit spat spitting / spring sprang
sprung / stand stood / stick stuck / stink stank stunk / strike struck / swing swung / take took
taken / tell told / throw threw thrown / tie ties tied tying / try tried tries / turn turned /
weep wept / wind wound / wear wore worn / loss losses / not cannot / half halves / stood standing
"""
_ROOT_OF = {form: forms.split()[0] for forms in _IRREGULAR.split("/") for form in forms.split()[1:]}
_ITSELF = (NEVER_READ - {"cannot"}) | set(
    _each(
        "stop stick evening morning during always this his thus plus gas less across bus lean "
        "hundred king thing bowser drum drums nothing something everything anything"
    )
)
"""Words that are no form of another: a handle has a stop, and what stopped is an engine; a
stick is dipped, and what sticks is a gauge."""


def irregular_forms(words: frozenset[str]) -> frozenset[str]:
    """Return every irregular form of the verbs of which ``words`` has a form."""
    roots = {root(word) for word in words}
    return frozenset(form for form, base in _ROOT_OF.items() if root(base) in roots)


_VOWEL = re.compile("[aeiouy]")
_HISSING = ("ses", "xes", "zes", "ches", "shes", "oes")
_DOUBLES = re.compile(r"[^aeiou]+[aeiou][^aeiouwxy]")
"""A word of one syllable that doubles its last letter before an ending: 'stop', 'stopped'."""
_LEAST, _LEAST_LY, _LEAST_ION = 3, 4, 6
"""Letters left of a word before an ending counts as one."""


NUMBERS = dict(
    zip(
        map(str, (*range(1, 21), 30, 40, 50, 60, 90)),
        _each(
            "one two three four five six seven eight nine ten eleven twelve thirteen fourteen "
            "fifteen sixteen seventeen eighteen nineteen twenty thirty forty fifty sixty ninety"
        ),
        strict=True,
    )
)
"""The word for each figure that people write out."""


@lru_cache(maxsize=8192)
def root(word: str) -> str:
    """Return what all forms of ``word`` (lower case) have in common."""
    word = word.removesuffix("'s")
    word = NUMBERS.get(word, word)
    if word in _ITSELF:
        return f"{word}."
    word = _ROOT_OF.get(word, word)
    if len(word) <= _LEAST:
        return word
    cut = _without_ending(word)
    cut = cut[:-1] if cut.endswith("e") and len(cut) > _LEAST else cut
    if len(cut) > _LEAST and cut[-1] == cut[-2]:
        cut = cut[:-1]
    return f"{cut[:-1]}i" if cut.endswith("y") else cut


def _without_ending(word: str) -> str:
    if word.endswith(("ies", "ied")):
        return f"{word[:-3]}y"
    if word.endswith("ly") and len(word) - 2 >= _LEAST_LY:
        return word[:-2]
    if word.endswith("ion") and len(word) - 3 >= _LEAST_ION:
        return word[:-3]
    for ending in ("ing", "ed"):
        rest = word.removesuffix(ending)
        if rest != word and len(rest) >= _LEAST and _VOWEL.search(rest) and rest[-1] != "e":
            return rest
    if word.endswith("s") and not word.endswith(("ss", "us", "is")):
        return word[:-1]
    return word


def regular_of(word: str) -> frozenset[str]:
    """Return the words of which ``word`` is a form made by rule: 'dripped' of 'drip' alone.

    Narrower than ``root``, which lets 'engin' and 'engine' pass for one: here a slip must show.
    """
    found = set()
    if word.endswith(("ies", "ied")):
        found.add(f"{word[:-3]}y")
    if word.endswith("s") and not word.endswith("ss"):
        found.add(word[:-1])
        if word.endswith(_HISSING):
            found.add(word[:-2])
    for end in ("ed", "ing"):
        bare = word.removesuffix(end)
        if bare == word or len(bare) < 3:
            continue
        found.add(f"{bare}e")
        if bare[-1] == bare[-2] and bare[-1] not in "aeiouy":
            found.add(bare)  # 'filled'
            if bare[-1] == "l" or _DOUBLES.fullmatch(bare[:-1]):
                found.add(bare[:-1])  # 'stopped'
        elif not bare.endswith("e") and not _DOUBLES.fullmatch(bare):
            found.add(bare)
    return frozenset(found)
