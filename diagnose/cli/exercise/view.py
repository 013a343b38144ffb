"""The list of exercises, what to practise, and an exercise file, as lines of text."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from diagnose.cli.room import wrap
from diagnose.grammar import number_of
from diagnose.job.diagnosis import Bench
from diagnose.job.wording import cause_words, finding_line
from diagnose.model import SetExercise
from diagnose.training.drawing import Drawn


def list_lines(rows: Sequence[Mapping[str, Any]]) -> list[str]:
    """Return one line an exercise."""
    lines = [
        f"{r['exercise']}  {r['state']:<11} {r['layout']:<26} {r['apprentice'] or '-':<10} "
        f"{r['minutes']:.0f} min, {number_of(r['starts'], 'start')}"
        + (f"; it was {r['truth']}" if r["truth"] else "")
        for r in rows
    ]
    return lines or ["No exercises yet. Start one with: diagnose exercise start low-wing-single"]


def next_lines(body: Mapping[str, Any], today: str) -> list[str]:
    """Return what to practise, family by family."""
    pick = next((r for r in body["families"] if r["family"] == body["suggested"]), None)
    lines = [f"Practise now: {body['suggested']}{_why(pick, today)}",
             f"  diagnose exercise start {body['suggested_layout']} --family {body['suggested']}",
             *_habits(body),
             "", f"{'family':<22} {'done':>4} {'well':>5}  {'on':<26} due"]  # fmt: skip
    for r in body["families"]:
        when = r["due"] or "never practised"
        if r["due"] and r["due"] <= today:
            when += " (due)"
        lines.append(f"{r['family']:<22} {r['done']:>4} {r['done_well']:>5}  {r['layout']:<26} "
                     f"{when}")  # fmt: skip
    lines += ["", "Well: the part named at once and with reason (likelier than all others by what "
              "was found), without", "a hint, nothing skipped for safety."]  # fmt: skip
    return [*lines, "The commonest trouble first, on the simplest aeroplane that can have it; each "
            "one done well", "leads to a larger one."]  # fmt: skip


def _why(pick: Mapping[str, Any] | None, today: str) -> str:
    """Return why a family is practised now."""
    if pick is None:
        return ""
    if pick["due"] is None:
        return ": the commonest trouble that you have not practised yet"
    when = f"due since {pick['due']}" if pick["due"] <= today else f"next due, on {pick['due']}"
    return f": {when}; {pick['done_well']} of {pick['done']} done well"


def _habits(body: Mapping[str, Any]) -> list[str]:
    """Return what keeps going wrong, and what to do instead of what does so most often."""
    if not body["went_wrong"]:
        return []
    said = ", ".join(f"{h['what']} in {h['times']}" for h in body["went_wrong"])
    text = f"Of your last {body['looked_back_on']} that are over: {said}."
    return [
        "",
        *wrap(text, "  ", ""),
        *wrap(f"So this time: {body['went_wrong'][0]['instead']}.", "  ", ""),
    ]


def set_lines(bench: Bench, found: SetExercise, drawn: Drawn) -> list[str]:
    """Return what an exercise file hides, for the instructor alone."""
    return [
        f"exercise {found.id} on {found.layout}: {found.title or 'no title'}",
        *wrap(f"hidden: {cause_words(bench, found.cause)}, {found.grade}", "    ", "  "),
        *wrap(f"reported: {found.reported}", "    ", "  "),
        *(x for f in found.told for x in wrap(f"told: {finding_line(bench, f)}", "      ", "    ")),
        f"  {drawn.modes} failure modes share the report: {drawn.level}",
        "The file is sound. Hand it out with: diagnose exercise start FILE",
    ]
