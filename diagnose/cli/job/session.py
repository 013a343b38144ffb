"""The terminal session of a job: one action at a time, until the part is found and proved."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import nullcontext
from dataclasses import replace
from datetime import date

from diagnose.cli.aeroplane.own_file import about
from diagnose.cli.job import screens
from diagnose.cli.job.answered import answer_to, condition_reached
from diagnose.cli.job.before_run import safe_to_go
from diagnose.cli.job.closing import Closing
from diagnose.cli.job.left_over import left_over
from diagnose.cli.job.opening import first_page, hear_report, worked_on
from diagnose.cli.job.page import Page
from diagnose.cli.job.prompts import Commands
from diagnose.cli.job.read_already import ReadAlready
from diagnose.cli.job.talk import Again, Paused, Talk
from diagnose.cli.job.together import (
    answered_alike,
    answered_in_one_go,
    card_lines,
    in_order,
    results_of,
)
from diagnose.cli.job.verifying import Verifying
from diagnose.cli.room import rule, wrap
from diagnose.errors import UsageError
from diagnose.job.answers import (
    is_not_checked,
    usually_known,
)
from diagnose.job.at_hand import as_kept
from diagnose.job.diagnosis import Step
from diagnose.job.epochs import asked_in_force
from diagnose.job.gates import Need, need_of, refused
from diagnose.job.job import Job
from diagnose.job.wording import action_words, hazards_of
from diagnose.model import AEROPLANE, Question
from diagnose.planner import Action, Plan, Reading
from diagnose.rules import Caution

HOW_TO_ANSWER = (
    "Type the number or the name of an answer, 0 where you cannot tell. 'back' takes the last "
    "answer back, 'pause' leaves; 'help' tells what else can be typed: ranking, why, add, change, "
    "stop."
)
"""Told before the first prompt; how an answer is known is told where readings begin."""

AS_KNOWN = (
    "An answer counts as seen, or read off its instrument, or told where it is asked of people. "
    "Where it is not so, say it behind the answer: '2 told', '9 psi measured', '1 assumed'."
)


class Session:
    """Works one job with the person at the terminal."""

    def __init__(self, job: Job) -> None:
        """Take up ``job``."""
        self.job = job
        self.commands = Commands(job)
        self.talk = Talk(self.commands.words())
        self.commands.talk = self.talk
        self.commands.make = lambda action: self._do(None, action)
        self.closing = Closing(job, self.talk)
        self.verifying = Verifying(job, self.talk, self._gate, self._tell, self._look_out)
        self.page = Page(job)
        self.read = ReadAlready(job, self.talk)
        self._asked_last = ""
        self._going_on: tuple[list[str]] | None = None  # asked already, while so much waited

    def run(self) -> None:
        """Go on until the job is finished, stopped or paused; nothing confirmed is ever lost."""
        try:
            if self.job.log.set_aside:
                self.talk.say(f"Note: {self.job.log.set_aside}")
            self.talk.say(screens.heading(self.job))
            self.talk.say(about(self.job, date.today()))
            self.talk.say(wrap(HOW_TO_ANSWER))
            if self.job.findings or self.job.state.first_page is not None:
                self.talk.say(screens.reported(self.job))
                self._still_stands()
                self.talk.say(screens.not_so(self.job))
                self.talk.say(screens.to_take_over(self.job))
            self._first_page()
            self.talk.say(["", *wrap(AS_KNOWN)])
            while self.job.state.phase not in ("finished", "stopped"):
                try:
                    self._turn()
                except Again:
                    continue
        except (Paused, KeyboardInterrupt):
            if self.job.state.phase not in ("finished", "stopped"):
                self.job.record("paused")
            self.talk.say(
                f"Paused; nothing is lost. Go on with: diagnose job resume {self.job.name}"
            )
            return
        finally:
            self.job.let_go()  # this session and its prompts hold each other, and the job
        self.talk.say(f"The record: diagnose job report {self.job.name}")

    def _first_page(self) -> None:
        """Go through what is left of the first page; cut off, it is taken up there again."""
        job, parts = self.job, (hear_report, worked_on, first_page)
        left = job.state.first_page
        if left is None:
            left = 0 if job.findings or job.state.asked else len(parts)
        if left and job.findings:
            self._look_out()  # a danger told of before it was cut off, and not yet acted on
        while left:
            if left != job.state.first_page:
                job.record("first-page", left=left)
            try:
                parts[-left](self.talk, job, self._look_out)
            except Again:
                continue  # what was added or changed is kept; the part goes on with what is left
            left -= 1
        if job.state.first_page:
            job.record("first-page", left=0)

    def _look_out(self) -> None:
        self._stopped(self.job.step())

    # ------------------------------------------------------------------ one turn

    def _turn(self) -> None:
        job = self.job
        step = job.step()
        job.keep_ranking(step)
        if self._stopped(step):
            return
        found = job.found(step, self.closing.left)
        unproved = job.state.phase == "rectified" and found not in job.state.rectified
        if unproved and not self.verifying.waits():
            self.verifying.verify()
            return
        if job.state.phase == "verified":
            self.closing.finish()
            return
        page = self.page.lines(step, self.commands.numbers)
        self.talk.say(["", *page] if page else [])
        if found is not None:
            self.closing.rectify(found)
            return
        if anew := self.commands.asked_anew():
            again = Action(anew)
            self._do(Plan(again, (), greedy=False), again)
            return
        if self.read.settles(step):
            return
        # the first plan also makes the tables, so it is given longer
        plan = job.plan(step, deadline=0.2 if self.commands.plan else 1.0)
        if plan.action is None and self.closing.left:
            self.talk.say("Nothing more that can be done here would tell. What was found is next:")
            self.closing.left.clear()
            return
        if plan.action is None:
            self.closing.nothing_left()
            return
        if not self._worth_going_on(step, plan, plan.action):
            if self.closing.left:
                self.closing.left.clear()  # what was found is next
                return
            self.closing.hand_over()
            return
        self._do(plan, plan.action)

    def _worth_going_on(self, step: Step, plan: Plan, action: Action) -> bool:
        """Return whether to go on; asked once where no check is worth its time, until one is.

        Raises:
            Paused: When what would settle it waits, and is to be had first.
        """
        waits = self.page.waits(step)
        if plan.worth_it and action.is_check:
            self._going_on = None
        if plan.worth_it or self._going_on == (waits,):
            return True
        if waits:
            words = action_words(self.job.bench, action)
            self.talk.say(["", "What would settle it waits for what is not here, as told."])
            told = f"What is left here is hardly worth its time: {words}."
            self.talk.say(wrap(told, "  "))
        else:
            self.talk.say(["", *left_over(self.job, step, self.closing.left)])
        if self.talk.yes("Go on with it all the same?"):
            self._going_on = (waits,)
            return True
        if waits:
            raise Paused
        return False

    def _still_stands(self) -> None:
        """Tell whoever takes the job up of a danger that another acted on; a repair ends it."""
        read = self.job.state.acknowledged
        standing = [s for s in self.job.stops(self.job.step()) if _stop_key(s) in read]
        told = "STOP, told before and still in force: "
        self.talk.say(screens.stops(self.job.bench, standing, told))

    def _stopped(self, step: Step) -> bool:
        """Interrupt at once for danger, until the person has read it and acted."""
        told = {s: _stop_key(s) for s in self.job.stops(step)}
        new = [s for s, key in told.items() if key not in self.job.state.acknowledged]
        if not new:
            return False
        self.talk.say(["", rule()])
        self.talk.say(screens.stops(self.job.bench, new))
        self.talk.say(rule())
        self.talk.ask("Type 'done' when this has been done:", _done)
        for s in new:
            self.job.record("acknowledged", hazard=told[s], text=s.text)
        return True

    # ------------------------------------------------------------------ actions

    def _do(self, plan: Plan | None, action: Action) -> None:
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
        if not safe_to_go(self.talk, self.job, need, self._gate):
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

    def _gate(self, readings: Sequence[Reading]) -> None:
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
        if refused(job.bench, job.state.findings, job.log.events):
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
        return self._tell(hazards_of(self.job.bench, action), may_leave=True)

    def _tell(self, hazards: tuple[str, ...], *, may_leave: bool = False) -> bool:
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
            reached=answer.reached and condition_reached(self.talk, bench, q, answer),
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
            as_found = self.talk.ask(found, str, own_words=True)
            came_to = "; ".join(check.may_disturb.values())
            opened = bool(came_to) and self.talk.yes(f"Did it come to this: {came_to}?")
            # nothing found, nothing opened, nothing to add: it was left as it was
            untouched = not as_found and not check.disturbs and not opened
            sound = {f.value for f in shown.values()} == {next(iter(check.results))}
            as_left = "" if untouched and sound else self.talk.ask(left, str, own_words=True)
        self.job.checked_together(list(shown.values()), as_found, as_left, left_out, opened)


def _stop_key(stop: Caution) -> str:
    """Return what a stop is acknowledged by: seen anew after a repair it is another."""
    return f"stop {stop.symptom} {stop.at}" + (f" {stop.epoch}" if stop.epoch else "")


def _done(text: str) -> None:
    if text.lower() != "done":
        raise UsageError("This must be done first; type 'done' when it has been.")


def _read(text: str) -> bool:
    if text.lower() not in ("read", "yes", "y"):
        raise UsageError("Read the cautions above first; then type 'read'.")
    return True
