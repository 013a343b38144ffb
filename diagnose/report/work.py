"""Sections of the record about work: before the report, at hand, rectification and closing."""

from __future__ import annotations

from diagnose.job.elsewhere import as_fitted
from diagnose.job.keeping.log import Event
from diagnose.model import CauseAt
from diagnose.report.entries import WHEN, Entries, section
from diagnose.report.plain import Section


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
    kinds = ("part-found", "rectified", "intervened", "run", "verified")
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
        what = ": ".join(x for x in (entries.cause(e["cause"]), str(e.get("what", ""))) if x)
        return said | {
            "kind": "rectified",
            "done": e.get("what", ""),
            "what": what,
            "off": e.get("off") or "none",
            "on": e.get("on") or "none",
        }
    if kind == "run":
        readings = [list(k) for k in e.get("readings", ())]
        return {"kind": "engine run", "what": entries.words(e), "readings": readings}
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
    """Return what the cause put right last before ``verified`` asks to be shown, '' for nothing."""
    mended = [e for e in entries.of("rectified") if e["n"] < verified["n"] and entries.stands(e)]
    if not mended or mended[-1]["cause"] not in entries.bench.library.causes:
        return ""
    last = CauseAt(mended[-1]["cause"], mended[-1]["place"])
    return as_fitted(entries.bench, last).verify


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
