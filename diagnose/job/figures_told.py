"""A figure told in a report: 'pressure about 1.5 psi' is a reading with its class, not a word.

A figure counts beside the thing it was read on, and only with its unit; 'pounds' of a pressure are
pounds to the square inch, as the trade says it.  Nothing is guessed where no limit classes it.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass

from diagnose.job.diagnosis import Bench
from diagnose.knowledge_files import cut
from diagnose.model import Question
from diagnose.units import Quantity, UnitError, parse

_FIGURE = re.compile(r"(?<![\w.-])(\d{1,4}(?:\.\d{1,3})?) ?([a-z]+(?: [a-z]+)?)(?![\w-])")
_POUNDS = frozenset({"lb", "lbs", "pound", "pounds"})


@dataclass(frozen=True)
class FigureTold:
    """``words`` told, the ``quantity`` read of ``question``; value '' where nothing classes it."""

    question: Question
    words: str
    quantity: Quantity
    value: str


def figures_told(bench: Bench, text: str, subjects: Collection[str]) -> Iterator[FigureTold]:
    """Yield the figures in the clause ``text`` that only one of ``subjects`` can be read in.

    Where the aeroplane has error cards nothing is classed here: the gauge must be known first.
    """
    asked = [bench.library.questions[q] for q in sorted(subjects)]
    own = bench.layout.aeroplane
    for hit in _FIGURE.finditer(text):
        for words in dict.fromkeys((hit[2], hit[2].split()[0])):
            meant = [(q, n) for q in asked if (n := _read(hit[1], words, q)) is not None]
            if len(meant) == 1:
                (question, quantity), known = meant[0], own is None or not own.cards
                value = cut(question, bench.layout, quantity.value_si) if known else ""
                yield FigureTold(question, f"{hit[1]} {words}", quantity, value)
            if meant:
                break


def _read(figure: str, words: str, question: Question) -> Quantity | None:
    if not question.unit or question.unit in ("number", "fraction"):
        return None
    unit = "psi" if question.unit == "pressure" and words in _POUNDS else words
    try:
        return parse(f"{figure} {unit}", question.unit)
    except UnitError:
        return None
