"""After a part is found: rectify, finish or go on; proving it stands in ``verifying``."""

from __future__ import annotations

from collections.abc import Set

from diagnose.cli.job import screens
from diagnose.cli.job.mending import MENDED_OR_LOOK, keep_rectified
from diagnose.cli.job.shutting import SIGNED, TO_CLOSE, sign_off
from diagnose.cli.job.talk import Again, Paused, Talk
from diagnose.cli.room import wrap
from diagnose.errors import UsageError
from diagnose.job.confirming import fits_also, not_told_by, what_is_confirmed
from diagnose.job.day.closeout import (
    finish,
    outstanding,
    proved,
    unproved,
)
from diagnose.job.day.last_good import well_since
from diagnose.job.diagnosis import Step
from diagnose.job.hidden import NOT_REPRODUCED, keep_watch, watch_plan
from diagnose.job.job import Job
from diagnose.job.ranking import in_short
from diagnose.job.wording import (
    after_finding,
    beside_words,
    cause_words,
    hazards_of_mending,
)
from diagnose.model import CauseAt, Finding

WATCH_CHANCE = 0.9
"""Chance of catching it that a watch is planned for, where nobody says another."""

MOST_ALIKE = 3
"""Causes told at most that the same finding fits."""

NOT_CURED = "The mending did not take, or something brings it back: look for that as well."


class Closing:
    """The last part of a job.

    A part found is not a trouble gone: only the run in the state of the report says that.
    """

    def __init__(self, job: Job, talk: Talk) -> None:
        """Work on ``job``."""
        self.job = job
        self.talk = talk
        self.left: set[CauseAt] = set()  # found, and left as it is while more is looked at

    def rectify(self, cause: CauseAt) -> None:
        """Tell what a check confirmed and keep what was done about it."""
        job = self.job
        if cause.cause == NOT_REPRODUCED:
            self._watch()
            return
        c = job.bench.library.causes[cause.cause]
        words = cause_words(job.bench, cause)
        step = job.step()
        told = f"A check confirms: {what_is_confirmed(job.bench, step, cause)}."
        beware = "It need not be the whole story."
        if cause in job.state.rectified:
            told, beware = f"The same check finds it again: {words}.", NOT_CURED
        self.talk.say(["", *wrap(told, "  ", ""), *wrap(beware)])
        there, well = self._beside(step, {cause})
        if there:
            lines = beside_words(job.bench, there)
            told = f"It tells nothing of: {lines}. 'look on' looks for that first; "
            self.talk.say(wrap(f"{told}then one run may prove both.", "  ", ""))
        if well:
            lines = beside_words(job.bench, well)
            told = f"In order when looked at since, and nothing was found for it: {lines}. "
            self.talk.say(wrap(f"{told}Heed it in the run that proves the repair.", "  ", ""))
        if also := fits_also(job.bench, step, cause, job.put_right):
            same = in_short(job.bench, also, MOST_ALIKE)
            told = f"What was found fits also: {same}. Make sure which before anything is mended."
            self.talk.say(wrap(told, "  ", ""))
        if job.state.phase != "part-found" or cause not in job.state.part_found:
            job.record("part-found", cause=cause.cause, place=cause.at)
        if not c.outside:
            minded = hazards_of_mending(job.bench, c)
            self.talk.say(screens.cautions(job.bench, minded, job.state.acknowledged))
        for name, text in after_finding(job.bench, cause):
            self.talk.say(wrap(text, "    ", f"  {name}: "))
        self.talk.say("  By the aeroplane's approved data and licensed practice.")
        if c.outside:
            self.talk.say("This is outside the fuel system: the job is handed over.")
            self._end(unproved(job, f"handed over: {words}"))
            return
        if not keep_rectified(self.talk, job, cause, ask=MENDED_OR_LOOK):
            self.left.add(cause)

    def planned_on(self, step: Step) -> Step:
        """Return what the next action is planned on: what is left as found tells no more of it.

        Only where something is amiss that it does not tell of; else it may be another that fits.
        """
        looks_on = self.left and self._beside(step, self.left)[0]
        return self.job.step_but_for(self.left) if looks_on else step

    def _beside(self, step: Step, found: Set[CauseAt]) -> tuple[list[Finding], list[Finding]]:
        """Return what is amiss that ``found`` does not tell of, and what of it was well since."""
        job = self.job
        beside = not_told_by(step, {*found, *job.state.known_bad}, amiss_now(job))
        well = [f for f in beside if well_since(job, f)]
        return [f for f in beside if f not in well], well

    def _watch(self) -> None:
        """Leave the job open and watched: not reproduced is not the same as no fault."""
        job, talk = self.job, self.talk
        if job.state.phase != "watched":
            talk.say(["", "Not reproduced under these conditions. That is not 'no fault'."])
            asked = "under which conditions was it tried (or 'later'):"
            condition = talk.ask(asked, _conditions, own_words=True)
            plan = watch_plan(job.bench, job.step(), job.findings, WATCH_CHANCE)
            keep_watch(job, plan, condition)
            talk.say(screens.watch_lines(job.name, plan, condition))
            raise Paused
        talk.say(f"Watched: {job.state.flown} of {job.state.flights or 0} flights flown and clear.")
        if job.state.flown >= (job.state.flights or 0) and talk.yes("Close it as not reproduced?"):
            self._end(unproved(job, f"not reproduced in {job.state.flown} watched flights"))
            return
        talk.ask("Type 'add' to enter what came, or 'pause':", _command)

    def finish(self) -> None:
        """Close a job whose trouble is verified gone, when nothing is outstanding any more."""
        job = self.job
        names = "; ".join(cause_words(job.bench, c) for c in job.state.mended)
        unfinished = " The part is found; the job is not finished:" if outstanding(job) else ""
        self.talk.say(f"Verified gone after: {names}.{unfinished}")
        self._end(proved(job))
        self.talk.say("Nothing is outstanding: the job is finished.")

    def _end(self, outcome: str) -> None:
        """Have everything outstanding signed for, then close the job."""
        job = self.job
        steps = tuple(SIGNED) if outcome.startswith("confirmed") else TO_CLOSE
        try:
            sign_off(self.talk, job, steps)
            if "verify" in {x.step for x in outstanding(job)} and steps != TO_CLOSE:
                self.talk.say("The trouble came back in flight: the job is open again.")
                raise Again
            finish(job, outcome)
        except Paused:
            left = [x for x in outstanding(job) if x.step in steps]
            self.talk.say([f"Open: {len(left)} line(s).", *(f"  - {x.text}" for x in left[:6])])
            raise

    def nothing_left(self) -> None:
        """Offer to close a job in which nothing more would tell."""
        self._joints_first()
        self.talk.say(["", "Nothing that can be asked or checked here would tell more."])
        self.hand_over()

    def _joints_first(self) -> None:
        """Have open joints closed: what they bar may tell more."""
        if self.job.state.joints_open():
            self.talk.say("Nothing more can be done with a joint open; when it is closed again:")
            sign_off(self.talk, self.job, TO_CLOSE, for_a_run=True)
            raise Again

    def hand_over(self) -> None:
        """Offer to close a job that is not isolated here."""
        self._joints_first()
        if self.job.state.phase == "rectified":
            self.talk.say("The verification of what was mended waits for it.")
            raise Paused
        self.talk.say(
            [
                "Not isolated is a result: hand over with the record, or add what else was found.",
                f"What does not always show: diagnose job hidden {self.job.name}.",
            ]
        )
        if self.talk.yes("Close the job as not isolated?"):
            self._end(unproved(self.job, "not isolated"))
        else:
            raise Paused


def amiss_now(job: Job) -> tuple[Finding, ...]:
    """Return what was told or seen amiss since the last repair, on the aeroplane itself."""
    epoch = job.state.last_repair
    return tuple(f for f in job.amiss() if f.epoch >= epoch)


def _conditions(text: str) -> str:
    if not text:
        raise UsageError("Say the conditions in a few words, or type 'later'.")
    if text.lower() == "later":
        raise Paused
    return text


def _command(text: str) -> None:
    raise UsageError(f"'{text}' is not understood here; type add, pause or help.")
