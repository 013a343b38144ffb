"""Checks that span files: every name used exists, and what is joined can ever meet."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from typing import Any

from diagnose.errors import Origin
from diagnose.knowledge_files.gather import Gather, Ref
from diagnose.knowledge_files.vocabulary import PART_KINDS, PUBLISHED, RELATION_KINDS
from diagnose.model import (
    Cause,
    CauseCheck,
    Check,
    Effect,
    Question,
    Source,
    Symptom,
    literals_of,
)

FOLDERS: Mapping[str, str] = {
    "effect": "effects/{}.yaml",
    "question": "questions/{}.yaml",
    "symptom": "symptoms/{}.yaml",
    "cause": "causes/<family>/{}.yaml",
    "check": "checks/{}.yaml",
    "hazard": "hazards/{}.yaml",
    "source": "sources.yaml",
}
"""Kind of item -> where it would have to be added."""

_VALUES: Mapping[str, tuple[str, Callable[[Any], Collection[str]]]] = {
    "effect": ("value", lambda item: item.values),
    "question": ("class", lambda item: tuple(item.classes)),
    "check": ("result", lambda item: tuple(item.results)),
}


def resolve(gather: Gather, items: Mapping[str, Mapping[str, Any]]) -> None:
    """Note every reference to an item, or to a value of an item, that does not exist.

    A kind left out of ``items`` could not be read and is not checked; an item that is None stands
    in a file that could not be read.
    """
    seen: set[tuple[str, str, Origin]] = set()
    for ref in gather.refs:
        known, name = items.get(ref.kind), ref.name
        if known is None:
            continue
        if name in known:
            _value(gather, ref, known[name])
        elif (ref.kind, name, name.origin) not in seen:
            # several values may hang on one misspelt name; it is blamed once
            seen.add((ref.kind, name, name.origin))
            where = FOLDERS[ref.kind].format(name if len(name) <= 60 else "...")
            verb = "add it to" if ref.kind == "source" else "add"
            gather.unknown(name, ref.kind, known, f"Correct the name or {verb} {where}.")


def _value(gather: Gather, ref: Ref, item: Any) -> None:
    if item is not None and ref.value and ref.kind in _VALUES:
        word, values = _VALUES[ref.kind]
        if ref.value not in values(item):
            gather.unknown(ref.value, f"{word} of {ref.kind} '{ref.name}'", values(item))


def questions(gather: Gather, found: Mapping[str, Question], effects: Mapping[str, Effect]) -> None:
    """Note questions asked at another kind of place than the effect they read."""
    for question in found.values():
        effect = effects.get(question.reads)
        if effect is not None and set(question.at) - set(effect.at):
            gather.add(
                question.origin,
                f"the question is asked at {_or(question.at)} but effect '{effect.id}' is at "
                f"{_or(effect.at)}; make them agree",
            )


def causes(
    gather: Gather,
    found: Mapping[str, Cause],
    effects: Mapping[str, Effect],
    asked: Mapping[str, Question],
    checks: Mapping[str, Check],
) -> None:
    """Note rows of causes that could never apply to anything."""
    for cause in found.values():
        for row in cause.produces:
            if row.effect in effects:
                _produces(gather, cause, row.origin, row.value, row.at, effects[row.effect])
                _when(gather, row.origin, row.when, effects[row.effect])
        for distorted in cause.distorts:
            question = asked.get(distorted.question)
            # only an instrument the question names can bend its answer
            if question is not None and not set(cause.part_kinds) & set(question.instruments):
                gather.add(
                    distorted.origin,
                    f"question '{question.id}' does not list {_or(cause.part_kinds)} under "
                    "'instruments'; add it there, or this row never applies",
                )
            if question is not None and question.reads in effects:
                _when(gather, distorted.origin, distorted.when, effects[question.reads])
        for one in cause.at_checks:
            check = checks.get(one.check)
            if check is not None:
                _check(gather, cause, one, check)


def _produces(
    gather: Gather, cause: Cause, origin: Origin, value: str, at: str, effect: Effect
) -> None:
    if effect.values and value == effect.values[0]:
        gather.add(
            origin,
            f"'{value}' is the normal value of '{effect.id}' and needs no cause; say instead which "
            "other value comes, or 'how-often: never' of it",
        )
    if not _meets(cause.part_kinds, at, effect.at):
        gather.add(
            origin,
            f"effect '{effect.id}' is at {_or(effect.at)}, which '{at}' from "
            f"{_or(cause.part_kinds)} never is; correct 'at' or the effect",
        )


def _when(
    gather: Gather, origin: Origin, when: Mapping[str, tuple[str, ...]], effect: Effect
) -> None:
    for dimension in when:
        # two findings are one instance of the effect unless a dimension it lists differs
        if dimension not in effect.depends_on:
            gather.add(
                origin,
                f"'when' speaks of {dimension}, which effect '{effect.id}' does not list under "
                "'depends-on'; add it there or drop it here",
            )


def _check(gather: Gather, cause: Cause, one: CauseCheck, check: Check) -> None:
    if not _meets(cause.part_kinds, one.at, check.at):
        gather.add(
            one.origin,
            f"check '{check.id}' is done at {_or(check.at)}, which '{one.at}' from "
            f"{_or(cause.part_kinds)} never is; correct 'at' or the check",
        )
    if one.result and one.result == check.nothing_found:
        gather.add(
            one.origin,
            f"result '{one.result}' of check '{check.id}' means that nothing was found, as the "
            "first under its 'results' always does; name another here, or list that first there",
        )


def _meets(kinds: Collection[str], relation: str, wanted: Collection[str]) -> bool:
    """Say whether ``relation`` from a part of ``kinds`` can lead to one of ``wanted``.

    A kind that is not known was told where it stands; what it leads to is no further mistake.
    """
    if relation == "itself":
        return bool(set(kinds) & set(wanted)) or not {*kinds, *wanted} <= {*PART_KINDS}
    reached = RELATION_KINDS.get(relation)
    return reached is None or bool(set(reached) & set(wanted))


def _or(words: Collection[str]) -> str:
    return " or ".join(f"'{word}'" for word in words)


def steps(gather: Gather, found: Mapping[str, Check], sources: Mapping[str, Source]) -> None:
    """Note steps printed without a published source behind them: they could hurt someone."""
    for check in found.values():
        # steps out of somebody's memory could hurt someone; an aim and cautions cannot
        kinds = {sources[ref.id].kind for ref in check.sources if ref.id in sources}
        if check.steps and not kinds & set(PUBLISHED):
            gather.add(
                check.origin,
                "steps need a published source; name it, or state aim, conditions, good and bad "
                "and leave the steps to the approved data",
                "steps",
            )


def symptoms(gather: Gather, found: Mapping[str, Symptom], asked: Mapping[str, Question]) -> None:
    """Note rules that contradict themselves, and literals that no finding could ever meet."""
    for symptom in found.values():
        same = set(symptom.points_to) & (set(symptom.against) | set(symptom.never_with))
        for name in sorted(same):
            text = f"the symptom points to '{name}' and speaks against it; keep one of the two"
            gather.add(symptom.origin, text, "contradiction")
        for literal in literals_of(symptom.when):
            item = (asked if literal.kind == "sign" else found).get(literal.name)
            if item is not None and not _meets(symptom.at, literal.at, item.at):
                gather.add(
                    literal.origin,
                    f"'{literal.name}' is of {_or(item.at)}, which '{literal.at}' from "
                    f"{_or(symptom.at)} never is; correct 'at'",
                )
