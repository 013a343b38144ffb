"""Why: every conclusion back to the line that said it, its source and who said it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from diagnose.by_key import by_key
from diagnose.errors import Origin
from diagnose.job.diagnosis import Bench, Diagnosis, Step
from diagnose.job.figure_words import FigureSays, figures_said
from diagnose.model import GRADES, Cause, CauseAt, Finding, SourceRef
from diagnose.rules import Points
from diagnose.signs import InstanceKey, Sign, signs_of

LIKELY, POSSIBLE, BESIDE = 0.40, 0.05, 0.30
"""From here a cause is likely, or possible; while no cause stands out, one is also possible from
this share of the leading one (this project's choice)."""


def word_for(probability: float, leading: float) -> str:
    """Return *likely*, *possible* or *unlikely*; ``leading``: probability of the first cause."""
    if probability >= LIKELY:
        return "likely"
    return "possible" if probability >= min(POSSIBLE, BESIDE * leading) else "unlikely"


@dataclass(frozen=True)
class Speaks:
    """What one effect instance, through its findings, does to the odds of a cause.

    Instances that differ by where a finding is meant speak together.

    factor: on the odds against 'none of our causes'.  rows: (origin, what the row says) of the
    knowledge that was weighed; empty when the cause does nothing there, which speaks too.
    weighed: for each value of the effect, the rate as stated, by the fuel-system model, and as
    weighed from both; empty without predictions.  figure: what the measured figure did beside its
    class, a part of ``factor``; None where no figure counts.
    """

    findings: tuple[Finding, ...]
    factor: float
    rows: tuple[tuple[Origin, str], ...]
    weighed: tuple[str, ...]
    figure: FigureSays | None


@dataclass(frozen=True)
class CauseWhy:
    """Everything that bears on one cause."""

    probability: float
    rank: int
    prior: float
    lifted: tuple[float, str] | None
    speaks: tuple[Speaks, ...]
    pointed_to: tuple[Points, ...]
    spoken_against: tuple[Points, ...]
    excluded: tuple[Points, ...]
    because: str
    said_by: str
    status: str
    sources: tuple[str, ...]
    origin: Origin | None


def explain_cause(diagnosis: Diagnosis, step: Step, cause: CauseAt) -> CauseWhy:
    """Return why ``cause`` stands where it stands after ``step``."""
    bench = diagnosis.bench
    ranking = step.posterior.ranking()
    place = next(k for k, (c, _) in enumerate(ranking) if c == cause)
    index = diagnosis.belief.prior.index[cause]
    known = bench.library.causes.get(cause.cause)
    rows = _rows_by_finding(bench, step, cause)
    # in every way the findings can be meant: the same sign of the same finding once
    signs = {
        (s.index, s.instance): (s, read[s.index])
        for read in step.each
        for s in signs_of(read, bench.library, bench.layout)
    }
    figures = figures_said(diagnosis, step.read, cause)
    speaks = []
    for keys, factor in diagnosis.belief.weight_of(cause):
        here = {i: found for (i, key), found in sorted(signs.items()) if key in keys}
        used = tuple(dict.fromkeys(r for i in here for r in rows.get(i, ())))
        weighed = tuple(line for key in keys for line in _weighed(bench, key, cause))
        heard = tuple(
            step.findings[i] if step.findings[i].one_of_places else _as_told(read, sign)
            for i, (sign, read) in here.items()
        )
        figure = figures.get(keys[0]) if len(keys) == 1 else None
        speaks.append(Speaks(heard, factor, used, weighed, figure))
    speaks.sort(key=lambda s: -abs(math.log(max(s.factor, 1e-12))))
    points = step.outcome.points
    return CauseWhy(
        ranking[place][1],
        place + 1,
        float(diagnosis.belief.prior.prior[index]),
        diagnosis.belief.prior.lifted.get(index),
        tuple(speaks),
        tuple(p for p in points if cause in p.to),
        tuple(p for p in points if cause in p.against),
        tuple(p for p in points if cause in p.never),
        known.because if known else "None of the listed causes explains the findings well.",
        _said_by(known),
        known.status if known else "",
        tuple(source_words(bench, s) for s in known.sources) if known else (),
        known.origin if known else None,
    )


def _as_told(finding: Finding, sign: Sign) -> Finding:
    """Return a finding as it was told, where it was only read with more, or of the others."""
    told = finding.told
    same = told is not None and (sign.implied or told.question == finding.question)
    return told if told is not None and same else finding


def _weighed(bench: Bench, key: InstanceKey, cause: CauseAt) -> tuple[str, ...]:
    """Return the rates stated, predicted and weighed, the mean over severity, a line a value."""
    effect, place, known, _ = key
    if bench.predictions is None or effect not in bench.predictions.effects:
        return ()
    if cause not in bench.net.instances:
        return ()
    values = bench.library.effects[effect].values[1:]
    i = bench.net.index[cause]
    nets = bench.net.stated(effect, place, dict(known))
    stated = nets.get(i, np.zeros((len(GRADES), len(values))))
    three = bench.predictions.numbers(effect, place, dict(known), cause, stated)
    if three.model is None:
        return ()
    grades = bench.net.grades[i]
    there = np.isfinite(three.model) * grades[:, None]
    model_rate = (there * np.nan_to_num(three.model)).sum(axis=0)
    model_rate = np.where(
        there.any(axis=0), model_rate / np.maximum(there.sum(axis=0), 1e-9), np.nan
    )
    rates = [grades @ three.stated, model_rate, grades @ three.merged]
    out = []
    for value, said, model, merged in zip(values, *rates, strict=True):
        if max(said, merged) >= 0.005 or model >= 0.005:
            shown = "no say" if math.isnan(model) else f"{model:.2f}"
            out.append(f"{effect} {value}: stated {said:.2f}, model {shown}, weighed {merged:.2f}")
    return tuple(out)


def _rows_by_finding(
    bench: Bench, step: Step, cause: CauseAt
) -> Mapping[int, list[tuple[Origin, str]]]:
    said = _said(bench, bench.library.causes.get(cause.cause))
    out = by_key(
        (e.finding, (e.row, said.get(e.row, ""))) for e in step.outcome.evidence if e.cause == cause
    )
    for i, f in enumerate(step.read):
        for c, at in bench.at_checks(cause) if f.check else ():
            if (c.check, at) == (f.question, f.at):
                text = f"check {c.check} shows '{c.result}' with it {c.chance:.0%} of the time"
                out.setdefault(i, []).append((c.origin, text))
    return out


def _said(bench: Bench, cause: Cause | None) -> Mapping[Origin, str]:
    if cause is None:
        return {}
    out = {}
    for row in cause.produces:
        how = ", ".join(f"{g} {w}" for g, w in row.said.items()) if row.said else "as stated"
        when = row.conditions()
        state = f" ({when})" if when else ""
        by = f"; said in {source_words(bench, row.source)}" if row.source else ""
        out[row.origin] = f"{row.effect} {row.value} at {row.at}: {how}{state}{by}"
    for d in cause.distorts:
        state = f" ({d.conditions()})" if d.when else ""
        out[d.origin] = f"shows {d.question} wrongly{state}"
    return out


def _said_by(cause: Cause | None) -> str:
    if cause is None or cause.provenance is None:
        return ""
    p = cause.provenance
    return f"{p.said_by}, {p.on}, {p.how}" + (
        f", confidence {p.confidence}" if p.confidence else ""
    )


def source_words(bench: Bench, ref: SourceRef) -> str:
    """Return a source as cited: what it is, which part of it, what it gives."""
    s = bench.library.sources[ref.id]
    parts = [s.cite or s.title, ref.part, ref.gives]
    return ", ".join(p for p in parts if p)
