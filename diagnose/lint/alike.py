"""Causes that no question and no check of a layout can tell apart: the ambiguity groups."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace

from diagnose.belief.net import BeliefNet
from diagnose.lint.base import Base, OnLayout, listed
from diagnose.lint.codes import Found, code, finds
from diagnose.planner.apart import APART, alike, answers_of

ALIKE = code(
    "ALIKE-01",
    "causes that nothing tells apart",
    means="On a layout every question and every check gives the same answers, within"
    " a tenth, whether one cause or another is at work.",
    matters="The job can never name the part: whoever follows it changes one sound part after the"
    " other.",
    do="Add the question, the row or the check result that tells them apart; where nothing on the"
    " aeroplane does, say so in a waiver, or make one cause of them.",
)
SAME_PART = code(
    "ALIKE-02",
    "one cause at several parts that nothing tells apart",
    means="The same failure at two parts of a layout gives the same answers everywhere.",
    matters="The job names the failure and cannot say at which part it is.",
    do="Relate the rows or the check to the part itself, or waive it where the parts are"
    " truly one.",
)

Group = tuple[int, ...]


def groups(on: OnLayout) -> Iterator[Group]:
    """Yield the groups of two or more causes of a layout (indices) that nothing tells apart."""
    blocks = _same_checks(on)
    suspects = {on.net.instances[i].cause for block in blocks for i in block}
    causes = {name: c for name, c in on.library.causes.items() if name in suspects}
    # the tables of a few causes are made much sooner than those of all
    few = BeliefNet(replace(on.library, causes=causes), on.places)
    for block in blocks:
        members = [on.net.instances[i] for i in block]
        answers = answers_of(few, members, on.catalogue.readings)
        left = list(block)
        while left:
            first, *rest = left
            same = [i for i in rest if alike(answers, on.net.instances[first], on.net.instances[i])]
            left = [i for i in rest if i not in same]
            if same:
                yield (first, *same)


def _same_checks(on: OnLayout) -> list[list[int]]:
    """Return blocks of causes that the same results of the same checks confirm.

    What a check tells apart needs no second look: its chances are .95 against .05 by default.
    """
    blocks: dict[frozenset[tuple[str, str, str]], list[int]] = defaultdict(list)
    for i, c in enumerate(on.net.instances):
        confirmed = frozenset(
            (k.check, k.result, place)
            for k in on.library.causes[c.cause].checks
            for place in on.places.related(c.at, k.at, {})
            if (k.check, place) in on.catalogue.offers
            and k.chance - on.library.checks[k.check].false_find >= APART
        )
        blocks[confirmed].append(i)
    return [block for block in blocks.values() if len(block) > 1]


@finds(ALIKE, SAME_PART, doing="ambiguity groups")
def nothing_tells_apart(base: Base) -> Iterator[Found]:
    """Yield the groups, each named once with the layouts on which it stands."""
    different: dict[tuple[str, ...], list[str]] = defaultdict(list)
    same: dict[str, list[str]] = defaultdict(list)
    for on in base.on.values():
        for group in groups(on):
            members = [on.net.instances[i] for i in group]
            names = tuple(sorted({c.cause for c in members}))
            if len(names) > 1:
                different[names].append(on.layout.id)
            for name in names:
                parts = [c.at for c in members if c.cause == name]
                if len(parts) > 1:
                    same[name].append(f"{listed(parts)} of {on.layout.id}")
    for names, layouts in different.items():
        first = base.library.causes[names[0]]
        others = ", ".join(f"'{n}' ({base.library.causes[n].origin})" for n in names[1:])
        text = (
            f"nothing tells it from {others} on {listed(layouts)}; add the question, row or check"
            " result that does, or waive it"
        )
        item = " + ".join(f"causes/{n}" for n in names)
        yield base.found(ALIKE, item, text, first.origin)
    for name, where in same.items():
        text = (
            f"nothing tells at which part it is: {listed(where)}; relate its rows or its check to"
            " the part itself"
        )
        yield base.found(SAME_PART, f"causes/{name}", text, base.library.causes[name].origin)
