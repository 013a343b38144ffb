"""Talking with the person at the terminal: lines out, one line in, commands at any time."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from typing import TypeVar

from diagnose.cli.printing import say
from diagnose.cli.room import fitted
from diagnose.errors import UsageError
from diagnose.job.choices import NO, YES
from diagnose.job.keeping.log import printable


class Paused(Exception):  # noqa: N818  (not an error: the person left)
    """The person left (end of input, Ctrl-C, 'pause'); everything confirmed is kept."""


class Again(Exception):  # noqa: N818  (not an error: the screen is stale)
    """Something changed underneath: the screen must be made anew."""


T = TypeVar("T")

_NO_ANSWER = re.compile(r"(?:add|why|why not|what would) \S|(?:change|withdraw) \d+$")
"""Commands with words behind them that nobody says in answer to anything; kept as work done, 'add
fuel pressure low' would lose a finding and lift the odds of a part nobody touched."""

MOST_ECHOED = 60
"""Characters of what was typed that are told back with what is wrong with it."""

Command = Callable[[str], None]
"""What a word typed at any prompt does; takes the rest of the line."""


class Talk:
    """Prompts on one terminal or pipe; ``commands`` are understood at every prompt."""

    def __init__(self, commands: Mapping[str, Command] | None = None) -> None:
        """Start with the ``commands`` of the session, longest names matched first."""
        self.commands = dict(commands or {})
        self._half_typed = False
        self.reason = ""  # why what is asked now is asked
        # words heard -> what was offered of them and not taken, by question and phrase
        self.turned_down: dict[str, set[tuple[str, str]]] = {}

    def say(self, lines: Iterable[str] | str = "") -> None:
        """Print lines; nothing is coloured, nothing is hidden."""
        told = [lines] if isinstance(lines, str) else lines
        say(fitted(line) for line in told)

    def listed(self, choices: Mapping[str, str]) -> None:
        """Print what can be chosen by number."""
        self.say(f"  {k}  {label}" for k, label in enumerate(choices.values(), start=1))

    def line(self, prompt: str) -> str:
        """Return one line typed by the person.

        Raises:
            Paused: At the end of input.
        """
        sys.stdout.write(f"{fitted(prompt)} ")
        sys.stdout.flush()
        try:
            text = sys.stdin.readline()
        except (KeyboardInterrupt, UnicodeDecodeError):
            self.say()
            raise Paused from None
        if not text:
            self.say()
            raise Paused
        if not sys.stdin.isatty():
            self.say(text.rstrip("\n"))  # a script's answers are shown where they were given
        return printable(text.strip())  # an arrow key told back would move about on the screen

    def ask(self, prompt: str, read: Callable[[str], T], *, own_words: bool = False) -> T:
        """Return what ``read`` makes of an answer; asks again with one clear line until it can.

        ``own_words``: the answer is free text, so a command counts only when it stands alone or
        can mean nothing else; 'back plate loose' is an answer, not a step back.
        """
        while True:
            text = self.line(prompt)
            try:
                if not self._obeyed(text, alone=own_words):
                    return read(text)
            except UsageError as error:
                self.say(f"  {_in_short(str(error), text)}")

    @contextmanager
    def half_typed(self) -> Iterator[None]:
        """Ask what belongs to one entry that is not kept yet: 'back' begins it anew.

        Without this 'back' would take away the entry before it, which stands.
        """
        before, self._half_typed = self._half_typed, True
        try:
            yield
        finally:
            self._half_typed = before

    @contextmanager
    def asked_for(self, reason: str) -> Iterator[None]:
        """Ask something with the reason for it at hand: 'why this' tells it."""
        self.reason = reason
        try:
            yield
        finally:
            self.reason = ""

    def _obeyed(self, text: str, *, alone: bool) -> bool:
        low = text.lower()
        if low == "back" and self._half_typed:
            self.say("  nothing of this was kept yet")
            raise Again
        for name in sorted(self.commands, key=len, reverse=True):
            meant = not alone or _NO_ANSWER.match(low)
            if low == name or (low.startswith(name + " ") and meant):
                self.commands[name](text[len(name) :].strip())
                return True
        return False

    def yes(self, prompt: str) -> bool:
        """Return a plain yes or no."""

        def read(text: str) -> bool:
            if (said := yes_or_no(text)) is not None:
                return said
            wrong = f"'{text}' is neither yes nor no; type" if text else "Type"
            raise UsageError(f"{wrong} yes or no.")

        return self.ask(f"{prompt} ({YES_OR_NO}):", read)


YES_OR_NO = "1 yes / 2 no"
"""How the two answers are shown: whoever types numbers at every question types one here too."""


def yes_or_no(text: str) -> bool | None:
    """Return what was typed at a question for yes or no, in words or by number; None: neither."""
    low = text.lower()
    return True if low in ("1", *YES) else False if low in ("2", *NO) else None


def _in_short(told: str, typed: str) -> str:
    """Return ``told`` with what was typed, or the end of it that a command took, cut short.

    A page pasted at the wrong prompt would push what is said of it off the screen.
    """
    while len(typed) > MOST_ECHOED:
        told = told.replace(typed, f"{typed[:MOST_ECHOED]} ...")
        typed = typed.partition(" ")[2]
    return told


def pause(rest: str) -> None:
    """Leave, as a command."""
    raise Paused


def in_words(what: str) -> Callable[[str], str]:
    """Return what reads ``what`` in words; nothing typed is no answer."""

    def read(text: str) -> str:
        if not text:
            raise UsageError(f"say {what} in a few words.")
        return text

    return read
