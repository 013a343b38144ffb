"""The limits by which figures are classed, in words: who has only the paper needs them on it."""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.job.diagnosis import Bench
from diagnose.knowledge_files import limit_of
from diagnose.knowledge_files.cutting import NO_FIGURE
from diagnose.model import Finding, Question


def limits_of(bench: Bench, question: Question) -> str:
    """Return the limits of a question's figures and where they are from; '' where none cuts them.

    Where the layout has none the words say whose band is meant.
    """
    limit = limit_of(question, bench.layout)
    if limit:
        return f"Limits of this layout: {limit.shown} ({limit.reference})"
    if not question.cut_as:
        return ""
    return (
        f"Limits: {NO_FIGURE}; the band is that of the aeroplane's approved data, and without one "
        "it is not checked"
    )


def limits_behind(bench: Bench, findings: Iterable[Finding]) -> tuple[str, ...]:
    """Return the limits that the answers of ``findings`` are classed by, each once."""
    questions = bench.library.questions
    cut = (
        questions[f.question]
        for f in findings
        if not f.check and f.value in questions[f.question].cut_as.values()
    )
    return tuple(dict.fromkeys(said for q in cut if (said := limits_of(bench, q))))
