"""What he said, tried on his own case: whether his rule holds on it, and what it lacks there."""

from __future__ import annotations

from diagnose.capture.asking import case_findings
from diagnose.capture.drafts import Drafted
from diagnose.capture.told import Told
from diagnose.cli.room import wrap
from diagnose.job.diagnosis import Bench, Diagnosis
from diagnose.rules.conditions import words_of
from diagnose.rules.lookahead import why_not

MOST_PLACES = 4
"""Places at which it is said what a rule lacks; of like engines one says it for all."""


def own_case_lines(bench: Bench, told: Told, made: Drafted) -> list[str]:
    """Return how his rule stands on the case he told, [] where he told none.

    ``bench``: the knowledge with the drafts.  A rule that does not hold where it was learnt lacks
    something that he knew and did not say.
    """
    found = case_findings(told)
    drafted = next((d for d in made.drafts if d.kind == "rule"), None)
    if drafted is None or not found:
        return []
    name = drafted.id.rpartition("/")[2]
    rule = bench.library.symptoms[name]
    step = Diagnosis(bench, engine=False).see(found)
    if any(s.symptom == name and s.verdict == "true" for s in step.outcome.symptoms.values()):
        return [f"Your rule '{rule.title}' holds on the case you told."]
    findings = dict(enumerate(step.read))
    lines: dict[str, None] = {}
    for place in bench.places.parts_of_kind(rule.at)[:MOST_PLACES]:
        for short in why_not(bench.plain, findings, name, place, 0)[:1]:
            for m in short.missing:
                lines[f"{words_of(m.atom, m.wanted)} (there: {m.now})"] = None
    head = f"Your rule '{rule.title}' does not hold on the case you told. It lacks there:"
    return [*wrap(head), *(x for line in lines for x in wrap(line, "      ", "    - "))]
