"""What a person can type at any prompt of a session."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from diagnose.cli.cases.ranking_view import cause_why, symptom_why, why_text
from diagnose.cli.job import screens
from diagnose.cli.job.added import check_named, names_a_check, told_in_words
from diagnose.cli.job.answered import answer_to, condition_reached
from diagnose.cli.job.at_hand import ask_at_hand
from diagnose.cli.job.heard import NoneOfThem, picked_reading, questions_named_at
from diagnose.cli.job.mending import disturbed_at
from diagnose.cli.job.past import show_similar
from diagnose.cli.job.picked import cause_mended, entry_meant, rule_meant
from diagnose.cli.job.shutting import sign_off
from diagnose.cli.job.talk import Again, Command, Paused, Talk, pause
from diagnose.cli.job.what_if import behind, lacking, would_change
from diagnose.cli.job.work_done import change_work, keep_work, record_work, work_line
from diagnose.cli.room import wrap
from diagnose.counted import whole_number
from diagnose.errors import UsageError
from diagnose.job.answers import Answer, read_answer, usually_known
from diagnose.job.choices import choose_some, numbered
from diagnose.job.day.closeout import outstanding
from diagnose.job.epochs import asked_in_force, asked_with
from diagnose.job.job import Job
from diagnose.job.keeping import disturbed
from diagnose.job.keeping.disturbed import MOST_INITIALS
from diagnose.job.keeping.finding_data import finding_of
from diagnose.job.keeping.log import Event
from diagnose.job.ranking import named, still_possible
from diagnose.job.wording import cause_words, finding_line, state_words
from diagnose.model import AEROPLANE, DISTURBED, CauseAt, Finding, KnownBy
from diagnose.planner import Action, Plan, Reading

HELP = """\
  ranking            all causes still possible      numbers            show or hide probabilities
  why [CAUSE, RULE]  why it stands, or holds        why not RULE       what a rule still lacks
  why not            why the second is not the first        why this           why it is asked
  what would change  answers that would change it   others             what else was weighed
  findings           what was found, numbered       add WHAT           a finding, or a check made
  change N           change finding or work N       withdraw N         take it away
  back               take the last entry back       note TEXT          keep a note
  similar            finished cases like this one, and what was found then
  cautions           the cautions of the action in hand, in full
  pause              leave; nothing is lost         stop               close without a result
  hand over TEXT     a note for the next, and leave
  at hand            who and what is here now: more is offered, or less
  state              what is disturbed, what is open  sign              sign what is outstanding
  disturbed KIND WHAT at PART, as: disturbed panel cowling off at no. 2 engine
  N is a number of 'findings', or words that mean one alone, as: change strainer sample
  not known which: 'fades or stops', '2 or 3'
  tried again: answer with its count, 'low 2 of 5', 'normal 5 of 5 not reached'
  record drained PART, record refuelled PART, record replaced PART, record rectified CAUSE
  record work WHAT at PART, as: record work cleaned at main strainer (done before the report)"""


OF_THE_QUESTION = ("this", "this question", "this check", "do you ask", "is this asked", "ask")
"""What is typed behind 'why' for the question on the screen; no cause is called so."""

NOT_NOW = "not worth its time now"
"""Of an action that would cost about as much as it saves, or more."""


class Commands:
    """The commands of one session."""

    def __init__(self, job: Job) -> None:
        """Work on ``job``; the session sets ``talk``, ``plan`` and how a check is made."""
        self.job = job
        self.talk = Talk()
        self.make: Callable[[Action], None] = lambda _: None
        self.numbers = False
        self.plan: Plan | None = None
        self.hazards: tuple[str, ...] = ()
        self._anew: tuple[Reading, ...] = ()

    def words(self) -> Mapping[str, Command]:
        """Return the words understood at every prompt."""
        return {
            "help": lambda _: self.talk.say(HELP),
            "?": lambda _: self.talk.say(HELP),
            "ranking": self._ranking,
            "numbers": self._numbers,
            "cautions": self._cautions,
            "why": self._why,
            "why not": self._why_not,
            "what would change": self._change_it,
            "others": self._others,
            "similar": self._similar,
            "findings": self._findings,
            "add": self._add,
            "change": self._change,
            "withdraw": self._withdraw,
            "back": self._back,
            "note": self._note,
            "record": self._record,
            "hand over": self._hand_over,
            "at hand": self._at_hand,
            "state": self._state,
            "sign": self._sign,
            "disturbed": self._disturbed,
            "pause": pause,
            "stop": self._stop,
        }

    # ------------------------------------------------------------------ looking

    def _ranking(self, rest: str) -> None:
        self.talk.say(screens.possible(self.job.bench, self.job.step(), 20, self.numbers))

    def _numbers(self, rest: str) -> None:
        self.numbers = not self.numbers
        self.talk.say(f"  probabilities {'shown' if self.numbers else 'hidden'}")

    def _cautions(self, rest: str) -> None:
        if not self.hazards:
            raise UsageError("no cautions belong to the action in hand.")
        self.talk.say(screens.cautions(self.job.bench, self.hazards))

    def _cause(self, text: str) -> CauseAt:
        step = self.job.step()
        if not text:
            return still_possible(step)[0].causes[0]
        number = whole_number(text)
        if number is not None:
            groups = still_possible(step)
            if 1 <= number <= len(groups):
                return groups[number - 1].causes[0]
        cause = named(text, step)
        if cause is None:
            words = text.lower().split()
            for c, _ in step.posterior.ranking():
                if all(w in cause_words(self.job.bench, c).lower() for w in words):
                    return c
            raise UsageError(f"no cause here is called '{text}'; give its place in the ranking.")
        return cause

    def _why(self, rest: str) -> None:
        if rest.lower().rstrip("?") in OF_THE_QUESTION:
            if not self.talk.reason:
                raise UsageError(
                    "no question or check is before you; 'why' alone tells of a cause."
                )
            self.talk.say(wrap(self.talk.reason, "    ", "  "))
            return
        step = self.job.step()
        rule = rule_meant(self.job.bench, rest)
        if rule is not None:
            self.talk.say(why_text(symptom_why(self.job.bench, step, "@".join(filter(None, rule)))))
            return
        cause = self._cause(rest)
        alike = next((g.causes for g in still_possible(step) if cause in g.causes), ())
        if len(alike) > 1:
            places = "; ".join(self.job.bench.places.label(c.at) for c in alike)
            self.talk.say(wrap(f"Not told apart yet, likeliest first: {places}", "  "))
        self.talk.say(why_text(cause_why(self.job.bench, self.job.diagnosis, step, cause)))

    def _why_not(self, rest: str) -> None:
        rule = rule_meant(self.job.bench, rest)
        if rule is not None:
            self.talk.say(lacking(self.job, *rule))
            return
        second = len(still_possible(self.job.step())) > 1
        cause = self._cause(rest or ("2" if second else ""))
        self._why(rest or str(cause))
        self.talk.say(behind(self.job, cause))

    def _change_it(self, rest: str) -> None:
        self.talk.say(would_change(self.job))

    def _others(self, rest: str) -> None:
        bench = self.job.bench
        if not self.plan or not self.plan.others:
            self.talk.say("  nothing else was weighed")
            return
        for a in self.plan.others:
            what = (
                bench.library.checks[a.check].title
                if a.is_check
                else ", ".join(bench.library.questions[r.question].title for r in a.readings)
            )
            at = a.at or a.readings[0].place
            saves = f"would save about {a.saves:.0f} min" if a.saves >= 0.5 else NOT_NOW
            self.talk.say(f"  {what}, {bench.places.label(at)}: about {a.minutes:.0f} min, {saves}")

    def _similar(self, rest: str) -> None:
        show_similar(self.talk, self.job)

    def _findings(self, rest: str) -> None:
        for number, f in zip(self.job.finding_numbers(), self.job.findings, strict=True):
            self.talk.say(f"  {number:>4}  {finding_line(self.job.bench, f)}")
        for number, w in sorted(self.job.state.worked.items()):
            self.talk.say(f"  {number:>4}  work done before: {work_line(self.job.bench, w)}")

    # ------------------------------------------------------------------ changing

    def _add(self, rest: str) -> None:
        with self.talk.half_typed():  # 'back' in the middle of it takes nothing else away
            action = self._added(rest)
        if action is not None:
            self.make(action)
        raise Again

    def _added(self, rest: str) -> Action | None:
        """Keep a finding told in words or looked up; return a check that was named instead."""
        bench = self.job.bench
        if not names_a_check(bench, rest) and told_in_words(self.talk, self.job, rest):
            return None
        try:
            if rest and not questions_named_at(bench, rest):
                action = check_named(self.talk, bench, rest)
                if action is not None:
                    return action
            q, at, reading, state = picked_reading(self.talk, bench, rest)
        except NoneOfThem:
            raise Again from None
        place = at[0]
        shown = reading or Reading(q.id, place)
        self.talk.say(screens.reading_lines(bench, shown))
        if reading is None and state.known():
            self.talk.say(f"  [{state_words(bench, state)}]")

        def read(text: str) -> Answer:
            found = read_answer(text, q, bench.layout, place)
            if len(at) > 1 and found.number is not None:
                raise UsageError("a figure is read at one place; type the answer it was.")
            return found

        answer = self.talk.ask("answer:", read)
        if answer.is_given:
            usual: KnownBy = usually_known(q) if reading else "told"
            finding = answer.finding(q.id, place, state, usual)
            there = answer.reached and condition_reached(self.talk, bench, q, answer)
            finding = replace(finding, reached=there)
            if len(at) > 1:
                finding = replace(finding, at=AEROPLANE, one_of_places=at)
                reading = None  # at each of them it can still be asked
            self.job.answer(finding, reading, answer.note)
            self.talk.say([f"  {answer.note}"] if answer.note else [])
            if answer.number is not None and not answer.value:
                self.talk.say(screens.beside(self.job, shown))
        return None

    def _change(self, rest: str) -> None:
        from diagnose.job.keeping.finding_data import finding_as_json

        number = entry_meant(self.job, rest)
        with self.talk.half_typed():  # 'back' in the middle of it takes nothing else away
            if number in self.job.state.worked:
                change_work(self.talk, self.job, number)
            else:
                new = self._found_rightly(self.job.state.findings[number])
                self.job.record("changed", of=number, finding=finding_as_json(new))
        raise Again

    def _found_rightly(self, old: Finding) -> Finding:
        """Ask for the answer of ``old`` anew; all else of it stands."""
        bench = self.job.bench
        if old.check:
            results = bench.library.checks[old.question].results
            self.talk.say(numbered(results))
            named = self.talk.ask("result:", lambda t: choose_some(t, results))
            return replace(old, value=named[0], one_of=named if len(named) > 1 else ())
        q = bench.library.questions[old.question]
        self.talk.say([q.ask, *numbered(q.classes)])
        answer = answer_to(self.talk, bench, q, old.at)
        return replace(
            answer.finding(q.id, old.at, old.state, old.known_by),
            one_of_places=old.one_of_places,
            others_normal=old.others_normal,
            after=old.after,
            epoch=old.epoch,
        )

    def _withdraw(self, rest: str) -> None:
        self.job.record("withdrawn", of=entry_meant(self.job, rest))
        raise Again

    def _back(self, rest: str) -> None:
        if rest:  # 'back in the band' is an answer, in other words than those listed
            raise UsageError("'back' takes the last answer back, and is typed alone.")
        last = self.job.step_back()
        while last and last["event"] == "acknowledged":  # cautions are read again in any case
            last = self.job.step_back()
        if last is None:
            self.talk.say("  nothing to take back")
            raise Again
        _, size = last.get("part", (1, 1))  # what was typed in one go goes in one go
        more = f", with the {size - 1} typed before it in one go" if size > 1 else ""
        self.talk.say(wrap(f"taken back: {self._entry(last)}{more}", "    ", "  "))
        self._anew = asked_with(self.job.bench, self.job.log.events, last)
        raise Again

    def asked_anew(self) -> tuple[Reading, ...]:
        """Return what was taken back last and is not answered since, once: it is asked again."""
        anew, self._anew = self._anew, ()
        answered = asked_in_force(self.job.bench, self.job.log.events)
        return tuple(r for r in anew if r.key not in answered)

    def _entry(self, event: Event) -> str:
        """Return what an entry was, as the person typed it in."""
        if "finding" in event:
            return finding_line(self.job.bench, finding_of(event["finding"]))
        said = event.get("what") or event.get("item") or event.get("text") or ""
        return f"{event['event'].replace('-', ' ')}{f': {said}' if said else ''}"

    def _note(self, rest: str) -> None:
        if not rest:
            raise UsageError("say the note on the same line: note cowl latch was loose")
        self.job.record("note", text=rest)

    def _record(self, rest: str) -> None:
        kind, _, where = rest.partition(" ")
        if kind.lower() == "work":
            keep_work(self.talk, self.job, where)
            raise Again
        cause = self._cause(where) if kind.lower() == "rectified" else None
        if cause is not None and (not where or cause.cause not in self.job.bench.library.causes):
            raise UsageError("say which cause was rectified, by name or place in the ranking.")
        if cause is not None:
            cause = cause_mended(self.talk, self.job, where, cause)
        record_work(self.talk, self.job, cause, kind.lower(), where)

    def _hand_over(self, rest: str) -> None:
        if not rest:
            raise UsageError(
                "say it on the same line: hand over strainer is open, bowl on the bench"
            )
        if len(rest) <= MOST_INITIALS and rest.isupper() and rest.isalpha():
            raise UsageError(
                f"'{rest}' tells the next person nothing; say it as: hand over strainer is open. "
                "Signed and line by line (type 'pause' first): "
                f"diagnose job handover {self.job.name} --by {rest}"
            )
        self.job.record("note", text=rest, hand_over="yes")
        self.talk.say("  kept for whoever goes on.")
        raise Paused

    def _at_hand(self, rest: str) -> None:
        ask_at_hand(self.talk, self.job)
        raise Again

    def _state(self, rest: str) -> None:
        lines = [
            *screens.disturbed_lines(self.job),
            *(f"  open: {x.text}" for x in outstanding(self.job)),
        ]
        self.talk.say(lines or "  nothing is disturbed, and nothing is to be signed")

    def _sign(self, rest: str) -> None:
        try:
            sign_off(Talk(), self.job)
        except Paused:
            self.talk.say("  what was signed is kept")
        raise Again

    def _disturbed(self, rest: str) -> None:
        kind, _, what = rest.partition(" ")
        if kind not in DISTURBED:
            raise UsageError(f"say the kind first: {', '.join(DISTURBED)}.")
        disturbed_at(self.talk, self.job, kind, what)

    def _stop(self, rest: str) -> None:
        asked = "why is it stopped (kept in the record; 'back' goes on with the job):"
        with self.talk.half_typed():
            if rest and not self.talk.yes(f"Close the job without a result: '{rest}'?"):
                raise Again
            reason = rest or self.talk.ask(asked, _reason, own_words=True)
        self.job.record("stopped", reason=reason)
        for d in self.job.state.disturbed.values():
            if d.open:
                place = self.job.bench.places.label(d.place)
                self.talk.say(f"  STAYS OPEN ON THE AEROPLANE: {disturbed.words(d, place)}")
        raise Again


def _reason(text: str) -> str:
    if not text:
        raise UsageError("Say in a few words why, or 'back'.")
    return text
