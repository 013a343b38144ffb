"""The fault-finding table on sheets, and after it every check it names."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diagnose.chart.checks import LEAK_CHECK, first_read, how_checked, known_before
from diagnose.chart.labels import APPROVED, NO_RATES, cautions, labels
from diagnose.chart.table import Entry, FaultTable, Likely
from diagnose.job.diagnosis import Bench
from diagnose.job.gates import need_of_check
from diagnose.paper.blocks import Block, Paper, Para, Part, Row, reference
from diagnose.paper.sheets import Group, Set
from diagnose.paper.words import shown

LONGEST = 120.0
"""Height of one block [mm]; a longer check goes on in another."""

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
    in_full = tuple(
        piece
        for check, k in number.items()
        for piece in _check(bench, check, k).cut(
            paper.column, LONGEST, Para(f"{k}, continued", "head")
        )
    )
    opening = _opening(bench)

    def over(here: Sequence[Part]) -> tuple[Part, ...]:
        if parts[0] in here:
            return (opening,)
        checks = [bench.library.checks[used[p.about - 1]] for p in here if p.about]
        paras = (
            *cautions(bench, [h for c in checks for h in c.hazards]),
            *known_before(bench, map(need_of_check, checks)),
        )
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
        Para("Find what was seen or read in the first column; work its causes from the top. The "
             "check named settles its cause; it is told in full, its cautions before it, on the "
             "last sheets under its number. Minutes are with access. After a part is changed begin "
             "again: a new part can bring a new fault. A quick check may be worth making before "
             "the likeliest cause's; the decision chart weighs that."),
        Para("A cause stands where the finding speaks for it; a finding that is not in the table "
             "speaks for none. Nothing in the line found: hand over with what was done. Verify "
             "every remedy by a run in the state of the report."),
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
    library = bench.library
    check = library.checks[check_id]
    here = {c.cause for c in bench.net.instances}
    confirmed: dict[str, list[str]] = {}
    for cause in library.causes.values():
        for c in cause.checks:
            if c.check == check_id and cause.id in here:
                confirmed.setdefault(c.result, []).append(cause.title)
    minutes = f"{check.minutes:.0f} min"
    if check.access_minutes:
        minutes += f" and {check.access_minutes:.0f} for access"
    paras = [Para(f"{number}  {check.title} ({minutes})", "head")]
    paras += first_read(bench, check.hazards, need_of_check(check))
    paras += how_checked(check)
    first, *others = check.results
    paras.append(Para(f"{check.results[first]}: next cause of the line", "answer", "\u25a1"))
    for result in others:
        means = "; ".join(dict.fromkeys(confirmed.get(result, ()))) or "write it down; go on"
        paras.append(Para(f"{check.results[result]}: {means}", "answer", "\u25a1"))
    paras.append(Para(f"Close-out: {check.close_out or LEAK_CHECK}"))
    return Block(tuple(Para(shown(p.text), p.kind, p.mark) for p in paras), number, number)
