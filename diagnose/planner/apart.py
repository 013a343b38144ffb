"""What readings answer under each of a few causes, and so which of them look alike."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

import numpy as np

from diagnose.belief.hypotheses import Floats
from diagnose.belief.net import BeliefNet
from diagnose.model import CauseAt
from diagnose.planner.actions import Reading
from diagnose.signs import instance_of

APART: Final = 0.10
"""Two causes are told apart by an action if its answers differ by this much (total variation)."""

Answers = Sequence[tuple[Reading, Floats, Mapping[CauseAt, Floats]]]
"""For each reading: P(class) when nothing acts, and by cause for those that act, (C,)."""


def answers_of(net: BeliefNet, causes: Sequence[CauseAt], readings: Iterable[Reading]) -> Answers:
    """Return what ``causes``, all known to ``net``, make of each of ``readings``."""
    out: list[tuple[Reading, Floats, Mapping[CauseAt, Floats]]] = []
    library = net.library
    index = {c: net.index[c] for c in causes}
    items = [library.causes[c.cause] for c in causes]
    effects = {r.effect for c in items for r in c.produces}
    bent = {d.question for c in items for d in c.distorts}
    for reading in readings:
        question = library.questions[reading.question]
        if question.reads not in effects and question.id not in bent:
            continue
        state = reading.state.known()
        key = instance_of(library.effects[question.reads], reading.place, state, 0)
        table, sound = net.table(key), net.instruments.shown(question, reading.place, state)
        views = net.instruments.bent(question.id, reading.place, state)
        usual = table.usual
        here: dict[CauseAt, Floats] = {}
        for cause, k in index.items():
            row = table.row_of(k)
            if row < 0 and k not in views:
                continue
            values = table.given[row] if row >= 0 else np.tile(usual, (len(net.grades[k]), 1))
            shown = values[:, None, :] @ views.get(k, sound)
            here[cause] = net.grades[k] @ shown[:, 0]
        if here:
            out.append((reading, usual @ sound, here))
    return out


def differ(answers: Answers, one: CauseAt, other: CauseAt) -> Iterable[tuple[Reading, float]]:
    """Yield for each reading that either changes how far its answers lie apart, 0 to 1."""
    for reading, usual, by in answers:
        if one in by or other in by:
            gap = np.abs(by.get(one, usual) - by.get(other, usual)).sum()
            yield reading, 0.5 * float(gap)


def alike(answers: Answers, one: CauseAt, other: CauseAt) -> bool:
    """Return whether no reading tells the two causes apart."""
    return all(gap < APART for _, gap in differ(answers, one, other))
