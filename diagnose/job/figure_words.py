"""How a measured figure bore on one cause, in words and as plain data.

The class of a reading and its figure count once each, as ``diagnose.predict.figures`` says; here
stands the part of the figure, with what the model shows for the cause and where that comes from.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from diagnose.errors import UsageError
from diagnose.job.diagnosis import Bench, Diagnosis
from diagnose.model import GRADES, CauseAt, Finding
from diagnose.signs import InstanceKey, Sign, signs_of
from diagnose.units import plain_figure, show, unit_of

if TYPE_CHECKING:  # who wants no predictions need not load the model
    from diagnose.predict import Figured

USUAL: Mapping[str, str] = {"pressure": "psi", "flow": "l/h"}
"""Unit a figure is shown in where nobody typed one, by dimension."""
SI_KEY: Mapping[str, str] = {"pressure": "Pa", "flow": "m3_per_s"}
"""Unit as it stands in keys of plain data, by dimension."""
EVEN = (0.98, 1.02)
"""Factors on the odds within these say nothing either way."""
SPREAD_FROM = (
    "the fuel-system model solved on this layout, over damage within the grade, fuel, heat and the "
    "scatter of aeroplanes"
)


@dataclass(frozen=True)
class FigureSays:
    """What one figure, beside its class, does to the odds of a cause.

    read: as typed.  true: at the tapping, SI, when gauge height or error card moved it, else the
    figure as read.  moved: what was done to it, in words, '' for nothing.  times: its part of the
    factor on the odds.  against: what it is held against.  shown: grade -> (from, to) between
    which two in three of the figures of the cause lie, SI; empty where the model has no figure
    of its own for the cause.  least: standard deviation of gauge and band, SI.
    """

    question: str
    at: str
    read: str
    unit: str
    dimension: str
    true: float
    moved: str
    value: str
    times: float
    against: str
    shown: Mapping[str, tuple[float, float]]
    least: float

    @property
    def word(self) -> str:
        """Return how it fits this cause beside what it is held against."""
        low, high = EVEN
        if self.times > high:
            return "fits this cause better than"
        return (
            "fits this cause less well than" if self.times < low else "fits this cause as well as"
        )

    def lines(self) -> list[str]:
        """Return it in words, the outcome first."""
        part = f"x{plain_figure(self.times, 3)} of the factor above"
        out = [f"figure {self.read}: {self.word} {self.against} ({part})"]
        if self.moved:
            out.append(f"  {self.moved}")
        if not self.shown:
            out.append(
                "  the model has no figure of its own for this cause: its class stands alone"
            )
            return out
        ranges = ", ".join(
            f"{g} {show(low, self.unit, 2).split()[0]} to {show(high, self.unit, 2)}"
            for g, (low, high) in self.shown.items()
        )
        out.append(f"  called {self.value}, two in three lie, by how bad it is: {ranges}")
        out.append(
            f"  spread: {SPREAD_FROM}; at least {show(self.least, self.unit)}, for reading the "
            "gauge and, in the band, for where an aeroplane stands in it (common practice, no "
            "source)"
        )
        return out

    def body(self) -> dict[str, object]:
        """Return it as plain data, units in the keys."""
        si = SI_KEY[self.dimension]
        return {
            "question": self.question,
            "at": self.at,
            "read": self.read,
            f"at_the_tapping_{si}": self.true,
            "moved": self.moved,
            "value": self.value,
            "fits": f"{self.word} {self.against}",
            "part_of_the_factor": self.times,
            "two_in_three": [
                {"grade": g, f"from_{si}": low, f"to_{si}": high}
                for g, (low, high) in self.shown.items()
            ],
            f"least_standard_deviation_{si}": self.least,
            "spread_from": SPREAD_FROM if self.shown else "",
        }


def figures_said(
    diagnosis: Diagnosis, read: Sequence[Finding], cause: CauseAt
) -> Mapping[InstanceKey, FigureSays]:
    """Return what the figures among ``read`` say of ``cause``, by effect instance."""
    bench = diagnosis.bench
    if bench.predictions is None:
        return {}
    typed = {
        (s.question, s.instance): read[s.index].typed
        for s in signs_of(read, bench.library, bench.layout)
        if s.figure is not None
    }
    out = {}
    for key, (sign, times) in diagnosis.belief.by_figures(cause).items():
        figure = float(sign.figure or 0.0)
        behind = bench.predictions.figured(
            sign.question, sign.place, sign.settings(), sign.value, figure, cause
        )
        if behind is not None:
            out[key] = _says(
                bench, sign, figure, typed.get((sign.question, key), ""), times, behind
            )
    return out


def _says(
    bench: Bench, sign: Sign, figure: float, typed: str, times: float, behind: Figured
) -> FigureSays:
    dimension = str(bench.library.questions[sign.question].unit)
    unit = _unit(typed, dimension)
    shown = {}
    if behind.mine is not None:
        for g, share, mean, sd in zip(
            GRADES, behind.mine.share, behind.mine.mean, behind.mine.sd, strict=True
        ):
            if share > 1e-3:  # a grade that never shows this value has no figure in it
                wide = math.hypot(float(sd), behind.least)
                shown[g] = (max(float(mean) - wide, min(float(mean), 0.0)), float(mean) + wide)
    against = "a sound aeroplane" if behind.sound is not None else "all causes together"
    return FigureSays(
        sign.question,
        sign.place,
        typed or show(figure, unit),
        unit,
        dimension,
        behind.true,
        _moved(figure, unit, behind),
        behind.value,
        times,
        against,
        shown,
        behind.least,
    )


def _moved(figure: float, unit: str, behind: Figured) -> str:
    """Return how the figure came from the gauge to its tapping, '' where nothing moved it."""
    card, gauge = behind.gauge.card, behind.gauge
    said = [f"{show(figure, unit)} read"]
    if card is not None:
        said.append(f"{show(card.true(figure), unit)} by its error card ({card.title})")
    if gauge.height:
        side = "above" if gauge.height > 0 else "below"
        said.append(
            f"{show(gauge.rise, unit)} for the gauge {show(abs(gauge.height), 'm')} {side} its "
            "tapping"
        )
    if len(said) == 1:
        return ""
    return f"{', '.join(said)}: {show(behind.true, unit)} at the tapping, where the model has it"


def _unit(typed: str, dimension: str) -> str:
    """Return the unit a figure was typed in; a usual one where there is none."""
    try:
        return unit_of(typed) or USUAL[dimension]
    except UsageError:  # a test's form keeps more than one figure in its words
        return USUAL[dimension]
