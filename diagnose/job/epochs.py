"""What a repair changes: which answers still stand, and what the verification run must repeat."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from diagnose.job.answers import usually_known
from diagnose.job.diagnosis import Bench
from diagnose.job.keeping.events import MENDING, JobState, live
from diagnose.job.keeping.log import Event
from diagnose.job.starting import shows_its_running
from diagnose.model import RUNNING, STAGES, Finding, Question, State
from diagnose.planner import Key, Reading
from diagnose.signs import is_normal, normal_class


def needs_it_running(question: Question) -> bool:
    """Return whether a question is answered of an engine that runs: the drop on each magneto."""
    return bool(question.stages) and all(STAGES[s] in RUNNING for s in question.stages)


def seen_at_rest_only(question: Question) -> bool:
    """Return whether a question is a look at what stands still, as at a stain: it needs no run."""
    return bool(question.stages) and all(STAGES[s] == "none" for s in question.stages)


def seen_at_rest(question: Question, finding: Finding) -> bool:
    """Return whether what a finding tells can be looked at again with no engine running."""
    running = STAGES.get(finding.state.stage, "") in RUNNING
    return not running and not needs_it_running(question) and not shows_its_running(question)


def asked_in_force(bench: Bench, events: Iterable[Event]) -> frozenset[Key]:
    """Return the readings not to be asked again.

    What can be read at any time from memory or papers is asked once.  What is read on the
    aeroplane may read differently after an intervention, and is worth asking again then.
    """
    asked: set[Key] = set()
    for e in live(events):
        if e["event"] in MENDING:
            asked = {k for k in asked if not _on_the_aeroplane(bench, k[0])}
        elif e.get("reading"):
            question, place, state = e["reading"]
            asked.add((question, place, state))
    return frozenset(asked)


def asked_with(bench: Bench, events: Sequence[Event], last: Event) -> tuple[Reading, ...]:
    """Return the readings asked for with ``last``, in one go; none where an engine ran for them."""
    place, size = last.get("part", (1, 1))
    first = last["n"] - place
    group = events[first : first + size]
    keys = {tuple(e["reading"]) for e in group if e.get("reading")}
    asked = tuple(r for r in bench.planner.catalogue.readings if r.key in keys)
    return () if any(r.is_run for r in asked) else asked


def told_already(bench: Bench, findings: Iterable[Finding]) -> frozenset[Key]:
    """Return the readings that only ask people what has been told: asked again they say no more.

    A history is no other after a repair, so it holds in every epoch.
    """
    questions = bench.library.questions
    told = {
        (f.question, f.at)
        for f in findings
        if not f.check
        and f.value
        and not f.one_of
        and f.known_by != "assumed"
        and usually_known(questions[f.question]) == "told"
    }
    return frozenset(
        r.key for r in bench.planner.catalogue.readings if (r.question, r.place) in told
    )


def looked_at(f: Finding) -> tuple[object, ...]:
    """Return what a finding is of: the same looked at again, in the same state, takes its place."""
    return (f.question, f.places, *slot_of(f.state))


def slot_of(state: State) -> tuple[str, tuple[tuple[str, str], ...]]:
    """Return a run state as what is seen in it is told apart by."""
    return state.stage, tuple(sorted(state.settings.items()))


def told_otherwise(bench: Bench, state: JobState, reading: Reading) -> Finding | None:
    """Return what was last told amiss of what is read, in the very state it is read in; or None.

    The new answer takes its place: only the last of one thing in one state counts.
    """
    slot = (reading.question, (reading.place,), *slot_of(reading.state))
    last = None
    for _, f in sorted(state.findings.items()):
        if f.epoch == state.epoch and not f.check and f.value and looked_at(f) == slot:
            last = f
    usual = normal_class(bench.library.questions[reading.question], bench.library)
    return None if last is None or last.known_by != "told" or usual in last.classes else last


def complaints(bench: Bench, findings: Mapping[int, Finding], epoch: int) -> tuple[Finding, ...]:
    """Return what was wrong before ``epoch`` and can be looked at again, each once, in order.

    These are what verification must repeat, in the states they were seen in.
    """
    out: dict[tuple[object, ...], Finding] = {}
    for _, f in sorted(findings.items()):
        if f.check or not f.value or f.epoch >= epoch:
            continue
        question = bench.library.questions[f.question]
        if not _on_the_aeroplane(bench, f.question):
            continue
        if not f.state.known() and question.stages and not seen_at_rest_only(question):
            continue  # nobody knows which state to set up again
        slot = looked_at(f)
        out.pop(slot, None)  # a later answer replaces an earlier one
        if not is_normal(f, bench.library):
            out[slot] = f
    return tuple(out.values())


def _on_the_aeroplane(bench: Bench, question: str) -> bool:
    known = bench.library.questions[question]
    if known.on_paper:
        return False  # what a tank is made of is the same after a repair
    # what is read in any state, as gauge against stick, is looked at where a caution stands to it
    return bool(known.stages or known.gate or known.hazards)
