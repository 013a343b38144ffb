"""Read-back: a new case, as the knowledge sees it and as it would with what he said.

What he said is tried on his own case as well: whether his rule holds on it, and what it lacks.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from diagnose.capture.asking import NEW, Ground, case_findings, subject
from diagnose.capture.drafts import Drafted
from diagnose.capture.moves import invented_cases
from diagnose.capture.overlay import laid_over
from diagnose.capture.record import Interview
from diagnose.capture.told import Told
from diagnose.casebook import Draw, draw
from diagnose.cli.interview.drafting import drafts_now
from diagnose.cli.interview.session import ReadBack
from diagnose.cli.job.talk import Talk
from diagnose.cli.room import wrap
from diagnose.errors import KnowledgeError
from diagnose.job.diagnosis import Bench, Diagnosis
from diagnose.job.explain import word_for
from diagnose.job.ranking import grouped
from diagnose.knowledge_files import case_folders
from diagnose.model import GRADES, Case, CauseAt, Library
from diagnose.rules.conditions import words_of
from diagnose.rules.lookahead import why_not

TOP = 4
"""Causes shown of each side."""
SEED = 7


def read_back_with(root: Path, interview: Interview, ground: Ground) -> ReadBack:
    """Return what shows a new case before the last question of ``interview``."""

    def show(talk: Talk, told: Told) -> None:
        made = drafts_now(root, interview)
        talk.say("What was made of it so far:")
        talk.say([x for d in made.drafts for x in wrap(d.says, "    ", "  - ")])
        if not made.drafts:
            talk.say("  nothing yet")
        after = _with_drafts(talk, root, made)
        changed = None if after is None else Bench(after, ground.bench.layout)
        if changed is not None:
            talk.say(own_case_lines(changed, told, made))
        case, where = _telling(_new_cases(root, told, ground), ground.bench, changed)
        if case is None:
            talk.say("No new case can be drawn for it; judge what was made of it.")
            return
        talk.say(f"A new case, {where}:")
        for f in case.findings:
            talk.say(wrap(ground.finding_words(f), "    ", "  - "))
        talk.say("As the knowledge stands:")
        talk.say([*_ranked(ground.bench, case), *_placed(ground.bench, case)])
        if changed is not None:
            talk.say("With what you said:")
            talk.say([*_ranked(changed, case), *_placed(changed, case)])
            if _ranked(ground.bench, case) == _ranked(changed, case):
                talk.say("No case tried stands otherwise; only counts move a ranking.")
        talk.say("UNREVIEWED.")

    return show


def _telling(
    cases: Iterator[tuple[Case, str]], now: Bench, changed: Bench | None
) -> tuple[Case | None, str]:
    """Return the first case that ranks otherwise with what he said, else the first of all."""
    first: tuple[Case | None, str] = (None, "")
    for case, where in cases:
        if changed is None or _ranked(now, case) != _ranked(changed, case):
            return case, where
        first = first if first[0] is not None else (case, where)
    return first


def _new_cases(root: Path, told: Told, ground: Ground) -> Iterator[tuple[Case, str]]:
    """Yield cases that are not his own and bear on it, and where each is from."""
    here = subject(told, ground)
    if here is None:
        return
    library = ground.bench.library
    names = [here.cause] if here.cause != NEW else list(told.picked("new-like"))
    for name in names:
        part = here.at if here.cause == name else ground.bench.parts_of(name)[0]
        for grade in reversed(GRADES):
            drawn = draw(ground.bench, Draw(CauseAt(name, part), grade, SEED), "read-back")
            if drawn is not None:
                yield drawn, "drawn with the fuel-system model (invented)"
    for case, layout in invented_cases(case_folders(root), root, library):
        if layout.id == ground.bench.layout.id and case.causes[0].cause in names:
            yield case, "one of the invented cases"


def _with_drafts(talk: Talk, root: Path, made: Drafted) -> Library | None:
    if not made.drafts:
        return None
    try:
        return laid_over(root, made.drafts, made.sources).library()
    except KnowledgeError as error:
        talk.say("The drafts do not fit the knowledge yet; the reviewer will see:")
        talk.say([f"  {p}" for p in error.problems[:TOP]])
        return None


def _placed(bench: Bench, case: Case) -> list[str]:
    """Return where what it was stands, which may be far below what is shown."""
    truth = case.causes[0]
    ranking = Diagnosis(bench, engine=False).see(case.findings).posterior.ranking()
    title = bench.library.causes[truth.cause].title
    place = next(((k, p) for k, (c, p) in enumerate(ranking, start=1) if c == truth), None)
    if place is None:
        return []
    words = f"it was made with: {title}, {bench.places.label(truth.at)}"
    return wrap(f"{words}: place {place[0]}, {place[1]:.2f}", "    ", "  ")


def _ranked(bench: Bench, case: Case) -> list[str]:
    step = Diagnosis(bench, engine=False).see(case.findings)
    groups = grouped(step.posterior)
    lines = [
        f"  {word_for(g.probability, groups[0].probability):<9} {g.probability:.2f}  "
        f"{g.short(bench)}"
        for g in groups[:TOP]
    ]
    rules = [
        bench.library.symptoms[s.symptom].title
        for s in step.outcome.symptoms.values()
        if s.verdict == "true"
    ]
    return lines + ([f"  rules: {'; '.join(dict.fromkeys(rules))}"] if rules else [])


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
