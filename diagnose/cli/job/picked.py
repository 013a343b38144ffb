"""What a person names by number or by words: an entry to change, a rule, a cause mended."""

from __future__ import annotations

from diagnose.cli.job.talk import Talk
from diagnose.cli.job.work_done import work_line
from diagnose.counted import whole_number
from diagnose.errors import UsageError
from diagnose.job.choices import choose, numbered
from diagnose.job.diagnosis import Bench
from diagnose.job.job import Job
from diagnose.job.wording import cause_words, finding_line
from diagnose.model import CauseAt

MOST_FITTING = 5
"""Entries listed at most that the words typed fit."""


def entry_meant(job: Job, text: str) -> int:
    """Return the number of the finding, or of the work done before, that ``text`` names.

    Raises:
        UsageError: If it names none, or several; those are listed.
    """
    state = job.state
    listed = {n: finding_line(job.bench, f) for n, f in sorted(state.findings.items())}
    listed |= {n: work_line(job.bench, w) for n, w in sorted(state.worked.items())}
    number = whole_number(text)
    if number in listed:
        return number
    words = [] if number is not None else text.lower().split()
    fits = [n for n, said in listed.items() if words and all(w in said.lower() for w in words)]
    if len(fits) == 1:
        return fits[0]
    wrong = f"'{text}' is the number or the words of no one finding or work"
    said = wrong if text else "say which, by its number or its words"
    several = [f"{n}  {listed[n]}" for n in fits[:MOST_FITTING]]
    raise UsageError("\n  ".join([f"{said}; 'findings' lists them.", *several]))


def rule_meant(bench: Bench, text: str) -> tuple[str, str] | None:
    """Return the symptom that ``text`` names, and where ('' if it says no place); None for none.

    By its id, or as the screen tells it: 'the engine is starved, no. 2 engine'.
    """
    symptoms = bench.library.symptoms
    name, _, at = text.partition("@")
    if name in symptoms:
        return name, at
    said = text.lower().rstrip("?").strip()
    for symptom in symptoms.values():
        title = symptom.title.lower()
        if said == title:
            return symptom.id, ""
        if said.startswith(f"{title}, "):
            there = bench.places.parts_of_kind(symptom.at)
            named = bench.places.find_places(said.removeprefix(f"{title}, ")).candidates
            fits = [part for part in named if part in there]
            return symptom.id, fits[0] if len(fits) == 1 else ""
    return None


def cause_mended(talk: Talk, job: Job, text: str, likeliest: CauseAt) -> CauseAt:
    """Return which cause ``text`` means, asked for where it names it at several places alike.

    ``likeliest``: of those it names.  What was mended at the other tank is another repair.
    """
    causes = {c.at: c for c in job.step().posterior.causes if c.cause == likeliest.cause}
    alike = {at: cause_words(job.bench, c) for at, c in causes.items()}
    typed = text.lower().split()
    fits = {at: w for at, w in alike.items() if all(x in w.lower() for x in typed)} or alike
    if len(fits) < 2 or "@" in text:
        return likeliest
    talk.say(numbered(fits))
    return causes[talk.ask("which was mended:", lambda t: choose(t, fits))]
