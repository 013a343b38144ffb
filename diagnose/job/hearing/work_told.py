"""Work that somebody tells of: which part its words name, and where a report speaks of it."""

from __future__ import annotations

import re
from collections.abc import Sequence

from diagnose.job.diagnosis import Bench
from diagnose.model import AEROPLANE

_SENTENCE = re.compile(r"[^.;\n]+(?:\.(?=\d)[^.;\n]*)*")
_ACT = "(?:changed|fitted|cleaned|removed|adjusted|serviced)"
"""Work only where it is told as past: 'was cleaned', 'cleaned last week'."""
_AGO = r"(?:last|yesterday|this (?:morning|week|month)|\w+ (?:days?|weeks?|months?|hours?) ago)\b"
_DONE = re.compile(
    r"\b(?:renewed|replaced|refitted|overhauled|repaired|rebuilt|re-?rigged|resealed|repainted"
    rf"|(?:was|were|been|had|just|newly) (?:\w+ )?{_ACT}|{_ACT}(?= {_AGO})"
    r"|(?:put|fitted|installed) (?:in |on )?an? new [\w -]{3,40}"
    r"|new [\w -]{3,40}? (?:fitted|installed|put (?:in|on)))\b",
    re.IGNORECASE,
)
"""Past work as it is told; 'changed to the left tank' is none."""
_NO_WORK = re.compile(r"\b(?:not|never|no|nothing|won't|wouldn't) (?:\w+ )?$", re.IGNORECASE)
_WHEN = re.compile(
    r"\b(?:last|this) (?:\w+ )?"
    r"(?:day|night|week|weekend|month|year|autumn|winter|spring|summer)\b"
    r"|\b[\w-]+ (?:day|week|month|year|hour|flight)s?(?: (?:ago|back|before))?\b"
    r"|\byesterday\b",
    re.IGNORECASE,
)
"""When a work was done: 'two weeks back' speaks of no second engine."""
_NUMBER = re.compile(r"\d+|one|two|three|four|five|six", re.IGNORECASE)
_EVERYWHERE = ("aeroplane", "airframe")
_MOST_WORDS = 4


def work_in(report: str) -> tuple[str, ...]:
    """Return the sentences of a report that tell of work done, as they were told."""
    found = []
    for said in _SENTENCE.findall(report):
        done = _DONE.search(said)
        if done and not _NO_WORK.search(said[: done.start()]):
            found.append(said.strip())
    return tuple(found)


def place_of_work(text: str, bench: Bench) -> tuple[str, ...]:
    """Return the parts that the words of a work may mean: one where it is clear, none, or several.

    What follows the last ' at ' comes first ('brushes renewed at electric pump'); else the longest
    run of words that names a part speaks for the whole.
    """
    for said in (text.rpartition(" at ")[2], text):
        if said.strip().lower().removeprefix("the ") in _EVERYWHERE:
            return (AEROPLANE,)
        found = _named(said, bench)
        if found:
            return found
    return ()


def says_when(text: str) -> bool:
    """Return whether words tell when a work was done."""
    return bool(_WHEN.search(text))


def _named(text: str, bench: Bench) -> tuple[str, ...]:
    words = re.findall(r"[\w./'-]+", _WHEN.sub(" ", text))
    for size in range(min(_MOST_WORDS, len(words)), 0, -1):
        several: tuple[str, ...] = ()
        for k in range(len(words) - size + 1):
            run = " ".join(words[k : k + size])
            match = bench.places.find_places(run)
            if match.part:
                return match.candidates
            if match.candidates and not several:
                several = _of_them(run, [*words[:k], *words[k + size :]], bench) or match.candidates
        if several:
            return several
    return ()


def _of_them(run: str, others: Sequence[str], bench: Bench) -> tuple[str, ...]:
    """Return the part that ``run`` means with one of the other words: 'filter' of 'no. 4'."""
    for word in others:
        if not _NUMBER.fullmatch(word):
            match = bench.places.find_places(f"{word} {run}")
            if match.part:
                return match.candidates
    return ()
