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
from diagnose.job.keeping.finding_data import finding_as_json
from diagnose.job.wording import finding_line
from diagnose.model import Finding, KnownBy
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
    instead_of: Callable[[Finding], int] = lambda _: 0,
) -> None:
    """Keep what was heard and taken, each at its places; asks for a place left open.

    ``instead_of``: the entry that a finding stands instead of, 0 for none.
    """
    for s in in_one_account(job.bench, taken):
        for told in findings_told(talk, job.bench, s):
            found = replace(told, known_by=known_by)
            try:
                if number := instead_of(found):
                    new = replace(found, epoch=job.state.epoch)
                    job.record("changed", of=number, finding=finding_as_json(new))
                else:
                    job.answer(found)
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
    keep_heard(
        talk, job, taken, known_by=known or "told", instead_of=lambda f: _instead_of(talk, job, f)
    )
    return True


def _instead_of(talk: Talk, job: Job, found: Finding) -> int:
    """Ask whether ``found`` stands instead of what was said otherwise where it may be the same.

    With a state that one of the two leaves open, both would count against each other unseen.
    """
    for n, old in sorted(job.state.findings.items(), reverse=True):
        same = (old.question, old.at, old.check) == (found.question, found.at, False)
        if not same or old.epoch != job.state.epoch or not old.value or old.value == found.value:
            continue
        known, told = old.state.known(), found.state.known()
        if old.state == found.state or any(told.get(d, v) != v for d, v in known.items()):
            continue
        talk.say(wrap(f"{finding_line(job.bench, old)}", "    ", f"  Entry {n} says otherwise: "))
        return n if talk.yes("  Does this stand instead of it (no: both are so)?") else 0
    return 0


def names_a_check(bench: Bench, text: str) -> bool:
    """Return whether ``text`` is the title of a check rather than a finding: by three words of it.

    'Rock the wings and drain, left' is no tank that drains.
    """
    words = _words(text) - _LINKS
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
    words = _words(text) - _LINKS
    named = {
        (name, at): f"{checks[name].title}, {label(at)}"
        for name, at in bench.planner.catalogue.checks
    }
    fits = [
        (name, at)
        for (name, at), said in named.items()
        if words and words <= _words(f"{name} {said}")
    ]
    if not fits:
        return None
    listed = {f"{n} {at}": named[n, at] for n, at in fits}
    name, at = which(talk, listed).split(" ")
    return Action(check=name, at=at, minutes=checks[name].minutes)
