"""Work that somebody tells of: which parts its words name."""

from __future__ import annotations

import re
from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.plain_words import plain_words
from diagnose.model import AEROPLANE, FUEL, FUEL_ABOARD, TANKS

MENDED = r"renewed|replaced|refitted|overhauled|repaired|rebuilt|re-?rigged|re-?sealed|repainted"
"""Acts that are work wherever they are told."""
_OPENED = re.compile(rf"\b(?:{MENDED}|opened|cleaned|removed|drained|taken out|out for)\b", re.I)
"""Work on a tank itself, though it was filled after it."""
WHEN = re.compile(
    r"\b(?:last|this|in|in the) (?:\w+ )?"
    r"(?:day|night|week|weekend|month|year|autumn|winter|spring|summer)\b"
    r"|\b[\w-]+ (?:day|week|month|year|hour|flight)s? (?:ago|back|before)\b"
    r"|\bthe (?:day|evening|night|week) before\b|\bin (?:january|february|march|april|may|june|july"
    r"|august|september|october|november|december)\b"
    r"|\b(?:yesterday|a (?:day|week|month|year|flight))\b",
    re.IGNORECASE,
)
"""When a work was done: 'two weeks back' speaks of no second engine."""
_LEFT = re.compile(r"\bleft (?=open|off|out|in|undone|loose)\b")
"""'Left open' speaks of no left tank."""
_NUMBER = re.compile(r"\d+|one|two|three|four|five|six", re.IGNORECASE)
_EACH = re.compile(r"\b(?:both|all|every|each|left and right|port and starboard)\b", re.IGNORECASE)
_MOST_WORDS = 7
_JOINS = plain_words("the a an of on in at to and s side its for")
_NAMES_NONE = plain_words(
    "fuel main pressure contents electric electrical off on in out up shut open new old both all"
    " control unit"
)
"""Words that a name may have and that name nothing alone: 'off' is no shut-off cock."""
_BESIDES = (FUEL, "engine", "bus", AEROPLANE)
"""Kinds told of by an act, or by what is not of the fuel system."""
_PUT_IN = re.compile(
    r"\b(?:put|added|poured|pumped|took|taken)\b.*\b(?:gallons?|litres?|liters?|fuel|petrol|gas)\b"
    r"|\b(?:gallons?|litres?|liters?|fuel|petrol)\b.* (?:put|added|poured|pumped|taken)\b",
    re.IGNORECASE,
)
_NO_PART = (FUEL, FUEL_ABOARD, "ledger", "cabin")
"""Kinds that nobody works on by their name; what is fuelled is told by the act."""


@dataclass(frozen=True)
class _Hit:
    """Words of a text, from ``start`` to before ``end``, and the parts they may mean.

    ``kind``: the kind of part they tell of by what ``works`` lists.
    """

    start: int
    end: int
    parts: tuple[str, ...]
    kind: str = ""


def worked_on(text: str, bench: Bench) -> tuple[tuple[str, ...], ...]:
    """Return what the words of a work name, in their order; for each thing the parts it may mean.

    One part where it is clear; 'both', 'all' and a plural name each part as a thing of its own.
    What follows the last ' at ' comes first ('brushes renewed at electric pump').  Fuelling is
    work on the fuel of the tanks that are named, or on all the fuel aboard.  Other systems of an
    engine are that engine; the electrics and the aeroplane count where nothing else is named.
    """
    words = _words(text)
    told = _told(words, bench)
    besides = [hit for hit in told if not hit.parts]
    first = besides[0].kind if besides and besides[0].start == 0 else ""
    if first == AEROPLANE and not _OPENED.search(text):
        return ((AEROPLANE,),)  # it stood with fuel in its tanks: nobody worked on those
    fuelled = any(hit.kind == FUEL for hit in told) or _PUT_IN.search(text)
    if fuelled and "from" in words:  # 'from the airfield pump'
        words = words[: words.index("from")]
    every = bool(_EACH.search(text))
    things = _things(words, told, bench, every)
    tanks = all(bench.layout.parts[p].kind in TANKS for thing in things for p in thing)
    if fuelled and tanks and not (things and _OPENED.search(text)):
        return _fuelled(things, bench)
    engines = any(place in bench.places.engines for thing in things for place in thing)
    for kind in ("engine", "bus", AEROPLANE):
        if not things or (kind == "engine" and not engines):
            for hit in (hit for hit in besides if hit.kind == kind):
                fit = _narrowed(replace(hit, parts=_of_kind(kind, bench)), words, bench, kind)
                things += [(part,) for part in fit] if every else [fit]
    return tuple(dict.fromkeys(things))


def _words(text: str) -> list[str]:
    return re.findall(r"[\w/'-]+", _LEFT.sub(" ", WHEN.sub(" ", text.lower())))


def _things(
    words: Sequence[str], told: Sequence[_Hit], bench: Bench, every: bool
) -> list[tuple[str, ...]]:
    """Return the parts of the fuel system that the words name, a thing for each."""
    taken = {k for hit in told for k in range(hit.start, hit.end)}
    named = [*_named(words, taken, bench), *(hit for hit in told if hit.parts)]
    # 'no. 1' says at which engine, unless it says all
    named = [hit for hit in named if not _only_a_number(hit, words)] or (named if not told else [])
    named.sort(key=lambda hit: hit.start)
    behind = max((k for k, word in enumerate(words) if word == "at"), default=-1)
    named = [hit for hit in named if hit.start > behind] or named
    out: list[tuple[str, ...]] = []
    for hit in named:
        fit = _narrowed(hit, words, bench, hit.kind.replace("-", " "))
        if out and _says_where(hit, words) and set(fit) & _owners(out[-1], bench):
            continue  # 'the sender of the right tank' is one thing
        several = every or any(w != _singular(w) for w in words[hit.start : hit.end])
        out += [(part,) for part in fit] if several else [fit]
    return out


def _only_a_number(hit: _Hit, words: Sequence[str]) -> bool:
    run = words[hit.start : hit.end]
    return all(word == "no" or _NUMBER.fullmatch(word) for word in run)


def _says_where(hit: _Hit, words: Sequence[str]) -> bool:
    before = [word for word in words[: hit.start] if word not in ("the", "a", "its")]
    return bool(before) and before[-1] in ("of", "in", "on", "from", "off")


def _owners(parts: Iterable[str], bench: Bench) -> set[str]:
    return {owner for part in parts for owner in bench.places.owners(part)}


def says_when(text: str) -> bool:
    """Return whether words tell when a work was done."""
    return bool(WHEN.search(text))


def all_told(text: str, bench: Bench) -> bool:
    """Return whether words tell of work and when, and of nothing else: 'annual last month'."""
    words = _words(text)
    told = [k for hit in _told(words, bench) for k in range(hit.start, hit.end)]
    return bool(told) and all(k in told or w in _JOINS for k, w in enumerate(words))


def _fuelled(tanks: Sequence[tuple[str, ...]], bench: Bench) -> tuple[tuple[str, ...], ...]:
    """Return the fuel of ``tanks``; all the fuel aboard where that is all of them, or none."""
    parts = bench.layout.parts.values()
    fuel = {p.of: p.id for p in parts if p.kind == FUEL}
    aboard = tuple(p.id for p in parts if p.kind == FUEL_ABOARD)
    if aboard and (not tanks or set(fuel) <= {thing[0] for thing in tanks if len(thing) == 1}):
        return (aboard,)
    things = (tuple(fuel[tank] for tank in thing if tank in fuel) for thing in tanks)
    return tuple(thing for thing in dict.fromkeys(things) if thing)


def _told(words: Sequence[str], bench: Bench) -> list[_Hit]:
    """Return where the words tell of what ``works`` of the knowledge lists, and of which kind."""
    phrases = _phrases(bench.library.words.works)
    out: list[_Hit] = []
    k = 0
    while k < len(words):
        size = next((n for n in range(_MOST_WORDS, 0, -1) if tuple(words[k : k + n]) in phrases), 0)
        kinds = phrases.get(tuple(words[k : k + size]), ())
        out += [_Hit(k, k + size, (), kind) for kind in kinds if kind in _BESIDES]
        of = {k: parts for k in kinds if (parts := bench.places.parts_of_kind(k))}
        if of and not set(kinds) & {*_BESIDES}:
            out.append(
                _Hit(k, k + size, sum(of.values(), ()), next(iter(of)) if len(of) == 1 else "")
            )
        k += max(size, 1)
    return out


def _phrases(works: Mapping[str, tuple[str, ...]]) -> dict[tuple[str, ...], list[str]]:
    out: dict[tuple[str, ...], list[str]] = {}
    for kind, phrases in works.items():
        for phrase in phrases:
            words = tuple(phrase.split())
            for said in (words, (*words[:-1], f"{words[-1]}s")):
                out.setdefault(said, []).append(kind)
    return out


def _of_kind(kind: str, bench: Bench) -> tuple[str, ...]:
    return (AEROPLANE,) if kind == AEROPLANE else bench.places.parts_of_kind(kind)


def _named(words: Sequence[str], taken: Container[int], bench: Bench) -> list[_Hit]:
    """Return the longest runs of words that name parts."""
    free = [k not in taken for k in range(len(words))]
    found: list[_Hit] = []
    for size in range(min(_MOST_WORDS, len(words)), 0, -1):
        for k in range(len(words) - size + 1):
            run = words[k : k + size]
            if all(free[k : k + size]) and (parts := _parts(run, bench)):
                found.append(_Hit(k, k + size, parts))
                free[k : k + size] = [False] * size
    return found


def _parts(run: Sequence[str], bench: Bench) -> tuple[str, ...]:
    idle = all(word in _NAMES_NONE or _NUMBER.fullmatch(word) for word in run)
    if idle or run[0] in _JOINS or run[-1] in _JOINS:
        return ()
    for said in (run, [_singular(word) for word in run]):
        text = " ".join(said)
        if text in ("aeroplane", "airframe"):
            return (AEROPLANE,)
        found = bench.places.find_places(text).candidates
        parts = tuple(p for p in found if bench.layout.parts[p].kind not in _NO_PART)
        if parts:
            return parts
        if found and len(run) > 1 and FUEL in run:  # 'fuel tank' is the tank
            return _parts([word for word in said if word != FUEL], bench)
    return ()


def _singular(word: str) -> str:
    return word[:-1] if word.endswith("s") and not word.endswith("ss") else word


def _narrowed(hit: _Hit, words: Sequence[str], bench: Bench, name: str = "") -> tuple[str, ...]:
    """Return the parts of ``hit``; where it fits several, those that the other words leave.

    A bare number says nothing: '3 and 4' may be lamps.
    """
    parts = hit.parts
    run = name or " ".join(words[hit.start : hit.end])
    others = [w for k, w in enumerate(words) if not hit.start <= k < hit.end]
    others = [w for w in others if not _NUMBER.fullmatch(w) and w not in _NAMES_NONE | _JOINS]
    numbers = re.findall(rf"\bno\.? ?({_NUMBER.pattern})\b", " ".join(words))
    for word in (*others, *(f"no {n}" for n in numbers)):
        if len(parts) > 1:
            fits = set(_parts(f"{word} {run}".split(), bench))
            parts = tuple(p for p in parts if p in fits) or parts
    return parts
