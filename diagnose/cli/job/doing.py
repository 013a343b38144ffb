"""One action at the terminal: gates and cautions first, then what came of it is asked and kept."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import nullcontext
from dataclasses import replace

from diagnose.by_key import by_key
from diagnose.cli.job import screens
from diagnose.cli.job.answered import answer_to, condition_reached
from diagnose.cli.job.before_run import safe_to_go
from diagnose.cli.job.page import Page
from diagnose.cli.job.prompts import Commands
from diagnose.cli.job.read_already import ReadAlready
from diagnose.cli.job.together import (
    answered_alike,
    answered_in_one_go,
    card_lines,
    in_order,
    results_of,
)
from diagnose.cli.room import wrap
from diagnose.errors import UsageError
from diagnose.job.answers import is_not_checked, usually_known
from diagnose.job.at_hand import as_kept
from diagnose.job.epochs import asked_in_force, told_otherwise
from diagnose.job.gates import Need, need_of
from diagnose.job.job import Job
from diagnose.job.wording import action_words, hazards_of
from diagnose.model import AEROPLANE, Question
from diagnose.planner import Action, Plan, Reading
from diagnose.planner.off_the_aeroplane import is_off_the_aeroplane

WHILE_THERE = "Of people and papers, all at one time: "
"""Told before the questions that nobody is to be called away for one by one."""


class Doing:
    """Does the actions of one session, planned or chosen by the person."""

    def __init__(self, job: Job, commands: Commands, page: Page, read: ReadAlready) -> None:
        """Work on ``job`` at the prompts of ``commands``, which can ask for a check as well."""
        self.job, self.talk = job, commands.talk
        self.commands, self.page, self.read = commands, page, read
        self._asked_last = ""
        commands.make = lambda action: self.do(None, action)

    def do(self, plan: Plan | None, action: Action) -> None:
        """Do one action, gates and cautions first; ``plan`` None: the person chose it."""
        if plan is not None:
            self.commands.plan = plan  # 'others' is asked at its cautions more than anywhere
        if self.read.taken(action):
            return
        need = need_of(self.job.bench, action)
        read = self.job.state.acknowledged
        if need or any(h not in read for h in hazards_of(self.job.bench, action)):
            # nobody can say yes to a fire guard, or read a caution, without knowing what it is for
            self.talk.say(["", f"Next: {action_words(self.job.bench, action)}"])
        if not safe_to_go(self.talk, self.job, need, self.gate):
            self.talk.say("Other ways are looked for.")
            self._leave_out(action, need)
            self.page.barred()
            return
        self.talk.say("")
        # 'back' leaves a check of one's own choosing and takes away nothing that was kept before
        with self.talk.half_typed() if plan is None else nullcontext():
            self._carry_out(action, need, brief=plan is not None and plan.greedy)

    def _carry_out(self, action: Action, need: Need, *, brief: bool) -> None:
        """Tell the cautions of an action, then ask what came of it."""
        if not self._cautions(action):
            self._skip(action)
            return
        if brief:
            self.talk.say("(weighed only briefly; 'others' shows what else was weighed)")
        if need == "run" and not action.is_run:
            # a check with the engine running, or a cranking, uses up what was confirmed as well
            self.job.record("run", readings=[list(r.key) for r in action.readings])
        if action.is_check:
            self._check(action)
        else:
            self._readings(action)

    def gate(self, readings: Sequence[Reading]) -> None:
        """Ask one gate, its own cautions first: looking for a leak is work near fuel too."""
        if self._cautions(Action((readings[0],))):
            self._each(readings)  # else it stays unknown, and what asked for it is left out

    def _each(self, readings: Sequence[Reading]) -> None:
        """Ask one question of several like parts: in one line, or one by one."""
        if len(readings) == 1 or not answered_alike(self.talk, self.job, readings):
            for reading in readings:
                self._reading(reading)

    def _leave_out(self, action: Action, need: Need) -> None:
        """Keep that an action was refused for safety, so that another way is looked for."""
        job = self.job
        if job.refused_gates():
            return  # the gate itself closes off everything of the kind, until it is known safe
        if need == "run" and job.state.indoors:
            return  # and so does a closed place, until it is said to be in the open
        if need == "run":
            job.record("at-hand", **as_kept(job.state, may_run=False))
        else:
            self._skip(action)

    def _skip(self, action: Action) -> None:
        """Keep that an action was not done; it is not offered again."""
        for at in action.places:
            self.job.skip_check(action.check, at)
        for r in action.readings:
            self.job.skip(r)

    def _cautions(self, action: Action) -> bool:
        library = self.job.bench.library
        asked = dict.fromkeys(library.questions[r.question].why for r in action.readings)
        why = library.checks[action.check].aim if action.is_check else " ".join(asked)
        with self.talk.asked_for(why):  # whoever reads what can hurt him may ask what it is for
            return self.tell(hazards_of(self.job.bench, action), may_leave=True)

    def tell(self, hazards: tuple[str, ...], *, may_leave: bool = False) -> bool:
        """Show cautions, and have those that are new read; return whether they were.

        ``may_leave``: what they belong to can be left out instead.
        """
        self.commands.hazards = hazards
        if not hazards:
            return True
        read = self.job.state.acknowledged
        self.talk.say(screens.cautions(self.job.bench, hazards, read, " ('cautions' tells them)"))
        new = [h for h in hazards if h not in self.job.state.acknowledged]
        if new:

            def read_or_left(text: str) -> bool:
                return not (may_leave and text and is_not_checked(text)) and _read(text)

            if not self.talk.ask("Read and understood? Type 'read':", read_or_left):
                return False
            for h in new:
                self.job.record(
                    "acknowledged", hazard=h, text=self.job.bench.library.hazards[h].text
                )
        return True

    def _readings(self, action: Action) -> None:
        several = len(action.readings) > 1
        if several and not action.is_run and len({r.question for r in action.readings}) == 1:
            self._each(action.readings)
            return
        if several and is_off_the_aeroplane(self.job.bench.planner, action):
            self._of_people_and_papers(action)
            return
        if action.is_run or several:
            self.talk.say(card_lines(self.job.bench, action))
        if action.is_run:
            self.talk.say("Read it in the cockpit, then type it here. A fuller card on paper:")
            self.talk.say(f"diagnose job runcard {self.job.name} (type 'pause' first).")
            self.job.record("run", readings=[list(r.key) for r in action.readings])
        if several and answered_in_one_go(self.talk, self.job, action):
            return
        for r in in_order(self.job.bench, action):
            # one may have been added meanwhile; one asked before a repair is asked anew
            if r.key not in asked_in_force(self.job.bench, self.job.log.events):
                self._reading(r)

    def _of_people_and_papers(self, action: Action) -> None:
        """Ask one after another what is asked away from the aeroplane, told beforehand what."""
        library = self.job.bench.library
        by_question = by_key((r.question, r) for r in action.readings)
        titles = "; ".join(library.questions[q].title for q in by_question)
        self.talk.say(wrap(f"{titles} (about {action.minutes:.0f} min)", "  ", WHILE_THERE))
        for readings in by_question.values():
            over = asked_in_force(self.job.bench, self.job.log.events)
            if left := [r for r in readings if r.key not in over]:
                self._each(left)

    def _reading(self, reading: Reading) -> None:
        bench = self.job.bench
        q = bench.library.questions[reading.question]
        # the same look at the next engine needs no telling how
        brief = q.id == self._asked_last
        told = self.job.findings
        self.talk.say(screens.reading_lines(bench, reading, brief=brief, findings=told))
        self._asked_last = q.id
        answer = answer_to(self.talk, bench, q, reading.place)
        if not answer.is_given:
            self.job.skip(reading)
            return
        if answer.note:
            self.talk.say(f"  {answer.note}")
        known = answer.known_by or usually_known(q)
        finding = replace(
            answer.finding(q.id, reading.place, reading.state, known),
            others_normal=bool(answer.value) and self._others(q, reading),
            reached=answer.reached
            and condition_reached(
                self.talk, bench, q, answer, told_otherwise(bench, self.job.state, reading)
            ),
        )
        self.job.answer(finding, reading, answer.note)
        if answer.number is not None and not answer.value and reading.place != AEROPLANE:
            self.talk.say(screens.beside(self.job, reading))

    def _others(self, q: Question, reading: Reading) -> bool:
        """Ask whether the others of its kind were looked at and normal, where there are others."""
        bench = self.job.bench
        kind = bench.layout.parts[reading.place].kind
        others = [p for p in bench.places.parts_of_kind(kind) if p != reading.place]
        if reading.place == AEROPLANE or not others or kind != "engine" or not q.instruments:
            return False
        return self.talk.yes("  Were the other engines read as well, and all normal?")

    def _check(self, action: Action) -> None:
        bench = self.job.bench
        check = bench.library.checks[action.check]
        self.talk.say(screens.check_lines(bench, action.check, action.minutes, *action.places))
        shown = results_of(self.talk, check, action.places)
        left_out = [(check.id, at) for at in action.places if at not in shown]
        if not shown:
            self.job.checked_together([], left_out=left_out)
            return
        found = "as found, in your words (Enter: nothing to add):"
        left = "as left, in your words (Enter: as before):"
        with self.talk.half_typed():
            as_found = self.talk.ask(found, _as_seen, own_words=True)
            came_to = "; ".join(check.may_disturb.values())
            opened = bool(came_to) and self.talk.yes(f"Did it come to this: {came_to}?")
            # nothing found, nothing opened, nothing to add: it was left as it was
            untouched = not as_found and not check.disturbs and not opened
            sound = {f.value for f in shown.values()} == {next(iter(check.results))}
            as_left = "" if untouched and sound else self.talk.ask(left, _as_seen, own_words=True)
        self.job.checked_together(list(shown.values()), as_found, as_left, left_out, opened)


def _as_seen(text: str) -> str:
    """Return how a part was found or left; a number or a word for another prompt says neither."""
    if (text.isdecimal() and len(text) < 3) or text.lower() == "read":
        raise UsageError(f"'{text}' tells nothing of it; say it in words, or press Enter.")
    return text


def _read(text: str) -> bool:
    if text.lower() not in ("read", "yes", "y"):
        raise UsageError("Read the cautions above first; then type 'read'.")
    return True
