"""Where rows of the knowledge and the model differ, row by row, for the keepers of knowledge."""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagnose.errors import Origin
from diagnose.model import GRADES, CauseAt, Library, Produces
from diagnose.places import Places
from diagnose.predict.merge import LEAST, MOST, Predictions
from diagnose.predict.tables import GIVES, Said

ABSENT = 0.20
"""Below this in every grade the model does not show a value; stated from here up, that differs."""


_Asked = dict[tuple[str, str, tuple[tuple[str, str], ...]], Said | None]


@dataclass(frozen=True)
class Compared:
    """One ``produces`` row beside the model on one layout, the mean over parts and states it fits.

    stated, model: rate per severity grade, NaN where one of them says nothing.
    model_total: rate at which the model leaves normal at all, per grade.
    instead: what the model gives most in the worst grade, 'normal' or another value.
    """

    origin: Origin
    cause: str
    row: Produces
    layout: str
    stated: tuple[float, ...]
    model: tuple[float, ...]
    model_total: tuple[float, ...]
    instead: str

    def text(self) -> str:
        """Return one line for people, file and line first."""
        when = self.row.conditions()
        grades = ", ".join(
            f"{g} {_shown(s)} against {_shown(m)}"
            for g, s, m in zip(GRADES, self.stated, self.model, strict=True)
        )
        return (
            f"{self.origin}: {self.cause}: {self.row.effect} {self.row.value} at {self.row.at}"
            f"{f' ({when})' if when else ''} on {self.layout}: stated {grades} of the model"
            f", which gives {self.instead}"
        )


def _shown(rate: float) -> str:
    return "-" if math.isnan(rate) else f"{rate:.2f}"


def compared(predictions: Predictions, library: Library, places: Places) -> tuple[Compared, ...]:
    """Return every written row on an effect the model reads beside it, in library order."""
    at: dict[str, list[CauseAt]] = {}
    for cause in predictions.tables.causes:
        at.setdefault(cause.cause, []).append(cause)
    out = []
    asked: _Asked = {}
    for cause_id, instances in at.items():
        cause_item = library.causes.get(cause_id)
        for row in cause_item.own_rows if cause_item else ():
            effect = predictions.effects.get(row.effect)
            if effect is None or row.value not in GIVES[effect.reading]:
                continue
            found = _row(predictions, asked, places, instances, row)
            if found is not None:
                out.append(found)
    return tuple(out)


def _row(
    predictions: Predictions,
    asked: _Asked,
    places: Places,
    instances: Iterable[CauseAt],
    row: Produces,
) -> Compared | None:
    effect = predictions.effects[row.effect]
    column = effect.values.index(row.value) - 1
    nets, stated = [], []
    for known in _states(row):
        for cause in instances:
            for place, share in places.reach(row, cause.at, known).items():
                if share < 0.99:  # it holds in part only: no fair comparison
                    continue
                net = _model(predictions, asked, row.effect, place, known, cause)
                if net is not None:
                    nets.append(net)
                    stated.append([row.how_often.get(g, math.nan) for g in GRADES])
    if not nets:
        return None
    there = np.isfinite(nets)
    if not there.any():
        return None
    count = there.sum(axis=0)
    mean = np.where(there, nets, 0.0).sum(axis=0) / np.maximum(count, 1)
    mean[count == 0] = np.nan
    worst = np.nan_to_num(mean[-1])
    words = (*effect.values[1:], "normal")
    instead = words[int(np.argmax([*worst, max(1.0 - worst.sum(), 0.0)]))]
    return Compared(
        row.origin,
        next(iter(instances)).cause,
        row,
        places.layout.id,
        tuple(map(float, stated[0])),
        tuple(map(float, mean[:, column])),
        tuple(map(float, mean.sum(axis=1))),
        instead,
    )


def _states(row: Produces) -> list[Mapping[str, str]]:
    """Return every combination of settings the row names (each of several values in turn)."""
    names = sorted(row.when)
    return [
        dict(zip(names, values, strict=True))
        for values in itertools.product(*(row.when[n] for n in names))
    ]


def _model(
    predictions: Predictions,
    asked: _Asked,
    effect: str,
    place: str,
    known: Mapping[str, str],
    cause: CauseAt,
) -> np.ndarray | None:
    """Return what the model gives, (3, V-1), None where it has no say."""
    key = (effect, place, tuple(sorted(known.items())))
    if key not in asked:
        asked[key] = predictions.tables.say(effect, place, known, predictions.unstated)
    said, i = asked[key], predictions.tables.index[cause]
    if said is None or not said.says[i]:
        return None
    return said.of(i)


def gaps(
    predictions: Predictions, library: Library, places: Places
) -> tuple[tuple[Compared, str], ...]:
    """Return each row whose word and the model's figure lie more than one word apart, by grade.

    The model's figure is put on the scale of ``words.yaml`` at the nearest word.
    """
    every = compared(predictions, library, places)
    return tuple((c, grade) for c in every for grade in grades_apart(c, library))


def grades_apart(c: Compared, library: Library) -> tuple[str, ...]:
    """Return the severity grades in which word and model lie more than one word apart."""
    scale = sorted(library.words.how_often.values())

    def step(rate: float) -> int:
        return int(np.argmin([abs(w - min(max(rate, LEAST), MOST)) for w in scale]))

    return tuple(
        grade
        for grade, stated, model in zip(GRADES, c.stated, c.model, strict=True)
        if not (math.isnan(stated) or math.isnan(model)) and abs(step(stated) - step(model)) > 1
    )


def over_layouts(every: Sequence[Compared]) -> Compared:
    """Return one row beside the mean of the model over layouts, from the row on each of them.

    A row is written once for every layout: where they part, the mean is what it can be right about.
    """

    def mean(rates: Sequence[tuple[float, ...]]) -> tuple[float, ...]:
        there = np.isfinite(rates)
        total = np.where(there, rates, 0.0).sum(axis=0)
        return tuple(
            np.where(there.any(axis=0), total / there.sum(axis=0).clip(1), np.nan).tolist()
        )

    if len(every) == 1:
        return every[0]
    return replace(
        every[0],
        layout=f"the mean of {len(every)} layouts",
        model=mean([c.model for c in every]),
        model_total=mean([c.model_total for c in every]),
        instead=Counter(c.instead for c in every).most_common(1)[0][0],
    )


def disagreements(
    predictions: Predictions, library: Library, places: Places
) -> tuple[tuple[Compared, str], ...]:
    """Return each row that the model contradicts, with the reason it may be let stand.

    Contradicted: the row states the value as more than rare and the model never shows it, in any
    grade the row speaks of.  The reason is that of ``library.differences``, '' where none is
    listed.
    """
    out = []
    for c in compared(predictions, library, places):
        told = [m for s, m in zip(c.stated, c.model, strict=True) if s >= ABSENT]
        seen = [m for m in told if not math.isnan(m)]
        if seen and max(seen) < ABSENT:
            listed = (
                d.because
                for d in library.differences
                if d.holds(c.cause, c.row.effect, c.row.value)
            )
            out.append((c, next(listed, "")))
    return tuple(out)
