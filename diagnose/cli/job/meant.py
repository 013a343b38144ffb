"""What the words of a report were read as: told on the screen, and asked where it is not sure."""

from __future__ import annotations

from diagnose.cli.job.talk import Talk
from diagnose.job.answers import is_not_checked
from diagnose.job.choices import choose
from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.as_meant import as_meant


def report_as_meant(talk: Talk, report: str, bench: Bench) -> str:
    """Return ``report`` as meant, after telling and asking what its misspelt words stand for."""
    meant = as_meant(report, bench)
    if meant.read:
        words = ", ".join(f"'{typed}' as '{read}'" for typed, read in meant.read)
        talk.say(f"Read in the report: {words}. The report itself stays as typed.")
    for typed, choices in meant.unsure:
        meant = meant.told(typed, _asked(talk, typed, choices))
    return meant.text


def _asked(talk: Talk, typed: str, choices: tuple[str, ...]) -> str:
    """Return the word that ``typed`` stands for, '' for none of ``choices``."""
    listed = {word: word for word in choices}
    talk.say(f"  '{typed}': which word is meant? (Enter or 0: none of these)")
    talk.listed(listed)

    def read(text: str) -> str:
        if text in ("", "0", "none") or is_not_checked(text):
            return ""
        return choose(text, listed)

    return talk.ask("word:", read)
