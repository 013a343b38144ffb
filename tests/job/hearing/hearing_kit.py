"""What tests of the report in free words ask: what is heard in one, on which layout."""

from __future__ import annotations

from diagnosis.shipped import bench

from diagnose.job.hearing.report_words import hear
from diagnose.job.hearing.vocabulary import Suggestion

SINGLE, FOUR = "low-wing-single", "four-engine-injection"


def told(report: str, layout: str = SINGLE, question: str = "") -> list[Suggestion]:
    """Return everything heard with its class, of one ``question`` where that is named."""
    said = hear(report, bench(layout))
    return [s for s in said if s.value and question in ("", s.question)]


def heard(report: str, layout: str = SINGLE) -> list[tuple[str, str]]:
    """Return (question, class) of everything heard with its class."""
    return [(s.question, s.value) for s in told(report, layout)]


def one(report: str, question: str, layout: str = SINGLE) -> Suggestion:
    """Return the only suggestion of ``question``."""
    (found,) = [s for s in hear(report, bench(layout)) if s.question == question]
    return found
