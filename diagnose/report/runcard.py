"""The card of one engine run: when to stop, what must be known, what to read and write down.

It is filled in with a pencil in the cockpit, so it is one sheet, and each reading has a box.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from diagnose.errors import UsageError
from diagnose.job.before_run import FOR_A_RUN, STOP_AT_ONCE, gate_words, set_up_words
from diagnose.job.diagnosis import Bench
from diagnose.model import RunState
from diagnose.paper.page import page
from diagnose.paper.words import NOT_A_RELEASE, UNREVIEWED, shown
from diagnose.planner import Action, Reading
from diagnose.report.text import paged, wrapped

FORMS = ("text", "html")

AFTER = (
    "Shut down by the approved drill; propellers still before anybody goes near.",
    "Look first at what cooling or draining takes away. Leak, smell, damage seen:",
)

ALONE = "One person takes a reading unless more are stated."

STOPPED = "what needs a stopped or cold engine is done before the start"

FILLED_IN = ("Job", "Aeroplane", "Date, UTC", "Place", "Wind, air", "Read by")

Group = tuple[RunState | None, tuple[Reading, ...]]

Cell = tuple[str, str, str]
"""What to read, where, and what may be written and how many people it takes."""


def runcard(bench: Bench, action: Action, gates: Sequence[Reading], fmt: str) -> str:
    """Return the card of ``action``, a bundle of readings, as ``text`` or ``html``.

    ``gates``: what is not known safe and must be answered before the start.

    Raises:
        UsageError: If the action holds no readings, or there is no such form.
    """
    if fmt not in FORMS:
        raise UsageError(f"'{fmt}' is not a form of the run card; say {' or '.join(FORMS)}.")
    if not action.readings:
        raise UsageError("a run card needs readings; this action has none.")
    return _text(bench, action, gates) if fmt == "text" else _html(bench, action, gates)


def groups(bench: Bench, readings: Iterable[Reading]) -> tuple[Group, ...]:
    """Return the readings by run state, in the order in which the layout lists its states.

    Layouts list them as an engine goes through them: static, idle, run-up, shut down.
    """
    order = {s.id: k for k, s in enumerate(bench.layout.run_states)}
    by: dict[str, list[Reading]] = {}
    for r in readings:
        by.setdefault(r.key[2], []).append(r)
    ids = sorted(by, key=lambda i: order.get(i, -1))  # what can be read at any time comes first
    return tuple((by[i][0].run_state, tuple(by[i])) for i in ids)


def _labels(bench: Bench) -> tuple[str, ...]:
    layout = bench.layout
    return (
        UNREVIEWED,
        f"layout {layout.id}" + (" (invented)" if layout.invented else ""),
        f"knowledge edition {bench.library.edition}",
        NOT_A_RELEASE,
    )


def _cautions(bench: Bench, readings: Iterable[Reading]) -> tuple[str, ...]:
    ids = dict.fromkeys(h for r in readings for h in bench.library.questions[r.question].hazards)
    known = (bench.library.hazards[h] for h in ids)
    return tuple(f"{h.level.upper()}: {h.text}" for h in known)


def _before(bench: Bench, gates: Sequence[Reading]) -> tuple[str, ...]:
    """Return what must be ticked before the start, the same question once for all its places."""
    return (*FOR_A_RUN, *gate_words(bench, gates))


def _rows(
    bench: Bench, shown_groups: Iterable[Group]
) -> Iterable[tuple[str, str, tuple[Cell, ...]]]:
    """Yield (title, how to set it, its readings) of every run state.

    The answers of a question are written out once: what is not repeated keeps to one sheet.
    """
    told: set[str] = set()
    for state, readings in shown_groups:
        cells = []
        for r in readings:
            q = bench.library.questions[r.question]
            unit = "figure with its unit, or " if q.unit else ""
            said = unit + " / ".join(q.classes.values()) if q.id not in told else "as above"
            told.add(q.id)
            people = f"; {q.hands} people" if q.hands > 1 else ""
            cells.append((q.title, bench.places.label(r.place), said + people))
        yield (*set_up_words(bench, state), tuple(cells))


# ------------------------------------------------------------------ text


def _text(bench: Bench, action: Action, gates: Sequence[Reading]) -> str:
    blocks = [[f"RUN CARD: {len(action.readings)} readings, about {action.minutes:.0f} min"]]
    blank = [f"{what}: ".ljust(26, "_") for what in FILLED_IN]
    blocks += [["  ".join(blank[k : k + 3])] for k in range(0, len(blank), 3)]
    blocks.append(["", "STOP AT ONCE", *_listed(STOP_AT_ONCE, "  ! ")])
    cautions = _cautions(bench, action.readings)
    if cautions:
        blocks.append(["", f"CAUTIONS ({STOPPED})", *_listed(cautions, "  ! ")])
    before = _listed(_before(bench, gates), "  [ ] ")
    blocks.append(["", "BEFORE START (anything not known blocks the run)", *before])
    blocks.append(["", f"READINGS, in this order. {ALONE}"])
    for title, how, cells in _rows(bench, groups(bench, action.readings)):
        head = wrapped(f"{title.upper()} ({how})" if how else title.upper(), "  ", "")
        for what, where, answers in cells:
            lines = wrapped(f"{what}, {where}: {answers}", " " * 18, "  [____________]  ")
            blocks.append(head + lines)
            head = []
    blocks.append(["", "AFTER SHUT-DOWN", *_listed(AFTER, "  [ ] "), "  " + "_" * 80])
    return paged(_labels(bench), blocks)


def _listed(texts: Iterable[str], mark: str) -> list[str]:
    return [line for t in texts for line in wrapped(shown(t), " " * len(mark), mark)]


# ------------------------------------------------------------------ HTML

_STYLE = """h1 { font-size: 13pt; margin: 1mm 0; } h2 { font-size: 10.5pt; margin: 2mm 0 .5mm; }
body { font-size: 9pt; line-height: 1.2; } ul { padding-left: 5mm; }
ul.tick { list-style: none; padding-left: 0; } .stop { border: 1.5pt solid #000; padding: 1mm 2mm; }
.fill { display: inline-block; width: 58mm; border-bottom: .5pt solid #000; margin: 1.5mm 1mm 0 0; }
.tick li::before { content: "\\25a1\\00a0"; } table.data td { height: 7mm; }
.write { height: 6mm; border-bottom: .5pt solid #000; }"""


def _html(bench: Bench, action: Action, gates: Sequence[Reading]) -> str:
    fill = "".join(f'<span class="fill">{escape(what)}:</span>' for what in FILLED_IN)
    parts = [
        f"<h1>Run card: {len(action.readings)} readings, about {action.minutes:.0f} min</h1>{fill}",
        f'<div class="stop keep"><strong>STOP AT ONCE</strong>{_list(STOP_AT_ONCE)}</div>',
    ]
    cautions = _cautions(bench, action.readings)
    if cautions:
        parts.append(f"<h2>Cautions ({STOPPED})</h2>{_list(cautions)}")
    before = _list(_before(bench, gates), "tick")
    parts.append(f"<h2>Before start (anything not known blocks the run)</h2>{before}")
    parts.append(_table(_rows(bench, groups(bench, action.readings))))
    after = f"{_list(AFTER, 'tick')}" + '<div class="write"></div>' * 3
    parts.append(f'<div class="keep"><h2>After shut-down</h2>{after}</div>')
    labels = _labels(bench)
    return page("Run card", labels, " | ".join(labels), parts, _STYLE)


def _table(rows: Iterable[tuple[str, str, Sequence[Cell]]]) -> str:
    """Return the readings as one table, a row across it for each run state."""
    body = []
    for title, how, cells in rows:
        body.append(
            '<tr><th scope="rowgroup" colspan="4">'
            f"{escape(shown(f'{title} ({how})' if how else title))}</th></tr>"
        )
        body += [
            "<tr><td></td>" + "".join(f"<td>{escape(shown(c))}</td>" for c in cell) + "</tr>"
            for cell in cells
        ]
    heads = "".join(
        f'<th scope="col">{h}</th>' for h in ("Written down", "What", "Where", "Answers")
    )
    return (
        f"<h2>Readings, in this order</h2><p>{ALONE}</p>"
        '<table class="data"><colgroup><col style="width: 22%"><col style="width: 23%">'
        '<col style="width: 19%"><col></colgroup>'
        f"<thead><tr>{heads}</tr></thead><tbody>{''.join(body)}</tbody></table>"
    )


def _list(texts: Iterable[str], kind: str = "") -> str:
    items = "".join(f"<li>{escape(shown(t))}</li>" for t in texts)
    return f'<ul class="{kind}">{items}</ul>' if kind else f"<ul>{items}</ul>"
