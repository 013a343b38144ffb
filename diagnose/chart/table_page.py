"""The fault-finding table on sheets, and after it every check it names."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diagnose.by_key import by_key
from diagnose.chart.checks import (
    LEAK_CHECK,
    before_mending,
    first_read,
    how_checked,
    how_long,
    known_before,
    needs_to_prove,
)
from diagnose.chart.labels import APPROVED, NO_RATES, cautions, labels, printable
from diagnose.chart.table import Entry, FaultTable, Likely
from diagnose.job.diagnosis import Bench
from diagnose.job.gates import need_of_check
from diagnose.job.wording import hazards_of_mending
from diagnose.model import Cause
from diagnose.paper.blocks import Block, Paper, Para, Part, Row, reference
from diagnose.paper.sheets import Group, Set
from diagnose.paper.words import shown

SHARES = (0.22, 0.31, 0.22, 0.25)
HEADINGS = ("Found", "Likely causes, in order", "Check", "Remedy")


def on_paper(bench: Bench, table: FaultTable, paper: Paper) -> Set:
    """Return the sheets of the table, one entry after another, then the checks."""
    across = 2 if paper.width > paper.height else 1  # a wide sheet takes two tables abreast
    entries = (*table.findings, *table.symptoms)
    used = sorted({c.check for e in entries for c in e.causes if c.check})
    number = {check: k for k, check in enumerate(used, 1)}
    parts: list[Part] = []
    for heading, told in (
        ("What one look or reading shows", table.findings),
        ("What several findings make together", table.symptoms),
    ):
        parts += [_heading(heading)] if told else []  # a table of one symptom has no single looks
        parts += [_row(bench, e, number) for e in told]
    in_full = tuple(_check(bench, check, k) for check, k in number.items())
    opening = _opening(bench)

    def over(here: Sequence[Part]) -> tuple[Part, ...]:
        if parts[0] in here:
            return (opening,)
        checks = [bench.library.checks[used[p.about - 1]] for p in here if p.about]
        mended = [c for check in checks for c in _mended(bench, check.id)]
        hazards = [h for c in checks for h in c.hazards]
        hazards += [h for c in mended for h in hazards_of_mending(bench, c)]
        needs = (*map(need_of_check, checks), *needs_to_prove(mended))
        paras = (*cautions(bench, hazards), *known_before(bench, needs))
        head = Para("READ BEFORE ANY CHECK ON THIS SHEET", "sub")
        return (Block((head, *paras), heavy=True),) if paras else ()

    return Set(
        shown(f"Fault-finding table: {bench.layout.id}"),
        labels(bench.library, bench.layout),
        (Group(tuple(parts), across, Row((HEADINGS,), SHARES, head=True)), Group(in_full)),
        paper,
        over,
    )


def _opening(bench: Bench) -> Block:
    return Block((
        Para(shown(bench.layout.title), "head"),
        Para("Find what was seen or read in the first column; do what it says after STOP or "
             "CAUTION before anything else, then work its causes from the top. The "
             "check named settles its cause; it is told in full, its cautions before it, on the "
             "last sheets under its number, with the cautions of the remedies it leads to. Minutes "
             "are with access. After a part is changed begin again: a new part can bring a new "
             "fault. A quick check may be worth making before the likeliest cause's; the decision "
             "chart weighs that. More of each cause stands on its card; the cards lie in the order "
             "of their titles."),
        Para("A cause stands where the finding speaks for it; a finding that is not in the table "
             "speaks for none. Nothing in the line found: hand over with what was done. Prove "
             "every remedy in the state of the report, with what the head of its check's sheet "
             "asks for known before."),
        Para(f"{APPROVED} {NO_RATES}", "small"),
    ), framed=False)  # fmt: skip


def _heading(text: str) -> Block:
    return Block((Para(text, "head"),), framed=False, leads=True)


def _row(bench: Bench, entry: Entry, number: Mapping[str, int]) -> Row:
    found = [f"{entry.title}."]
    if entry.says:
        found.append(f"Found: {'; '.join(entry.says)}.")
    if len(entry.places) > 1:
        found.append(f"At {'; '.join(entry.places)}.")
    found += [f"{said}." for said in entry.limits]
    found += [f"STOP: {said}" for said in entry.stops]
    found += [f"CAUTION: {said}" for said in entry.warns]
    lines = [_line(bench, k, c, number) for k, c in enumerate(entry.causes, 1)]
    if not lines:
        lines = [("nothing listed stands out: hand over", "", "")]
    return Row(
        tuple((shown(" ".join(found)), *line) if k == 0 else line for k, line in enumerate(lines)),
        SHARES,
    )


def _line(bench: Bench, k: int, c: Likely, number: Mapping[str, int]) -> tuple[str, str, str]:
    check = "none here: hand over"
    if c.check:
        title = bench.library.checks[c.check].title
        check = f"{reference(number[c.check])}: {title} ({c.minutes:.0f} min)"
    return (
        shown(f"{k}. {c.title}: {'; '.join(c.where)} ({c.word})"),
        shown(check),
        shown(c.remedy),
    )


def _check(bench: Bench, check_id: str, number: int) -> Block:
    """Return one check in full: cautions first, what each result confirms, close-out."""
    check = bench.library.checks[check_id]
    mended = _mended(bench, check_id)
    confirmed = by_key(
        (c.result, cause.title) for cause in mended for c in cause.checks if c.check == check_id
    )
    hazards = dict.fromkeys(h for c in mended for h in hazards_of_mending(bench, c))
    careful = tuple(
        before_mending(
            bench, [h for h in hazards if h not in check.hazards], needs_to_prove(mended)
        )
    )
    paras = [Para(f"{number}  {check.title} ({how_long(check)})", "head")]
    paras += first_read(bench, check.hazards, need_of_check(check))
    paras += how_checked(check)
    first, *others = check.results
    paras.append(Para(f"{check.results[first]}: next cause of the line", "answer", "\u25a1"))
    paras += careful
    for result in others:
        means = "; ".join(dict.fromkeys(confirmed.get(result, ()))) or "write it down; go on"
        paras.append(Para(f"{check.results[result]}: {means}", "answer", "\u25a1"))
    paras.append(Para(f"Close-out: {check.close_out or LEAK_CHECK}"))
    again = (Para(f"{number}, continued", "head"), *careful)
    return Block(printable(paras), number, number, again=again)


def _mended(bench: Bench, check: str) -> list[Cause]:
    """Return the causes of this layout that a result of ``check`` confirms."""
    here = {c.cause for c in bench.net.instances}
    causes = bench.library.causes.values()
    return [c for c in causes if c.id in here and any(k.check == check for k in c.checks)]
