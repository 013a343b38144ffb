"""Choices of a list read as they are typed: by number, by their words, several at once."""

from __future__ import annotations

from typing import Any

from diagnose.capture.asking import Ask, Ground
from diagnose.capture.picking import picked_one, picked_some
from diagnose.capture.record import Interview
from diagnose.capture.told import CANNOT_SAY, LEFT_OUT
from diagnose.cli.job.talk import Talk
from diagnose.errors import UsageError
from diagnose.job.answers import is_not_checked

Answer = tuple[str, dict[str, Any]]

MOST_SHOWN = 24
"""Choices of a list that is printed whole, about what a screen holds; a longer one is looked up."""
_NONE = frozenset({"0", "none", "neither", "none of them", "none of these"})


class Passed(Exception):  # noqa: N818  (no error: he leaves the question out)
    """The question was left out; carries how."""


def passed(text: str) -> None:
    """Leave when ``text`` is no answer."""
    if not text:
        raise Passed(LEFT_OUT)
    if text.lower() == CANNOT_SAY or is_not_checked(text):
        raise Passed(CANNOT_SAY)


def _left(text: str) -> None:
    passed(CANNOT_SAY if text.lower() in _NONE else text)


def pick(talk: Talk, interview: Interview, ground: Ground, ask: Ask) -> Answer:
    """Read one choice; where his words may mean several, those are shown to choose from."""
    if not ask.choices:
        raise Passed(CANNOT_SAY)
    listed = dict(ask.choices)
    shown = len(listed) <= MOST_SHOWN
    if shown:
        talk.listed(listed)
    asked = "which (0: cannot say):" if shown else "a word or two of it, as 'vent' (0: cannot say):"

    def read(text: str) -> tuple[str, tuple[str, ...]]:
        _left(text)
        try:
            return text, picked_one(text, listed)
        except UsageError:
            if shown or len(listed) < len(ask.choices):
                raise
            # no numbers are told of a list that nobody sees
            told = f"'{text}' names none of them; type one word of it, or 0."
            raise UsageError(told) from None

    said, found = talk.ask(asked, read, own_words=True)
    while len(found) > 1:
        listed = {name: ask.choices[name] for name in found}
        talk.listed(listed)
        _, found = talk.ask("which of these (0: cannot say):", read, own_words=True)
    if said not in (*map(str, range(1, len(ask.choices) + 1)), ask.choices[found[0]]):
        talk.say(f"  taken: {ask.choices[found[0]]}")
    return said, {"picked": found}


def some(talk: Talk, interview: Interview, ground: Ground, ask: Ask) -> Answer:
    """Read one or several choices: '1, 2 and 4', '2-3', or words between commas."""
    talk.listed(ask.choices)

    def read(text: str) -> Answer:
        _left(text)
        return text, {"picked": picked_some(text, ask.choices)}

    text, more = talk.ask("which (numbers; 0: cannot say):", read, own_words=True)
    if any(c.isalpha() for c in text):
        talk.say(f"  taken: {'; '.join(ask.choices[p] for p in more['picked'])}")
    return text, more
