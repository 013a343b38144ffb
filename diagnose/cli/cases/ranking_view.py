"""Text of rankings and of why, from plain data."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from diagnose.counted import whole_number
from diagnose.errors import UsageError
from diagnose.job.case_warnings import warnings_of
from diagnose.job.diagnosis import Bench, Diagnosis, Step
from diagnose.job.explain import explain_cause, source_words, word_for
from diagnose.job.ranking import cause_row, grouped, named, step_body
from diagnose.job.wording import finding_line
from diagnose.knowledge_files import layout_of_case, load_case
from diagnose.model import Case, CauseAt
from diagnose.rules import Trace, words_of
from diagnose.units import plain_figure

BenchFor = Callable[[str], Bench]


def opened(bench_for: BenchFor, file: Path) -> tuple[Bench, Case, Diagnosis, Step]:
    """Return a case read from ``file`` and what its findings alone say."""
    bench = bench_for(layout_of_case(file))
    case = load_case(file, bench.library, bench.layout)
    diagnosis = Diagnosis(bench, case.before)
    return bench, case, diagnosis, diagnosis.see(case.findings)


def rank_body(bench_for: BenchFor, file: Path) -> Mapping[str, Any]:
    """Return the ranking of a case as plain data."""
    bench, case, diagnosis, step = opened(bench_for, file)
    warned = [str(w) for w in warnings_of(bench, case)]
    said = step_body(diagnosis, step)
    return {"case": case.id, "source": case.source, "warnings": warned, **said}


def rank_text(body: Mapping[str, Any], top: int, numbers: bool) -> str:
    """Return the ranking as lines of text."""
    lines = [
        f"case {body['case']} · layout {body['layout']} · knowledge {body['knowledge_edition']}"
    ]
    lines += [f"STOP: {s}" for s in body["stops"]]
    lines += [f"caution: {c}" for c in body["cautions"]]
    lines += [f"conflict: {c}" for c in body["conflicts"]]
    for s in body["symptoms"]:
        if s["verdict"] == "true":
            lines.append(f"rule: {s['label']}, {s['place_label']}  ({s['rule']})")
    lines.append("what is still possible:")
    for r in body["groups"][:top]:
        odds = f"  {r['probability']:.3f}" if numbers else ""
        lines.append(f"  {r['rank']:>3}. {r['word']:<9}{odds}  {r['label']}")
    if body["fits_nothing_listed"]:
        lines.append("The findings fit none of the listed causes well.")
    lines.append(
        "Knowledge UNREVIEWED by a licensed person; no published base rates stand behind it."
    )
    return "\n".join(lines)


def _unknown(bench: Bench, step: Step, name: str) -> str:
    """Return what to say of a name that is neither cause nor symptom on this layout."""
    word = name.partition("@")[0]
    if word.isdecimal():
        return f"the ranking has no line {word}; 'diagnose rank' prints it."
    ranked = [cause for cause, _ in step.posterior.ranking()]
    places = [c.at for c in ranked if c.cause == word]
    if places:
        there = ", ".join(places)
        return (
            f"'{word}' is not there on {bench.layout.id}; write {word}@PART with one of: {there}."
        )
    if word in bench.library.causes:
        return f"'{word}' is a cause that {bench.layout.id} has no part for, so it is never ranked."
    near = get_close_matches(word, [*{c.cause for c in ranked}, *bench.library.symptoms], 3)
    hint = f"; near it: {', '.join(near)}" if near else ""
    return (
        f"'{word}' is not a cause or symptom{hint}. 'diagnose words' lists them; give CAUSE@PART "
        "or a symptom."
    )


def why_body(bench_for: BenchFor, file: Path, name: str) -> Mapping[str, Any]:
    """Return why a cause, or a symptom, stands where it stands."""
    bench, case, diagnosis, step = opened(bench_for, file)
    head = {
        "case": case.id,
        "warnings": [str(w) for w in warnings_of(bench, case)],
        "knowledge_edition": bench.library.edition,
    }
    if name.partition("@")[0] in bench.library.symptoms:
        return {**head, **symptom_why(bench, step, name)}
    number = whole_number(name or "1")
    if number is not None:  # a line of the ranking as printed; like parts stand on one
        lines = grouped(step.posterior)
        cause = lines[number - 1].causes[0] if 0 < number <= len(lines) else None
    else:
        cause = named(name, step)
    if cause is None:
        raise UsageError(_unknown(bench, step, name))
    return {**head, **cause_why(bench, diagnosis, step, cause)}


def cause_why(bench: Bench, diagnosis: Diagnosis, step: Step, cause: CauseAt) -> dict[str, Any]:
    """Return the reasons for and against a cause as plain data."""
    w, row = explain_cause(diagnosis, step, cause), cause_row(bench, cause)

    def pointing(points: Any) -> list[dict[str, str]]:
        return [
            {
                "symptom": p.symptom,
                "at": p.at,
                "label": bench.library.symptoms[p.symptom].title,
                "rule": str(bench.library.symptoms[p.symptom].origin),
            }
            for p in points
        ]

    return {
        "cause": str(cause),
        "label": f"{row['label']}, {row['place_label']}",
        "rank": w.rank,
        "probability": w.probability,
        "word": word_for(w.probability, step.posterior.ranking()[0][1]),
        "prior": w.prior,
        "lifted": list(w.lifted) if w.lifted else None,
        "because": w.because,
        "said_by": w.said_by,
        "status": w.status,
        "sources": list(w.sources),
        "file": str(w.origin) if w.origin else "",
        "speaks": [
            {
                "findings": [finding_line(bench, f) for f in s.findings],
                "factor_on_odds": s.factor,
                "rows": [{"file": str(o), "says": t} for o, t in s.rows],
                "weighed": list(s.weighed),
                "figure": s.figure.body() if s.figure else None,
                "figure_says": s.figure.lines() if s.figure else [],
            }
            for s in w.speaks
        ],
        "pointed_to": pointing(w.pointed_to),
        "spoken_against": pointing(w.spoken_against),
        "excluded": pointing(w.excluded),
    }


def symptom_why(bench: Bench, step: Step, name: str) -> dict[str, Any]:
    """Return the chain from a symptom down to the findings as plain data."""
    symptom, _, at = name.partition("@")
    places = [
        s.at for s in step.outcome.symptoms.values() if s.symptom == symptom and at in ("", s.at)
    ]
    rule = bench.library.symptoms[symptom]
    chains = []
    for place in places:
        lines = []
        for s in step.outcome.chain(symptom, place):
            if isinstance(s.item, int):
                read = step.read[s.item]
                same = read.told if read.told and read.told.question == read.question else None
                shown = same or read  # without the tank in use it was read with
                lines.append("  " * s.depth + finding_line(bench, shown))
            elif isinstance(s.item, Trace):
                shows = "holds" if s.item.shows else "does not hold"
                lines.append("  " * s.depth + f"rule {s.item.symptom} {shows}  ({s.item.origin})")
            else:
                lines.append("  " * s.depth + words_of(s.item.atom, s.item.holds))
        chains.append(
            {"at": place, "verdict": step.outcome.verdict(symptom, place), "chain": lines}
        )
    return {
        "symptom": symptom,
        "label": rule.title,
        "because": rule.because,
        "status": rule.status,
        "sources": [source_words(bench, s) for s in rule.sources],
        "file": str(rule.origin),
        "places": chains,
    }


def why_text(body: Mapping[str, Any]) -> str:
    """Return the reasons as lines of text."""
    if "symptom" in body:
        lines = [f"{body['label']}  ({body['file']})", f"because: {body['because']}"]
        for p in body["places"]:
            lines += [f"at {p['at']}: {p['verdict']}", *("  " + x for x in p["chain"])]
        lines += [] if body["places"] else ["nothing is known of it here"]
        lines.append(f"status {body['status']}; sources: {'; '.join(body['sources'])}")
        return "\n".join(lines)
    lines = [
        f"{body['label']}: {body['word']} ({body['probability']:.3f}), rank {body['rank']}",
        f"because: {body['because']}",
        f"before any finding: {body['prior']:.4f} of reports (no published base rate)",
    ]
    if body["lifted"]:
        lines.append(f"odds lifted {plain_figure(body['lifted'][0], 3)} times: {body['lifted'][1]}")
    lines.append("what speaks for and against it:")
    silent: dict[str, None] = {}
    heard: set[str] = set()
    for s in body["speaks"]:
        if 0.98 <= s["factor_on_odds"] <= 1.02 and s["figure"] is None:
            silent |= dict.fromkeys(s["findings"])
            continue
        heard |= set(s["findings"])
        side = "for    " if s["factor_on_odds"] > 1.0 else "against"
        lines.append(
            f"  {side} x{plain_figure(s['factor_on_odds'], 3)}  {'; '.join(s['findings'])}"
        )
        lines += [f"             {r['says']}  ({r['file']})" for r in s["rows"]]
        lines += [f"             {w}" for w in (*s["weighed"], *s["figure_says"])]
    # 'the others normal' is heard at each of the others; what spoke once is not silent
    rest = [f for f in silent if f not in heard]
    lines += ["says nothing either way:", *(f"  {f}" for f in rest)] if rest else []
    for title, key in (
        ("rules point to it", "pointed_to"),
        ("rules speak against it", "spoken_against"),
        ("rules exclude it", "excluded"),
    ):
        lines += [f"{title}: {p['label']} at {p['at']}  ({p['rule']})" for p in body[key]]
    lines.append(
        f"said by: {body['said_by'] or 'nobody named'}; "
        f"status {body['status'] or 'none'}; {body['file']}"
    )
    lines.append(f"sources: {'; '.join(body['sources']) or 'none'}")
    return "\n".join(lines)
