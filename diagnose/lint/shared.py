"""Work that is written down twice instead of once."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from typing import Final

from diagnose.errors import Origin
from diagnose.lint.base import Base, listed
from diagnose.lint.codes import Found, code, finds
from diagnose.lint.prose import Text, sentences, texts, words

STEP = code(
    "SHARED-01",
    "shared step written twice",
    means="The same instruction of some length stands in several checks or causes, word for word.",
    matters="It will be corrected in one place and not in the others.",
    do="Write it once: as a hazard if it is a caution, else in steps.yaml, and name it where it is"
    " used: {shared: <step>}.",
)
UNUSED_STEP = code(
    "SHARED-03",
    "shared step that nothing names",
    means="A step stands in steps.yaml and no item names it.",
    matters="It is kept up for nothing.",
    do="Name it where it belongs, or delete it.",
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


@finds(STEP, UNUSED_STEP, doing="steps written twice")
def steps(base: Base) -> Iterator[Found]:
    """Yield long instructions that stand in several items, and shared steps that nothing names."""
    shared = {_plain(s): name for name, text in base.library.steps.items() for s in sentences(text)}
    seen: dict[str, list[tuple[Text, str]]] = defaultdict(list)
    acts = [t for t in texts(base.library) if t.use in ("act", "caution")]
    for t in acts:
        for sentence in sentences(t.text):
            if len(words(sentence)) >= LONG:
                seen[_plain(sentence)].append((t, sentence))
    for plain, uses in seen.items():
        t, sentence = uses[0]
        items = list(dict.fromkeys(use.item for use, _ in uses))
        if plain in shared:
            for use, _ in uses:
                if base.is_spelt_out(use.origin, *use.keys):
                    text = (
                        f"'{use.name}' spells out '{sentence[:50]}...', the shared step"
                        f" '{shared[plain]}'; name it instead: {{shared: {shared[plain]}}}"
                    )
                    yield base.found(STEP, use.item, text, use.origin, *use.keys)
        elif len(items) > 1:
            text = (
                f"'{sentence[:50]}...' stands in {listed(items[1:])} as well; write it once in"
                " steps.yaml and name it here"
            )
            yield base.found(STEP, t.item, text, t.origin, *t.keys)
    for number, (name, text) in enumerate(base.library.steps.items()):
        if not any(text in t.text for t in acts):
            where = base.where(Origin(base.steps_file, 1, 1), "steps", number)
            said = f"shared step '{name}' is named by nothing; name it where it belongs or drop it"
            yield Found(where, UNUSED_STEP.id, said, f"steps/{name}")


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
