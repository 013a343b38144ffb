"""Findings read in time order: what a good reading before or after a bad one says.

'Run-up normal, stopped in the climb' is one story, not an answer and its correction: the fault
came on during running.  'Faded in the climb, ran normally on the ground afterwards' is another:
it went off by itself.  The good finding of such a pair is read as the answer to the question that
asks for just that (``implied-by`` in the question's file), so it still counts once and only once.
What it said of the others of its kind ('the others normal') is no part of the pair and is kept.

Where run states make no difference to what is asked for (a smell, a stain), a good finding of
another stage is no correction either: what showed once has shown.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from diagnose.model import AEROPLANE, STAGES, Finding, ImpliedBy, Library, Question, agree
from diagnose.signs import instance_of, normal_class

_ORDER = {stage: k for k, stage in enumerate(STAGES)}


def read_in_time(findings: Sequence[Finding], library: Library) -> tuple[Finding, ...]:
    """Return ``findings``, in the same order and number, with the good one of each pair retold.

    Where the question was answered outright, that answer stands and the good finding is dropped
    (value '').  Answers given twice for one stage are corrections and are left to ``signs_of``.
    """
    out = list(findings)
    for question in library.questions.values():
        if question.implied_by is not None:
            _retell(out, question, question.implied_by, library)
    return tuple(_showed_once(out, library))


def _retell(out: list[Finding], question: Question, rule: ImpliedBy, library: Library) -> None:
    # asked of the complaint as a whole, or of the part the findings speak of
    whole = AEROPLANE in question.at
    answered = {f.at for f in out if f.question == question.id and f.value}
    for later in range(1, len(out)):
        for earlier in range(later):
            first, second = out[earlier], out[later]
            if first.question not in rule.of or not _one_thing(first, second):
                continue
            asked = library.questions[first.question]
            normal = normal_class(asked, library)
            if not _changed(rule.change, first, second, normal):
                continue
            good = earlier if rule.change == "came-on" else later
            value = rule.gives.get(second.state.stage, "")
            if value:
                told = out[good]
                at = AEROPLANE if whole else told.at
                out[good] = replace(
                    told,
                    question=question.id,
                    at=at,
                    value="" if at in answered else value,
                    others_normal=False,
                    number=None,
                    typed="",
                    told=told,
                )


def _showed_once(findings: Sequence[Finding], library: Library) -> list[Finding]:
    """Return ``findings`` with each good one dropped that another stage's bad one outweighs."""
    bad: dict[object, set[str]] = {}
    normal: dict[str, str] = {}
    for f in findings:
        if f.value and f.state.stage and not f.check and not f.one_of_places:
            asked = library.questions[f.question]
            normal[f.question] = normal_class(asked, library)
            if f.surely_not(normal[f.question]):
                bad.setdefault(_thing(f, library), set()).add(f.state.stage)
    return [
        replace(f, value="", number=None, told=f)
        if f.question in normal
        and f.value
        and f.state.stage
        and f.surely(normal[f.question])
        and bad.get(_thing(f, library), set()) - {f.state.stage}
        else f
        for f in findings
    ]


def _thing(finding: Finding, library: Library) -> object:
    """Return what a finding speaks of: the question and the instance of the effect it reads."""
    effect = library.effect_of(finding.question)
    known = finding.state.known()
    return finding.question, instance_of(effect, finding.at, known, finding.epoch)


def _one_thing(first: Finding, second: Finding) -> bool:
    """Return whether both speak of one thing, in states that differ in no setting but the stage."""
    if (first.question, first.at, first.epoch) != (second.question, second.at, second.epoch):
        return False
    if not first.value or not second.value or first.check or second.check:
        return False
    if first.one_of_places or second.one_of_places:
        return False
    a, b = first.state, second.state
    if not a.stage or not b.stage or a.stage == b.stage:
        return False
    return agree(a.known(), b.known())


def _changed(change: str, first: Finding, second: Finding, normal: str) -> bool:
    if change == "went-off":
        return first.surely_not(normal) and second.surely(normal)
    onward = _ORDER[second.state.stage] > _ORDER[first.state.stage]
    return first.surely(normal) and second.surely_not(normal) and onward
