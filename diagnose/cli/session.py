"""The terminal session of a job: one action at a time, until the part is found and proved."""

from __future__ import annotations

from collections.abc import Callable

from diagnose.cli import screens
from diagnose.cli.commands import Commands
from diagnose.cli.opening import first_page, hear_report
from diagnose.cli.talk import Again, Paused, Talk
from diagnose.errors import UsageError
from diagnose.job.answers import choose, known_by, read_answer, split_known_by
from diagnose.job.diagnosis import Step
from diagnose.job.job import Job
from diagnose.knowledge_files.cutting import NOT_CHECKED
from diagnose.model import AEROPLANE, CauseAt, Finding, KnownBy, Question
from diagnose.planner import Action, Plan, Reading


class Session:
    """Works one job with the person at the terminal."""

    def __init__(self, job: Job) -> None:
        """Take up ``job``."""
        self.job = job
        self.commands = Commands(job)
        self.talk = Talk(self.commands.words())
        self.commands.talk = self.talk

    def run(self) -> None:
        """Go on until the job is finished, stopped or paused; nothing confirmed is ever lost."""
        try:
            if self.job.log.set_aside:
                self.talk.say(f"Note: {self.job.log.set_aside}")
            if not self.job.findings and not self.job.state.asked:
                self._open()
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
        self.talk.say(f"The record: diagnose job report {self.job.name}")

    def _open(self) -> None:
        self.talk.say(screens.heading(self.job))
        self.talk.say("At any prompt: help, ranking, why, add, change, back, pause, stop.")
        try:
            hear_report(self.talk, self.job)
            first_page(self.talk, self.job)
        except Again:
            return

    # ------------------------------------------------------------------ one turn

    def _turn(self) -> None:
        job = self.job
        step = job.step()
        job.keep_ranking(step)
        if self._stopped(step):
            return
        found = job.found(step)
        if job.state.phase == "rectified":
            self._verify()
            return
        if job.state.phase == "verified":
            self._finish()
            return
        self.talk.say("")
        self.talk.say(screens.heading(job))
        self.talk.say(screens.known(job, step))
        for c in step.outcome.cautions:
            self.talk.say(screens.wrap(c.text, "    ", "  CAUTION: "))
        self.talk.say(screens.possible(job.bench, step, 5, self.commands.numbers))
        if found is not None:
            self._rectify(found)
            return
        # the first plan also makes the tables, so it is given longer
        plan = job.plan(step, deadline=0.2 if self.commands.plan else 1.0)
        if plan.action is None:
            self._nothing_left()
            return
        self._do(plan, plan.action)

    def _stopped(self, step: Step) -> bool:
        """Interrupt at once for danger, until the person has read it and acted."""
        new = [
            s
            for s in step.outcome.stops
            if f"stop {s.symptom} {s.at}" not in self.job.state.acknowledged
        ]
        if not new:
            return False
        for s in new:
            self.talk.say(["", "*" * screens.WIDTH])
            self.talk.say(screens.wrap(s.text, "  ", "STOP: "))
            self.talk.say("*" * screens.WIDTH)
            self.talk.ask("Type 'done' when this has been done:", _done)
            self.job.record("acknowledged", hazard=f"stop {s.symptom} {s.at}", text=s.text)
        return True

    # ------------------------------------------------------------------ actions

    def _do(self, plan: Plan, action: Action) -> None:
        if action.is_run and not self._gates_closed(action):
            return
        self.talk.say("")
        self._cautions(action)
        if plan.greedy:
            self.talk.say("(weighed only briefly; 'others' shows what else was weighed)")
        self.commands.plan = plan
        if action.is_check:
            self._check(action)
        else:
            self._readings(action)

    def _gates_closed(self, action: Action) -> bool:
        """Ask what must be known before an engine runs; unknown blocks the run."""
        for gate in action.gates:
            self.talk.say("Before any engine run:")
            self._reading(gate)
            raise Again
        for item in self.job.unconfirmed_for_run():
            if not self.talk.yes(f"Before the run: {item}. Confirmed?"):
                self.talk.say("Without this no engine is run. Other ways are looked for.")
                self.job.record("at-hand", tools=None, hands=self.job.state.hands, may_run=False)
                return False
            self.job.record("confirmed", item=item)
        return True

    def _cautions(self, action: Action) -> None:
        hazards = screens.hazards_of(self.job.bench, action)
        if not hazards:
            return
        self.talk.say(screens.cautions(self.job.bench, hazards))
        new = [h for h in hazards if h not in self.job.state.acknowledged]
        if new:
            self.talk.ask("Read and understood? Type 'read':", _read)
            for h in new:
                self.job.record(
                    "acknowledged", hazard=h, text=self.job.bench.library.hazards[h].text
                )

    def _readings(self, action: Action) -> None:
        if action.is_run:
            self.talk.say(screens.bundle_lines(self.job.bench, action.readings, action.minutes))
            self.talk.say("Fill it in the cockpit; then type what was read.")
            self.job.record("run", readings=[list(r.key) for r in action.readings])
        for r in action.readings:
            if r.key not in self.job.state.asked:
                self._reading(r)

    def _reading(self, reading: Reading) -> None:
        bench = self.job.bench
        q = bench.library.questions[reading.question]
        self.talk.say(screens.reading_lines(bench, reading))
        answer = self.talk.ask("answer:", lambda text: read_answer(text, q, bench.layout))
        if not answer.value:
            self.job.skip(reading)
            return
        if answer.note:
            self.talk.say(f"  {answer.note}")
        known = answer.known_by or self._known_by(q)
        self.job.answer(
            Finding(
                q.id,
                reading.place,
                answer.value,
                reading.state,
                known,
                number=answer.number,
                typed=answer.typed,
                others_normal=self._others(q, reading),
            ),
            reading,
        )

    def _known_by(self, q: Question) -> KnownBy:
        usual: KnownBy = "read" if q.instruments or q.unit else "seen"
        return self.talk.ask(
            f"how known (measured, read, seen, told, assumed; Enter: {usual}):",
            lambda text: known_by(text) if text else usual,
        )

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
        self.talk.say(screens.check_lines(bench, action.check, action.at, action.minutes))

        def read(text: str) -> tuple[str, KnownBy | None]:
            bare, known = split_known_by(text)
            if bare.lower() in NOT_CHECKED or bare == "0":
                return "", None
            return choose(bare, check.results), known

        result, known = self.talk.ask("result:", read)
        if not result:
            self.job.skip_check(action.check, action.at)
            return
        as_found = self.talk.ask("as found, in your words (Enter: nothing to add):", str)
        as_left = self.talk.ask("as left, in your words (Enter: as before):", str)
        self.job.checked(action.check, action.at, result, known or "seen", as_found, as_left)

    # ------------------------------------------------------------------ after the part is found

    def _rectify(self, cause: CauseAt) -> None:
        job = self.job
        c = job.bench.library.causes[cause.cause]
        words = screens.cause_words(job.bench, cause)
        self.talk.say(["", f"A check confirms: {words}.", "It need not be the whole story."])
        job.record("part-found", cause=cause.cause, place=cause.at)
        for name, text in (
            ("Rectify", c.rectify),
            ("Root question", c.root_question),
            ("Look also", c.also_look),
            ("Harm done", c.harm),
            ("Verify", c.verify),
        ):
            if text:
                self.talk.say(screens.wrap(text, "    ", f"  {name}: "))
        self.talk.say("  By the aeroplane's approved data and licensed practice.")
        if c.outside:
            self.talk.say("This is outside the fuel system: the job is handed over.")
            job.record("finished", outcome=f"handed over: {words}")
            return
        what = self.talk.ask("what was done (or 'later'):", _some("what was done"))
        if what.lower() == "later":
            raise Paused
        off = self.talk.ask("part off, number and serial (Enter: none):", str)
        on = self.talk.ask("part on, number and serial (Enter: none):", str)
        job.record("rectified", cause=cause.cause, place=cause.at, what=what, off=off, on=on)

    def _verify(self) -> None:
        job = self.job
        last = max(job.state.rectified, key=lambda c: job.state.rectified[c])
        c = job.bench.library.causes[last.cause]
        self.talk.say(["", "VERIFICATION RUN in the state and conditions of the report:"])
        self.talk.say(screens.wrap(c.verify or "Repeat the state of the report.", "  ", "  "))
        self.talk.say(f"  The report: {job.state.opened.get('reported', '')}")
        self.talk.say(screens.cautions(job.bench, ("running-engine", "propeller-live")))
        for item in job.unconfirmed_for_run():
            if not self.talk.yes(f"Before the run: {item}. Confirmed?"):
                self.talk.say("Without this no engine is run.")
                raise Paused
            job.record("confirmed", item=item)
        gone = self.talk.ask("Is the trouble gone? (gone / still there / later):", _gone)
        if gone is None:
            raise Paused
        job.record("run", readings=[])
        job.record("verified", gone=gone)
        if not gone:
            self.talk.say("Then it was not the whole story. What was found is kept; going on.")

    def _finish(self) -> None:
        job = self.job
        names = [screens.cause_words(job.bench, c) for c in job.state.rectified]
        self.talk.say(f"Verified gone after: {'; '.join(names)}.")
        if self.talk.yes("Is everything closed, locked, leak-checked and tools counted?"):
            job.record("finished", outcome=f"confirmed: {'; '.join(names)}")
        else:
            raise Paused

    def _nothing_left(self) -> None:
        job = self.job
        self.talk.say(
            [
                "",
                "Nothing that can be asked or checked here would tell more.",
                "Not isolated is a result: hand over with the record, or add what else was found.",
            ]
        )
        if self.talk.yes("Close the job as not isolated?"):
            job.record("finished", outcome="not isolated")
        else:
            raise Paused


def _done(text: str) -> None:
    if text.lower() != "done":
        raise UsageError("This must be done first; type 'done' when it has been.")


def _read(text: str) -> None:
    if text.lower() not in ("read", "yes", "y"):
        raise UsageError("Read the cautions above first; then type 'read'.")


def _some(what: str) -> Callable[[str], str]:
    def read(text: str) -> str:
        if not text:
            raise UsageError(f"Say {what} in a few words, or type 'later'.")
        return text

    return read


def _gone(text: str) -> bool | None:
    low = text.lower()
    if low == "gone":
        return True
    if low in ("still there", "still"):
        return False
    if low == "later":
        return None
    raise UsageError(f"'{text}': type gone, still there, or later.")
