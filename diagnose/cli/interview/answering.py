"""One question put and its answer read, by the form the question asks for."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from diagnose.capture.asking import NEW, Ask, Ground
from diagnose.capture.asks_counts import OF
from diagnose.capture.asks_rules import NOT, wanted_and_not
from diagnose.capture.record import Interview
from diagnose.capture.told import LEFT_OUT
from diagnose.cli.interview.choosing import Answer, Passed, passed, pick, some
from diagnose.cli.interview.counting import common, estimate
from diagnose.cli.interview.hearing import findings_in
from diagnose.cli.interview.printable import as_printed
from diagnose.cli.job.talk import Talk
from diagnose.cli.room import wrap
from diagnose.errors import UsageError
from diagnose.job.choices import choose

MOST_FOUND = 12
"""Causes listed of those that fit the words he looks one up by."""
_COMMAND = re.compile(r"correct \d+|skip \w+|note .+", re.IGNORECASE)
"""What is meant for the talk and no answer, though no such answer or part is there."""


def put(talk: Talk, interview: Interview, ground: Ground, ask: Ask) -> None:
    """Ask one question and keep the answer, or that it was left out."""
    talk.say(wrap(ask.prompt, "  ", ""))
    if ask.help:
        talk.say(f"  ({ask.help})")
    try:
        text, more = _READ[ask.form](talk, interview, ground, ask)
    except Passed as left:
        why = str(left)
        rests = {"rests_on": ask.rests_on} if ask.rests_on else {}
        kept = {"step": ask.step, "ask": ask.id, "prompt": ask.prompt}
        interview.log.append("left-out", why=why, **kept, **rests)
        if ask.without:
            talk.say(wrap(f"Left out, and {ask.without}. 'back' asks it again.", "  "))
        return
    about = dict(ask.about)
    if "picked" in more and ask.form != "cause":
        more["chosen"] = "; ".join(ask.choices[p] for p in more["picked"])
    interview.keep(ask.step, ask.id, ask.prompt, text, about=about, rests_on=ask.rests_on, **more)
    for f in wanted_and_not(interview.told()) if ask.id == NOT else ():
        said = f"'{ground.finding_words(f)}' is a sign of the rule itself, which then never holds."
        talk.say(wrap(f"{said} Both are kept; 'back' takes this one back.", "  "))


def _own_words(talk: Talk) -> str:
    def read(text: str) -> str:
        if _COMMAND.fullmatch(text):
            raise UsageError(f"'{text}' cannot be done here; 'help' lists what can be typed.")
        return text

    return talk.ask(">", read, own_words=True)


def _words(talk: Talk, interview: Interview, ground: Ground, ask: Ask) -> Answer:
    text = _own_words(talk)
    passed(text)
    text, first = as_printed(talk, ask, text)
    return text, {"first_said": first}


def _story(talk: Talk, interview: Interview, ground: Ground, ask: Ask) -> Answer:
    """Read lines until an empty one, each on disk before the next; go on with one cut off.

    'back' takes the last line back; where there is none, the answer before.
    """
    lines = list(interview.told().begun.get(ask.id, ()))
    if lines:
        talk.say(["  So far:", *(f"    {line}" for line in lines)])
    before = talk.commands.get("back")

    def back(rest: str) -> None:
        if not lines:
            if before is not None:
                before(rest)
            return
        interview.log.append("line-back", step=ask.step, ask=ask.id)
        talk.say(f"  taken back: {lines.pop()}")

    talk.commands["back"] = back
    while line := _own_words(talk):
        if not lines:
            passed(line)
        interview.log.append("line", step=ask.step, ask=ask.id, text=line)
        lines.append(line)
    passed("\n".join(lines))
    return "\n".join(lines), {"lines": lines}


def _heard(talk: Talk, interview: Interview, ground: Ground, ask: Ask) -> Answer:
    text = interview.told().words(ask.rests_on)
    return text, {"findings": findings_in(talk, ground.bench, text.replace("\n", ". "))}


def _cause(talk: Talk, interview: Interview, ground: Ground, ask: Ask) -> Answer:
    may_be_new = ask.id == "case-cause"
    hint = "a word or two of it; Enter: leave out"
    said = talk.ask(f"({hint}) >", lambda t: t, own_words=True)
    text = said
    passed(text)
    while True:
        found = ground.causes_like(text, MOST_FOUND)
        listed = {c: ground.cause_title(c, interview.told()) for c in found}
        if may_be_new:
            listed[NEW] = "none of these: a failure the knowledge does not have"
        talk.listed(listed)
        typed = talk.ask("which (or other words; 0: leave out):", lambda t: t, own_words=True)
        if typed == "0":
            raise Passed(LEFT_OUT)
        passed(typed)
        try:
            picked = choose(typed, listed)
            return said, {"picked": (picked,), "chosen": listed[picked]}
        except UsageError:
            if typed.isdigit():
                talk.say(f"  '{typed}' is not in the list.")
            text = typed


_READ: Mapping[str, Callable[[Talk, Interview, Ground, Ask], Answer]] = {
    "words": _words,
    "story": _story,
    "heard": _heard,
    "cause": _cause,
    "pick": pick,
    "some": some,
    "counts": estimate(OF),
    "figures": estimate(0),
    "common": common,
    "read-back": pick,
}
