"""The steps of a decision chart in words: cautions first, then what to do, then where to go on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from diagnose.by_key import by_key
from diagnose.chart.checks import (
    LEAK_CHECK,
    before_mending,
    first_read,
    how_checked,
    needs_to_prove,
    people,
    remedy,
)
from diagnose.chart.labels import kind_words, printable
from diagnose.chart.limits import limits_of
from diagnose.chart.tree import Chart, ChartStep, Way
from diagnose.grammar import capital
from diagnose.job.day.before_run import set_up_words
from diagnose.job.diagnosis import Bench
from diagnose.job.elsewhere import as_fitted
from diagnose.job.explain import word_for
from diagnose.job.gates import Need
from diagnose.job.wording import cause_words, hazards_of, hazards_of_mending
from diagnose.model import CauseAt
from diagnose.paper.blocks import WHOLE, Block, Para, reference
from diagnose.planner import Action, Reading

TICK, BULLET = "\u25a1", "\u2022"
NAMED = 2
"""Causes named in one line of a list of suspects; the check itself names what it confirms."""

TO_WRITE = "Write down the number of every step taken, its answer and the time."


KEPT = 120.0
"""A step with answers to choose from is kept on one piece of paper up to this height [mm]."""


def step_block(bench: Bench, chart: Chart, step: ChartStep) -> Block:
    """Return one step; ends are heavy.  Where it is cut, what is mended has its cautions again."""
    paras = [*_arrival(step), *_BODY[step.kind](bench, chart, step)]
    again = [Para(f"{step.number}, continued", "head"), *_before_mending(bench, step)]
    whole = WHOLE if step.terminal else KEPT
    n, heavy = step.number, step.terminal
    return Block(printable(paras), n, n, heavy=heavy, again=printable(again), whole=whole)


def hazards_of_step(bench: Bench, step: ChartStep) -> tuple[str, ...]:
    """Return the hazards of what a step asks for, and of what it says how to mend."""
    return tuple(dict.fromkeys((*_of_asking(bench, step), *_of_mending(bench, step))))


def _of_asking(bench: Bench, step: ChartStep) -> tuple[str, ...]:
    if step.kind in ("check", "settle"):
        return bench.library.checks[step.check].hazards
    if step.kind in ("reading", "run"):
        return hazards_of(bench, Action(step.readings))
    return ()


def _of_mending(bench: Bench, step: ChartStep) -> tuple[str, ...]:
    """Return the hazards of mending that the step itself has not named."""
    causes = (bench.library.causes[c] for c in step.mends)
    listed = dict.fromkeys(h for c in causes for h in hazards_of_mending(bench, c))
    return tuple(h for h in listed if h not in _of_asking(bench, step))


def needs_of_step(bench: Bench, step: ChartStep) -> tuple[Need, ...]:
    """Return which lists must be known: for what a step asks, and to prove what it mends."""
    return (step.need, *needs_to_prove(bench.library.causes[c] for c in step.mends))


def _before_mending(bench: Bench, step: ChartStep) -> Iterable[Para]:
    causes = [bench.library.causes[c] for c in step.mends]
    return before_mending(bench, _of_mending(bench, step), needs_to_prove(causes))


def _arrival(step: ChartStep) -> Iterable[Para]:
    """Yield what the rules say on arrival: under the step's number, before anything else."""
    if step.stops or step.warns:
        yield Para(f"{step.number}  FIRST", "head")
    yield from (Para(f"STOP: {s}", "warn") for s in step.stops)
    yield from (Para(f"CAUTION: {s}", "warn") for s in step.warns)


def _before(bench: Bench, step: ChartStep) -> Iterable[Para]:
    yield from first_read(bench, _of_asking(bench, step), step.need)


# ------------------------------------------------------------------ actions


def _reading(bench: Bench, chart: Chart, step: ChartStep) -> Iterable[Para]:
    reading = step.asks
    assert reading is not None
    q = bench.library.questions[reading.question]
    where = bench.places.label(reading.place)
    yield Para(f"{step.number}  {q.ask} ({where}; about {step.minutes:.0f} min)", "head")
    yield from _before(bench, step)
    title, how = set_up_words(bench, reading.run_state)
    if reading.run_state is not None:
        yield Para(f"State: {title}" + (f" ({how})" if how else ""))
    if q.how:
        yield Para(f"How: {q.how}")
    if q.tools or q.hands > 1:
        yield Para(f"Needs: {'; '.join([*q.tools, *people(q.hands)])}")
    yield from _limit(bench, reading)
    yield from _answers(step, q.classes)


def _limit(bench: Bench, reading: Reading) -> Iterable[Para]:
    """Yield the limits by which a figure is classed, with the paper they were taken from."""
    said = limits_of(bench, bench.library.questions[reading.question])
    if said:
        yield Para(said)


def _run(bench: Bench, chart: Chart, step: ChartStep) -> Iterable[Para]:
    count = len(step.readings)
    many = f"{count} readings" if count > 1 else "one reading"
    yield Para(f"{step.number}  Run the engine: {many} in one run (about {step.minutes:.0f} min)",
               "head")  # fmt: skip
    yield from _before(bench, step)
    order = {s.id: k for k, s in enumerate(bench.layout.run_states)}
    seen, told = "", set()
    for r in sorted(step.readings, key=lambda r: order.get(r.state_id, -1)):
        title, how = set_up_words(bench, r.run_state)
        if title != seen:
            yield Para(f"{title}" + (f" ({how})" if how else "") + ":", "sub")
            seen = title
        q = bench.library.questions[r.question]
        answers = "as above" if q.id in told else " / ".join(q.classes.values())
        told.add(q.id)
        said = f"{q.title}, {bench.places.label(r.place)}: {answers}"
        yield Para(f"{said} ________", "item", TICK)
    yield Para("Shut down by the approved drill; nobody near a propeller until it is still.")
    assert step.asks is not None
    yield from _shown(bench, step, step.asks)


def _look(bench: Bench, chart: Chart, step: ChartStep) -> Iterable[Para]:
    assert step.asks is not None
    yield Para(f"{step.number}  Look at what was written down in the run", "head")
    yield from _shown(bench, step, step.asks)


def _shown(bench: Bench, step: ChartStep, reading: Reading) -> Iterable[Para]:
    q = bench.library.questions[reading.question]
    title, _ = set_up_words(bench, reading.run_state)
    where = bench.places.label(reading.place)
    yield Para(f"What was written for: {q.title}, {where} [{title}]?", "sub")
    yield from _limit(bench, reading)
    yield from _answers(step, q.classes)


def _check(bench: Bench, chart: Chart, step: ChartStep) -> Iterable[Para]:
    check = bench.library.checks[step.check]
    yield from _how(bench, step)
    yield from _answers(step, check.results)
    if check.close_out:
        yield Para(f"Close-out, whatever is found: {check.close_out}")


def _how(bench: Bench, step: ChartStep) -> Iterable[Para]:
    """Yield how the check of a step is done, its cautions and the aeroplane's state first."""
    check = bench.library.checks[step.check]
    minutes = step.minutes or check.minutes + check.access_minutes
    where = at_words(bench, step.places or (step.at,))
    yield Para(f"{step.number}  CHECK: {check.title}, {where} (about {minutes:.0f} min)", "head")
    yield from _before(bench, step)
    yield from how_checked(check)


def _answers(step: ChartStep, classes: Mapping[str, str]) -> Iterable[Para]:
    """Yield each answer with the step to go on at; never in the order of belief."""
    to = {v: w for w in step.ways for v in w.values}
    for value, label in classes.items():
        yield _way(label, to[value])
    yield _way("not checked, cannot tell", to[""])


def _way(label: str, way: Way) -> Para:
    return Para(f"{label} \u2192 {reference(way.to)}", "answer", TICK)


# ------------------------------------------------------------------ ends


def _remedy(bench: Bench, cause: CauseAt) -> Iterable[Para]:
    """Yield what to do about a cause that is found."""
    known = bench.library.causes[cause.cause]
    yield from remedy(bench, cause)
    if known.outside:
        yield Para("Outside the fuel system: hand over to whoever works on it.")


def _found(bench: Bench, chart: Chart, step: ChartStep) -> Iterable[Para]:
    assert step.cause is not None
    yield Para(f"{step.number}  FOUND: {cause_words(bench, step.cause)}", "head")
    yield from _before_mending(bench, step)
    yield from _remedy(bench, step.cause)
    check = bench.library.checks.get(step.check)
    yield Para(f"Close-out: {check.close_out if check and check.close_out else LEAK_CHECK}")
    yield Para(f"Still there on the verification run? Not this, or not alone: go on at "
               f"{reference(step.otherwise)}.", "sub")  # fmt: skip


def _suspects(bench: Bench, chart: Chart, step: ChartStep) -> Iterable[Para]:
    if step.seldom:
        yield Para(f"{step.number}  {_seldom_head(bench, step)}", "head")
        yield from _before_mending(bench, step)
        yield from _seldom(bench, step)
    if step.suspects or not step.seldom:
        head = "NOT CHECKED, or not settled by it" if step.seldom else "NOT SETTLED"
        lead = "" if step.seldom else f"{step.number}  "
        told = "check in this order" if step.suspects else "no check here would tell"
        yield Para(f"{lead}{head}: {told}", "sub" if step.seldom else "head")
        yield from _listed(bench, step)
    yield _closed(step)
    if step.stops and chart.step(step.otherwise).kind == "hand-over":
        yield Para("The danger is worked first, as a finding of its own. This paper goes on once "
                   "it is gone.", "sub")  # fmt: skip


def _rest(bench: Bench, chart: Chart, step: ChartStep) -> Iterable[Para]:
    yield Para(f"{step.number}  THE REST: every further check, in the order that holds at the "
               "start; leave out what is done", "head")  # fmt: skip
    yield from _listed(bench, step)
    yield _closed(step)


def _listed(bench: Bench, step: ChartStep) -> Iterable[Para]:
    """Yield the checks of a list, each in a line: its step, where, what it may find, how likely."""
    top = max((p for s in step.suspects for _, p in s.causes), default=1.0)
    kind = "listed" if len(step.suspects) > 9 else "item"
    for k, s in enumerate(step.suspects, 1):
        modes = dict.fromkeys(bench.library.causes[c.cause].title for c, _ in s.causes)
        finds = "; ".join(list(modes)[:NAMED])
        at = at_words(bench, s.at)
        word = word_for(s.causes[0][1], top)
        yield Para(f"step {reference(s.step)}, {at}: {finds} ({word})", kind, f"{k}.")


def at_words(bench: Bench, parts: Sequence[str]) -> str:
    """Return where: each part by its label, or 'every ...' where all of three or more are meant."""
    layout, places = bench.layout.parts, bench.places
    out = []
    for kind in dict.fromkeys(layout[p].kind for p in parts):
        here = [p for p in parts if layout[p].kind == kind]
        if len(here) > 2 and set(here) == set(places.parts_of_kind(kind)):
            out.append(f"every {kind_words(kind)}")
        else:
            out += [places.label(p) for p in here]
    return "; ".join(out)


def _closed(step: ChartStep) -> Para:
    return Para(f"Close-out: as each check says; log it. None of these: go on at "
                f"{reference(step.otherwise)}.", "warn")  # fmt: skip


def _seldom_head(bench: Bench, step: ChartStep) -> str:
    asked, at = step.seldom_of
    known = bench.library.checks.get(asked) or bench.library.questions[asked]
    return f"SELDOM ANSWERS: {known.title}, {bench.places.label(at)}"


def _seldom(bench: Bench, step: ChartStep) -> Iterable[Para]:
    asked, _ = step.seldom_of
    labels = (bench.library.checks.get(asked) or bench.library.questions[asked]).answers
    told: dict[str, list[str]] = {}  # what several answers say alike is told once
    for s in step.seldom:
        name = cause_words(bench, s.cause)
        if s.confirmed:
            known = as_fitted(bench, s.cause)
            verify = f" Verify: {known.verify}" if known.verify else ""
            said = f"FOUND: {name}. Rectify: {known.rectify}{verify}"
        else:
            said = f"Most often {name}: go on at {reference(s.step)}"
        warned = "".join(f" CAUTION: {w}" for w in s.warns)
        told.setdefault(f"{warned} {said}", []).append(labels[s.value])
    for said, answers in told.items():
        yield Para(f"{' / '.join(answers)}:{said}", "item", TICK)


def _settle(bench: Bench, chart: Chart, step: ChartStep) -> Iterable[Para]:
    check = bench.library.checks[step.check]
    yield from _how(bench, step)
    first, *others = check.results
    yield Para(f"{check.results[first]} \u2192 back to the list that sent you here, its next line",
               "answer", TICK)  # fmt: skip
    yield from _before_mending(bench, step)
    meant = {m.result: m.causes for m in step.meanings}
    for result in others:
        causes = meant.get(result, ())
        if not causes:
            yield Para(f"{check.results[result]} \u2192 write it down; back to the list",
                       "answer", TICK)  # fmt: skip
            continue
        modes = by_key((c.cause, c.at) for c in causes)
        head = "FOUND" if len(modes) == 1 else "FOUND one of these, likeliest first"
        yield Para(f"{check.results[result]} \u2192 {head}:", "answer", TICK)
        for mode, at in modes.items():
            known = as_fitted(bench, CauseAt(mode, at[0]))
            verify = f" Verify: {known.verify}" if known.verify else ""
            said = f"{known.title}, {at_words(bench, at)}. Rectify: {known.rectify}{verify}"
            yield Para(said, "item", BULLET)
    yield Para(f"Close-out: {check.close_out or LEAK_CHECK}")
    yield Para("Still there afterwards: back to the list that sent you here, its next line; when "
               "that list is used up, it says where to go on. Sent here by no list: go on at "
               f"{reference(step.otherwise)}.", "sub")  # fmt: skip


def _hand_over(bench: Bench, chart: Chart, step: ChartStep) -> Iterable[Para]:
    yield Para(f"{step.number}  NOT ISOLATED: hand over", "head")
    yield Para("That is a result. Hand over this paper with every answer on it, what is open or "
               "drained, what was moved, and samples kept.")  # fmt: skip
    yield Para(f"Close-out: {LEAK_CHECK} The aeroplane is not to be run on the strength of this "
               "paper.")  # fmt: skip
    yield Para(f"More found since, or the report itself was different: go on at "
               f"{reference(step.otherwise)}.", "sub")  # fmt: skip


def _stop(bench: Bench, chart: Chart, step: ChartStep) -> Iterable[Para]:
    yield Para(f"{step.number}  STOP: what to do at once, at whatever step it is found", "head")
    for d in step.dangers:
        found = "; ".join(d.found)
        yield Para(f"{capital(found)}: {d.do}", "item", TICK)
    yield Para("Close-out: write down what was found, when, and at which step; log it. The danger "
               "is worked first: once it is gone, as a finding of its own. Until then hand over: "
               f"go on at {reference(step.otherwise)}.", "warn")  # fmt: skip


_BODY = {
    "reading": _reading,
    "run": _run,
    "look": _look,
    "check": _check,
    "found": _found,
    "suspects": _suspects,
    "rest": _rest,
    "settle": _settle,
    "hand-over": _hand_over,
    "stop": _stop,
}
