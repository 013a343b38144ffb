"""The screens of a job as lines of text: what is known, what is possible, what to do, how and why.

Plain characters, state in words, one answer a line; the same text on every terminal and in pipes.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable

from diagnose.aeroplane import remarks
from diagnose.belief import UNKNOWN
from diagnose.cli.room import wrap
from diagnose.job.choices import numbered
from diagnose.job.diagnosis import Bench, Step
from diagnose.job.explain import word_for
from diagnose.job.hidden import Watch
from diagnose.job.job import Job
from diagnose.job.keeping.disturbed import access_to, words
from diagnose.job.measured.beside import beside_others
from diagnose.job.ranking import misfits, still_possible
from diagnose.job.several.complaints import complaints_of
from diagnose.job.wording import (
    EVIDENCE_WORDS,
    cause_words,
    finding_line,
    state_words,
    warnings_first,
)
from diagnose.knowledge_files import limit_of
from diagnose.knowledge_files.cutting import why_unclassed
from diagnose.model import ANY_STATE, Finding, State
from diagnose.planner import Reading
from diagnose.rules import Caution


def heading(job: Job) -> list[str]:
    """Return the lines that name the job on every screen."""
    lines = [f"=== job {job.name} · {job.aeroplane} · layout {job.bench.layout.id} ==="]
    if job.bench.layout.invented:
        lines.append("The layout and its figures are invented; knowledge UNREVIEWED.")
    if job.bench.evidence != "stated":
        lines.append(f"Ranked on {EVIDENCE_WORDS[job.bench.evidence]}.")
    if job.edition_differs():
        lines.append(
            f"Begun with knowledge {job.state_edition()}, now {job.bench.library.edition}: "
            "the ranking may differ from what was seen before."
        )
    return lines


def reported(job: Job, first: str = "Reported: ", margin: str = "  ") -> list[str]:
    """Return every complaint worked in the job, in its words: those merged into it as well."""
    every = [c for c in complaints_of(job.log.events) if not c.job or c.number == 1]
    told = sorted(every, key=lambda c: c.number)
    return [x for c in told for x in wrap(c.text, margin, first if c.number == 1 else "  And: ")]


def to_take_over(job: Job) -> list[str]:
    """Return what of a handover waits to be confirmed, and how it is."""
    waits = len(job.state.handover)
    told = (
        f"Handed over by {job.state.giver}, {waits} line(s) not confirmed: no engine is run before "
        f"that. Confirm them with: diagnose job handover {job.name} --confirm"
    )
    return wrap(told, "  ", "") if waits else []


def not_so(job: Job) -> list[str]:
    """Return what whoever took the job over found otherwise than it was handed over."""
    said = [wrap(x, "    ", "  - ") for x in job.state.not_so.values()]
    return ["Otherwise than handed over:", *(x for lines in said for x in lines)] if said else []


def disturbed_lines(job: Job) -> list[str]:
    """Return what is disturbed on the aeroplane, one a line with the number it is signed by."""
    label = job.bench.places.label
    return [f"  {d.id:<6} {words(d, label(d.place))}" for d in job.state.disturbed.values()]


def joints_open(job: Job) -> list[str]:
    """Return the lines that say which joints bar pumps and runs, and how they are signed off."""
    label = job.bench.places.label
    lines = [
        f"  OPEN: {d.what}, {label(d.place)}: no pump and no run until it is restored"
        for d in job.state.joints_open()
    ]
    return [*lines, "  When it is closed again, type: sign"] if lines else []


def possible(bench: Bench, step: Step, top: int, numbers: bool) -> list[str]:
    """Return the causes still possible, in words; probabilities when asked for.

    What is not in the knowledge is always among them, last where it does not stand higher.
    """
    lines = ["Still possible:"]
    groups = still_possible(step)
    for g in [*groups[:top], *(g for g in groups[top:] if g.causes[0] == UNKNOWN)]:
        odds = f" {g.probability:.3f}" if numbers else ""
        word = word_for(g.probability, groups[0].probability)
        lines += wrap(g.short(bench), " " * 13, f"  {word:<9}{odds}  ")
    for cause in sorted(step.mended, key=str):
        said = f"{cause_words(bench, cause)}: put right; look at that work again, or beside it"
        lines += wrap(said, " " * 13, "  mended     ")
    if misfits(step):
        lines.append("  The findings fit none of the listed causes well.")
    return lines


def cautions(
    bench: Bench, hazards: Iterable[str], read: Collection[str] = (), again: str = ""
) -> list[str]:
    """Return the text of hazards, warnings first; those ``read`` already by name on one line.

    ``again`` says how they are seen in full.
    """
    lines, before = [], []
    for h in warnings_first(bench, hazards):
        if h.id in read:
            before.append(h.headed)
        else:
            lines += wrap(h.text, "    ", f"  {h.headed}: ")
    if before:
        lines += wrap(f"{'; '.join(before)}{again}", "    ", "  As read before: ")
    return lines


def stops(bench: Bench, told: Iterable[Caution], first: str = "STOP: ") -> list[str]:
    """Return the text of stops, of several like places once, and where each was seen.

    What says 'that side' is of no use to whoever must run to one of two engines; of the only one
    nothing is said.
    """
    places: dict[str, list[str]] = {}
    for s in told:
        where = places.setdefault(s.text, [])
        if len(bench.places.parts_of_kind(bench.layout.parts[s.at].kind)) > 1:
            where.append(f"{bench.places.label(s.at)}{' (not settled)' if s.disputed else ''}")
    lines = []
    for text, where in places.items():
        lines += wrap(text, "  ", first)
        lines += wrap("; ".join(where), "    ", "  At: ") if where else []
    return lines


def reading_lines(
    bench: Bench,
    *readings: Reading,
    brief: bool = False,
    findings: Iterable[Finding] = (),
    told: State = ANY_STATE,
) -> list[str]:
    """Return one question: where, in which state, how, why, and its answers.

    ``readings``: the same question at one place or at several like ones, which are then numbered.
    ``brief`` leaves out how and why: they were told of the same question just before.
    ``findings``: of them those are shown that tell the answer already.  ``told``: the state it is
    wanted in where that is no run state of the layout.
    """
    reading = readings[0]
    q = bench.library.questions[reading.question]
    wanted = reading.state if reading.run_state else told
    state = f" [{state_words(bench, wanted)}]" if wanted != ANY_STATE else ""
    places = [r.place for r in readings]
    several = len(places) > 1
    where = "each of these" if several else bench.places.label(reading.place)
    lines = [f"{q.ask}  -- {where}{state}"]
    if several:
        lines += [f"  {k}: {bench.places.label(p)}" for k, p in enumerate(places, start=1)]
    for f in findings:
        if f.question == q.id and f.at in places and f.known_by == "told":
            lines += wrap(finding_line(bench, f), "       ", "  Told so far: ")
    if q.how and not brief:
        lines += wrap(q.how, "       ", "  How: ")
    if q.why and not brief:
        lines += wrap(q.why, "       ", "  Why: ")
    for p in places:
        of_which = f"{bench.places.label(p)}: " if several else ""
        for remark in remarks(bench.layout, q, p):
            lines += wrap(f"{of_which}{remark}", "       ", "  Note: ")
    lines += numbered(q.classes)
    if q.unit:
        limit = limit_of(q, bench.layout)
        held = (
            f"limit {limit.shown}, {limit.reference}" if limit else why_unclassed(q, bench.layout)
        )
        lines.append(f"  or a figure with its unit ({q.unit}; {held})")
    return lines


def beside(job: Job, reading: Reading) -> list[str]:
    """Return the same figure at the other places of its kind, newest of each; no conclusion."""
    bench = job.bench
    rows = beside_others(bench, job.findings, reading)
    if len(rows) < 2:
        return ["  Nothing to compare it with yet: read the others in the same state."]
    width = max(len(label) for label, _ in rows)
    return ["  Beside the others in the same state:", *(f"    {a:<{width}}  {b}" for a, b in rows)]


def watch_lines(job: str, plan: Watch, condition: str) -> list[str]:
    """Return a watch plan as lines, for screen and paper."""
    lines = [f"WATCH PLAN, job {job}: not reproduced under the conditions tried"]
    lines += wrap(f"Tried under: {condition or 'not stated'}", "    ", "  ")
    lines += wrap(f"What was reported: {plan.condition or 'see the record'}", "    ", "  ")
    lines += wrap(
        f"Watch for {plan.flights} flights in the reported condition: {plan.chance:.0%} to see it "
        f"at least once, if it comes on {plan.each:.0%} of them.",
        "    ",
        "  ",
    )
    lines += [f"  Gauge: {g}" for g in plan.gauges]
    lines.append("  The crew writes down, at the moment it comes:")
    lines += [line for n in plan.notes for line in wrap(n, "      ", "    - ")]
    lines.append("  Whether it may fly meanwhile is for those who may decide it, not this tool.")
    return lines


def check_lines(bench: Bench, check_id: str, minutes: float, *at: str) -> list[str]:
    """Return one check: state of the aeroplane, aim, what good and bad look like, answers.

    ``at``: one part, or several like ones at which it is made in one go; these are numbered.
    """
    results = numbered(bench.library.checks[check_id].results)
    return [*check_steps(bench, check_id, minutes, *at), *results]


def check_steps(bench: Bench, check_id: str, minutes: float, *at: str) -> list[str]:
    """Return one check without its answers."""
    c = bench.library.checks[check_id]
    label = bench.places.label
    where = label(at[0]) if len(at) == 1 else "each of these"
    lines = [f"CHECK: {c.title}  -- {where}  (about {minutes:.0f} min)"]
    lines += [f"  {k}: {label(p)}" for k, p in enumerate(at, start=1) if len(at) > 1]
    state = (f"{k.replace('-', ' ')} {v}" for k, v in c.aeroplane.items())
    lines += wrap(", ".join(state), "    ", "  Aeroplane: ")
    lines += wrap(c.aim, "       ", "  Aim: ")
    opened = access_to(c, bench.layout, at[0])
    if c.tools or c.hands > 1 or opened:
        need = [*c.tools, *([f"{c.hands} people"] if c.hands > 1 else [])]
        access = f"access: {opened}" if opened else ""
        lines += wrap("; ".join(filter(None, [", ".join(need), access])), "    ", "  Needs: ")
    lines += [x for k, s in enumerate(c.steps, 1) for x in wrap(s, "     ", f"  {k}. ")]
    lines.append(
        "  By the aeroplane's approved data." if not c.steps else "  The approved data rules."
    )
    for name, text in (("Good", c.good), ("Bad", c.bad), ("Close-out", c.close_out)):
        if text:
            lines += wrap(text, "    ", f"  {name}: ")
    return lines
