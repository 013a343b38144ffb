"""What is added unasked: a finding told in one sentence, or a check made on one's own."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import replace

from diagnose.cli.job.heard import completed, confirmed, findings_told, questions_named, which
from diagnose.cli.job.talk import Talk
from diagnose.cli.room import wrap
from diagnose.errors import UsageError
from diagnose.job.answers import split_known_by
from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.one_account import in_one_account
from diagnose.job.hearing.report_words import hear
from diagnose.job.hearing.vocabulary import Suggestion
from diagnose.job.job import Job
from diagnose.model import KnownBy
from diagnose.planner import Action

_TITLE_WORDS = 3
"""Words of its title by which a check is meant, whatever else they could say."""
_LINKS = frozenset({"the", "a", "of", "at", "on", "and"})


def keep_heard(
    talk: Talk,
    job: Job,
    taken: Iterable[Suggestion],
    look_out: Callable[[], object] = lambda: None,
    known_by: KnownBy = "told",
) -> None:
    """Keep what was heard and taken, each at its places; asks for a place left open."""
    for s in in_one_account(job.bench, taken):
        for found in findings_told(talk, job.bench, s):
            try:
                job.answer(replace(found, known_by=known_by))
            except UsageError as error:  # more places left open than can be weighed together
                talk.say(wrap(f"'{s.phrase}': {error}", "  "))
        look_out()


def told_in_words(talk: Talk, job: Job, text: str) -> bool:
    """Keep what ``text`` tells once it is confirmed; return whether it tells anything.

    What only names a question ('fuel pressure gauge') tells nothing yet.
    """
    bench = job.bench
    said, known = split_known_by(text)
    if not said or questions_named(bench, said):
        return False
    heard = [s for s in hear(said, bench) if s.value]
    if not heard:
        return False
    taken = confirmed(talk, bench, completed(talk, bench, heard), "That")
    keep_heard(talk, job, taken, known_by=known or "told")
    return True


def names_a_check(bench: Bench, text: str) -> bool:
    """Return whether ``text`` is the title of a check rather than a finding: by three words of it.

    'Rock the wings and drain, left' is no tank that drains.
    """
    words = {w for w in re.findall(r"\w+", text.lower()) if w not in _LINKS}
    label = bench.places.label
    return any(
        len(words & (title := _words(bench.library.checks[c].title))) >= _TITLE_WORDS
        and words <= title | _words(f"{c} {label(at)}")
        for c, at in bench.planner.catalogue.checks
    )


def _words(text: str) -> set[str]:
    return set(re.findall(r"\w+", text.lower()))


def check_named(talk: Talk, bench: Bench, text: str) -> Action | None:
    """Return the check that ``text`` names by words of its title and place; None if it names none.

    Raises:
        NoneOfThem: If several are named and none of them is meant.
    """
    checks, label = bench.library.checks, bench.places.label
    words = [w for w in re.findall(r"\w+", text.lower()) if w not in _LINKS]
    named = {
        (name, at): f"{checks[name].title}, {label(at)}"
        for name, at in bench.planner.catalogue.checks
    }
    fits = [
        (name, at)
        for (name, at), said in named.items()
        if words and set(words) <= set(re.findall(r"\w+", f"{name} {said}".lower()))
    ]
    if not fits:
        return None
    listed = {f"{n} {at}": named[n, at] for n, at in fits}
    name, at = which(talk, listed).split(" ")
    return Action(check=name, at=at, minutes=checks[name].minutes)
