"""A figure told in a report: 'pressure about 1.5 psi' is a reading with its class, not a word.

A figure counts beside the thing it was read on, and only with its unit; 'pounds' of a pressure are
pounds to the square inch, as the trade says it.  Nothing is guessed where no limit classes it, and
a figure without a unit ('pressure two and a half') is asked about, and so is a bare gallon.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass

from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.clauses import Clause
from diagnose.job.hearing.of_an_engine import PRESSURE
from diagnose.job.hearing.vocabulary import Suggestion, Vocabulary
from diagnose.knowledge_files import cut
from diagnose.model import Question
from diagnose.units import Quantity, UnitError, parse

_FIGURE = re.compile(r"(?<![\w.-])(\d{1,4}(?:\.\d{1,3})?) ?([a-z]+(?: [a-z]+)?)(?![\w-])")
_RANGE = re.compile(r"(?<![\w.])\d{1,4}(?:\.\d+)? ?(?:[a-z]+ )?(?:and|to|-) ?$")
_NUMBER = (
    r"(?:\d{1,3}(?:\.\d{1,2})?|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|thirteen|"
    r"fourteen|fifteen|sixteen|seventeen|eighteen|nineteen|twenty)"
)
_READING = (
    r"(?: (?:at|of|about|around|reads?|reading|was|is|only|to|stood|stands|shows|showed|had))*"
)
_SHOWN = (
    r"\b(?:reads|reading|shows|showing|showed|says|said|gives|giving|gave|makes|making|made|gets|got|"
    r"(?:up|down|off|back|drops|dropped|falls|fell|sank|sagged|came|comes|went|goes|gets|got) to)"
    r"(?: (?:only|about|around|over|under|just|barely|some|nearly))*"
)
_AFTER = r"(?=$| (?:with|at|and|on|then|in|when|throughout|as|off|all|both|or|instead|where)\b)"
_GALLONS = re.compile(
    rf"(?<![\w.-]){_NUMBER} gal(?:lon)?s?\b(?! (?:more|less|over|under|short|a|an|per)\b)"
)
WHICH = "a gallon is imperial or US; type the figure with its own, as '6 imp gal' or '6 US gal'"
_POUNDS = frozenset({"lb", "lbs", "pound", "pounds"})


@dataclass(frozen=True)
class FigureTold:
    """``words`` told, the ``quantity`` read of ``question``; value '' where nothing classes it.

    quantity: None where no unit was told, or a bare gallon.  trap: what to heed of it.
    """

    question: Question
    words: str
    quantity: Quantity | None
    value: str
    trap: str = ""


def figures_told(bench: Bench, text: str, subjects: Collection[str]) -> Iterator[FigureTold]:
    """Yield the figures in the clause ``text`` that only one of ``subjects`` can be read in.

    Where the aeroplane has error cards nothing is classed here: the gauge must be known first
    (``figures_placed``).
    """
    asked = [bench.library.questions[q] for q in sorted(subjects)]
    own = bench.layout.aeroplane
    for hit in _FIGURE.finditer(text):
        if _RANGE.search(text[: hit.start()]):
            continue  # 'between 2 and 5 psi' swings: neither end was the reading
        for words in dict.fromkeys((hit[2], hit[2].split()[0])):
            meant = [(q, n) for q in asked if (n := _read(hit[1], words, q)) is not None]
            if len(meant) == 1:
                (question, quantity), known = meant[0], own is None or not own.cards
                value = cut(question, bench.layout, quantity.value_si) if known else ""
                yield FigureTold(question, f"{hit[1]} {words}", quantity, value)
            if meant:
                break
    gallons = _GALLONS.search(text)
    for question in asked:
        if question.unit == "volume" and gallons:
            yield FigureTold(question, gallons[0].strip(), None, "", WHICH)
        if question.unit == "pressure":
            names = "|".join(map(re.escape, (question.title, *question.also_called)))
            before = rf"^|\b(?:{names}){_READING} |{_SHOWN} "
            bare = re.search(rf"(?:{before})({_NUMBER}){_AFTER}", text)
            if bare:
                yield FigureTold(question, bare[0].strip(), None, "")


_PRESSURE_UNIT = re.compile(r"\d ?(?:psi|kpa|bar|mbar)\b")
_NO_READING = re.compile(r"\b(?:should|set (?:to|at)|supposed|ought|limits?|book|manual)\b")
"""Beside a figure that nobody read: 'the switch is set to 9 psi'."""


def read_in(bench: Bench, clause: Clause, subjects: Collection[str]) -> frozenset[str]:
    """Return of which questions a figure of the clause may be; ``subjects``: those spoken of.

    A pressure that no other system is named with is the fuel's: 'lamp stays lit with 16 psi on
    the gauge'.
    """
    vocabulary = Vocabulary.of(bench)
    text = clause.text
    if _NO_READING.search(text):
        return frozenset()
    if PRESSURE not in vocabulary.read or not _PRESSURE_UNIT.search(text):
        return frozenset(subjects)
    asked = bench.library.questions
    if vocabulary.names_another(text):
        named = "press" in text  # 'generator off, pressure 2 psi', and not '35 psi in the tyres'
        return frozenset(q for q in subjects if named or asked[q].unit != "pressure")
    read = any(asked[q].unit == "pressure" for q in subjects)
    return frozenset(subjects if read else {*subjects, PRESSURE})


def _read(figure: str, words: str, question: Question) -> Quantity | None:
    if not question.unit or question.unit in ("number", "fraction"):
        return None
    unit = "psi" if question.unit == "pressure" and words in _POUNDS else words
    try:
        return parse(f"{figure} {unit}", question.unit)
    except UnitError:
        return None


def figures_said(
    bench: Bench, clause: Clause, subjects: Iterable[str], heard: Collection[str]
) -> list[Suggestion]:
    """Return the figures a clause tells of what its words do not class already."""
    found = figures_told(bench, clause.text, frozenset(subjects) - frozenset(heard))
    return [
        Suggestion(f.words, f.question.classes[f.value], f.question.id, f.value,
                   number=f.quantity.value_si)
        if f.value and f.quantity
        else Suggestion(f.words, f.question.title, f.question.id, asks=(f.question.id,),
                        trap=f.trap, number=f.quantity.value_si if f.quantity else None)
        for f in found
    ]  # fmt: skip
