"""After a part is found: rectify, verify in the state of the report, finish or go on."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from diagnose.cli.job import screens
from diagnose.cli.job.answered import answer_to
from diagnose.cli.job.before_run import safe_to_go, standing_block
from diagnose.cli.job.mending import MENDED_OR_LOOK, keep_rectified
from diagnose.cli.job.shutting import SIGNED, TO_CLOSE, sign_off
from diagnose.cli.job.talk import Again, Paused, Talk
from diagnose.cli.room import wrap
from diagnose.errors import UsageError
from diagnose.job.at_hand import as_kept
from diagnose.job.confirming import fits_also, what_is_confirmed
from diagnose.job.day.closeout import (
    finish,
    outstanding,
)
from diagnose.job.elsewhere import as_fitted
from diagnose.job.epochs import complaints, seen_at_rest
from diagnose.job.gates import NEEDS, Need, still_open
from diagnose.job.hidden import NOT_REPRODUCED, keep_watch, watch_plan
from diagnose.job.job import Job
from diagnose.job.keeping.events import live
from diagnose.job.wording import (
    RUNNING,
    after_finding,
    answer_words,
    cause_words,
    hazards_of_mending,
)
from diagnose.model import (
    CauseAt,
    Finding,
    KnownBy,
    on_the_ground,
)
from diagnose.planner import Reading

WATCH_CHANCE = 0.9
"""Chance of catching it that a watch is planned for, where nobody says another."""

MOST_ALIKE = 3
"""Causes told at most that the same finding fits."""

OF_A_RUN = ("running-engine", "propeller-live")


VERIFICATION: Mapping[Need, str] = {
    "run": "VERIFICATION RUN in the state and conditions of the report:",
    "power": "VERIFICATION with power or a pump on, no engine run for it:",
    "": "VERIFICATION, no engine run and no power for it:",
}
"""What proving a repair is called, by what it puts at risk."""


class Closing:
    """The last part of a job.

    A part found is not a trouble gone: only the run in the state of the report says that.
    """

    def __init__(
        self,
        job: Job,
        talk: Talk,
        gate: Callable[[Sequence[Reading]], None],
        tell: Callable[[tuple[str, ...]], object],
    ) -> None:
        """Work on ``job``; ``gate`` asks gates and keeps their answers, ``tell`` shows cautions."""
        self.job = job
        self.talk = talk
        self._gate = gate
        self._tell = tell
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
        self.talk.say(["", *wrap(told, "  ", ""), "It need not be the whole story."])
        if also := fits_also(job.bench, step, cause, job.put_right):
            same = "; ".join(cause_words(job.bench, x) for x in also[:MOST_ALIKE])
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
            self._end(f"handed over: {words}")
            return
        if not keep_rectified(self.talk, job, cause, ask=MENDED_OR_LOOK):
            self.left.add(cause)

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
            self._end(f"not reproduced in {job.state.flown} watched flights")
            return
        talk.ask("Type 'add' to enter what came, or 'pause':", _command)

    def verify(self) -> None:
        """Have the run of the report repeated; what is still there is asked for once more."""
        job, talk = self.job, self.talk
        last = max(job.state.rectified, key=lambda c: job.state.rectified[c])
        c = as_fitted(job.bench, last)
        need = NEEDS[c.verify_needs]
        talk.say(["", VERIFICATION[need]])
        talk.say(wrap(c.verify or "Repeat the state of the report.", "  "))
        said = str(job.state.opened.get("reported", ""))
        talk.say(wrap(said, "    ", "  The report: "))
        for e in live(job.log.events):
            if e["event"] == "rectified":
                mended = cause_words(job.bench, CauseAt(e["cause"], e["place"]))
                talk.say(wrap(f"{mended}: {e.get('what', '')}", "    ", "  Mended: "))
        if need == "run":
            self._may_run()
        sign_off(talk, job, TO_CLOSE, for_a_run=True)
        if need:
            self._clear_of_danger()
        self._tell(self._hazards_of_proving(need))
        if not safe_to_go(talk, job, need, self._gate):
            if standing_block(job):
                return  # a leak after the repair: what the rules say of it comes first
            raise Paused
        gone = talk.ask("Is the trouble gone? (gone / still there / later):", _gone)
        if gone is None:
            raise Paused
        if need == "run":
            job.record("run", readings=[])
        if not gone:
            self._still_there(job.state.rectified[last], need)
        job.record("verified", gone=gone)

    def _may_run(self) -> None:
        """Ask again where no engine was to be run here: a repair is proved only by running."""
        job = self.job
        if job.state.runs_here:
            return
        asked = (
            "  It stood in a closed place. Is it in the open now, and may an engine be run?"
            if job.state.indoors
            else "  No engine was to be run here. May it be run now?"
        )
        if not self.talk.yes(asked):
            self.talk.say("  Then the repair is not verified yet; the job waits for the run.")
            raise Paused
        job.record("at-hand", **as_kept(job.state, may_run=True, indoors=False))

    def _hazards_of_proving(self, need: Need) -> tuple[str, ...]:
        """Return the hazards of repeating the report; knowledge may have others than ours."""
        bench = self.job.bench
        seen = complaints(bench, self.job.state.findings, self.job.state.epoch)
        named = [h for f in seen for h in bench.library.questions[f.question].hazards]
        if need != "run":
            named = [h for h in named if h not in (*RUNNING, *OF_A_RUN)]
        usual = [h for h in OF_A_RUN if need == "run" and h in bench.library.hazards]
        # the gates asked before it are looks near fuel, and their cautions are read with the rest
        gates = still_open(bench, self.job.state.findings, self.job.log.events) if need else ()
        named += [h for g in gates for h in bench.library.questions[g.question].hazards]
        return tuple(dict.fromkeys([*usual, *named]))

    def _clear_of_danger(self) -> None:
        """Let no verification run begin while a gate is known unsafe."""
        block = standing_block(self.job)
        if not block:
            return
        self.talk.say(block)
        if not self.talk.yes("Has that been put right, by the approved data?"):
            raise Paused
        self.job.record("intervened", what="put right before the verification run", lost="")

    def _still_there(self, epoch: int, need: Need) -> None:
        """Keep what was seen again: without it the repair would still explain the report.

        Where no engine was run, none is asked how it ran.
        """
        bench = self.job.bench
        self.talk.say("Then it was not the whole story. What was found is kept; going on.")
        before = [
            f
            for f in complaints(bench, self.job.state.findings, epoch)
            if need == "run" or seen_at_rest(bench.library.questions[f.question], f)
        ]
        if not before:
            self.talk.say("Say what is still wrong with: add")
        for f in before:
            for at in f.places:  # where it was not known which, it can be looked for at each now
                self._asked_again(f, at)

    def _asked_again(self, f: Finding, at: str) -> None:
        bench = self.job.bench
        q = bench.library.questions[f.question]
        # what was told of a cruise is seen again on the ground, and kept as seen there
        state = on_the_ground(f.state) if "run-up" in q.stages else f.state
        reading = next(
            (
                r
                for r in bench.planner.catalogue.readings
                if (r.question, r.place) == (f.question, at) and r.state == state
            ),
            None,
        )
        shown = reading or Reading(f.question, at)
        self.talk.say(["Looked at again:", *screens.reading_lines(bench, shown)])
        self.talk.say(f"  Before the repair: {answer_words(q.classes, f)}")
        answer = answer_to(self.talk, bench, q, at)
        if answer.is_given:
            usual: KnownBy = "read" if q.instruments or q.unit else "seen"
            self.job.answer(answer.finding(q.id, at, state, usual), reading)

    def finish(self) -> None:
        """Close a job whose trouble is verified gone, when nothing is outstanding any more."""
        job = self.job
        names = "; ".join(cause_words(job.bench, c) for c in job.state.mended)
        unfinished = " The part is found; the job is not finished:" if outstanding(job) else ""
        self.talk.say(f"Verified gone after: {names}.{unfinished}")
        self._end(f"confirmed: {names}")
        self.talk.say("Nothing is outstanding: the job is finished.")

    def _end(self, outcome: str) -> None:
        """Have everything outstanding signed for, then close the job."""
        job = self.job
        steps = tuple(SIGNED) if outcome.startswith("confirmed") else TO_CLOSE
        if vain := sorted(job.state.in_vain, key=str):
            names = "; ".join(cause_words(job.bench, c) for c in vain)
            outcome += f". Mended, and did not cure: {names}"
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
        self.talk.say(
            [
                "Not isolated is a result: hand over with the record, or add what else was found.",
                f"What does not always show: diagnose job hidden {self.job.name}.",
            ]
        )
        if self.talk.yes("Close the job as not isolated?"):
            self._end("not isolated")
        else:
            raise Paused


def _conditions(text: str) -> str:
    if not text:
        raise UsageError("Say the conditions in a few words, or type 'later'.")
    if text.lower() == "later":
        raise Paused
    return text


def _command(text: str) -> None:
    raise UsageError(f"'{text}' is not understood here; type add, pause or help.")


def _gone(text: str) -> bool | None:
    low = text.lower()
    if low == "gone":
        return True
    if low in ("still there", "still"):
        return False
    if low == "later":
        return None
    raise UsageError(f"'{text}': type gone, still there, or later.")
