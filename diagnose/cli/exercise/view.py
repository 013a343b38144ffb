"""The debrief and the list of exercises as lines of text, from their plain data."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from diagnose.cli.job import screens
from diagnose.job.wording import cause_words, finding_line

if TYPE_CHECKING:  # imported when used: they bring numpy and the rules
    from diagnose.job.diagnosis import Bench
    from diagnose.model import SetExercise
    from diagnose.training.drawing import Drawn

MOST_LISTED = 5
"""Parts listed by name; more are counted."""


def debrief_lines(body: Mapping[str, Any]) -> list[str]:
    """Return a debrief as lines."""
    work, route = body["work"], body["best_route"]
    return [
        "=== debrief ===",
        *screens.wrap(body["simulated"], "  ", ""),
        *screens.wrap(body["reported"], "    ", "Reported: "),
        *_outcome(body),
        "",
        "What you did:",
        *_steps(work),
        "",
        "The planner's own route in the same aeroplane:",
        *_steps(route, brief=True),
        "",
        *_measures(body),
        "",
        *_lesson(body),
    ]


def _outcome(body: Mapping[str, Any]) -> list[str]:
    said = {
        "cause": "SOLVED: the part and its failure were named.",
        "part": "SOLVED: the part was named; it had failed in another way than was said.",
        "no": "NOT SOLVED: the part at fault was not named.",
    }
    work, route = body["work"], body["best_route"]
    truth = f"It was: {body['truth']['label']} ({body['truth']['severity']})."
    ratio = body["time_ratio"]
    beside = "The planner's route did not find it."
    if route["solved"] != "no":
        beside = f"The planner's route: {route['minutes']:.0f} min, {_starts(route['starts'])}"
        beside += f"; ratio {ratio:.2f}." if ratio is not None else "."
    yours = f"You: {work['minutes']:.0f} min, {_starts(work['starts'])}. {beside}"
    return [said[work["solved"]], *screens.wrap(truth, "  ", ""), *screens.wrap(yours, "  ", "")]


def _steps(work: Mapping[str, Any], *, brief: bool = False) -> list[str]:
    rows = sorted([*work["steps"], *work["named"]], key=lambda r: r["number"])
    lines: list[str] = []
    for k, row in enumerate(rows, start=1):
        head = f"  {k:>2}  "
        if "confidence" in row:
            lines += screens.wrap(_named(row), "      ", head)
            continue
        cost = f"{row['minutes']:.0f} min" + (", a start" if row["starts"] else "")
        lines += screens.wrap(f"{row['label']}: {row['answer']} ({cost})", "      ", head)
        if not brief:
            lines += screens.wrap(_told(row), "        ", "      ")
    return lines or ["  nothing"]


def _told(row: Mapping[str, Any]) -> str:
    if row["safety_look"]:
        said = ["a safety look"]
    elif row["redundant"]:
        said = ["could tell nothing new"]
    else:
        said = [f"could tell {row['expected_bits']:.2f} of {row['best_expected_bits']:.2f} bits"]
        best = row["best"]
        if row["information_over_best"] is not None and row["information_over_best"] < 0.5 and best:
            said.append(f"most would have told: {best['label']}")
        said.append(f"half-split {row['half_split_index']:.2f}")
    if row["ruled_out"]:
        said.append(f"ruled out: {_listed(row['ruled_out'])}")
    return "; ".join(said)


def _listed(places: Sequence[Mapping[str, Any]]) -> str:
    """Return parts by name, the first few; the others are counted."""
    labels = [p["label"] for p in places]
    more = f" and {len(labels) - MOST_LISTED} more" if len(labels) > MOST_LISTED else ""
    return f"{', '.join(labels[:MOST_LISTED])}{more}" or "none"


def _named(row: Mapping[str, Any]) -> str:
    right = {"cause": "right", "part": "right part, other failure", "no": "wrong"}[row["right"]]
    said = f"NAMED {row['label']}, {row['confidence']:.0%} sure: {right} ({row['minutes']:.0f} min)"
    if row["premature"]:
        said += (
            f"; premature: by what was found it stood at {row['chance']:.0%}, with "
            f"{row['other_parts_possible']} other parts possible"
        )
    return said


def _measures(body: Mapping[str, Any]) -> list[str]:
    work, route, why = body["work"], body["best_route"], body["measures"]
    lost = body["eliminations"]
    rows = [
        ("information", _share(work["information_over_best"]), "information_over_best"),
        ("half-split", _plain(work["half_split_index"]), "half_split_index"),
        ("redundant", f"{work['redundant_steps']}", "redundant_steps"),
        ("premature", f"{work['premature_namings']}", "premature_namings"),
    ]
    lines = ["Measured (the planner's own beside it):"]
    for name, value, key in rows:
        beside = _share(route[key]) if name == "information" else _plain(route[key])
        lines += screens.wrap(f"{value} (planner {beside}): {why[name]}", "      ", f"  {name}: ")
    if lost["kept_a_list"]:
        missed, early = _listed(lost["missed"]), _listed(lost["not_justified"])
        text = f"left on your list though ruled out: {missed}; struck off without ground: {early}"
    else:
        text = "no list was kept ('clear PART')"
    lines += screens.wrap(f"{text}: {why['eliminations']}", "      ", "  eliminations: ")
    lines += screens.wrap(
        f"{body['safety_steps_skipped']} skipped: {why['safety']}", "      ", "  safety: "
    )
    for refusal in body["refusals"]:
        if refusal["safety"]:
            lines += screens.wrap(f"{refusal['what']}: {refusal['why']}", "        ", "      - ")
    brier = "nothing was named" if work["brier"] is None else f"{work['brier']:.2f}"
    lines += screens.wrap(f"{brier}: {why['confidence']}", "      ", "  confidence: ")
    if body["false_no_fault"]:
        lines += screens.wrap(f"yes: {why['false no-fault']}", "      ", "  false no-fault: ")
    lines.append(f"  hints: {body['hints']}")
    return lines


def _lesson(body: Mapping[str, Any]) -> list[str]:
    said, truth = body["lesson"], body["truth"]
    lines = ["The lesson:"]
    lines += screens.wrap(f"{truth['label']}: {said['because']}", "      ", "  ")
    unreviewed = "" if said["status"] == "reviewed" else " UNREVIEWED"
    lines.append(f"  said in {said['file']}{unreviewed}")
    lines += screens.wrap(f"source: {'; '.join(said['sources'])}", "      ", "  ")
    for row in said["told_apart"]:
        label = row["from"]["label"]
        if row["text"]:
            lines += screens.wrap(f"told from '{label}' by: {row['text']}", "      ", "  ")
            lines.append(f"      ({row['file']})")
        if row["question"]:
            text = f"most told from '{label}' by asking: {row['question']['label']}"
            lines += screens.wrap(text, "      ", "  ")
        if not row["text"] and not row["question"]:
            lines += screens.wrap(f"'{label}': only its check tells it apart", "      ", "  ")
    for item in said["then"]:
        lines += screens.wrap(item["text"], "      ", f"  {item['what']}: ")
    return lines


def list_lines(rows: Sequence[Mapping[str, Any]]) -> list[str]:
    """Return one line an exercise."""
    lines = [
        f"{r['exercise']}  {r['state']:<11} {r['layout']:<26} {r['apprentice'] or '-':<10} "
        f"{r['minutes']:.0f} min, {_starts(r['starts'])}"
        + (f"; it was {r['truth']}" if r["truth"] else "")
        for r in rows
    ]
    return lines or ["No exercises yet. Start one with: diagnose exercise start low-wing-single"]


def _starts(count: int) -> str:
    return f"{count} start{'' if count == 1 else 's'}"


def _share(value: float | None) -> str:
    return "-" if value is None else f"{value:.0%}"


def _plain(value: float | None) -> str:
    return "-" if value is None else f"{value:.2f}" if isinstance(value, float) else str(value)


def next_lines(body: Mapping[str, Any], today: str) -> list[str]:
    """Return what to practise, family by family."""
    lines = [f"Practise now: {body['suggested']}  (any layout, as: diagnose exercise start "
             f"low-wing-single --family {body['suggested']})", "",
             f"{'family':<22} {'done':>4} {'well':>5}  due"]  # fmt: skip
    for r in body["families"]:
        when = r["due"] or "never practised"
        if r["due"] and r["due"] <= today:
            when += " (due)"
        lines.append(f"{r['family']:<22} {r['done']:>4} {r['done_well']:>5}  {when}")
    return [*lines, "", "Well: the part named at once, without a hint, nothing skipped for safety."]


def set_lines(bench: Bench, found: SetExercise, drawn: Drawn) -> list[str]:
    """Return what an exercise file hides, for the instructor alone."""
    return [
        f"exercise {found.id} on {found.layout}: {found.title or 'no title'}",
        *screens.wrap(f"hidden: {cause_words(bench, found.cause)}, {found.grade}", "    ", "  "),
        *screens.wrap(f"reported: {found.reported}", "    ", "  "),
        *(
            x
            for f in found.told
            for x in screens.wrap(f"told: {finding_line(bench, f)}", "      ", "    ")
        ),
        f"  {drawn.modes} failure modes share the report: {drawn.level}",
        "The file is sound. Hand it out with: diagnose exercise start FILE",
    ]
