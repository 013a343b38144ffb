"""Read-back: a new case, as the knowledge sees it and as it would with what he said."""

from __future__ import annotations

from pathlib import Path

from diagnose.capture.asking import NEW, Ground, subject
from diagnose.capture.drafts import Drafted
from diagnose.capture.moves import invented_cases
from diagnose.capture.overlay import laid_over
from diagnose.capture.record import Interview
from diagnose.capture.told import Told
from diagnose.casebook import Draw, draw
from diagnose.cli.interview.drafting import drafts_now
from diagnose.cli.interview.evidence import cases_of
from diagnose.cli.interview.session import ReadBack
from diagnose.cli.job.screens import wrap
from diagnose.cli.job.talk import Talk
from diagnose.errors import KnowledgeError
from diagnose.job.diagnosis import Bench, Diagnosis
from diagnose.job.explain import word_for
from diagnose.job.ranking import grouped
from diagnose.model import GRADES, Case, CauseAt, Library

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
        case, where = _new_case(root, told, ground)
        if case is None:
            talk.say("No new case can be drawn for it; judge what was made of it.")
            return
        talk.say(f"A new case, {where}:")
        for f in case.findings:
            talk.say(wrap(ground.finding_words(f), "    ", "  - "))
        talk.say("As the knowledge stands:")
        talk.say(_ranked(ground.bench, case))
        after = _with_drafts(talk, root, made)
        if after is not None:
            talk.say("With what you said:")
            talk.say(_ranked(Bench(after, ground.bench.layout), case))
        talk.say("UNREVIEWED.")

    return show


def _new_case(root: Path, told: Told, ground: Ground) -> tuple[Case | None, str]:
    """Return a case that is not his own and bears on it, and where it is from."""
    here = subject(told, ground)
    if here is None:
        return None, ""
    library = ground.bench.library
    names = [here.cause] if here.cause != NEW else list(told.picked("new-like"))
    for name in names:
        part = here.at if here.cause == name else ground.parts_of(name)[0]
        for grade in reversed(GRADES):
            drawn = draw(ground.bench, Draw(CauseAt(name, part), grade, SEED), "read-back")
            if drawn is not None:
                return drawn, "drawn with the fuel-system model (invented)"
    for case, layout in invented_cases(cases_of(root), root, library):
        if layout.id == ground.bench.layout.id and case.causes[0].cause in names:
            return case, "one of the invented cases"
    return None, ""


def _with_drafts(talk: Talk, root: Path, made: Drafted) -> Library | None:
    if not made.drafts:
        return None
    try:
        return laid_over(root, made.drafts, made.sources).library()
    except KnowledgeError as error:
        talk.say("The drafts do not fit the knowledge yet; the reviewer will see:")
        talk.say([f"  {p}" for p in error.problems[:TOP]])
        return None


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
