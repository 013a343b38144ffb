"""Sections of the record about work: before it, at hand, put right, disturbed, handed over."""

from __future__ import annotations

from dataclasses import replace

from diagnose.job.elsewhere import as_fitted
from diagnose.job.keeping.disturbed import told_by
from diagnose.job.keeping.events import JobState
from diagnose.job.keeping.log import Event
from diagnose.model import DISTURBED, CauseAt
from diagnose.report.entries import STATUS, WHEN, Entries, section, taken_words
from diagnose.report.plain import Row, Section


def before(entries: Entries) -> Section:
    """Return the work done since the last good run, and what of it was taken away again."""
    told = {e["n"] for e in entries.of("work")}
    rows = (
        entries.base(e)
        | (
            {"what": e["what"], "at": e["place"], "place": entries.place(e["place"])}
            if e["event"] == "work"
            else {"of": e["of"], "what": entries.words(e)}
        )
        for e in entries.of("work", "withdrawn")
        if e.get("of", e["n"]) in told
    )
    columns = (("what", "Work"), ("place", "Where"))
    return section("work", "Work since the last good run", columns, rows, "", "none told")


def at_hand(entries: Entries) -> Section:
    """Return the people and tools at hand and whether an engine may be run."""
    rows = (
        entries.base(e)
        | {
            "tools": "all" if e["tools"] is None else list(e["tools"]) or "none",
            "hands": e["hands"],
            "may_run": e["may_run"],
            "ground_power": e.get("ground_power", "not said"),
            "where": "hangar" if e.get("indoors") else "not said to be indoors",
            "wind": e.get("wind", ""),
        }
        for e in entries.of("at-hand")
    )
    columns = (
        ("tools", "Tools"),
        ("hands", "People"),
        ("may_run", "Engine may be run"),
        ("ground_power", "Ground power"),
        ("where", "Where"),
        ("wind", "Wind"),
    )
    return section("at_hand", "At hand", columns, rows, "", "not stated")


def past(entries: Entries) -> Section:
    """Return the finished cases that were looked at for comparison, as shown then."""
    rows = (
        entries.base(e) | {"case": case, "found": found, "compared": compared}
        for e in entries.of("alike-shown")
        for case, found, compared in e["lines"]
    )
    columns = (
        *WHEN,
        ("case", "Case"),
        ("found", "Found then"),
        ("compared", "Held against this job"),
    )
    note = "Shown for comparison when asked for; the ranking takes no notice of them."
    return Section("past_cases", "Finished cases looked at", columns, tuple(rows), note)


def rectification(entries: Entries) -> Section:
    """Return what was found, done, run and verified, in order."""
    kinds = ("part-found", "rectified", "intervened", "run", "proof-waits", "verified")
    rows = (entries.base(e) | _done(entries, e) for e in entries.of(*kinds))
    columns = (
        ("kind", "Step"),
        ("what", "What"),
        ("place", "Where"),
        ("off", "Part off"),
        ("on", "Part on"),
    )
    title = "Part found, rectification, runs and verification"
    return section("rectification", title, columns, rows)


def _done(entries: Entries, e: Event) -> dict[str, object]:
    kind = e["event"]
    if kind in ("part-found", "rectified"):
        said: dict[str, object] = {
            "cause": e["cause"],
            "label": entries.cause(e["cause"]),
            "at": e["place"],
            "place": entries.place(e["place"]),
        }
        if kind == "part-found":
            return said | {"kind": "part found by a check", "what": said["label"]}
        return said | {
            "kind": "rectified",
            "done": e.get("what", ""),
            "what": entries.mended(e),
            "off": e.get("off") or "none",
            "on": e.get("on") or "none",
        }
    if kind == "run":
        readings = [list(k) for k in e.get("readings", ())]
        return {"kind": "engine run", "what": entries.words(e), "readings": readings}
    if kind == "proof-waits":
        return {"kind": "verification", "what": "waits: what bars it is looked into first"}
    if kind == "verified":
        asked = _to_verify(entries, e)
        what = f"{entries.words(e)}; to be shown: {asked}" if asked else entries.words(e)
        return {"kind": "verification", "what": what, "gone": e["gone"], "asked": asked}
    return {
        "kind": "intervention",
        "lost": e.get("lost", ""),
        "what": " ".join(str(e[k]) for k in ("what", "text") if e.get(k))
        or f"evidence lost by it: {e.get('lost', '')}",
        "place": entries.place(e["place"]) if e.get("place") else "",
    }


def _to_verify(entries: Entries, verified: Event) -> str:
    """Return what each cause put right and not proved before asks to be shown, '' for nothing."""
    tried = [e["n"] for e in entries.of("verified") if entries.stands(e) and not e.get("partly")]
    since = max((n for n in tried if n < verified["n"]), default=0)
    mended = [
        CauseAt(e["cause"], e["place"])
        for e in entries.of("rectified")
        if since < e["n"] < verified["n"] and entries.stands(e)
    ]
    return " ".join(dict.fromkeys(as_fitted(entries.bench, c).verify for c in mended))


def closing(entries: Entries) -> Section:
    """Return how the job was begun, paused, taken up, stopped or finished."""
    rows = (
        entries.base(e) | {"kind": e["event"], "what": entries.words(e)}
        for e in entries.of("paused", "resumed", "stopped", "finished")
    )
    columns = (("kind", "Step"), ("what", "What"))
    return section("closing", "Pauses, stop and outcome", columns, rows, "", "the job is open")


def notes(entries: Entries) -> Section:
    """Return the notes in the words they were typed."""
    rows = (entries.base(e) | {"what": e["text"]} for e in entries.of("note"))
    return section("notes", "Notes", (("what", "Note"),), rows)


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
