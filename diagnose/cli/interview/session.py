"""The interview at the terminal: one question at a time, kept before the next is asked."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

from diagnose.capture.asking import Ask, Ground
from diagnose.capture.record import Interview, record_body
from diagnose.capture.steps import STEP, STEPS, next_ask
from diagnose.capture.told import Told, given
from diagnose.cli.interview.answering import put
from diagnose.cli.interview.view import entry_lines
from diagnose.cli.job.talk import Again, Command, Paused, Talk, pause
from diagnose.cli.room import wrap
from diagnose.errors import UsageError
from diagnose.job.keeping.finding_data import finding_of
from diagnose.job.wording import finding_line

HELP = """\
  Enter            leave this question out     cannot say       so kept
  back             take the last answer back   correct N        say number N anew
                   (in a story: the last line)
  said             said and left out, numbered skip step        leave the rest of this part out
  note             keep a note                 pause            leave; nothing is lost"""

ReadBack = Callable[[Talk, Told], None]
"""Shows a new case before the last question."""


class Session:
    """One sitting of an interview."""

    def __init__(self, interview: Interview, ground: Ground, read_back: ReadBack) -> None:
        """Go on with ``interview`` where its log ends."""
        self.interview = interview
        self.ground = ground
        self._read_back = read_back
        self._step = ""
        self.talk = Talk()

    def run(self) -> bool:
        """Ask until nothing is left or he leaves; return whether all was asked."""
        log = self.interview.log
        if log.set_aside:
            self.talk.say(log.set_aside)
        told = self.interview.told()
        finished = told.finished
        if len(log.events) > 1:
            log.append("resumed")
        if told.said and not finished:  # who comes back next day knows where he was
            last = max(told.said.values(), key=lambda s: s.entry)
            many = f"{len(told.said)} answers are" if len(told.said) > 1 else "1 answer is"
            if told.passed:
                many = f"{len(told.passed)} left out, {many}"
            self.talk.say(f"{many} kept; 'said' lists them, 'back' takes the last back. The last:")
            self.talk.say(wrap(last.prompt, "  "))
            self.talk.say(wrap(last.text.replace("\n", " / "), "    "))
        for draft, v in self.interview.verdicts().items():
            if v["verdict"] == "sent-back":
                said = f"Sent back by {v['by']}: {draft}: {v['reason']}"
                self.talk.say(wrap(said, "  ", ""))
        try:
            # what was taken back and not said anew is asked before anything is called asked
            if finished and next_ask(told, self.ground) is None:
                self._corrections()
            while self._one():
                pass
        except Paused:
            log.append("paused")
            self.talk.say(f"Left. Go on with: diagnose interview resume {self.interview.name}")
            return False
        if not self.interview.told().finished:
            log.append("finished")
        return True

    def _one(self) -> bool:
        """Ask the next question; return False where there is none."""
        told = self.interview.told()
        ask = next_ask(told, self.ground)
        if ask is None:
            return False
        self._head(ask)
        self.talk.commands = dict(self._commands())
        try:
            if ask.form == "read-back":
                self._read_back(self.talk, told)
            put(self.talk, self.interview, self.ground, ask)
        except Again:
            pass
        return True

    def _corrections(self) -> None:
        """Let him correct what he said once everything was asked."""
        self.talk.say("Every question was asked. 'said' lists the answers; 'correct N' asks anew.")
        self.talk.commands = dict(self._commands())

        def read(text: str) -> None:
            if text:
                raise UsageError(f"'{text}': type said, correct N, back, or Enter to leave.")

        try:
            self.talk.ask("(Enter: leave it so) >", read)
        except Again:
            return

    def _head(self, ask: Ask) -> None:
        if ask.step != self._step:
            self._step = ask.step
            step = STEP[ask.step]
            shown = [s for s in STEPS if self.ground.first is None or s.blind]
            self.talk.say(["", f"--- {shown.index(step) + 1} of {len(shown)}: {step.title} ---"])
            self.talk.say(wrap(step.opens))
        self.talk.say()

    def _commands(self) -> Mapping[str, Command]:
        entries: dict[str, Command] = {
            f"correct {e['n']}": partial(self._correct, e["n"])
            for e in given(self.interview.log.events)
        }
        return {
            **entries,
            "correct": self._which,
            "help": lambda _: self.talk.say(HELP),
            "?": lambda _: self.talk.say(HELP),
            "said": self._said,
            "back": self._back,
            "skip step": self._skip_step,
            "note": self._note,
            "pause": pause,
        }

    def _said(self, rest: str) -> None:
        counts = {e["n"] for e in given(self.interview.log.events)}
        for event in record_body(self.interview)["events"]:
            if event["n"] in counts:
                self.talk.say(entry_lines(event, self._in_words))

    def _in_words(self, kept: Mapping[str, Any]) -> str:
        f = finding_of(kept)
        return finding_line(self.ground.bench, f).removesuffix(f" ({f.known_by})")

    def _back(self, rest: str) -> None:
        kept = given(self.interview.log.events)
        if not kept:
            raise UsageError("nothing was said yet.")
        self._take_back(kept[-1]["n"])

    def _which(self, rest: str) -> None:
        raise UsageError("say which answer: 'correct 12'; 'said' lists them with their numbers.")

    def _correct(self, entry: int, rest: str) -> None:
        self._take_back(entry)

    def _take_back(self, entry: int) -> None:
        gone = " and ".join(map(str, self.interview.take_back(entry)))
        self.talk.say(f"  taken back: {gone}; it stays in the record.")
        self._step = ""
        raise Again

    def _skip_step(self, rest: str) -> None:
        self.interview.log.append("step-left-out", step=self._step)
        raise Again

    def _note(self, rest: str) -> None:
        text = self.talk.line("note:")
        if text:
            self.interview.log.append("note", text=text)
