"""The report in free words: what it may speak of, for a person to confirm, never taken silently.

Whole words are matched, the longest phrase first; a phrase under a negation ('no smell') is asked
about, not concluded from.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from diagnose.job.diagnosis import Bench
from diagnose.model import STAGES

NEGATIONS = frozenset({"no", "not", "never", "without", "none", "nor", "didn't", "wasn't"})

_STAGE_WORDS = {
    "run-up": ("run-up", "run up", "runup", "mag check", "magneto check"),
    "idle": ("idle", "idling", "tick over", "tickover"),
    "take-off": ("take-off", "take off", "takeoff"),
    "climb": ("climb", "climbing"),
    "cruise": ("cruise", "cruising", "level flight"),
    "descent": ("descent", "descending"),
    "approach": ("approach", "final", "finals"),
    "taxi": ("taxi", "taxying", "taxiing"),
    "cranking": ("cranking", "starting", "start-up"),
    "after-shut-down": ("after shut-down", "after shutdown", "shut down"),
    "parked": ("parked", "overnight", "in the hangar"),
}


@dataclass(frozen=True)
class Suggestion:
    """What a phrase of the report may mean.

    question and value may be '' (then only ``asks`` helps); asks: the questions that tell its
    meanings apart; trap: what it is often mistaken for.
    """

    phrase: str
    means: str
    question: str = ""
    value: str = ""
    asks: tuple[str, ...] = ()
    trap: str = ""
    negated: bool = False


@dataclass(frozen=True)
class Heard:
    """Everything recognised in a report."""

    suggestions: tuple[Suggestion, ...]
    places: tuple[str, ...]
    unclear_place: str
    stage: str
    settings: Mapping[str, str]


def hear(report: str, bench: Bench) -> Heard:
    """Return what ``report`` may speak of: findings, places and the stage of operation."""
    text = _plain(report)
    taken: list[tuple[int, int]] = []
    found: list[tuple[int, Suggestion]] = []
    for phrase, suggestion in sorted(_phrases(bench), key=lambda p: (-len(p[0]), p[0])):
        for hit in re.finditer(rf"(?<![\w-]){re.escape(phrase)}(?![\w-])", text):
            if any(a < hit.end() and hit.start() < b for a, b in taken):
                continue
            taken.append(hit.span())
            negated = _negated(text[: hit.start()])
            found.append((hit.start(), _with(suggestion, phrase, negated)))
    in_order = [s for _, s in sorted(found, key=lambda p: p[0])]
    once = {(s.question, s.value, s.negated, s.asks): s for s in reversed(in_order)}
    told = {s.question for s in once.values() if s.value}
    # 'warning lamp ... flickering': the bare name adds nothing to what was said of it
    kept = [s for s in reversed(once.values()) if s.value or s.negated or s.question not in told]
    places, unclear = _places(report, bench)
    return Heard(tuple(kept), places, unclear, _stage(text), _settings(text))


def _phrases(bench: Bench) -> Iterator[tuple[str, Suggestion]]:
    library = bench.library
    for w in library.words.trade:
        if w.finding or w.asks:
            yield (
                _plain(w.word),
                Suggestion(w.word, w.means, w.finding, w.value, w.asks or (w.finding,), w.trap),
            )
    for q in library.questions.values():
        for name in (q.title, *q.also_called):
            yield _plain(name), Suggestion(name, q.title, q.id, "", (q.id,))


def _with(s: Suggestion, phrase: str, negated: bool) -> Suggestion:
    value = "" if negated else s.value  # 'no smell' must not become 'smell'
    return Suggestion(phrase, s.means, s.question, value, s.asks, s.trap, negated)


def _plain(text: str) -> str:
    clauses = re.sub(r"[,.;:!?()]+(?=\s|$)", " | ", text.lower())
    return " ".join(re.sub(r"[^\w'|-]+", " ", clauses).split())


def _negated(before: str) -> bool:
    """Return whether a 'no' stands in the last three words of the clause before a phrase.

    'No 2 engine' is a number, not a denial.
    """
    clause = before.rpartition("|")[2]
    clause = re.sub(r"\bno (?=\d|one|two|three|four|five|six)", "", clause)
    return bool(NEGATIONS & set(clause.split()[-3:]))


def _settings(text: str) -> Mapping[str, str]:
    """Return the run-state settings the report states in so many words."""
    out = {}
    for dimension, words in (("booster", r"boosters?|boost pumps?|electric pumps?"),):
        said = {
            m.group(1) or m.group(2)
            for m in re.finditer(
                rf"\b(?:{words}) (on|off)\b|\b(?:with|without) (?:{words}) (on|off)", text
            )
        }
        if len(said) == 1:  # both ways said: the person is asked
            out[dimension] = said.pop()
    return out


def _stage(text: str) -> str:
    hits = [
        (text.find(word), stage)
        for stage, words in _STAGE_WORDS.items()
        for word in words
        if re.search(rf"(?<![\w-]){re.escape(word)}(?![\w-])", text)
    ]
    stage = min(hits)[1] if hits else ""
    return stage if stage in STAGES else ""


def _places(report: str, bench: Bench) -> tuple[tuple[str, ...], str]:
    """Return the engines or tanks named for sure, and what to ask of those named unclearly."""
    sure: dict[str, None] = {}
    unclear = ""
    kinds = "engine|tank|cock|selector|strainer|pump|primer"
    words = (
        r"(?:no\.?\s*\d|number\s+\w+|port|starboard|left|right|inner|outer|middle|main|auxiliary)"
    )
    for hit in re.finditer(rf"(?:{words}\s+)+(?:fuel\s+)?(?:{kinds})?", report, re.IGNORECASE):
        match = bench.places.find_places(hit.group(0), bench.library.words.trade)
        if match.ambiguous or len(match.candidates) != 1:
            unclear = unclear or match.ask
        else:
            sure[match.candidates[0]] = None
    return tuple(sure), "" if sure else unclear
