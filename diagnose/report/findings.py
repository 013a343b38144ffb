"""Sections of the record about what was found: answers, checks and what the rules conclude."""

from __future__ import annotations

from diagnose.job.confirming import put_right
from diagnose.job.danger import cautions
from diagnose.job.diagnosis import Bench, Diagnosis
from diagnose.job.keeping.disturbed import told_by
from diagnose.job.keeping.events import JobState
from diagnose.job.keeping.finding_data import finding_of
from diagnose.job.keeping.log import Event
from diagnose.job.ranking import conflicts, misfits, symptom_rows
from diagnose.job.wording import answer_words, place_words, state_words, unclassed
from diagnose.knowledge_files import limit_of
from diagnose.model import Finding
from diagnose.report.entries import Entries, section
from diagnose.report.plain import Row, Section
from diagnose.units import SI_UNIT, show

_READ_IN = {"pressure": "kPa", "volume": "l", "flow": "l/h", "temperature": "degC"}
"""Units in which people read the figures that JSON gives in the SI unit itself."""

_DATUM = {"pressure": " gauge"}
"""A pressure says what it is counted from; the other units say all by themselves."""


def answers(entries: Entries) -> Section:
    """Return every answer, the changed, withdrawn and not-checked ones among them."""
    rows = []
    work = {e["n"] for e in entries.of("work")}
    for e in entries.of("answered", "changed", "not-checked", "withdrawn"):
        if e.get("of") in work:
            continue  # it stands with the work it takes away
        if e["event"] == "not-checked" and not e.get("reading"):
            continue
        if e.get("finding", {}).get("check"):
            continue  # a corrected check stands with the checks
        rows.append(_answer(entries, e))
    columns = (
        ("what", "What"),
        ("place", "Where"),
        ("answer", "Answer"),
        ("figure", "As typed, figures also in SI"),
        ("conditions", "Run state and conditions"),
        ("known_by", "How known"),
        ("note", "Note"),
    )
    note = "Nothing is struck out: an entry changed, withdrawn or taken back stays and says so."
    return section("findings", "What was found", columns, rows, note)


def _answer(entries: Entries, e: Event) -> Row:
    row = entries.base(e)
    if e["event"] == "withdrawn":
        return row | {"of": e["of"], "what": f"withdraws entry {e['of']}"}
    if e["event"] == "not-checked":
        question, place, state = e["reading"]
        return row | {
            "question": question,
            "what": entries.question(question),
            "at": place,
            "place": entries.place(place),
            "run_state": state,
            "conditions": entries.run_state(state) if state else "",
            "answer": "not checked",
        }
    f = finding_of(e["finding"])
    if "of" in e:
        row["of"] = e["of"]
    row["finding"] = e["finding"]
    said = {"note": _note(f, str(e.get("note", ""))), "classed_by": _limit_note(entries.bench, f)}
    return row | _found(entries, f) | said


def _found(entries: Entries, f: Finding) -> dict[str, object]:
    q = entries.bench.library.questions[f.question]
    out: dict[str, object] = {
        "question": f.question,
        "what": q.title,
        "at": f.at,
        "one_of_places": list(f.one_of_places),
        "place": place_words(entries.bench, f),
        "class": f.value,
        "one_of": list(f.one_of),
        "answer": answer_words(q.classes, f) or "not checked",
        "stage": f.state.stage,
        "settings": dict(f.state.settings),
        "conditions": state_words(entries.bench, f.state),
        "known_by": f.known_by,
        "typed": f.typed,
        "others_normal": f.others_normal,
        "after": f.after,
        "epoch": f.epoch,
        "figure": f.typed,
    }
    if f.number is not None:
        unit = SI_UNIT.get(q.unit, "")
        out["si_" + (unit.replace(" ", "_") or "number")] = f.number
        out["figure"] = _figure(f, q.unit, unit)
        if not f.value:
            out["answer"] = unclassed(entries.bench, f)
    return out


def _figure(f: Finding, dimension: str, unit: str) -> str:
    """Return a figure as typed and, where that is another unit, as the metric ones read."""
    assert f.number is not None
    metric = _READ_IN.get(dimension, "")
    said = show(f.number, metric) if metric else f"{f.number:.5g} {unit}".strip()
    said += _DATUM.get(dimension, "")
    return f.typed if f.typed and said.startswith(f.typed) else f"{f.typed} = {said}"


def _note(f: Finding, typed: str) -> str:
    """Return what was noted, and what a finding carries that no column shows."""
    parts = [typed]
    if f.others_normal:
        parts.append("the others of its kind looked at and normal")
    if f.after:
        parts.append(f"after: {f.after}")
    if f.epoch:
        parts.append(f"after intervention {f.epoch}")
    return "; ".join(p for p in parts if p)


def _limit_note(bench: Bench, f: Finding) -> str:
    """Return the limit by which a typed figure was put into its class."""
    q = bench.library.questions[f.question]
    limit = limit_of(q, bench.layout) if q.cut and f.value and f.number is not None else None
    return f"{limit.shown} ({limit.reference})" if limit else ""


def checks(entries: Entries) -> Section:
    """Return every check with its result, as found and as left."""
    rows = []
    for e in entries.of("checked", "changed", "not-checked"):
        if e.get("check") if e["event"] == "not-checked" else e["finding"]["check"]:
            rows.append(_check(entries, e))
    columns = (
        ("what", "Check"),
        ("place", "Where"),
        ("answer", "Result"),
        ("known_by", "How known"),
        ("as_found", "As found"),
        ("as_left", "As left"),
        ("disturbs", "Left open, moved or drained"),
        ("access", "Access opened"),
        ("close_out", "Close-out"),
    )
    return section("checks", "Checks", columns, rows)


def _check(entries: Entries, e: Event) -> Row:
    row = entries.base(e)
    f = finding_of(e["finding"]) if "finding" in e else None
    check, at = (f.question, f.at) if f else e["check"]
    known = entries.bench.library.checks[check]
    if f is None:
        row["answer"] = "not checked"
    else:
        row |= {
            "finding": e["finding"],
            "result": f.value,
            "one_of": list(f.one_of),
            "answer": answer_words(known.results, f),
            "known_by": f.known_by,
            "as_found": e.get("as_found", ""),
            "as_left": e.get("as_left", ""),
            "disturbs": [d.what for d in told_by(e)],
            "destroys": list(e.get("destroys", ())),
            "access": e.get("access", ""),
        }
        if "of" in e:
            row["of"] = e["of"]
    return row | {
        "check": check,
        "what": known.title,
        "at": at,
        "place": entries.place(at),
        "close_out": known.close_out,
    }


EARLIER = ", by what was seen before the last repair"
"""What a rule concluded of a cock that passed says nothing of it once it was re-rigged."""


def rules(bench: Bench, state: JobState) -> Section:
    """Return what the rules of the knowledge in use conclude from the findings that stand."""
    findings = tuple(f for _, f in sorted(state.findings.items()))
    # the plain evaluator agrees with the engine and has nothing to compile
    mended = put_right(bench, state.rectified, findings)
    step = Diagnosis(bench, state.before, engine=False).see(findings, mended)
    rows: list[Row] = []
    symptoms, last = step.outcome.symptoms, state.last_repair

    def verdict(kind: str, symptom: str, at: str) -> str:
        known = symptoms.get((symptom, at))
        return f"{kind}{EARLIER}" if known is not None and known.epoch < last else kind

    told = {s.text: "stop" for s in step.outcome.stops if s.epoch >= last}
    told |= {c.text: verdict("caution", c.symptom, c.at) for c in cautions(step, mended)}
    told |= dict.fromkeys(conflicts(bench, step), "conflict")
    rows += [{"label": text, "verdict": kind} for text, kind in told.items()]
    if findings and misfits(step):
        text = "the findings fit none of the listed causes well"
        rows.append({"label": text, "verdict": "misfit"})
    # what is known false fills pages and tells the reader nothing to act on
    for r in (dict(r) for r in symptom_rows(bench, step) if r["verdict"] != "false"):
        rows.append(r | {"verdict": verdict(str(r["verdict"]), str(r["symptom"]), str(r["at"]))})
    columns = (
        ("label", "Concluded"),
        ("place_label", "Where"),
        ("verdict", "Verdict"),
        ("because", "Because"),
        ("rule", "Rule"),
    )
    note = f"From the entries that stand, by knowledge edition {bench.library.edition}."
    return Section("rules", "What the rules conclude", columns, tuple(rows), note)
