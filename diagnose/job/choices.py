"""What a person names of a list: by number, by name or by its words, and several joined by 'or'."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from difflib import get_close_matches

from diagnose.counted import whole_number
from diagnose.errors import UsageError
from diagnose.knowledge_files.cutting import is_figure
from diagnose.units import UnitError, a_dimension, parse

OR = re.compile(r"\s+or\s+", re.IGNORECASE)

YES = ("y", "yes", "yep", "yeah", "aye")
NO = ("n", "no", "nope", "nah")
"""How people say a plain yes and a plain no."""

LEAST_BEGUN = 3
"""Letters that do not yet begin an answer."""

MOST_REPEATED = 60
"""Characters of what was typed that are said back where it is not understood."""

Choose = Callable[[str, Mapping[str, str]], str]
"""Returns the one choice that a text names."""


def numbered(choices: Mapping[str, str]) -> Sequence[str]:
    """Return the lines of a list of answers, in their own order, 'not checked' last."""
    lines = [f"  {k}  {label}" for k, label in enumerate(choices.values(), start=1)]
    return [*lines, "  0  not checked / cannot tell"]


def choose(text: str, choices: Mapping[str, str]) -> str:
    """Return the choice ``text`` names by number (from 1) or by name.

    Raises:
        UsageError: If it is neither; says what there is.
    """
    words = " ".join(text.lower().split())
    names = list(choices)
    number = whole_number(words)
    if number is not None and 1 <= number <= len(names):
        return names[number - 1]
    if words in choices:
        return words
    if (named := words.replace(" ", "-")) in choices:
        return named
    if words == "no" and "none" in choices:
        return "none"
    if _is_yes_or_no(choices):
        words = "yes" if words in YES else "no" if words in NO else words
    by_label = [n for n, label in choices.items() if label.lower() == words]
    if len(by_label) == 1:
        return by_label[0]
    begun = [n for n, label in choices.items() if _begins(label.lower(), words)]
    if len(begun) == 1:
        return begun[0]
    if is_figure(words) and not words.isdigit():
        raise UsageError(f"{_no_figure(text)} {_offered(choices)}")
    near = get_close_matches(words, [*names, *map(str.lower, choices.values())], 1)
    near = near or _within(words, choices)
    hint = f" Did you mean '{near[0]}'?" if near else ""
    said = text if len(text) <= MOST_REPEATED else f"{text[:MOST_REPEATED].rstrip()} ..."
    raise UsageError(f"'{said}' is not one of the answers.{hint} {_offered(choices)}")


def choose_listed(text: str, choices: Mapping[str, str], leave: str) -> str:
    """Return the choice of a numbered list that ``text`` names, by words that one label has, too.

    ``leave``: what else may be typed.

    Raises:
        UsageError: If it names none; the list stands above, so only its numbers are told.
    """
    try:
        return choose(text, choices)
    except UsageError:
        words = f" {' '.join(text.lower().split())}"
        within = [n for n, label in choices.items() if words in f" {label.lower()}"]
        if len(words) > LEAST_BEGUN and len(within) == 1:
            return within[0]
    many = f"a number from 1 to {len(choices)}" if len(choices) > 1 else "1"
    raise UsageError(f"'{text}' is not one of them; type {many}, or {leave}.")


def choose_some(text: str, choices: Mapping[str, str]) -> tuple[str, ...]:
    """Return the choices ``text`` names: one, or '2 or 3' where it is not known which.

    Raises:
        UsageError: If one of them is no choice, or if together they are all there is.
    """
    named = set(_joined_by_or(text, choices, choose))
    if len(named) == len(choices) > 1:
        raise UsageError(f"'{text}' is every answer there is; type 'not checked'.")
    return tuple(name for name in choices if name in named)


def choose_places(text: str, choices: Mapping[str, str], one: Choose = choose) -> tuple[str, ...]:
    """Return the places ``text`` names: one, or '2 or 3' where it is not known which.

    All of them may be named: that it was at one of them is known then, and no more.

    Raises:
        UsageError: If one of them is no choice, or names a place twice.
    """
    named = _joined_by_or(text, choices, one)
    if len(set(named)) < len(named):
        raise UsageError(f"'{text}' names one place twice; name each once.")
    return tuple(name for name in choices if name in named)


def _joined_by_or(text: str, choices: Mapping[str, str], one: Choose) -> list[str]:
    """Return the choice that ``text`` names, or those between its 'or's."""
    parts = OR.split(text)
    try:
        return [one(text, choices)]  # a choice may have an 'or' in its own words
    except UsageError:
        if len(parts) == 1:
            raise
    return [one(part, choices) for part in parts]


def _is_yes_or_no(choices: Mapping[str, str]) -> bool:
    """Return whether the answers are a plain no and a yes: then, and only then, 'n' is a no.

    Of a smell, 'n' may as well be 'not checked'.
    """
    labels = [label.lower() for label in choices.values()]
    return len(labels) == 2 and labels[0] == "no" and re.match(r"yes\b", labels[1]) is not None


def _within(words: str, choices: Mapping[str, str]) -> list[str]:
    """Return the one label that has ``words`` among its own, or is among them, to be asked about:
    'hum' of 'a steady hum', 'bone dry' of 'dry'.  Nothing is taken so: 'home' stands in 'not home'
    too."""
    typed = f" {words} "
    labels = {x: f" {re.sub(r'[^a-z0-9]+', ' ', x.lower()).strip()} " for x in choices.values()}
    found = [x for x, label in labels.items() if typed in label or label in typed]
    return found if len(words) >= LEAST_BEGUN and len(found) == 1 else []


def _begins(label: str, words: str) -> bool:
    """Return whether a label begins with the words: 'at a union' of 'at a union or behind its
    sleeve', 'no' of 'no, as every day'; another word as short ('not') begins nothing."""
    if words in ("yes", "no"):
        return label.startswith(f"{words},")
    return len(words) > LEAST_BEGUN and re.match(rf"{re.escape(words)}\b", label) is not None


def _offered(names: Mapping[str, str]) -> str:
    """Return what may be typed; names that nobody would type (a finding, spelt out) are left out.

    So are those that do not stand in the words on screen, where the answers are listed.
    """
    shown = all(" " not in name and name.replace("-", " ") in names[name] for name in names)
    listed = f"one of: {', '.join(names)}, " if shown else "the words of an answer, "
    many = f"a number from 1 to {len(names)}" if len(names) > 1 else "1"
    return f"Type {many}, {listed}or 'not checked'."


def _no_figure(text: str) -> str:
    """Return what a figure is where only the answers listed count, and what is wrong with it."""
    if text.strip("+-−. 0123456789") == "":
        return f"'{text}' is a bare number, and no figure is asked for here."
    try:
        wrong = f"'{text}' is {a_dimension(parse(text).dimension)}"
    except UnitError as error:
        wrong = str(error)
    return f"No figure is asked for here; {wrong}{'' if wrong.endswith('?') else '.'}"
