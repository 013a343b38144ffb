"""A decision chart on sheets: the start, the steps in order, cautions at the head of each sheet."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from diagnose.chart.checks import known_before
from diagnose.chart.grow import Grower
from diagnose.chart.labels import APPROVED, NO_RATES, cautions, labels, printable
from diagnose.chart.limits import limits_behind
from diagnose.chart.start import Start
from diagnose.chart.steps import TO_WRITE, hazards_of_step, needs_of_step, step_block
from diagnose.chart.tree import Chart
from diagnose.job.diagnosis import Bench
from diagnose.paper.blocks import Block, Paper, Para, Part, reference
from diagnose.paper.sheets import Group, Set
from diagnose.paper.words import shown

BEFORE = "READ BEFORE ANY STEP ON THIS SHEET"


def grown(
    bench: Bench,
    start: Start,
    paper: Paper,
    pages: int,
    progress: Callable[[int], None] | None = None,
) -> Chart:
    """Return the chart for ``start``, its tree grown to what ``pages`` sheets of ``paper`` take.

    What its ends send to follows on sheets of their own.
    """

    def fits(chart: Chart) -> bool:
        made = on_paper(bench, chart, paper)
        return len(made.laid(made.groups[0])) <= pages

    return Grower(bench, start).grow(fits, progress)


def on_paper(bench: Bench, chart: Chart, paper: Paper) -> Set:
    """Return the sheets of a chart."""
    steps = {s.number: s for s in chart.steps}

    stop = chart.stop
    found = "; ".join(title for d in stop.dangers for title in d.found)
    danger = Para(
        f"FOUND AT ANY STEP: {found}: STOP, and go at once to {reference(stop.number)}.", "warn"
    )

    def over(parts: Sequence[Part]) -> tuple[Part, ...]:
        here = [steps[p.about] for p in parts if p.about]
        hazards = [h for s in here for h in hazards_of_step(bench, s)]
        paras = [
            *cautions(bench, hazards),
            *known_before(bench, (n for s in here for n in needs_of_step(bench, s))),
        ]
        if any(s.danger for s in here):
            paras.insert(0, danger)
        return (Block((Para(BEFORE, "sub"), *paras), heavy=True),) if paras else ()

    tree = (
        _opening(bench, chart),
        *(step_block(bench, chart, s) for s in chart.tree),
    )
    after = tuple(step_block(bench, chart, s) for s in chart.after)
    title = f"Decision chart: {chart.start.title}"
    return Set(
        shown(title), labels(bench.library, bench.layout), (Group(tree), Group(after)), paper, over
    )


def _opening(bench: Bench, chart: Chart) -> Block:
    start = chart.start
    paras = [
        Para("Start here", "head"),
        Para("Aeroplane ____________ Date ____________ By ____________"),
        *(Para(f"{says}.", "item", "\u2022") for says in start.says),
        *(Para(f"{said}.") for said in limits_behind(bench, start.findings)),
        Para(
            f"Two people, all tools at hand. Begin at step 1; go on where the answer points. "
            f"{TO_WRITE} Of 100 such reports about {100 * chart.covered:.0f} have a cause that a "
            "check named here settles; the others are handed over."
        ),
        Para(f"{APPROVED} {NO_RATES}", "small"),
    ]
    return Block(printable(paras))
