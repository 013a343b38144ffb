"""Checks and questions that do not fit a layout on which they are offered."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from typing import Final

from diagnose.lint.base import Base, OnLayout
from diagnose.lint.codes import Found, code, finds
from diagnose.model import Check

NO_PART = code(
    "FIT-01",
    "check that needs a part the layout does not have",
    means="A check offered on a layout speaks of a booster, hand pump, cross-feed, selector or the"
    " like, and that layout has none.",
    matters="Whoever reads it looks for a part that is not there and trusts the rest less.",
    do="Say 'where fitted', give the check an 'only-if', or name another check for such layouts.",
)
NO_OTHER = code(
    "FIT-02",
    "check that needs a second one where there is one",
    means="A check offered on a layout compares or exchanges with the neighbour, the other engine"
    " or another tank, and that layout has only one.",
    matters="It cannot be done, though its minutes were planned.",
    do="Give the check an 'only-if: {several-<kind>: yes}', or say what to compare with instead.",
)

_PARTS: Final = (
    (re.compile(r"(?i)\b(?:booster|electric (?:fuel )?pump)s?\b"), ("booster-pump",)),
    (re.compile(r"(?i)\b(?:hand pump|wobble pump)s?\b"), ("hand-pump",)),
    (re.compile(r"(?i)\bcross-?feed"), ("cross-feed-cock",)),
    (re.compile(r"(?i)\bselector\b"), ("selector-cock",)),
    (re.compile(r"(?i)\bjettison"), ("jettison-valve", "jettison-control")),
    (re.compile(r"(?i)\btransfer (?:valve|pump)"), ("transfer-valve", "transfer-pump")),
    (re.compile(r"(?i)\bflow meter\b"), ("flow-meter",)),
    (re.compile(r"(?i)\bprimer\b"), ("primer",)),
    (re.compile(r"(?i)\bvapour return\b"), ("vapour-return",)),
)
"""Words of a check, and the kinds of part of which the layout needs one."""

_OTHERS: Final = (
    (re.compile(r"(?i)\b(?:other|next|each|every|another|both) engines?\b"), "engine"),
    (re.compile(r"(?i)\b(?:other|another|both|next) tanks?\b"), "tank"),
    (re.compile(r"(?i)\b(?:both|other|another|two) caps?\b"), "filler-cap"),
)
_EXCHANGE: Final = re.compile(r"(?i)\b(?:exchange|swap|neighbour)")
_FITTED: Final = re.compile(
    r"(?i)\b(?:where|if|when)\b[^.;]{0,40}\b(?:fitted|any|one|has|there|call|calls)\b"
)
"""'where fitted', 'if there is one': the check itself says that it may not be there."""


@finds(NO_PART, NO_OTHER, doing="checks: fit the layouts they are offered on")
def checks_fit(base: Base) -> Iterator[Found]:
    """Yield checks whose words ask for parts that the layout does not have."""
    lacking: dict[tuple[str, str, str], list[str]] = defaultdict(list)
    for on in base.on.values():
        for name in sorted({check for check, _ in on.catalogue.checks}):
            for code_id, what in _lacks(on, base.library.checks[name]):
                lacking[code_id, name, what].append(on.layout.id)
    for (code_id, name, what), layouts in lacking.items():
        check = base.library.checks[name]
        found = NO_PART if code_id == NO_PART.id else NO_OTHER
        remedy = "say 'where fitted'" if found is NO_PART else "say what to compare with instead"
        text = f"speaks of '{what}', but is offered on {', '.join(layouts)} without; {remedy}"
        text += " or give it an 'only-if'"
        yield base.found(found, f"checks/{name}", text, check.origin)


def _lacks(on: OnLayout, check: Check) -> Iterator[tuple[str, str]]:
    kinds: dict[str, int] = defaultdict(int)
    for part in on.layout.parts.values():
        kinds[part.kind] += 1
    kinds["tank"] += kinds["header-tank"]
    words = (check.title, check.aim, *check.steps, *check.tools)
    for text in words:
        for pattern, wanted in _PARTS:
            found = pattern.search(text)
            if found and not any(kinds[k] for k in wanted) and not _FITTED.search(text):
                yield NO_PART.id, found.group().lower()
        for pattern, kind in _OTHERS:
            found = pattern.search(text)
            if found and kinds[kind] < 2 and not _FITTED.search(text):
                yield NO_OTHER.id, found.group().lower()
    if _EXCHANGE.search(check.title) and not any(kinds[k] > 1 for k in check.at):
        yield NO_OTHER.id, check.title.lower()
