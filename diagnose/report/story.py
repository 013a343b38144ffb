"""The first section of the record: the whole job in a few lines, each with the entry behind it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from diagnose.by_key import by_key
from diagnose.job.job import Job
from diagnose.job.keeping.log import Event
from diagnose.job.several.complaints import complaints_of
from diagnose.job.wording import answer_words, cause_words, place_words, state_words
from diagnose.model import CauseAt, Finding
from diagnose.report.entries import Entries
from diagnose.report.grouped import numbers
from diagnose.report.plain import Row, Section
from diagnose.signs import normal_class

MOST = 3
"""Causes named while none is confirmed."""


def in_short(job: Job, entries: Entries, own: Section, rules: Section, owed: Section) -> Section:
    """Return what was reported besides, found, done and proved, and what is open.

    own, rules, owed: the sections it takes deferred defects, stops and what is still to do from.
    """
    rows = [
        {"step": step, "what": what}
        for step, said in (
            ("also reported", _also_reported(job, entries)),
            ("noticed", _noticed(job)),
            ("checked", _checked(entries)),
            ("found", _found(job, entries)),
            ("done", _done(entries)),
            ("proved", _tried(entries, well=True)),
            ("not proved", (*_tried(entries, well=False), *_in_vain(job))),
            ("open", _open(job, own, rules, owed)),
        )
        for what in said
    ]
    columns = (("step", "Step"), ("what", "What"))
    note = "The entry that says so stands in brackets; the rest of the record tells each in full."
    return Section("story", "The job in short", columns, tuple(rows), note)


def _standing(entries: Entries, *kinds: str) -> Iterator[Event]:
    return (e for e in entries.of(*kinds) if entries.stands(e))


def _also_reported(job: Job, entries: Entries) -> Iterator[str]:
    for c in complaints_of(entries.events):
        if c.number != job.state.opened.get("n"):
            gone = f", goes to job {c.job}" if c.job else ""
            yield f"{entries.place(c.place)}: {c.text} ({c.number}{gone})"


def _noticed(job: Job) -> Iterator[str]:
    """Yield what was told or read other than normal, the same answer once for all its places."""
    library = job.bench.library
    same: dict[tuple[str, str, str], list[tuple[int, Finding]]] = {}
    for n, f in sorted(job.state.findings.items()):
        if f.check or not f.value:
            continue
        q = library.questions[f.question]
        if f.value == normal_class(q, library):
            continue
        key = (q.title, answer_words(q.classes, f), state_words(job.bench, f.state))
        same.setdefault(key, []).append((n, f))
    for (title, answer, state), told in same.items():
        at: dict[str, dict[str, None]] = {}  # place -> what was typed of it, told and seen again
        for _, f in told:
            typed = at.setdefault(place_words(job.bench, f), {})
            typed |= {f"'{f.typed}'": None} if f.typed else {}
        places = [at_it + (f" ({', '.join(said)})" if said else "") for at_it, said in at.items()]
        within = f" [{state}]" if state else ""
        yield f"{title}{within}, {'; '.join(places)}: {answer} ({numbers(n for n, _ in told)})"


def _checked(entries: Entries) -> Iterator[str]:
    for e in _standing(entries, "checked", "changed"):
        if e["finding"].get("check"):
            yield f"{entries.words(e)} ({e['n']})"


def _found(job: Job, entries: Entries) -> Iterator[str]:
    found = list(_standing(entries, "part-found"))
    for e in found:
        yield f"{entries.cause(e['cause'])}, {entries.place(e['place'])} ({e['n']})"
    in_vain = [CauseAt(e["cause"], e["place"]) in job.state.in_vain for e in found]
    if not job.state.mended and all(in_vain):
        ranked = [e["ranking"] for e in _standing(entries, "ranked")] or [[]]
        left = [r for r in ranked[-1] if CauseAt(r["cause"], r["at"]) not in job.state.rectified]
        likely = "; ".join(
            f"{entries.cause(r['cause'])}, {entries.place(r['at'])} ({r['word']})"
            for r in left[:MOST]
        )
        none = "no other cause is confirmed" if found else "no cause is confirmed"
        yield none + (f"; stood first: {likely}" if likely else "")


def _done(entries: Entries) -> Iterator[str]:
    for e in _standing(entries, "rectified"):
        parts = [f"part {k} {e[k]}" for k in ("off", "on") if e.get(k)]
        yield f"{'; '.join([entries.mended(e), entries.place(e['place']), *parts])} ({e['n']})"


_SHOWN = {
    "leak-checked": ("leak check", "dry"),
    "verified": ("verification", "gone"),
    "flown": ("watched flight", "clear"),
}
"""What proves a repair: its title, and the key that says whether it did."""


def _tried(entries: Entries, *, well: bool) -> Iterator[str]:
    """Yield what the leak checks, verifications and flights showed that ended well, or did not."""
    for kind, (title, key) in _SHOWN.items():
        shown = (e for e in _standing(entries, kind) if bool(e[key]) == well)
        alike = by_key((entries.words(e), e["n"]) for e in shown)
        for words, at in alike.items():
            times = f", {len(at)} times" if len(at) > 1 else ""
            yield f"{title}: {words}{times} ({numbers(at)})"


def _in_vain(job: Job) -> Iterator[str]:
    """Yield what was mended and did not cure it."""
    for cause in sorted(job.state.in_vain, key=str):
        what = "there, but not the whole of it" if cause in job.state.part_found else "not it"
        yield f"{what}: {cause_words(job.bench, cause)}; mended, and the trouble stayed"


def _open(job: Job, own: Section, rules: Section, owed: Section) -> Iterator[str]:
    stops = _of_kind(rules.rows, "verdict", "stop", "label")
    deferred = _of_kind(own.rows, "kind", "deferred defect", "what", "dates")
    steps = dict.fromkeys(str(r["step"]) for r in owed.rows)
    yield from (f"STOP: {x}" for x in stops)
    if steps:
        yield f"still to be done, told below: {', '.join(steps)}"
    yield from (f"deferred defect {x}" for x in deferred)
    yield from (f"noted at the handover as otherwise: {x}" for x in job.state.not_so.values())
    if not (stops or steps or deferred or job.state.not_so):
        yield "nothing that this record knows of"


def _of_kind(rows: Sequence[Row], key: str, kind: str, *said: str) -> Iterable[str]:
    return [", ".join(str(r[s]) for s in said if r.get(s)) for r in rows if r.get(key) == kind]
