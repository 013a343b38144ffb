"""Work on the aeroplane: since the last good run, asked and heard, and while a job is open.

The first is asked on the first page and heard in the report, the other typed in at any prompt.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from diagnose.cli.job.mending import keep_rectified, tells_no_work
from diagnose.cli.job.talk import YES_OR_NO, Again, Talk, yes_or_no
from diagnose.cli.loading import part_named
from diagnose.cli.room import wrap
from diagnose.errors import UsageError
from diagnose.job.answers import nothing
from diagnose.job.day.closeout import as_disturbed, opened_by_mending
from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.work_reported import WorkTold, work_in
from diagnose.job.hearing.work_told import says_when, worked_on
from diagnose.job.job import Job
from diagnose.job.wording import cause_words
from diagnose.model import CauseAt, Work

_MOST_NAMED = 6
_AND_NO_WORK = ("at", "the", "each", "every", "all", "both")
"""Words beside a place that tell of no work there."""


def work_done(talk: Talk, job: Job) -> None:
    """Keep the work that the report tells of, where the person says so, and what else was done.

    What is known already, of the aeroplane's own file, is shown and not asked for again.
    """
    before = job.state.before
    if before:
        talk.say("  Known to have been worked on since the last good run:")
        talk.say(x for w in before for x in wrap(work_line(job.bench, w), "      ", "    - "))
    known = {w.at for w in before}
    for told in work_in(str(job.state.opened.get("reported", "")), job.bench):
        there = bool(told.things) and all(len(t) == 1 and t[0] in known for t in told.things)
        if not there and not any(w.what == told.words for w in job.state.before):
            _told(talk, job, told)
    else_ = " else" if job.state.before else ""
    talk.say(
        f"  What{else_} was worked on since the last good run? (what, at which part; Enter: "
        "nothing known)"
    )
    unplaced = ""
    while not nothing(text := talk.ask("    work:", _told_work, own_words=True)):
        if unplaced and _only_a_place(text, job.bench):
            text = f"{unplaced} at {text.removeprefix('at ')}"
        elif text.lower().startswith("at ") and _only_a_place(text, job.bench):
            talk.say("    Say what was done there as well, as: cleaned at its part.")
            continue
        try:
            keep_work(talk, job, text)
            unplaced = ""
        except UsageError as error:
            talk.say(wrap(str(error), "    "))
            unplaced = text
    if unplaced:  # the words are not lost, though nobody said at which part
        job.record("note", text=f"work told, at which part not known: {unplaced}")
        talk.say("    kept as a note; 'record work' puts it at its part.")


def keep_work(talk: Talk, job: Job, text: str) -> None:
    """Keep a work told in free words, once for each part it was done at."""
    _keep(talk, job, _works_in(text, job.bench))


def change_work(talk: Talk, job: Job, number: int) -> None:
    """Ask how the work of entry ``number`` is told rightly; what was told first stays in the log.

    A part alone puts right where it was done.
    """
    old = job.state.worked[number]
    talk.say(wrap(f"Told: {work_line(job.bench, old)}", "  "))
    prompt = "  rightly (what, at which part; 'withdraw' and its number take it away):"

    def read(text: str) -> list[Work]:
        if not text:
            raise UsageError("say what was done, at which part.")
        if _only_a_place(text, job.bench):
            return [Work(old.what, at) for at in _places(text, job.bench)]
        return _works_in(text, job.bench)

    works = talk.ask(prompt, read, own_words=True)
    _keep(talk, job, works, instead_of=number)


def work_line(bench: Bench, work: Work) -> str:
    """Return a work done in one line: what, and where."""
    return f"{work.what}, {bench.places.label(work.at)}"


def _keep(talk: Talk, job: Job, works: Sequence[Work], instead_of: int | None = None) -> None:
    told: list[tuple[str, Mapping[str, object]]] = [
        ("work", {"what": work.what, "place": work.at}) for work in works
    ]
    if instead_of is not None:
        told.insert(0, ("withdrawn", {"of": instead_of}))
    job.record_group(told)
    for work in works:
        talk.say(wrap(f"kept: {work_line(job.bench, work)}", "    "))


def _told(talk: Talk, job: Job, told: WorkTold) -> None:
    label = job.bench.places.label
    clear = told.things and all(len(thing) == 1 for thing in told.things)
    where = "".join(f", {label(thing[0])}" for thing in told.things if clear)
    talk.say(wrap(f"The report tells of work: '{told.words}'{where}.", "    ", "  "))

    def read(text: str) -> None:
        word, _, at = text.partition(" at ")
        if yes_or_no(word) is False or nothing(word):
            return
        if not yes_or_no(word):
            raise UsageError(f"'{text}': type yes, no, or yes and the part, as 'yes at engine'.")
        things = worked_on(at, job.bench) if at else told.things
        _keep(talk, job, [Work(told.words, p) for p in _clear(at or told.words, things, job.bench)])

    prompt = (
        "    Since the last good run, before the trouble came?\n"
        f"    ({YES_OR_NO} / 'yes at' another part; Enter: not known):"
    )
    talk.ask(prompt, read, own_words=True)


def _told_work(text: str) -> str:
    """Return what was typed of work done; a bare yes or number tells none, and is not kept."""
    if not nothing(text) and tells_no_work(text):
        raise UsageError("Say what was worked on, and at which part; Enter: nothing known.")
    return text


def _works_in(text: str, bench: Bench) -> list[Work]:
    """Return the work that free words tell of; raises UsageError where they leave a part open."""
    places = _places(text, bench)
    what, at, behind = text.rpartition(" at ")
    named_behind = (
        at
        and _only_a_place(behind, bench)
        and not says_when(behind)
        and worked_on(what, bench) != tuple((place,) for place in places)
    )
    return [Work(what if named_behind else text, place) for place in places]


def _only_a_place(text: str, bench: Bench) -> bool:
    """Return whether ``text`` answers 'at which?' and tells no work of its own."""
    things = worked_on(text, bench)
    labels = " ".join(bench.places.label(place) for thing in things for place in thing)
    named = set(re.findall(r"\w+", labels.lower()))
    return bool(things) and set(re.findall(r"\w+", text.lower())) <= {*_AND_NO_WORK, *named}


def _places(text: str, bench: Bench) -> list[str]:
    return _clear(text, worked_on(text, bench), bench)


def _clear(text: str, things: Sequence[Sequence[str]], bench: Bench) -> list[str]:
    """Return the part of each thing; raises UsageError where it may be several, or is none."""
    label = bench.places.label
    for thing in things:
        if len(thing) > 1:
            shown = "; ".join(label(p) for p in thing[:_MOST_NAMED])
            raise UsageError(f"'{text}' may mean: {shown}. Say which behind an 'at'.")
    if not things:
        example = next(iter(bench.places.parts_of_kind("strainer")), bench.places.engines[0])
        raise UsageError(
            f"'{text}' names no part of this layout. Say at which, or at aeroplane: "
            f"cleaned at {label(example)}."
        )
    return [thing[0] for thing in things]


LOST = {"drained": "draining", "refuelled": "refuelling", "replaced": "rectifying"}
"""What was done -> the evidence that goes with it; each starts a new epoch."""


def record_work(talk: Talk, job: Job, cause: CauseAt | None, kind: str, where: str) -> None:
    """Keep a draining, a refuelling, a replacement, or a rectification of ``cause``.

    Raises:
        Again: When it was kept; what was read before it may no longer hold.
    """
    if kind == "rectified":
        assert cause is not None
        talk.say(f"  rectified: {cause_words(job.bench, cause)}")
        keep_rectified(talk, job, cause)
        raise Again
    if kind not in LOST:
        said = f"'{kind}' is no such work" if kind else "say what was done"
        raise UsageError(
            f"{said}; type: record drained PART, record refuelled PART, record replaced PART, "
            "or record rectified CAUSE."
        )
    place = part_named(job, where, f"say at which part: record {kind} PART")
    joints = opened_by_mending(job, place) if kind == "replaced" else ()
    opened = [d for joint, _ in joints[:1] for d in as_disturbed(joint, "part exchanged", place)]
    job.record("intervened", what=kind, place=place, lost=LOST[kind], disturbs=opened)
    label = job.bench.places.label(place)
    talk.say(f"  kept: {kind}, {label}. Leak and smell are asked again before any run.")
    if opened:
        talk.say(f"  on the list: part exchanged, {label}; when it is closed again, type: sign")
    raise Again
