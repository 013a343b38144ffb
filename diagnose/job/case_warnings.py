"""What a case file says that may not count as its writer meant: told, never refused."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.errors import Problem
from diagnose.in_places import denied_everywhere
from diagnose.in_time import read_in_time
from diagnose.job.diagnosis import Bench
from diagnose.model import Case, Cause, Check, Finding, Question
from diagnose.rules import disputes_among


def warnings_of(bench: Bench, case: Case) -> tuple[Problem, ...]:
    """Return the warnings on ``case``, in the order of its file.

    An answer that replaces another, and a question, check or cause that the layout cannot have.
    """
    found = [
        *_told_twice(bench, case),
        *_denied(bench, case),
        *_checked_twice(case),
        *_not_here(bench, case),
    ]
    return tuple(sorted(dict.fromkeys(found)))


def _told_twice(bench: Bench, case: Case) -> Iterator[Problem]:
    read = dict(enumerate(read_in_time(case.findings, bench.library)))
    for dispute in disputes_among(read, bench.library, bench.layout):
        *earlier, last = (case.findings[k] for k in dispute.findings)
        lines = _lines(earlier)
        yield Problem(
            last.origin,
            f"'{last.question}' at '{last.at}' was answered otherwise in {lines}, in a state alike "
            "in all that matters to it (stages of one power are alike); only this answer counts. "
            "Not known which of them: write both in one list, 'value: [.., ..]'. Something was "
            "mended in between: give the later one 'epoch: 1'.",
        )


def _denied(bench: Bench, case: Case) -> Iterator[Problem]:
    for f in denied_everywhere(case.findings, bench.library):
        yield Problem(
            f.origin,
            f"'{f.question}' at one of {', '.join(f.one_of_places)} was answered otherwise at each "
            "of them, in a state alike in all that matters to it; this finding says nothing. Is "
            "one of those answers of another state, or of another time ('epoch: 1')?",
        )


def _checked_twice(case: Case) -> Iterator[Problem]:
    before: dict[tuple[str, str], list[Finding]] = {}
    for f in case.examination:
        if not f.check:
            continue
        others = before.setdefault((f.question, f.at), [])
        unlike = [o for o in others if o.classes != f.classes]
        if unlike:
            yield Problem(
                f.origin,
                f"check '{f.question}' at '{f.at}' has another result in {_lines(unlike)}; a "
                "replay answers with this last one. Keep the one that settles it.",
            )
        others.append(f)


def _lines(findings: list[Finding]) -> str:
    numbers = sorted({f.origin.line for f in findings})
    return f"line{'s' if len(numbers) > 1 else ''} {', '.join(map(str, numbers))}"


def _not_here(bench: Bench, case: Case) -> Iterator[Problem]:
    library, layout = bench.library, bench.layout
    for f in (*case.findings, *case.examination):
        item = library.asked(f)
        if not any(bench.places.allows(item, at) for at in f.places):
            kind = "check" if f.check else "question"
            yield Problem(
                f.origin,
                f"{kind} '{f.question}' does not fit '{f.places[0]}' of layout '{layout.id}' "
                f"({_needs(item)}); it is weighed, but never asked here. Is it the right layout?",
            )
    for c in (*case.causes, *case.also_accept):
        cause = library.causes.get(c.cause)
        if cause is not None and not bench.places.allows(cause, c.at):
            yield Problem(
                case.origin,
                f"cause '{c.cause}' cannot be at '{c.at}' of layout '{layout.id}' "
                f"({_needs(cause)}), so it is never ranked. Is it the right layout?",
            )


def _needs(item: Question | Check | Cause) -> str:
    return "needs " + ", ".join(f"{key} {value}" for key, value in item.only_if.items())
