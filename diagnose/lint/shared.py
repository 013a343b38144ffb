"""Work that is written down twice instead of once."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from typing import Final

from diagnose.errors import Origin
from diagnose.lint.base import Base, listed
from diagnose.lint.codes import Found, code, finds
from diagnose.lint.prose import sentences, texts, words

STEP = code(
    "SHARED-01",
    "shared step written twice",
    means="The same instruction of some length stands in several checks or causes, word for word.",
    matters="It will be corrected in one place and not in the others.",
    do="Write it once: as a hazard if it is a caution, else keep one and say in the others what is"
    " particular to them.",
)
CHECK = code(
    "SHARED-02",
    "check written twice",
    means="Two checks are done at one kind of part with the same results, the same access and the"
    " same aeroplane state.",
    matters="The job offers one act twice, and each does half of what it could.",
    do="Make one check of the two, naming all the causes it settles.",
)

LONG: Final = 12
"""Words from which a repeated sentence is a step of its own; 'Refit, lock, look for leaks.' is
how the trade ends any work."""


@finds(STEP, doing="steps written twice")
def steps(base: Base) -> Iterator[Found]:
    """Yield long instructions that stand in several items."""
    seen: dict[str, list[tuple[str, Origin, str]]] = defaultdict(list)
    for t in texts(base.library):
        if t.use in ("act", "caution"):
            for sentence in sentences(t.text):
                if len(words(sentence)) >= LONG:
                    place = base.where(t.origin, *t.keys)
                    seen[_plain(sentence)].append((t.item, place, sentence))
    for uses in seen.values():
        items = list(dict.fromkeys(item for item, _, _ in uses))
        if len(items) > 1:
            item, origin, sentence = uses[0]
            text = (
                f"'{sentence[:50]}...' stands in {listed(items[1:])} as well; write it once and"
                " keep there what is particular"
            )
            yield Found(origin, STEP.id, text, item)


def _plain(sentence: str) -> str:
    return " ".join(re.findall(r"[a-z0-9]+", sentence.lower()))


@finds(CHECK, doing="checks written twice")
def checks(base: Base) -> Iterator[Found]:
    """Yield pairs of checks that are one act."""
    first: dict[object, str] = {}
    for check in base.library.checks.values():
        same = (
            frozenset(check.at),
            frozenset(_plain(label) for label in check.results.values()),
            check.access,
            frozenset(check.aeroplane.items()),
        )
        other = first.setdefault(same, check.id)
        if other != check.id:
            where = base.library.checks[other].origin
            text = f"is the check '{other}' ({where}) over again; make one of the two"
            yield base.found(CHECK, f"checks/{check.id}", text, check.origin)
