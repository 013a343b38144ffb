"""Sections of the record about the day around a run: disturbed, handed over, followed up."""

from __future__ import annotations

from dataclasses import replace

from diagnose.job.keeping.disturbed import told_by
from diagnose.job.keeping.events import JobState
from diagnose.model import DISTURBED
from diagnose.report.entries import STATUS, Entries, section, taken_words
from diagnose.report.plain import Row, Section


def disturbed(entries: Entries, state: JobState) -> Section:
    """Return everything disturbed, with who restored it and who else inspected it."""
    rows: list[Row] = []
    for e in entries.events:
        for d in told_by(e):
            now = state.disturbed.get(d.id, d)
            inspected = now.inspected or "NOT YET" if d.joint else "not called for"
            rows.append(
                entries.base(e)
                | {
                    "item": d.id,
                    "kind": d.kind,
                    "label": DISTURBED[d.kind],
                    "what": d.what,
                    "at": d.place,
                    "place": entries.place(d.place),
                    "restore": d.restore,
                    "restored": now.restored or "NOT RESTORED",
                    "inspected": inspected,
                }
            )
    columns = (
        ("item", "Item"),
        ("label", "Kind"),
        ("what", "What"),
        ("place", "Where"),
        ("restore", "Restored by"),
        ("restored", "Initials"),
        ("inspected", "Second person"),
        STATUS,
    )
    still = sum(d.open for d in state.disturbed.values())
    note = (
        f"{still or 'None'} of {len(rows)} still open. "
        "Feed and control joints are inspected by a second person. "
        "Initials here certify nothing; they say who looked."
    )
    return Section("disturbed", "What was disturbed on the aeroplane", columns, tuple(rows), note)


def followed(entries: Entries) -> Section:
    """Return leak checks, follow-ups of the part found, and watched flights."""
    kinds = ("restored", "inspected", "leak-checked", "followed-up", "watch-set", "not-reproduced")
    return _plain(entries, "followed", "After the part was found", (*kinds, "flown"))


def handed_over(entries: Entries) -> Section:
    """Return run cards printed and handovers, line by line."""
    kinds = ("card", "handed-over", "taken-over")
    made = _plain(entries, "handovers", "Run cards and handovers", kinds)
    told = {e["n"]: e for e in entries.of("taken-over")}
    rows = tuple(
        {**r, "line": entries.handed(e), "said": taken_words(e)} if (e := told.get(r["n"])) else r
        for r in made.rows
    )
    return replace(made, rows=rows)


def _plain(entries: Entries, name: str, title: str, kinds: tuple[str, ...]) -> Section:
    rows = (
        entries.base(e)
        | {"kind": e["event"].replace("-", " "), "what": entries.words(e)}
        | {k: e[k] for k in ("item", "by") if e.get(k)}
        for e in entries.of(*kinds)
    )
    return section(name, title, (("kind", "Step"), ("what", "What")), rows)
