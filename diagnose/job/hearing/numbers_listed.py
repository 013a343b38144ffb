"""Engines and tanks told by a list of numbers, each written out: 'no 3 and no 4'."""

from __future__ import annotations

import re

_DIGITS = {"one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6"}
_NUMBER = rf"(?:[1-6]|{'|'.join(_DIGITS)})"
_LIST = rf"({_NUMBER}(?:(?:, ?| ){_NUMBER})*,? (?:and|or) {_NUMBER})"
_NO_FIGURE = (
    r"(?![\d:/]|\.\d| ?(?:psi|lbs?|pounds?|kpa|bar|inches|gals?|gallons?|gph|litres?|l|volts?|v|"
    r"amps?|a|seconds?|minutes?|hours?|days?|times?|of|degrees?|thousand|hundred|half|quarters?)\b)"
)
"""Behind a list that is of no figures: 'between 2 and 4 psi'."""
_WAYS = tuple(
    re.compile(way)
    for way in (
        rf"\b(?:nos?|numbers?) ?{_LIST}\b{_NO_FIGURE}",
        rf"\b(?:engines|motors|tanks) (?:(?:nos?|numbers) ?)?{_LIST}\b{_NO_FIGURE}",
        # 'lamps lit on 1 and 2'
        rf"(?<=\bon ){_LIST}(?=[.,;:)]|$| (?:engines|tanks|but|while|with|at|in)\b)",
        # '3 and 4 fine', '1, 2 and 3 all sag'
        rf"(?:(?<=^)|(?<=[.,;:(] )|(?<=\band )|(?<=\bbut )|(?<=\bwhile )){_LIST}"
        r"(?= (?:(?:were|are|was|is|ran|run|both|all|as|still|just|stayed) )*"
        r"(?:all|both|fine|good|ok|okay|normal|steady|well|usual|sound|right|alright|rough|surg\w+|fad\w+|stopp\w+|cut|quit|died|"
        r"cough\w*|sag\w*|down|dropp\w+|fell|lost|swing\w*|swung|flick\w+|wander\w*|low|lit|out|dry|full|empty|perfect\w*|engines|tanks)\b)",
    )
)
_BEGUN = re.compile(rf"(?<![\d.,/:])(?<!no )\b{_LIST}(?= (?:(?:were|are) )?all\b)")
"""'This morning 1, 2 and 3 all sag': what is said of them begins there."""
_OR = re.compile(r"\bor\b")


def each_by_number(text: str) -> str:
    """Return ``text`` (lower case) with each list of numbers of engines or tanks written out.

    Lists of figures stand: '2 and 4 psi', 'in 2 or 3 hours'.
    """
    for way in _WAYS:
        text = way.sub(_each, text)
    return _BEGUN.sub(lambda hit: f", {_each(hit)}", text)


def _each(hit: re.Match[str]) -> str:
    joint = " or " if _OR.search(hit[1]) else " and "
    numbers = re.findall(rf"\b{_NUMBER}\b", hit[1])
    return joint.join(f"no {_DIGITS.get(n, n)}" for n in numbers)
