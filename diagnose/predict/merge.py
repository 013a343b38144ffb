"""What experts stated and what the model predicts, brought together for the belief."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from diagnose.model import GRADES, Cause, CauseAt, Effect, Evidence, Layout, Library, Question
from diagnose.predict.figures import Fit, Lies, edges_of, fits, least_spread, lies
from diagnose.predict.gauges import Gauge, gauge_of, heights_above
from diagnose.predict.states import fitting
from diagnose.predict.tables import GIVES, Block, Floats, Tables
from diagnose.signs import value_of

STATED, MODEL = 10.0, 2.0
"""Observations an expert's word and the model's figure are worth (this project's statement).

With the model at 2 the judged and the invented reports are ranked as well as by the words alone,
and jobs drawn from the model nearly as well as with it at 5."""
UNSTATED = 10.0
"""What an expert's silence is worth, as observations of nothing: whoever wrote the rows of a cause
wrote down what it does (this project's statement; 0, 5, 10 and 20 differ by .02 in log score)."""
UNSTEADY = frozenset({"hunting", "surges", "rough", "with-bubbles"})
"""Values a steady state shows only where air or vapour makes them: that it does not show them says
nothing against a flap, a loose piece or a sticking needle that makes them another way."""
IN_TIME = frozenset({
    "contents-loss", "drawn-off", "vent-blocked", "leaks-through", "return-open", "reads", "scale",
    "stuck-at",
})  # fmt: skip
"""Changes that end in a stopped engine only after a while, by running a tank dry or the like: that
the engine runs well in the steady state says nothing against them."""
LEAST, MOST = 0.02, 0.98
"""The model is never surer than the words 'never' and 'always'."""


@dataclass(frozen=True)
class Numbers:
    """One rate as stated, as the model has it and as weighed; None where one says nothing."""

    stated: Floats
    model: Floats | None
    merged: Floats


@dataclass(frozen=True)
class Figured:
    """A figure beside what the model shows, within the value its class speaks of.

    gauge: what it was read on.  true: the figure at the tapping, SI.  least: standard deviation of
    gauge and band, SI.  mine: how the model's figures lie for the cause, None where it has none.
    sound: the same of the sound aeroplane where that is what the figure is held against, else
    None: then it is all causes together.
    """

    gauge: Gauge
    true: float
    value: str
    least: float
    mine: Lies | None
    sound: Lies | None


@dataclass(frozen=True)
class _Compared:
    block: Block
    at: NDArray[np.intp]
    weight: Floats
    value: int
    gauge: Gauge
    true: float
    edges: tuple[float, float, float, float]
    least: float


@dataclass(frozen=True)
class Predictions:
    """Predictions for a layout in one mode; ``merge`` is the belief's hook.

    effects: those the model reads on this layout.  unstated: weights of run-state settings that
    nobody stated.  patient: causes that come and go or take their time, whose absence from a
    steady state counts for nothing.  questions, layout: what figures are read by; without them
    figures say no more than their class.  stands: (cause id, effect) -> values of which it is
    listed that the model cannot show them, or shows them wrongly: there it has no say.
    """

    tables: Tables
    effects: Mapping[str, Effect]
    unstated: Mapping[str, Mapping[str, float]]
    evidence: Evidence
    patient: frozenset[CauseAt]
    questions: Mapping[str, Question] = field(default_factory=dict)
    layout: Layout | None = None
    stands: Mapping[tuple[str, str], frozenset[str]] = field(default_factory=dict)

    def merge(
        self,
        effect: str,
        place: str,
        known: Mapping[str, str],
        stated: Mapping[CauseAt, Floats],
    ) -> Mapping[CauseAt, Floats] | None:
        """Return the net rates to use, (3, V-1) by cause; None to keep ``stated`` as it is.

        Only the causes and values on which the model has a say differ from ``stated``.
        """
        if self.evidence == "stated" or effect not in self.effects:
            return None
        said = self.tables.say(effect, place, known, self.unstated)
        if said is None:
            return None
        about = self.effects[effect]
        gives = np.asarray([v in GIVES[about.reading] for v in about.values[1:]])
        unsteady = np.asarray([v in UNSTEADY for v in about.values[1:]])
        index, causes = self.tables.index, self.tables.causes
        about_them = dict.fromkeys(i for c in stated if (i := index.get(c, -1)) >= 0)
        about_them |= dict.fromkeys(said.active.tolist())
        which = [i for i in about_them if said.says[i]]
        if not which:
            return dict(stated)
        nothing = np.zeros((len(GRADES), len(gives)))
        old = np.stack([stated.get(causes[i], nothing) for i in which])
        patient = np.asarray([causes[i] in self.patient for i in which])
        one_sided = (unsteady[None, :] | patient[:, None])[:, None, :]
        new = weighed(old, said.of_all(which), gives, self.evidence, one_sided)
        for row, i in enumerate(which):
            listed = self.stands.get((causes[i].cause, effect))
            if listed:
                beyond = np.asarray([v in listed for v in about.values[1:]])
                new[row] = np.where(beyond, old[row], new[row])
        kept = np.asarray(new.any(axis=(1, 2)))
        out = dict(stated)
        for i, net, any_left in zip(which, new, kept.tolist(), strict=True):
            if any_left or causes[i] in stated:
                out[causes[i]] = net
        return out

    def fit(
        self, question: str, place: str, known: Mapping[str, str], shown: str, figure: float
    ) -> Fit | None:
        """Return how well a figure fits each cause, given the value its class speaks of.

        ``figure`` as read, SI, ``shown`` its class.  None where the model has no figure to compare.
        """
        one = self._compared(question, place, known, shown, figure)
        if one is None:
            return None
        about, tank = one.block, known.get("tank")
        ratio = fits(about, one.at, one.weight, one.value, one.true, one.edges, one.least)
        if ratio is None:
            return None
        return Fit(
            about.values[one.value],
            {
                self.tables.causes[i]: row
                for i, row in zip(about.active.tolist(), ratio, strict=True)
                if not tank or self.tables.needs[i] in ("", tank)
            },
        )

    def figured(
        self,
        question: str,
        place: str,
        known: Mapping[str, str],
        shown: str,
        figure: float,
        cause: CauseAt,
    ) -> Figured | None:
        """Return what stands behind the fit of a figure for ``cause``, for people to see."""
        one = self._compared(question, place, known, shown, figure)
        if one is None or not one.block.spread.size:
            return None
        tank, i = known.get("tank"), self.tables.index.get(cause, -1)
        row = int(np.searchsorted(one.block.active, i))
        felt = i >= 0 and (not tank or self.tables.needs[i] in ("", tank))
        acts = felt and row < len(one.block.active) and one.block.active[row] == i
        mine = lies(one.block, one.at, one.weight, one.value, row) if acts else None
        sound = lies(one.block, one.at, one.weight, one.value) if one.value == 0 else None
        return Figured(one.gauge, one.true, one.block.values[one.value], one.least, mine, sound)

    def _compared(
        self, question: str, place: str, known: Mapping[str, str], shown: str, figure: float
    ) -> _Compared | None:
        """Return what a figure is compared with; None where the model has no figure for it."""
        asked = self.questions.get(question)
        if asked is None or self.layout is None or self.evidence == "stated":
            return None
        about, block = self.effects.get(asked.reads), self.tables.blocks.get((asked.reads, place))
        if about is None or block is None:
            return None
        at, weight = fitting([self.tables.cells[n] for n in block.cells], known, self.unstated)
        if not at.size:
            return None
        gauge = gauge_of(asked, place, self.layout, self._heights)
        value = about.values.index(value_of(asked, shown))
        edges, true = edges_of(asked, self.layout, shown), gauge.true(figure)
        least = least_spread(value, true, edges, gauge.sigma)
        return _Compared(block, at, weight, value, gauge, true, edges, least)

    @cached_property
    def _heights(self) -> Mapping[str, float]:
        return heights_above(self.layout) if self.layout else {}

    def numbers(
        self,
        effect: str,
        place: str,
        known: Mapping[str, str],
        cause: CauseAt,
        stated: Floats,
    ) -> Numbers:
        """Return the three rates of one cause at one effect instance, each (3, V-1)."""
        model = None
        said = self.tables.say(effect, place, known, self.unstated)
        i = self.tables.index.get(cause, -1)
        if effect in self.effects and said is not None and i >= 0 and said.says[i]:
            model = said.of(i)
        merged = self.merge(effect, place, known, {cause: stated})
        return Numbers(stated, model, stated if merged is None else merged[cause])


def patient_causes(library: Library, causes: Iterable[CauseAt]) -> frozenset[CauseAt]:
    """Return the causes that come and go, or do harm only in time."""

    def patient(cause: Cause) -> bool:
        physical = cause.physical
        return physical is not None and (cause.pattern != "steady" or physical.change in IN_TIME)

    return frozenset(c for c in causes if patient(library.causes[c.cause]))


def standing(library: Library) -> Mapping[tuple[str, str], frozenset[str]]:
    """Return the values on which the model has no say, by cause and effect, as the library lists.

    They are those it cannot show, and those it shows by an artefact.
    """
    out: dict[tuple[str, str], frozenset[str]] = {}
    for d in (*library.differences, *library.unsaid):
        for cause in d.causes:
            key = (cause, d.effect)
            out[key] = out.get(key, frozenset()) | frozenset(d.values)
    return out


def weighed(
    stated: Floats,
    model: Floats,
    gives: np.ndarray,
    evidence: Evidence,
    one_sided: np.ndarray | None = None,
) -> Floats:
    """Return the net rates to use for one cause (3, V-1), or for many at once, from both.

    NaN of the model, and values it cannot give (``gives`` False), leave the stated rate.  A value
    that is stated for any grade is stated for all of them.  Where nothing is stated and the model
    gives less than ``LEAST``, nothing is made of it; nor for the values ``one_sided`` (..., V-1),
    on which the model counts only when it speaks.
    """
    bounded = np.clip(np.nan_to_num(model), LEAST, MOST)
    if evidence == "model":
        new = np.where(bounded > LEAST, bounded, 0.0)
    else:
        spoken = stated.any(axis=-2, keepdims=True)
        both = (STATED * stated + MODEL * bounded) / (STATED + MODEL)
        alone = MODEL * np.where(bounded > LEAST, bounded, 0.0) / (UNSTATED + MODEL)
        new = np.where(spoken, both, alone)
        if one_sided is not None:
            new = np.where(one_sided & (bounded <= LEAST), stated, new)
    out: Floats = np.where(np.isfinite(model) & gives, new, stated)
    return out
