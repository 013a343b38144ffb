"""What is done once a cause is found: what this aeroplane has no second of is left out.

The knowledge speaks for every layout: 'the other engines', 'sister pumps', 'booster off and on'.  A
word of it that asks for a second one, or for a booster, counts only where the layout has one; a
hand pump stands in for a booster that is not there.  Where no pressure gauge is fitted a steady
pressure is an engine that runs even: nobody can read the other.  Where fuel runs by its head alone
no pump is looked at for what it may have suffered.
"""

from __future__ import annotations

import re
from dataclasses import replace

from diagnose.grammar import capital
from diagnose.job.diagnosis import Bench
from diagnose.model import Cause, CauseAt

_ANOTHER = re.compile(
    r"\b(?:(?:other|all) (?P<other>engine|tank|strainer|carburettor|side)"
    r"|sister (?!aeroplane)(?P<sister>\w+?))(?:s'|'s|s)?\b",
    re.IGNORECASE,
)
"""A second one of what a layout has as parts; 'every other part of that job' asks for none."""
_BOOSTER = re.compile(
    r"\b(?P<pump>booster|electric pump)\b(?P<at>(?: (?:is|and|or|then|off|on)\b)*)", re.IGNORECASE
)
_STANDS_IN = {"off": "still", "on": "worked"}
"""What a hand pump is while a booster would be off or on."""
_UNGAUGED = tuple(
    (re.compile(pattern, re.IGNORECASE), instead)
    for pattern, instead in (
        (r", with (?:the |fuel )?pressure steady in the band(?: as before)?", ""),
        (r"\bpressure and (power|contents)\b", r"\1"),
        (r"\b(steady|normal) pressure\b", r"\1 power"),
        (r"\bpressure (?:steady(?: in the band)?|in the band(?: at once and steady| to the top)?)",
         "the engine even"),
        (r"(?<=\bsteady) in the band\b", ""),
    )
)  # fmt: skip
"""What is seen of the pressure in a run, and what there is to see where no gauge is fitted."""
_PUMP = re.compile(r"(?<!accelerator )\bpumps?\b", re.IGNORECASE)
_PUMPS = ("engine-pump", "booster-pump", "hand-pump", "transfer-pump")
_SEGMENT = re.compile(r"([^.;?]+)([.;?]\s*|$)")


def as_fitted(bench: Bench, cause: CauseAt) -> Cause:
    """Return the cause with what is to be done, asked and looked at as this aeroplane is fitted."""
    known = bench.library.causes[cause.cause]
    return replace(
        known,
        rectify=_fitting(bench, cause, known.rectify),
        root_question=_fitting(bench, cause, known.root_question),
        also_look=_fitting(bench, cause, known.also_look, looks=True),
        harm=_fitting(bench, cause, known.harm, looks=True),
        verify=_fitting(bench, cause, known.verify),
    )


def _fitting(bench: Bench, cause: CauseAt, text: str, *, looks: bool = False) -> str:
    """Return ``text`` without what asks for what is not there, '' where all of it does.

    ``looks``: it says what to look at, so that a pump has no place in it where none is fitted.

    Of a list with commas an item goes alone; its first item takes the rest along, which speaks of
    it.  What goes on with 'and' stays whole: 'on the other engines and on the switch line'.
    """
    kept = ""
    pumps = bench.places.parts_of_kind
    unpumped = looks and not any(pumps(kind) for kind in _PUMPS)
    if not bench.places.parts_of_kind("pressure-gauge"):
        text = _without_a_gauge(text)
    for said, end in _SEGMENT.findall(text):
        # what names the hand pump beside the booster speaks of every layout
        boosted = bool(pumps("booster-pump")) or "hand pump" in said
        body = said if boosted or not pumps("hand-pump") else _BOOSTER.sub(_by_hand, said)
        first, *others = [
            (x, _is_there(bench, cause, x, boosted=boosted, unpumped=unpumped))
            for x in body.split(", ")
        ]
        if first[1]:
            kept += ", ".join(x for x, there in (first, *others) if there) + end
    if kept == text:
        return text
    kept = re.sub(r";$", ".", kept.rstrip())
    return capital(kept)


def _is_there(bench: Bench, cause: CauseAt, said: str, *, boosted: bool, unpumped: bool) -> bool:
    """Return whether what an item speaks of is on this aeroplane."""
    if (_BOOSTER.search(said) and not boosted) or (unpumped and _PUMP.search(said)):
        return False
    return _has(bench, cause, said)


def _has(bench: Bench, cause: CauseAt, said: str) -> bool:
    """Return whether the layout has a second one of whatever ``said`` speaks of as another."""
    parts = bench.layout.parts
    own = parts[cause.at].kind if cause.at in parts else ""
    for found in _ANOTHER.finditer(said):
        if " and " in said[found.end() :]:
            continue
        word = (found["other"] or found["sister"]).lower()
        named = {p.kind for p in parts.values() if p.kind.split("-")[-1] == word}
        if found["sister"] and not named and own == "engine":
            continue  # its plugs and leads are no parts of a layout
        alike = named if named and own not in named else {own}
        if sum(p.kind in alike for p in parts.values()) < 2:
            return False
    return True


def _without_a_gauge(text: str) -> str:
    for pressure, instead in _UNGAUGED:
        text = pressure.sub(instead, text)
    return re.sub(r"(?<=[.:;] )contents answer", "Contents answer", text)


def _by_hand(found: re.Match[str]) -> str:
    named = "Hand pump" if found["pump"][0].isupper() else "hand pump"
    return " ".join([named, *(_STANDS_IN.get(x.lower(), x) for x in found["at"].split())])
