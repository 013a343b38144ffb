"""A case begun from a report: what is heard in it as lines of a file, each beside its words.

Nothing is settled by it.  What names no place, is denied or can mean several things stands as a
comment, so that the file says nothing that the report does not.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from diagnose.casebook.writing import case_text, finding_text
from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.not_heard import not_heard
from diagnose.job.hearing.report_words import Heard, listened
from diagnose.job.hearing.vocabulary import Suggestion
from diagnose.job.hearing.work_reported import WorkTold, work_in
from diagnose.knowledge_files.yaml_writing import flow_text
from diagnose.model import AEROPLANE, Case, CauseAt, Finding, Work

NOT_SAID = CauseAt("", AEROPLANE)
"""What a case begun gives as its cause until somebody says what it was."""
WHICH = "WHICH"
"""Stands for a part that the report leaves open; no part is named so, and reading it says so."""


def begun(report: str, bench: Bench, name: str, source: str) -> str:
    """Return the text of a case file ``name`` with what is heard in ``report``.

    With one finding or more it can be read and ranked as it is.
    """
    heard = listened(report, bench)
    works = work_in(report, bench)
    placed = [(s, p) for s in heard.said if _sure(s) for p in _places(s, bench)]
    findings = tuple(_written(s, p) for s, p in placed)
    done = tuple(Work(w.words, t[0]) for w in works for t in w.things if len(t) == 1)
    text = case_text(Case(name, source, bench.layout.id, report, done, findings, (), (NOT_SAID,)))
    beside = {finding_text(f): s.phrase for (s, _), f in zip(placed, findings, strict=True)}
    lines = [
        f"{line}  # '{beside[line[4:]]}'" if line[4:] in beside else line
        for line in text.splitlines()
    ]
    lines[-1] += "  # till it is known: {cause: ..., at: ...}"
    return "\n".join([*lines, *_left_open(heard, works, bench)])


def _sure(s: Suggestion) -> bool:
    return bool(s.question and (s.value or s.one_of) and not s.negated)


def _places(s: Suggestion, bench: Bench) -> tuple[str, ...]:
    """Return where ``s`` is written; () where the report names none of several places."""
    if s.places or s.one_of_places:
        return s.places or (AEROPLANE,)
    here = _asked_at(s, bench)
    return here if len(here) == 1 else ()


def _asked_at(s: Suggestion, bench: Bench) -> tuple[str, ...]:
    return s.among or tuple(bench.places.parts_of_kind(bench.library.questions[s.question].at))


def _written(s: Suggestion, place: str) -> Finding:
    """Return ``s`` as the finding of a file, where only a figure stands as it was typed."""
    rest = s.others_normal and place == (s.places or (place,))[-1]
    found = replace(s, others_normal=rest).finding(place)
    return found if s.number is not None else replace(found, typed="")


def _left_open(heard: Heard, works: Iterable[WorkTold], bench: Bench) -> Iterator[str]:
    """Yield a comment for each thing that only a person can place or settle."""
    for work in works:
        for thing in work.things:
            if len(thing) > 1:
                row = flow_text({"work": work.words, "at": WHICH})
                yield f"# before:   - {row}  # which of {', '.join(thing)}"
    for s in heard.said:
        if _sure(s) and not _places(s, bench):
            row = finding_text(_written(s, WHICH))
            yield f"# findings: - {row}  # '{s.phrase}', which of {', '.join(_asked_at(s, bench))}"
        elif not _sure(s):
            asks = ", ".join(q for q in s.asks or (s.question,) if q)
            why = "denied" if s.negated else "can mean several things"
            yield f"# '{s.phrase}' {why}: see {asks}"
    for clause in not_heard(heard, bench):
        near = "; ".join(f"{s.question} {s.value}" for s in clause.may)
        yield f"# not heard: '{clause.words}'{f', perhaps {near}' if near else ''}"
