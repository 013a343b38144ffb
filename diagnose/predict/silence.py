"""Where the fuel-system model shows what no row of the cause speaks of, for keepers of knowledge.

Silence is not harmless: a cause that says nothing of a finding has it held against itself, at the
background rate of the finding.  A value that the physics brings in most aeroplanes with the fault
then clears the very cause that made it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from diagnose.belief import BeliefNet
from diagnose.model import GRADES, CauseAt
from diagnose.predict.merge import Predictions
from diagnose.predict.tables import Floats
from diagnose.signs import InstanceKey

SHOWS = 0.2
"""How often the model must give the value, grades weighed as the cause has them.  The severe grade
alone, four times in five, comes to this much, and it is the severe grade that people report."""
SAID = 0.05
"""Rows that leave normal this often in that state, with whatever value, are no silence: the finding
is then one of degree, or of the value, and the other comparisons speak of it.  It is half of
'rarely', because the knowledge shares its word out over tanks and settings that nobody stated."""


@dataclass(frozen=True)
class Silence:
    """A value that the model shows for a cause in some states of a layout and no row speaks of.

    states: number of run states and places at which it is so.  place, known: where it is most so.
    model: the rate there in each grade, NaN where the model has no say.
    """

    cause: CauseAt
    effect: str
    value: str
    layout: str
    states: int
    place: str
    known: Mapping[str, str]
    model: tuple[float, ...]

    def text(self) -> str:
        """Return where it is so and how often, in words."""
        state = " ".join(f"{d} {v}" for d, v in self.known.items())
        shown = ", ".join(
            f"{g} {'-' if r != r else f'{r:.2f}'}" for g, r in zip(GRADES, self.model, strict=True)
        )
        where = f"{self.place} ({state})" if state else self.place
        return f"{self.cause.at} of {self.layout} at {where}: {shown}"


def silences(
    predictions: Predictions, stated: BeliefNet, asked: Iterable[InstanceKey]
) -> tuple[Silence, ...]:
    """Return what the model shows and the knowledge leaves unsaid where it is ``asked``.

    ``stated``: the knowledge alone on the same layout.  ``asked``: what readings speak of.  One
    entry for each cause of a part, effect and value.
    """
    most: dict[tuple[CauseAt, str, str], tuple[float, Silence]] = {}
    count: dict[tuple[CauseAt, str, str], int] = {}
    for key in dict.fromkeys(asked):
        effect, place, settings, _ = key
        if effect not in predictions.effects:
            continue
        for cause, number, rate, model in _unsaid(predictions, stated, key):
            value = predictions.effects[effect].values[number + 1]
            what = (cause, effect, value)
            count[what] = count.get(what, 0) + 1
            if what not in most or rate > most[what][0]:
                shown = tuple(map(float, model[:, number]))
                layout = stated.layout.id
                most[what] = (
                    rate,
                    Silence(cause, effect, value, layout, 0, place, dict(settings), shown),
                )
    return tuple(replace(s, states=count[what]) for what, (_, s) in most.items())


def _unsaid(
    predictions: Predictions, stated: BeliefNet, key: InstanceKey
) -> Iterable[tuple[CauseAt, int, float, Floats]]:
    """Yield each cause silent on what the model gives most: number of the value, rate, (3, V-1)."""
    effect, place, settings, _ = key
    known = dict(settings)
    said = predictions.tables.say(effect, place, known, predictions.unstated)
    if said is None:
        return
    rows = stated.stated(effect, place, known)
    for i in said.active.tolist():
        cause = predictions.tables.causes[i]
        number = stated.index.get(cause)
        if number is None or not said.says[i]:
            continue
        model = said.of(i)
        weight = stated.grades[number] * np.isfinite(model[:, 0])
        if not weight.sum():
            continue
        rate = weight / weight.sum() @ np.nan_to_num(model)
        best = int(np.argmax(rate))
        if rate[best] < SHOWS:
            continue
        told = rows.get(number)
        if told is None or float(stated.grades[number] @ told.sum(axis=-1)) < SAID:
            yield cause, best, float(rate[best]), model
