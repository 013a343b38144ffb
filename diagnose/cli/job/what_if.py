"""Why a thing does not stand first, what a rule still lacks, and what would change it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import islice

from diagnose.cli.room import wrap
from diagnose.job.explain import explain_cause
from diagnose.job.job import Job
from diagnose.job.ranking import still_possible
from diagnose.job.turning import turns
from diagnose.job.wording import finding_line
from diagnose.model import CauseAt
from diagnose.rules import what_would_change, why_not, words_of
from diagnose.units import plain_figure

MOST_LINES = 8
"""Answers shown of each kind."""

TELLS = 1.25
"""From this factor on a finding is named as what sets two causes apart."""


def lacking(job: Job, symptom: str, at: str) -> list[str]:
    """Return what ``symptom`` still lacks, at ``at`` or where it could be."""
    bench = job.bench
    rule = bench.library.symptoms[symptom]
    findings = dict(enumerate(job.step().read))
    out = []
    for place in ((at,) if at else bench.places.parts_of_kind(rule.at))[:4]:
        for short in why_not(bench.plain, findings, symptom, place, job.state.epoch):
            lacks = "; ".join(f"{words_of(m.atom, m.wanted)} (now {m.now})" for m in short.missing)
            out.append(f"  {rule.title}, {bench.places.label(place)}: lacks {lacks}")
    return out


def behind(job: Job, cause: CauseAt) -> list[str]:
    """Return what puts the first of the ranking before ``cause``; nothing for the first itself."""
    bench, step = job.bench, job.step()
    groups = still_possible(step)
    lead, own = groups[0], next((g for g in groups if cause in g.causes), None)
    if own is None or own is lead:
        return []  # what was put right stands in no line
    first, this = (explain_cause(job.diagnosis, step, c) for c in (lead.causes[0], cause))
    theirs, firsts = (
        {"; ".join(finding_line(bench, f) for f in s.findings): s.factor for s in why.speaks}
        for why in (this, first)
    )
    factors = {w: firsts.get(w, 1.0) / theirs.get(w, 1.0) for w in (*firsts, *theirs)}
    prior = job.diagnosis.belief.prior
    before = [sum(float(prior.prior[prior.index[c]]) for c in g.causes) for g in (lead, own)]
    factors["before any finding"] = before[0] / max(before[1], 1e-12)
    lines = wrap(f"First stands: {lead.short(bench)}. Held against it:", "  ")
    for words, x in sorted(factors.items(), key=lambda w: -abs(math.log(w[1]))):
        if max(x, 1.0 / x) >= TELLS:
            side = "first" if x > 1.0 else "this "
            lines += wrap(words, " " * 13, f"  {side}  x{plain_figure(max(x, 1.0 / x), 3)}  ")
    return lines if len(lines) > 1 else [*lines, "  nothing found so far tells the two apart"]


def would_change(job: Job) -> list[str]:
    """Return the answers that would put another cause first or change what the rules conclude."""
    first = list(islice(_other_first(job), MOST_LINES))
    rules = list(islice(_other_verdict(job), MOST_LINES))
    none = ["  No single answer would put another cause first, or change what the rules conclude."]
    return [line for lines in (*first, *rules) for line in lines] or none


def _other_first(job: Job) -> Iterator[list[str]]:
    """Yield in lines each cause that one answer would put first, with what moves it most."""
    named = set()
    for turn in turns(job):
        mode = turn.first.causes[0].cause
        if mode not in named:
            named.add(mode)
            said = f"'{turn.first.short(job.bench)}' would stand first with:"
            yield wrap(f"{said} {finding_line(job.bench, turn.finding)}", "    ", "  ")


def _other_verdict(job: Job) -> Iterator[list[str]]:
    """Yield in lines each answer that would change what a rule concludes now."""
    bench, step, epoch = job.bench, job.step(), job.state.epoch
    findings = dict(enumerate(step.read))
    for s in step.outcome.symptoms.values():
        if s.epoch != epoch:
            continue  # what was so before the repair, no answer given now can change
        for a in what_would_change(bench.plain, findings, s.symptom, s.at, s.epoch):
            if a.after:  # that something would no longer be known helps nobody
                title = bench.library.symptoms[s.symptom].title
                said = f"'{title}' would be {a.after} with: {finding_line(bench, a.finding)}"
                yield wrap(said, "    ", "  ")
