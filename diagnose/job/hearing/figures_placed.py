"""A figure told, classed once its place is known: by the error card of the gauge it was read on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.vocabulary import Suggestion
from diagnose.knowledge_files import cut
from diagnose.knowledge_files.cutting import by_card


def figures_placed(bench: Bench, heard: Iterable[Suggestion]) -> list[Suggestion]:
    """Return ``heard`` with each figure classed at its places; what no limit classes stays open.

    What words say of a thing beside its figure ('8 psi and steady') is the same reading.
    """
    out = [each for s in heard for each in _classed(bench, s)]
    return [s for s in out if not _is_in_a_figure(s, out)]


def _classed(bench: Bench, s: Suggestion) -> Iterator[Suggestion]:
    if s.number is None or s.value or s.negated or not s.places:
        yield s
        return
    question = bench.library.questions[s.question]
    at: dict[str, list[str]] = {}
    for place in s.places:
        true = by_card(question, bench.layout, place, s.number)
        at.setdefault(cut(question, bench.layout, true), []).append(place)
    for value, places in at.items():
        here = replace(s, value=value, places=tuple(places))
        yield replace(here, means=question.classes[value], asks=()) if value else here


def _is_in_a_figure(s: Suggestion, heard: Sequence[Suggestion]) -> bool:
    """Return whether a figure says what ``s`` says in words."""
    return s.number is None and any(
        f.number is not None
        and (f.question, f.value, f.state) == (s.question, s.value, s.state)
        and bool(s.places)
        and set(s.places) <= set(f.places)
        for f in heard
    )
