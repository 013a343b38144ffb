"""A finding told of one of several places, not known which, and every way in which it can be meant.

'One of the two lamps on the port side came on.'  It is one finding: its chance is the mean, over
the places, of what it would be there.  So whoever weighs findings weighs each way apart and takes
the mean of the whole, because what is known of one place bears on what it says of another.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from diagnose.errors import UsageError
from diagnose.model import Finding, Library
from diagnose.signs import instance_of

MOST_WAYS = 16
"""Most ways in which all findings of a job may be meant together; each is weighed by itself."""


def told_each(findings: Sequence[Finding], library: Library) -> tuple[tuple[Finding, ...], ...]:
    """Return ``findings``, in the same order and number, once for each way they can be meant.

    All ways are as likely beforehand.  In each, a finding told of several places stands at one of
    them.  What was answered outright for a place rules there: where it says otherwise the finding
    is not meant there, and where it says the same it is the same thing seen, and counts once.  A
    finding that all its places deny says nothing (value '').

    Raises:
        UsageError: If there are more than ``MOST_WAYS``.
    """
    held_ways(findings)
    ways = [list(findings)]
    for k, f in enumerate(findings):
        if f.one_of_places:
            ways = [
                [*way[:k], meant, *way[k + 1 :]]
                for way in ways
                for meant in _meant(f, way, library)
            ]
    return tuple(tuple(way) for way in ways)


def held_ways(findings: Iterable[Finding]) -> None:
    """Raise ``UsageError`` where the places left open make more than ``MOST_WAYS`` ways."""
    count = 1
    for f in findings:
        count *= len(f.one_of_places) or 1
    if count > MOST_WAYS:
        raise UsageError(
            f"the places left open can be meant in {count} ways together, and at most {MOST_WAYS} "
            "can be weighed; name the place of one of these findings, or leave it out."
        )


def denied_everywhere(findings: Sequence[Finding], library: Library) -> tuple[Finding, ...]:
    """Return the findings told of several places all of which were answered otherwise."""
    return tuple(
        f
        for f in findings
        if f.one_of_places
        and all(_answered(f, at, findings, library) == "otherwise" for at in f.one_of_places)
    )


def _meant(f: Finding, way: Sequence[Finding], library: Library) -> list[Finding]:
    out = []
    for at in f.one_of_places:
        here = replace(f, at=at, one_of_places=())
        answered = _answered(f, at, way, library)
        if answered == "alike":
            out.append(replace(here, value="", one_of=(), told=here))
        elif not answered:
            out.append(here)
    return out or [replace(f, value="", one_of=(), one_of_places=())]


def _answered(f: Finding, at: str, way: Sequence[Finding], library: Library) -> str:
    """Return how the question was answered outright at ``at``: 'alike', 'otherwise' or ''."""
    effect = library.effect_of(f.question)
    mine = instance_of(effect, at, f.state.known(), f.epoch)
    same = [
        g
        for g in way
        if g.value
        and not g.check
        and not g.one_of_places
        and (g.question, g.at) == (f.question, at)
        and instance_of(effect, at, g.state.known(), g.epoch) == mine
    ]
    if not same:
        return ""
    return "alike" if set(same[-1].classes) & set(f.classes) else "otherwise"
