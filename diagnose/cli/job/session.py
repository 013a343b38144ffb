"""The terminal session of a job: one action at a time, until the part is found and proved."""

from __future__ import annotations

from datetime import date

from diagnose.cli.aeroplane.own_file import about
from diagnose.cli.job import screens
from diagnose.cli.job.closing import Closing
from diagnose.cli.job.doing import Doing
from diagnose.cli.job.left_over import left_over
from diagnose.cli.job.opening import first_page, hear_report, worked_on
from diagnose.cli.job.page import Page
from diagnose.cli.job.prompts import Commands
from diagnose.cli.job.read_already import ReadAlready
from diagnose.cli.job.talk import Again, Paused, Talk
from diagnose.cli.job.verifying import Verifying
from diagnose.cli.room import rule, wrap
from diagnose.errors import UsageError
from diagnose.job.danger import stop_key, to_be_told
from diagnose.job.diagnosis import Step
from diagnose.job.job import Job
from diagnose.job.wording import action_words
from diagnose.planner import Action, Plan

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
        self.page = Page(job)
        self.read = ReadAlready(job, self.talk)
        self.doing = Doing(job, self.commands, self.page, self.read)
        self.closing = Closing(job, self.talk)
        self.verifying = Verifying(job, self.talk, self.doing.gate, self.doing.tell, self._look_out)
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
            if self.job.state.phase != "verified":  # then no reading is asked for any more
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
            self.doing.do(Plan(again, (), greedy=False), again)
            return
        if self.read.settles(step):
            return
        # the first plan also makes the tables, so it is given longer
        on = self.closing.planned_on(step)
        plan = job.plan(on, deadline=0.2 if self.commands.plan else 1.0)
        if plan.action is None and self.closing.left:
            self.talk.say("Nothing more that can be done here would tell. What was found is next:")
            self.closing.left.clear()
            return
        if plan.action is None:
            if not self._proved_after_all():
                self.closing.nothing_left()
            return
        if not self._worth_going_on(step, plan, plan.action):
            if self.closing.left:
                self.closing.left.clear()  # what was found is next
                return
            if not self._proved_after_all():
                self.closing.hand_over()
            return
        self.doing.do(plan, plan.action)

    def _proved_after_all(self) -> bool:
        """Offer to prove again what was said to have cured a part of it, where nothing is left."""
        if not self.job.state.mended or self.job.state.phase != "open":
            return False
        if not self.talk.yes("Is it gone after all, by what was mended? Then it is proved again."):
            return False
        self.verifying.verify()
        return True

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
        standing = [s for s in self.job.stops(self.job.step()) if stop_key(s) in read]
        told = "STOP, told before and still in force: "
        self.talk.say(screens.stops(self.job.bench, standing, told))

    def _stopped(self, step: Step) -> bool:
        """Interrupt at once for danger, until the person has read it and acted."""
        new = to_be_told(self.job, step)
        if not new:
            return False
        self.talk.say(["", rule()])
        self.talk.say(screens.stops(self.job.bench, new))
        self.talk.say(rule())
        self.talk.ask("Type 'done' when this has been done:", _done)
        for s, key in new.items():
            self.job.record("acknowledged", hazard=key, text=s.text)
        return True


def _done(text: str) -> None:
    if text.lower() != "done":
        raise UsageError("This must be done first; type 'done' when it has been.")
