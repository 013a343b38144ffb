"""Findings -> signs: what counts, where, in which state, and which effect instance it speaks of.

Both the rules and the belief start here, so that a finding means the same to both: 'not checked'
drops out, 'the others are normal' becomes one sign for each other place, and each sign knows the
effect instance (effect, place, the run-state settings that matter to it, epoch) it is evidence on.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from diagnose.model import AEROPLANE, ELSEWHERE, Effect, Finding, Layout, Library, Question

InstanceKey = tuple[str, str, tuple[tuple[str, str], ...], int]
"""(effect or check id, place, sorted known settings that matter, epoch)."""


@dataclass(frozen=True)
class Sign:
    """The class of one finding at one place; ``index`` is the finding it came from.

    Where only several classes are known, of which it is one, they stand in ``one_of``.
    """

    question: str
    place: str
    value: str
    known: tuple[tuple[str, str], ...]
    instance: InstanceKey
    known_by: str
    index: int
    check: bool = False
    implied: bool = False  # from 'the others are normal'
    tries: int = 1  # the class was seen ``seen`` times in so many tries, else the normal one
    seen: int = 1
    chances: tuple[tuple[str, float], ...] = ()  # class -> chance that the figure lies there
    figure: float | None = None  # as read, SI
    one_of: tuple[str, ...] = ()  # the classes of which it is one, not known which

    @property
    def classes(self) -> tuple[str, ...]:
        """Return the classes it may be, one where it is known."""
        return self.one_of or (self.value,)

    def settings(self) -> Mapping[str, str]:
        """Return the known run-state settings as a mapping."""
        return dict(self.known)


def normal_class(question: Question, library: Library) -> str:
    """Return the class the question most often shows when what it reads is normal."""
    row = question.shows[library.effects[question.reads].values[0]]
    return max(row, key=lambda c: (row[c], c))


def is_normal(finding: Finding, library: Library) -> bool:
    """Return whether the finding of a question surely shows what is normal."""
    return finding.surely(normal_class(library.questions[finding.question], library))


def value_of(question: Question, shown: str) -> str:
    """Return the value of the effect that a class of ``question`` speaks of most."""
    return max(question.shows, key=lambda v: question.shows[v].get(shown, 0.0))


def instance_of(effect: Effect, place: str, known: Mapping[str, str], epoch: int) -> InstanceKey:
    """Return the effect instance a finding speaks of: only the settings that matter make it."""
    matters = (
        d
        for d in known
        if d in effect.depends_on or d == ELSEWHERE or (d == "tank" and effect.in_use)
    )
    return (effect.id, place, tuple(sorted((d, known[d]) for d in matters)), epoch)


def of_one_state(sign: Sign, named: Sign, effect: Effect) -> bool:
    """Return whether ``sign``, which reads ``effect``, is of the run state that ``named`` states.

    It is when both state the same of every setting that matters to ``effect``, where nothing stated
    is the same as nothing stated only.  Which tank feeds is a setting of each place's own.
    """
    known = named.settings()
    here = sign.place == named.place
    there = instance_of(effect, sign.place, known, named.instance[3])
    mine, its = (
        tuple((d, v) for d, v in key[2] if here or d != "tank") for key in (sign.instance, there)
    )
    return sign.instance[3] == named.instance[3] and mine == its


def signs_of(findings: Iterable[Finding], library: Library, layout: Layout) -> tuple[Sign, ...]:
    """Return the signs of ``findings`` that count, each with the position of its finding."""
    return counting(
        sign for k, f in enumerate(findings) for sign in signs_in(f, library, layout, k)
    )


def counting(signs: Iterable[Sign]) -> tuple[Sign, ...]:
    """Return those of ``signs`` that count, in order: a later answer replaces an earlier one."""
    out: dict[tuple[str, InstanceKey], Sign] = {}
    for sign in signs:
        slot = (sign.question, sign.instance)
        if sign.implied and slot in out:
            continue  # what was looked at itself outweighs 'the others'
        out.pop(slot, None)
        out[slot] = sign
    return tuple(out.values())


def signs_in(
    finding: Finding, library: Library, layout: Layout, index: int = 0
) -> tuple[Sign, ...]:
    """Return the signs of one finding, taken alone, under ``index``.

    A finding with value '' (not checked) gives none, nor does one that may be any class at all, or
    one whose place is not known (``in_places`` has the ways it can be meant).
    ``others_normal`` adds the normal class at every other part of the same kind as the finding's
    place.  Where the reported condition was not reached only what was seen counts, not what did
    not show.
    """
    if finding.one_of_places or (not finding.value and finding.told is None):
        return ()
    return tuple(_signs(index, finding, library, layout))


def _signs(index: int, finding: Finding, library: Library, layout: Layout) -> Iterable[Sign]:
    if finding.check:
        if _says_nothing(finding, library.checks[finding.question].results):
            return
        instance: InstanceKey = (finding.question, finding.at, (), finding.epoch)
        yield Sign(
            finding.question,
            finding.at,
            finding.value,
            (),
            instance,
            finding.known_by,
            index,
            check=True,
            chances=finding.chances,
            one_of=finding.one_of,
        )
        return
    if finding.value:
        yield from _own(index, finding, library)
    yield from _others(index, finding.told or finding, library, layout)


def _own(index: int, finding: Finding, library: Library) -> Iterable[Sign]:
    """Yield the sign of a finding at its own place."""
    known = finding.state.known()
    question = library.questions[finding.question]
    effect = library.effects[question.reads]
    if not finding.reached and not finding.surely_not(normal_class(question, library)):
        return
    if _says_nothing(finding, question.classes):
        return
    settings = tuple(sorted(known.items()))
    yield Sign(
        question.id,
        finding.at,
        finding.value,
        settings,
        instance_of(effect, finding.at, known, finding.epoch),
        finding.known_by,
        index,
        tries=finding.tries if finding.reached else finding.seen,
        seen=finding.seen,
        chances=finding.chances,
        figure=finding.number,
        one_of=finding.one_of,
    )


def _others(index: int, finding: Finding, library: Library, layout: Layout) -> Iterable[Sign]:
    """Yield the normal signs of the others of its kind, where a finding says so."""
    if not finding.others_normal or finding.at == AEROPLANE:
        return
    known = finding.state.known()
    question = library.questions[finding.question]
    effect = library.effects[question.reads]
    if not finding.reached:
        return
    # The feeding tank is a setting of the finding's own place; it says nothing of the others'.
    elsewhere = {d: v for d, v in known.items() if d != "tank"}
    kind = layout.parts[finding.at].kind
    normal = normal_class(question, library)
    for part in layout.parts.values():
        if part.kind == kind and part.id != finding.at:
            yield Sign(
                question.id,
                part.id,
                normal,
                tuple(sorted(elsewhere.items())),
                instance_of(effect, part.id, elsewhere, finding.epoch),
                finding.known_by,
                index,
                implied=True,
            )


def _says_nothing(finding: Finding, known: Iterable[str]) -> bool:
    return set(finding.classes) >= set(known)
