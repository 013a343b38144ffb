"""Checks and questions that do not fit a layout on which they are offered."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from typing import Final

from diagnose.lint.base import Base
from diagnose.lint.codes import Found, code, finds
from diagnose.model import Check, Question

NO_PART = code(
    "FIT-01",
    "work that needs a part the layout does not have",
    means="A check or question offered on a layout speaks of a booster, hand pump, cross-feed,"
    " selector or the like, and that layout has none.",
    matters="Whoever reads it looks for a part that is not there and trusts the rest less.",
    do="Say 'where fitted', give it an 'only-if: {has-<kind>: yes}', or name another for such"
    " layouts.",
)
NO_OTHER = code(
    "FIT-02",
    "work that needs a second one where there is one",
    means="A check or question offered on a layout compares or exchanges with the neighbour, the"
    " other engine or another tank, and that layout has only one.",
    matters="It cannot be done, though its minutes were planned.",
    do="Give it an 'only-if: {several-<kind>: yes}', or say what to compare with instead.",
)
NO_INSTRUMENT = code(
    "FIT-03",
    "reading of an instrument the layout does not have",
    means="A question is asked on a layout that has none of the instruments it is read from.",
    matters="A person is asked what a gauge reads that is not there.",
    do="Give the question an 'only-if: {has-<kind>: yes}' for the gauge, lamp or meter.",
)
NO_SUCH_ANSWER = code(
    "FIT-04",
    "answer that names a part the layout does not have",
    means="A question is asked on a layout, and one of its answers speaks of a booster, primer,"
    " cross-feed, other engine or the like, of which that layout has none.",
    matters="It is offered and can never be given; whoever reads it looks for a part that is not"
    " there.",
    do="Say 'where fitted' in the answer, name what every layout has, or give the question an"
    " 'only-if: {has-<kind>: yes}'.",
)

_EITHER: Final = re.compile(r"(?i)\b(?:booster|electric pump|primer) or (?:the )?hand pump\b")
"""Two ways of one act: one of the two is enough."""

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
    (re.compile(r"(?i)\b(?<!master )(?:fuel )?pressure gauge\b"), ("pressure-gauge",)),
    (re.compile(r"(?i)\b(?:warning|pressure) lamp\b"), ("warning-lamp",)),
    (re.compile(r"(?i)\bcontents gauge\b"), ("contents-gauge",)),
)
"""Words of a check or question, and the kinds of part of which the layout needs one."""

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


@finds(
    NO_PART,
    NO_OTHER,
    NO_INSTRUMENT,
    NO_SUCH_ANSWER,
    doing="checks and questions: fit their layouts",
)
def work_fits(base: Base) -> Iterator[Found]:
    """Yield checks and questions that ask for parts which a layout they are offered on lacks."""
    lacking: dict[tuple[str, str, str], list[str]] = defaultdict(list)
    for on in base.on.values():
        kinds = Counter(part.kind for part in on.layout.parts.values())
        kinds["tank"] += kinds["header-tank"]
        for name in sorted({check for check, _ in on.catalogue.checks}):
            check = base.library.checks[name]
            texts = (check.title, check.aim, *check.steps, *check.tools)
            for code_id, what in _lacks(kinds, texts):
                lacking[code_id, f"checks/{name}", what].append(on.layout.id)
            if _EXCHANGE.search(check.title) and not any(kinds[k] > 1 for k in check.at):
                key = (NO_OTHER.id, f"checks/{name}", check.title.lower())
                lacking[key].append(on.layout.id)
        for name in sorted({r.question for r in on.catalogue.readings}):
            question = base.library.questions[name]
            item = f"questions/{name}"
            for code_id, what in _lacks(kinds, (question.title, question.ask, question.how)):
                lacking[code_id, item, what].append(on.layout.id)
            for _, what in _lacks(kinds, question.classes.values()):
                lacking[NO_SUCH_ANSWER.id, item, what].append(on.layout.id)
            if question.instruments and not any(kinds[k] for k in question.instruments):
                what = " or ".join(question.instruments)
                lacking[NO_INSTRUMENT.id, item, what].append(on.layout.id)
    for (code_id, item, what), layouts in lacking.items():
        yield _found(base, code_id, item, what, layouts)


def _found(base: Base, code_id: str, item: str, what: str, layouts: list[str]) -> Found:
    folder, _, name = item.partition("/")
    library = base.library
    known: Mapping[str, Check | Question]
    known = library.checks if folder == "checks" else library.questions
    where = ", ".join(dict.fromkeys(layouts))
    if code_id == NO_INSTRUMENT.id:
        text = f"is read from {what}, but is asked on {where} without; give it an 'only-if'"
    else:
        remedy = "say what to compare with" if code_id == NO_OTHER.id else "say 'where fitted'"
        speaks = "has an answer that speaks" if code_id == NO_SUCH_ANSWER.id else "speaks"
        text = f"{speaks} of '{what}', but is offered on {where} without; {remedy}"
        text += " or give it an 'only-if'"
    return Found(known[name].origin, code_id, text, item)


def _lacks(kinds: Counter[str], texts: Iterable[str]) -> Iterator[tuple[str, str]]:
    for text in texts:
        if _FITTED.search(text):
            continue
        if any(kinds[k] for k in ("booster-pump", "hand-pump", "primer")):
            text = _EITHER.sub("pump", text)
        for pattern, wanted in _PARTS:
            found = pattern.search(text)
            if found and not any(kinds[k] for k in wanted):
                yield NO_PART.id, found.group().lower()
        for pattern, kind in _OTHERS:
            found = pattern.search(text)
            if found and kinds[kind] < 2:
                yield NO_OTHER.id, found.group().lower()
