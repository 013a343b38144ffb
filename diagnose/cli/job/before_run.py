"""Before fuel is under pressure or a propeller turns: gates asked, confirmations taken."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from diagnose.cli.job.shutting import TO_CLOSE, sign_off
from diagnose.cli.job.talk import Talk
from diagnose.cli.room import wrap
from diagnose.job.day.before_run import (
    FOR_POWER,
    answered_for,
    asked_by_what_was_found,
    for_a_run,
    gates_known,
)
from diagnose.job.gates import Need
from diagnose.job.job import Job
from diagnose.job.keeping import disturbed
from diagnose.job.wording import answer_words
from diagnose.planner import Reading

WHAT = {"power": "any pump or power on the fuel system", "run": "any engine run"}


def safe_to_go(talk: Talk, job: Job, need: Need, ask: Callable[[Sequence[Reading]], None]) -> bool:
    """Ask every open gate once and take the confirmations; return whether all are known safe.

    What a check left off, undone or lying about is signed for before an engine runs.

    ``ask`` asks readings of one question, at one place or several, and keeps their answers.  An
    answer that is not the safe one ends it at once: nothing more is asked that could read as a
    way round.

    Raises:
        Paused: When something that bars a run is to be signed for later.
    """
    if not need:
        return True
    if need == "run" and job.state.indoors:
        talk.say(closed_place(job))
        return False
    gates = job.open_gates()
    talk.say(f"Before {WHAT[need]}:" if gates else [])
    for question in dict.fromkeys(g.question for g in gates):
        alike = [g for g in gates if g.question == question]
        ask(alike)
        shut = {(g.question, g.place) for g in job.open_gates()}
        unsafe = [g for g in alike if (g.question, g.place) in shut]
        if unsafe:
            talk.say(blocked(unsafe, job))
            return False
    if need == "run" and (left := not_restored(job)):
        talk.say(left)
        sign_off(talk, job, TO_CLOSE, for_a_run=True)
    wanted = confirmations(job, need)
    if not wanted or _confirmed(talk, job, [*gates_known(job), *wanted], WHAT[need]):
        return True
    talk.say("Without this it is not done.")
    return False


def fit_to_run(talk: Talk, job: Job) -> bool:
    """Have answered for what was found and bars a run, where none is made to prove the repair.

    Water in the strainer must not leave with the aeroplane because rocking its wings proved it.
    """
    wanted = [x for x in asked_by_what_was_found(job) if x not in job.state.confirmed]
    return not wanted or _confirmed(talk, job, wanted, "the next run or flight")


def _confirmed(talk: Talk, job: Job, wanted: Sequence[str], what: str) -> bool:
    """Have ``wanted`` answered for in one go, and keep by whom; return whether all of it is."""
    talk.say(f"Before {what}, answered for by name:")
    talk.say([x for k, w in enumerate(wanted, 1) for x in wrap(w, " " * 7, f"  {k:>3}  ")])
    talk.say("  'all' and your initials where every line is so ('all AB'); else by number, as")
    talk.say("  '1: AB, 2: CD, 3: no'. One that is left out, or 'no', is not known.")
    by = talk.ask("confirmed by:", lambda text: answered_for(text, wanted))
    if by:
        job.record_group([("confirmed", {"item": w, "by": who}) for w, who in by.items()])
    left = [w for w in wanted if w not in by]
    if left:
        talk.say(wrap(f"Not known: {'; '.join(left)}.", "  "))
    return not left


def not_restored(job: Job) -> list[str]:
    """Return what the list says may not stay as it is for a run."""
    label = job.bench.places.label
    left = [d for d in job.state.disturbed.values() if d.bars_a_run]
    if not left:
        return []
    # of one alone the prompt that follows says the same
    lines = [f"  {disturbed.words(d, label(d.place))}" for d in left if len(left) > 1]
    return ["No engine is run while this is so; put it right and sign for it:", *lines]


def closed_place(job: Job) -> list[str]:
    """Return the line that says that a closed place bars runs and pumps; [] in the open."""
    told = "NO RUN, NO PUMP: it stands in a closed place. When it is in the open, type: at hand"
    return [told] if job.state.indoors else []


def confirmations(job: Job, need: Need) -> list[str]:
    """Return what a person must still confirm."""
    listed = for_a_run(job) if need == "run" else FOR_POWER
    return [item for item in listed if item not in job.state.confirmed]


def blocked(gates: Iterable[Reading], job: Job) -> list[str]:
    """Return the lines that say why nothing is run or switched on, and what would open the way."""
    at: dict[tuple[str, str], list[str]] = {}  # the same said of several places is one line
    questions = job.bench.library.questions
    for g in gates:
        q = questions[g.question]
        found = [
            answer_words(q.classes, f)
            for _, f in sorted(job.state.findings.items())
            if f.question == g.question and f.at == g.place and f.value and not f.check
        ]
        # what was found before something was opened or moved says nothing of now
        stands = found[-1] if found and found[-1] != q.classes[q.gate] else "not known now"
        at.setdefault((q.id, stands), []).append(job.bench.places.label(g.place))
    return [
        f"NO RUN, NO PUMP: {questions[q].title}, {'; '.join(places)}: {stands}. "
        f"When it is found '{questions[q].classes[questions[q].gate]}', type: "
        f"add {questions[q].title}"
        for (q, stands), places in at.items()
    ]


def standing_block(job: Job) -> list[str]:
    """Return the lines for gates that were asked and are not safe."""
    return blocked(job.refused_gates(), job)
