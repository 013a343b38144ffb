"""The terminal session of an exercise: the apprentice chooses, the simulated aeroplane answers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diagnose.cli.exercise import choosing
from diagnose.cli.exercise.debrief_view import debrief_lines
from diagnose.cli.job import screens
from diagnose.cli.job.talk import Again, Command, Paused, Talk
from diagnose.cli.layout_view import show_list
from diagnose.cli.room import rule, wrap
from diagnose.errors import UsageError
from diagnose.grammar import number_of
from diagnose.job.day.before_run import FOR_A_RUN
from diagnose.job.wording import answer_words, finding_line, hazards_of, state_words
from diagnose.knowledge_files import limit_of
from diagnose.planner import Action
from diagnose.training.as_set import as_set, read_alike
from diagnose.training.attempt import Attempt
from diagnose.training.debrief import SIMULATED, as_json, debrief
from diagnose.training.hints import hint

HELP = """\
  Type what you want to see, in your own words: fuel pressure no. 2 engine run-up booster off
  list [WORD]     the questions there are         checks [WORD]   the checks there are
  check WORDS     make a check: check strainer    ready           all is in place for a run
  shut down       stop the engine                 findings        what was found so far
  name PART       name the part at fault          hint            how to split what is left
  clear PART      strike it off your own list     keep PART       put it back on
  mine            your own list                   parts [WORD]    the parts of this layout
  layout          the fuel system of this layout  report          the report again
  back            leave a question open
  pause           leave; nothing is lost          stop            give up, and see the debrief"""


LONG = 180.0
"""Minutes from which an act is asked about before it is done (no source)."""
AS_BEFORE = " -- as before: the same look tells the same"


class ExerciseSession:
    """Works one exercise with the person at the terminal."""

    def __init__(self, name: str, attempt: Attempt) -> None:
        """Take up ``attempt``, kept under ``name``."""
        self.name, self.attempt = name, attempt
        self.talk = Talk(self._commands())
        self._read: set[str] = set()

    def run(self) -> None:
        """Go on until the part is named, it is given up, or the person leaves."""
        self.talk.say(opening_lines(self.name, self.attempt))
        told = [e["text"] for e in self.attempt.log.events if e["event"] == "danger"]
        self.talk.say(stop_lines([*told, *self.attempt.heed()]))
        try:
            while not self.attempt.state.over:
                self.talk.say(["", self._status()])
                try:
                    self.talk.ask("ask, check, name, or help:", self._ask)
                except Again:
                    continue
        except (Paused, KeyboardInterrupt):
            self.talk.say(
                f"Paused; nothing is lost. Go on with: diagnose exercise resume {self.name}"
            )
            return
        self.talk.say(["", *debrief_lines(as_json(debrief(self.attempt)))])
        self.talk.say(f"Again at any time: diagnose exercise debrief {self.name}")

    def _commands(self) -> Mapping[str, Command]:
        return {
            "help": lambda _: self.talk.say(HELP),
            "?": lambda _: self.talk.say(HELP),
            "list": lambda rest: self.talk.say(choosing.questions_here(self.attempt.bench, rest)),
            "checks": lambda rest: self.talk.say(choosing.checks_here(self.attempt, rest)),
            "check": self._check,
            "ready": self._ready,
            "shut down": self._shut_down,
            "findings": self._findings,
            "name": self._name,
            "hint": self._hint,
            "clear": self._clear,
            "keep": self._keep,
            "mine": self._mine,
            "parts": self._parts,
            "layout": self._layout,
            "report": self._report,
            "back": self._back,
            "pause": self._pause,
            "stop": self._stop,
        }

    def _status(self) -> str:
        now, states = self.attempt.state, self.attempt.bench.layout.run_states
        engine = "engine stopped"
        if now.running:
            title = next((s.title for s in states if s.id == now.state), now.state)
            engine = f"engine {'stopped in' if now.died else 'running'}: {title}"
        spent = f"{now.minutes:.0f} min, {number_of(now.starts, 'start')}"
        return f"[SIMULATED, certifies nothing · {spent} · {engine}]"

    # ------------------------------------------------------------------ asking and checking

    def _ask(self, text: str) -> None:
        if not text:
            return
        bench = self.attempt.bench
        reading = choosing.choose_reading(self.talk, self.attempt, text)
        action = Action((reading,))
        self._worth_a_day(action)
        self._cautions(action)
        q = bench.library.questions[reading.question]
        flown = as_set(bench, reading).state
        state = f" [{state_words(bench, flown)}]" if reading.run_state else ""
        self.talk.say(f"{q.ask}  -- {bench.places.label(reading.place)}{state}")
        if q.how:
            self.talk.say(wrap(q.how, "       ", "  How: "))
        again = reading.key in read_alike(bench, self.attempt.state.asked)
        found = self.attempt.ask(reading)
        if found is None:
            self._refused()
            return
        limit = limit_of(q, bench.layout) if q.unit and found.typed else None
        held = f"; limit {limit.shown}, {limit.reference}" if limit else ""
        figure = f" ({found.typed}{held})" if found.typed else ""
        same = AS_BEFORE if again else ""
        self.talk.say(wrap(f"{answer_words(q.classes, found)}{figure}{same}", "     ", "  => "))
        self._cost()
        self._heed()

    def _check(self, rest: str) -> None:
        bench = self.attempt.bench
        check, at = choosing.choose_check(self.talk, self.attempt, rest)
        known = bench.library.checks[check]
        action = Action(check=check, at=at)
        self._worth_a_day(action)
        self._cautions(action)
        minutes, _ = self.attempt.price(action)
        self.talk.say(screens.check_steps(bench, check, minutes, at))
        again = (check, at) in self.attempt.state.done
        found = self.attempt.check(check, at)
        if found is None:
            self._refused()
            return
        self.talk.say(f"  => {answer_words(known.results, found)}{AS_BEFORE if again else ''}")
        if known.leaves:
            opened = "; ".join(known.leaves.values())
            self.talk.say(
                wrap(f"Closed out again ({opened}): look for leaks before the next run.",
                             "     ", "  "))  # fmt: skip
        self._cost()
        self._heed()

    def _worth_a_day(self, action: Action) -> None:
        """Ask before hours are spent: nobody waits overnight or sends a part away by a slip."""
        minutes, _ = self.attempt.price(action)
        if minutes >= LONG and not self.talk.yes(f"That takes {minutes / 60:.0f} hours. Do it?"):
            raise Again

    def _cautions(self, action: Action) -> None:
        hazards = hazards_of(self.attempt.bench, action)
        if hazards:
            self.talk.say(screens.cautions(self.attempt.bench, hazards, self._read))
            self._read |= set(hazards)

    def _heed(self) -> None:
        """Say at once what a real aeroplane would ask for at once."""
        self.talk.say(stop_lines(self.attempt.heed()))

    def _refused(self) -> None:
        last, skipped = self.attempt.state.refusals[-1], self.attempt.state.skipped
        counted = ""
        if last["safety"]:
            new = bool(skipped) and skipped[-1] is last
            counted = " (a safety step skipped: it is counted)" if new else " (as said before)"
        self.talk.say(wrap(f"{last['why']}{counted}", "     ", "  REFUSED: "))

    def _cost(self) -> None:
        event = self.attempt.log.events[-1]
        starts = ", a start" if event["starts"] else ""
        self.talk.say(f"  (+{event['minutes']:.0f} min{starts})")
        if event.get("runs") == "stopped":
            self.talk.say("  The engine stopped there. Another run state is another start.")

    def _ready(self, rest: str) -> None:
        self.talk.say(["Before any run or power on the fuel system:", *(f"  - {x}" for x in
                                                                       FOR_A_RUN)])  # fmt: skip
        if self.talk.yes("All of it in place?"):
            self.attempt.confirm()
        raise Again

    def _shut_down(self, rest: str) -> None:
        self.attempt.shut_down()
        raise Again

    # ------------------------------------------------------------------ concluding

    def _name(self, rest: str) -> None:
        bench = self.attempt.bench
        at = choosing.choose_part(self.talk, bench, rest)
        if at in self.attempt.state.worked_on:
            raise UsageError(f"{bench.places.label(at)} was worked on, and the trouble stayed: the "
                             "fault is in another part.")  # fmt: skip
        cause = choosing.choose_cause(self.talk, bench, at)
        sure = self.talk.ask("How sure are you that it is this part, in per cent?",
                             choosing.confidence)  # fmt: skip
        waits = "; ".join(self.attempt.proof_waits_on(cause))
        right = self.attempt.name(cause, sure)
        if right is None:
            self._refused()
            raise Again
        self._cost()
        if right:
            other = "" if right == "cause" else " It had failed in another way than you said."
            proved = "Worked on" if waits else "Worked on and proved good"
            self.talk.say(f"  {proved}: that was the part.{other}")
            if waits:
                waits = f"Nothing is run or switched on to prove it before this is so: {waits}."
                self.talk.say(wrap(waits, "  ", "  "))
        else:
            self.talk.say("  Worked on; the trouble is still there.")
        raise Again

    def _hint(self, rest: str) -> None:
        text = hint(self.attempt)
        self.attempt.hinted(text)
        self.talk.say(wrap(text, "        ", "  Hint: "))

    def _clear(self, rest: str) -> None:
        at = choosing.choose_part(self.talk, self.attempt.bench, rest)
        self.attempt.clear(at)
        self.talk.say(f"  struck off: {self.attempt.bench.places.label(at)}")
        raise Again

    def _keep(self, rest: str) -> None:
        at = choosing.choose_part(self.talk, self.attempt.bench, rest)
        self.attempt.keep(at)
        self.talk.say(f"  on your list: {self.attempt.bench.places.label(at)}")
        raise Again

    # ------------------------------------------------------------------ looking back

    def _findings(self, rest: str) -> None:
        bench = self.attempt.bench
        for n, f in sorted(self.attempt.state.findings.items()):
            number = f"{n:>4}" if n > 0 else "told"
            self.talk.say(wrap(finding_line(bench, f), "        ", f"  {number}  "))

    def _mine(self, rest: str) -> None:
        bench, cleared = self.attempt.bench, self.attempt.state.cleared
        every = {c.at for c in bench.net.instances}
        self.talk.say(f"  {len(every - cleared)} parts on your list, {len(cleared)} struck off:")
        self.talk.say([f"    {bench.places.label(p)}" for p in sorted(cleared)])

    def _parts(self, rest: str) -> None:
        bench = self.attempt.bench
        for at in sorted({c.at for c in bench.net.instances}):
            line = f"{bench.places.label(at)} ({at})"
            if rest.lower() in line.lower():
                self.talk.say(f"  {line}")

    def _layout(self, rest: str) -> None:
        self.talk.say(show_list(self.attempt.bench.places).splitlines())

    def _report(self, rest: str) -> None:
        self.talk.say(opening_lines(self.name, self.attempt))

    def _back(self, rest: str) -> None:
        raise Again

    def _pause(self, rest: str) -> None:
        self.attempt.pause()
        raise Paused

    def _stop(self, rest: str) -> None:
        if self.talk.yes("Give up, and see what it was?"):
            self.attempt.stop("given up")
        raise Again


def stop_lines(dangers: Sequence[str]) -> list[str]:
    """Return what must be done at once, set apart from all else; nothing where there is none."""
    if not dangers:
        return []
    said = [x for text in dangers for x in wrap(text, "  ", "STOP: ")]
    return [rule(), *said, rule()]


def opening_lines(name: str, attempt: Attempt) -> list[str]:
    """Return the head of an exercise: what it is, the report, and what is at hand."""
    layout, opened = attempt.bench.layout, attempt.state.opened
    who = f" · {opened['apprentice']}" if opened.get("apprentice") else ""
    title = f" · {opened['title']}" if opened.get("title") else ""
    lines = [f"=== exercise {name}{title}{who} · layout {layout.id}: {layout.title} ==="]
    lines += wrap(SIMULATED, "  ", "")
    if layout.invented:
        lines.append("The layout and its figures are invented; knowledge UNREVIEWED.")
    if opened["edition"] != attempt.bench.library.edition:
        lines.append("Begun with another edition of the knowledge: answers may differ from then.")
    lines += ["", *wrap(opened["reported"], "    ", "Reported: ")]
    tools = "all tools" if opened["tools"] is None else ", ".join(opened["tools"]) or "no tools"
    people = f"{opened['hands']} {'person' if opened['hands'] == 1 else 'people'}"
    run = "engine runs allowed" if opened["may_run"] else "no engine run here"
    lines += wrap(f"{people}, {tools}, {run}.", "    ", "At hand: ")
    return [
        *lines,
        "One part is at fault. Find it in few minutes and few starts; 'help' tells how.",
    ]
