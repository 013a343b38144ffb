"""A report in one way of writing: short forms in full, before it is cut into clauses.

'Didn't', 'nos. 3 and 4', 'pressure right' and 'did not pick up until it was changed' say in other
words what phrases and places are known by.
"""

from __future__ import annotations

import re

_NOT = re.compile(
    r"\b(do|does|did|is|was|were|are|has|have|had|would|could|should)n'?t\b|\b(?:(wo)|(ca))n'?t\b"
)
"""'didn't', and as often typed without its apostrophe."""
_NUMBERED = re.compile(r"\b(no|nos|nr)\.(?=\s*\d)")
_SEVERAL = re.compile(r"\bnos ?(\d)((?:, ?\d)*),? and (\d)(?![\d.])")
_ONES = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_AND_A_HALF = re.compile(
    rf"\b({'|'.join(_ONES)}) and a half\b(?! (?:hours?|hrs?|minutes?|days?|years?)\b)"
)
_WELL = "alright"
"""'Right' that is no side."""
_RIGHT = re.compile(
    r"\ball right\b|\b(?<=pressure )right(?=[,.;]|$| either | again\b)|"
    r"\b(?<=pressures )right(?=[,.;]|$| either | again\b)|"
    r"\b(?<=side )right(?=[,.;]|$| either )"
)
_JUST = re.compile(r"\bright (?=in the (?:green|band)\b)")
_UNTIL = re.compile(r"\b(?:do|does|did|would|will|could) not ((?:[a-z]+ ){1,3}?)until\b")


def written_out(report: str) -> str:
    """Return ``report`` in lower case with each short form in full."""
    text = report.lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'")
    text = _NUMBERED.sub(r"\1", text)
    text = _SEVERAL.sub(_each, text)
    text = _AND_A_HALF.sub(lambda hit: f"{_ONES.index(hit[1]) + 1}.5", text)
    text = well_for_right(_NOT.sub(_in_full, _JUST.sub("", text)))
    return _UNTIL.sub(r"\1when", text)  # what did not come before came then


def well_for_right(text: str) -> str:
    """Return ``text`` with the 'right' that is no side in a word of its own."""
    return _RIGHT.sub(_WELL, text)


def as_typed(phrase: str) -> str:
    """Return ``phrase`` of a report written out with its 'right' as people type it."""
    return phrase.replace(_WELL, "right")


def _in_full(hit: re.Match[str]) -> str:
    """Return a shortened 'not' in full, as phrases and denials are written."""
    return "will not" if hit[2] else "cannot" if hit[3] else f"{hit[1]} not"


def _each(hit: re.Match[str]) -> str:
    """Return 'no 1 and no 2 and no 4' for 'nos 1, 2 and 4'."""
    numbers = [hit[1], *re.findall(r"\d", hit[2]), hit[3]]
    return " and ".join(f"no {n}" for n in numbers)
