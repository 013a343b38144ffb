"""A question of an interview, and what it is asked upon: the bench, the seeds, what was said."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from diagnose.capture.told import Told
from diagnose.job.diagnosis import Bench
from diagnose.job.wording import state_words
from diagnose.model import AEROPLANE, CauseAt, Finding, Seed
from diagnose.signs import normal_class

FILLERS = frozenset(
    ["a", "an", "and", "at", "in", "is", "of", "on", "or", "the", "to", "was", "with"]
)
"""Words that tell no cause from another."""

NEW = "new"
"""Chosen where the failure told of is none of the knowledge."""

Form = Literal[
    "words", "story", "heard", "cause", "pick", "some", "counts", "figures", "common", "read-back"
]
"""What an answer is: a line of words; several lines; findings heard in words; a cause looked up by
words; one or several of a list; natural counts; a figure with its range; how common a failure is;
a new case judged."""


Printed = Literal["", "act", "caution", "tell", "reason"]
"""To be done, to be minded, to be told, to say why; '' where no draft prints the words."""


@dataclass(frozen=True)
class Ask:
    """One question: ``id`` is the same whenever the same thing is asked.

    choices: id -> label.  help: one line on how to answer.  about: what it is about, kept with the
    answer (cause, question, value, at, stage ...).  rests_on: the answer without which this one
    would mean something else: whose words are heard, whose lines are chosen from, the cause it was
    all about; taken back, it takes this one back with it.  without: what is not asked or drafted
    where this one is left out.  step: the part of the interview that it was asked in.  printed:
    what his words stand for where a draft prints them.
    """

    id: str
    prompt: str
    form: Form
    choices: Mapping[str, str] = field(default_factory=dict)
    help: str = ""
    about: Mapping[str, str] = field(default_factory=dict)
    rests_on: str = ""
    without: str = ""
    step: str = ""
    printed: Printed = ""


@dataclass(frozen=True)
class Ground:
    """What the questions are asked upon.

    first: what was said in the interview whose frequencies are asked blind; None in a whole one.
    """

    bench: Bench
    seeds: tuple[Seed, ...] = ()
    first: Told | None = None

    def cause_title(self, cause: str, told: Told) -> str:
        """Return a cause in words: the knowledge's, or what he calls a new one."""
        if cause == NEW:
            return told.words("new-title") or "the failure you told of"
        return self.bench.library.causes[cause].title

    def causes_like(self, text: str, most: int) -> list[str]:
        """Return the causes here that share most words with ``text``, fuel before others."""
        wanted = {w.strip(".,;'\"").lower() for w in text.split()} - FILLERS
        causes = {c.cause: self.bench.library.causes[c.cause] for c in self.bench.net.instances}
        scored = []
        for c in causes.values():
            words = set(f"{c.title} {c.id.replace('-', ' ')}".lower().replace(",", " ").split())
            hits = sum(
                any(w.startswith(x) or x.startswith(w) for w in words if len(w) > 2)
                for x in wanted
                if len(x) > 2
            )
            if hits:
                scored.append((-hits, bool(c.outside), len(c.title), c.id))
        return [name for *_, name in sorted(scored)[:most]]

    def finding_words(self, f: Finding) -> str:
        """Return a finding in a few words, without how it is known."""
        q = self.bench.library.questions[f.question]
        state = state_words(self.bench, f.state)
        where = "" if f.at == AEROPLANE else f", {self.bench.places.label(f.at)}"
        return (
            f"{q.title}{where}: {q.classes.get(f.value, f.value)}{f' [{state}]' if state else ''}"
        )


def spoken(id: str, prompt: str, told: Told, rests_on: str, **about: str) -> Iterator[Ask]:
    """Yield a question answered in words, then those words heard as findings.

    Two answers, so that the words are on disk before anything is made of them.
    """
    yield Ask(f"{id}-words", prompt, "words", about=about, rests_on=rests_on)
    if told.words(f"{id}-words"):
        yield Ask(id, "That, as findings:", "heard", about=about, rests_on=f"{id}-words")


def subject(told: Told, ground: Ground) -> CauseAt | None:
    """Return what it was in the case told and at which part; the cause is ``NEW`` for a new one."""
    picked = told.picked("case-cause")
    if not picked:
        return None
    if picked[0] == NEW:
        part = told.picked("new-part")
        return CauseAt(NEW, part[0]) if part else None
    parts = ground.bench.parts_of(picked[0])
    chosen = told.picked("case-part")
    if chosen and chosen[0] in parts:
        return CauseAt(picked[0], chosen[0])
    return CauseAt(picked[0], parts[0]) if len(parts) == 1 else None


def decisions(told: Told) -> Sequence[tuple[int, str]]:
    """Return the lines of the time line at which he decided: (number from 1, words)."""
    said = told.said.get("timeline")
    lines = said.lines if said else ()
    return [(int(k), lines[int(k) - 1]) for k in told.picked("decisions") if int(k) <= len(lines)]


def case_findings(told: Told) -> tuple[Finding, ...]:
    """Return everything found in the case told, in the order it was told."""
    return told.findings("case-findings", *(f"cue-{k}-seen" for k, _ in decisions(told)))


def case_signs(told: Told) -> dict[str, Finding]:
    """Return the findings of the case under keys that stay when others come or go."""
    out = {}
    for f in case_findings(told):
        settings = (f"{d}={v}" for d, v in sorted(f.state.settings.items()))
        key = (f.question, *f.classes, f.at, f.state.stage, *settings)
        out[" ".join(filter(None, key))] = f
    return out


def is_amiss(f: Finding, ground: Ground) -> bool:
    """Return whether a finding is of one class, and not the one of a sound aeroplane."""
    library = ground.bench.library
    q = library.questions[f.question]
    return len(f.classes) == 1 and f.value != normal_class(q, library)


def ruled_out(told: Told) -> tuple[str, ...]:
    """Return the causes he ruled out on the way, each once."""
    found = (c for k, _ in decisions(told) for c in told.picked(f"cue-{k}-ruled-cause"))
    return tuple(dict.fromkeys(found))
