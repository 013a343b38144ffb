"""After the mending: the trouble of the report looked for again, in its own state."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence

from diagnose.cli.job import screens
from diagnose.cli.job.answered import answer_to
from diagnose.cli.job.before_run import fit_to_run, safe_to_go, standing_block
from diagnose.cli.job.mending import tells_no_work
from diagnose.cli.job.shutting import TO_CLOSE, sign_off
from diagnose.cli.job.talk import Again, Paused, Talk
from diagnose.cli.room import wrap
from diagnose.errors import UsageError
from diagnose.job.at_hand import as_kept
from diagnose.job.confirming import confirmed, not_told_by
from diagnose.job.elsewhere import as_fitted
from diagnose.job.epochs import complaints, seen_at_rest
from diagnose.job.gates import NEEDS, WET, Need
from diagnose.job.job import Job
from diagnose.job.keeping.disturbed import initials
from diagnose.job.keeping.events import live
from diagnose.job.wording import OF_A_RUN, RUNNING, answer_words, beside_words, cause_words
from diagnose.model import CauseAt, Finding, on_the_ground
from diagnose.planner import Reading
from diagnose.signs import normal_class

OF_FILLING = ("fuelling", "bonding", "open-tank", "ignition-sources", "lead-and-skin")
_FILLED = re.compile(
    r"(?i)\bfill(?:ed)? (?:it|in|to|up|the|with)\b|\b(?:measured|metered|small) fill\b"
)
"""What is proved by putting fuel in; told when the part was mended, it is another day's work."""

VERIFICATION: Mapping[Need, str] = {
    "run": "VERIFICATION RUN in the state and conditions of the report:",
    "power": "VERIFICATION with power or a pump on, no engine run for it:",
    "": "VERIFICATION, no engine run and no power for it:",
}
"""What proving a repair is called, by what it puts at risk."""

_RISK: Sequence[Need] = ("", "power", "run")


def _put_right(text: str) -> str:
    """Return what was put right; a danger that is only said to be gone is no entry of a record."""
    if tells_no_work(text):
        raise UsageError("Say in a few words what it was, what was done and by whom; or 'back'.")
    return text


class Verifying:
    """Proves what was mended and is not proved yet, all of it in one go."""

    def __init__(
        self,
        job: Job,
        talk: Talk,
        gate: Callable[[Sequence[Reading]], None],
        tell: Callable[[tuple[str, ...]], object],
        look_out: Callable[[], None],
    ) -> None:
        """Work on ``job``; ``gate`` asks gates and keeps their answers, ``tell`` shows cautions.

        ``look_out``: stops for a danger that an answer told of.
        """
        self.job = job
        self.talk = talk
        self._gate = gate
        self._tell = tell
        self._look_out = look_out

    def waits(self) -> bool:
        """Return whether what bars the verification is looked into first, as somebody said."""
        return self.job.state.proof_waits and bool(standing_block(self.job))

    def verify(self) -> None:
        """Have the report repeated; what is still there is asked for once more."""
        job, talk = self.job, self.talk
        asked = [as_fitted(job.bench, c).verify_needs for c in job.state.mended]
        need = max((NEEDS[x] for x in asked), key=_RISK.index)
        self._tell_what_is_shown(need)
        if need == "run":
            self._may_run()
        sign_off(talk, job, TO_CLOSE, for_a_run=True)
        if need == "run" and (waits := screens.to_take_over(job)):
            talk.say(waits)
            raise Paused
        if need:
            self._clear_of_danger()
        self._tell(self._hazards_of_proving(need))
        if not safe_to_go(talk, job, need, self._gate):
            if standing_block(job):
                return  # a leak after the repair: what the rules say of it comes first
            self.talk.say("The verification waits for it.")
            raise Paused
        gone, by, seen = talk.ask(IS_IT_GONE, _gone)
        beside = self._not_told() if gone == "gone" else []
        if beside:
            words = beside_words(job.bench, beside)
            talk.say(wrap(f"What was mended tells nothing of: {words}.", "  ", "  "))
            if talk.yes("Is that put right too? ('no': it is looked for next)"):
                seen = "; ".join(x for x in (seen, f"put right too: {words}") if x)
            else:
                gone = "partly"
        if gone == "later" or (gone == "gone" and need != "run" and not fit_to_run(talk, job)):
            raise Paused
        if need == "run":
            job.record("run", readings=[])
        if gone != "gone":
            self._still_there(need, beside)
        said = {k: v for k, v in (("by", by), ("text", seen)) if v}
        job.record("verified", gone=gone == "gone", partly=gone == "partly", **said)

    def _tell_what_is_shown(self, need: Need) -> None:
        """Tell what each part mended asks to be shown: proving the last proves not the others."""
        job, talk = self.job, self.talk
        talk.say(["", VERIFICATION[need]])
        shown: dict[str, list[str]] = {}
        for cause in job.state.mended:
            verify = as_fitted(job.bench, cause).verify
            shown.setdefault(verify or "Repeat the state of the report.", []).append(
                cause_words(job.bench, cause)
            )
        for text, of in shown.items():
            about = f"{'; '.join(of)}: " if len(shown) > 1 else ""
            talk.say(wrap(f"{about}{text}", "  ", "  "))
        talk.say(screens.reported(job, "  The report: ", "    "))
        for e in live(job.log.events):
            if e["event"] == "rectified":
                mended = cause_words(job.bench, CauseAt(e["cause"], e["place"]))
                talk.say(wrap(f"{mended}: {e.get('what', '')}", "    ", "  Mended: "))

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
        gates = self.job.open_gates() if need else ()
        named += [h for g in gates for h in bench.library.questions[g.question].hazards]
        if any(_FILLED.search(as_fitted(bench, c).verify) for c in self.job.state.mended):
            named = [*(h for h in OF_FILLING if h in bench.library.hazards), *named]
        return tuple(dict.fromkeys([*usual, *named]))

    def _clear_of_danger(self) -> None:
        """Let no verification begin while a gate is known unsafe.

        Raises:
            Again: When it was not put right: where it comes from is looked for first.
        """
        block = standing_block(self.job)
        if not block:
            return
        self.talk.say(block)
        with self.talk.half_typed():
            right = self.talk.yes("Has that been put right, by the approved data?")
            asked = "what was it, what was done, and by whom:"
            what = self.talk.ask(asked, _put_right, own_words=True) if right else ""
        if not right:
            self.talk.say("Then where it comes from is looked for first; the verification waits.")
            self.job.record("proof-waits")
            raise Again
        said = f"put right before the verification run: {what}"
        self.job.record("intervened", what=said, lost="")

    def _not_told(self) -> list[Finding]:
        """Return what was found amiss and not right since, of which nothing found bad tells."""
        job = self.job
        return not_told_by(job.step(), job.state.known_bad, job.amiss())

    def _still_there(self, need: Need, beside: Sequence[Finding]) -> None:
        """Keep what was seen again: without it the repair would still explain the report.

        Where no engine was run, none is asked how it ran.  ``beside``: what alone is still there,
        where the rest is gone.
        """
        job, bench = self.job, self.job.bench
        self.talk.say("Then it was not the whole story. What was found is kept; going on.")
        mended = job.state.mended[-1]
        by = [f for f in job.findings if f.check and confirmed(bench, mended, [f])]
        if by and not beside:
            again = f"add {bench.library.checks[by[-1].question].title.lower()}"
            told = f"The check that found it shows whether the mending took; to make it: {again}"
            self.talk.say(wrap(told, "  ", ""))
        before = list(beside) or [
            f
            for f in complaints(bench, job.state.findings, job.state.rectified[mended])
            if need == "run" or seen_at_rest(bench.library.questions[f.question], f)
        ]
        amiss = False
        for f in sorted(before, key=lambda f: not bench.library.questions[f.question].gate):
            if WET in bench.library.questions[f.question].hazards and not standing_block(job):
                continue  # seen dry just now: it begins to be wet nowhere
            for at in f.places:  # where it was not known which, it can be looked for at each now
                amiss |= self._asked_again(f, at)
                self._look_out()
        if not amiss:
            what = "Nothing amiss was seen again. " if before else ""
            self.talk.say(f"{what}Say what is still wrong with: add")

    def _asked_again(self, f: Finding, at: str) -> bool:
        """Ask for what was amiss once more and keep it; return whether it still is."""
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
        self.talk.say(["Looked at again:", *screens.reading_lines(bench, shown, told=state)])
        self.talk.say(f"  Before the repair: {answer_words(q.classes, f)}")
        answer = answer_to(self.talk, bench, q, at)
        if answer.is_given:
            self.job.answer(answer.finding(q.id, at, state, q.known_there), reading)
        return answer.is_given and answer.value != normal_class(q, bench.library)


_GONE = ("gone", "still there", "still", "partly")
IS_IT_GONE = (
    "'gone AB what was seen' keeps by whom it was proved.\n"
    "Is the trouble gone? (gone / still there / partly / later):"
)


def _gone(text: str) -> tuple[str, str, str]:
    """Return (what came of it, by whom, what was seen) of 'gone AB even from idle to run-up'."""
    low = text.lower()
    if low == "later":
        return low, "", ""
    word = next((w for w in _GONE if f"{low} ".startswith(f"{w} ")), "")
    if not word:
        raise UsageError(f"'{text}': type gone, still there, partly (one of several), or later.")
    who, _, seen = text[len(word) :].strip().partition(" ")
    gone = "still there" if word == "still" else word
    return gone, initials(who) if who else "", seen.strip()
