"""What was worked on since the last good run: asked on the first page, and heard in the report."""

from __future__ import annotations

from diagnose.cli.job.talk import Talk
from diagnose.cli.room import wrap
from diagnose.errors import UsageError
from diagnose.job.answers import nothing
from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.work_told import place_of_work, says_when, work_in
from diagnose.job.job import Job
from diagnose.model import Work

_MOST_NAMED = 6


def work_done(talk: Talk, job: Job) -> None:
    """Keep the work that the report tells of, where the person says so, and what else was done."""
    for said in work_in(str(job.state.opened.get("reported", ""))):
        if not any(w.what == said for w in job.state.before):
            _told(talk, job, said)
    talk.say(
        "  What was worked on since the last good run? (what, at which part; Enter: nothing known)"
    )
    unplaced = ""
    while not nothing(text := talk.ask("    work:", str, own_words=True)):
        if unplaced and _only_a_place(text, job.bench):
            text = f"{unplaced} at {text.removeprefix('at ')}"
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
    """Keep a work told in free words."""
    work = _work_in(text, job.bench)
    job.record("work", what=work.what, place=work.at)
    talk.say(f"    kept: {work_line(job.bench, work)}")


def change_work(talk: Talk, job: Job, number: int) -> None:
    """Ask how the work of entry ``number`` is told rightly; what was told first stays in the log.

    A part alone puts right where it was done.
    """
    old = job.state.worked[number]
    talk.say(wrap(f"Told: {work_line(job.bench, old)}", "  "))
    prompt = "  rightly (what, at which part; 'withdraw' and its number take it away):"

    def read(text: str) -> Work:
        if not text:
            raise UsageError("say what was done, at which part.")
        if _only_a_place(text, job.bench):
            return Work(old.what, _one_place(text, job.bench))
        return _work_in(text, job.bench)

    work = talk.ask(prompt, read, own_words=True)
    job.record_group(
        [
            ("withdrawn", {"of": number}),
            ("work", {"what": work.what, "place": work.at}),
        ]
    )
    talk.say(f"    kept: {work_line(job.bench, work)}")


def work_line(bench: Bench, work: Work) -> str:
    """Return a work done in one line: what, and where."""
    return f"{work.what}, {bench.places.label(work.at)}"


def _told(talk: Talk, job: Job, said: str) -> None:
    places = place_of_work(said, job.bench)
    where = f", {job.bench.places.label(places[0])}" if len(places) == 1 else ""
    talk.say(wrap(f"The report tells of work: '{said}'{where}.", "    ", "  "))

    def read(text: str) -> None:
        word, _, at = text.partition(" at ")
        if word.lower() in ("no", "n"):
            return
        if word.lower() not in ("yes", "y"):
            raise UsageError(f"'{text}': type yes, no, or yes and the part, as 'yes at engine'.")
        place = _one_place(at or said, job.bench)
        job.record("work", what=said, place=place)
        talk.say(f"    kept: {said}, {job.bench.places.label(place)}")

    talk.ask(
        "    Since the last good run, before the trouble came? (yes / no):", read, own_words=True
    )


def _work_in(text: str, bench: Bench) -> Work:
    """Return the work that free words tell of; raises UsageError where they leave the part open."""
    place = _one_place(text, bench)
    what, at, behind = text.rpartition(" at ")
    named_behind = at and place_of_work(what, bench) != (place,) and not says_when(behind)
    return Work(what if named_behind else text, place)


def _only_a_place(text: str, bench: Bench) -> bool:
    """Return whether ``text`` answers 'at which?' and tells no work of its own."""
    places = place_of_work(text, bench)
    label = bench.places.label(places[0]).lower() if len(places) == 1 else ""
    return bool(label) and set(text.lower().split()) <= {"at", "the", *label.split()}


def _one_place(text: str, bench: Bench) -> str:
    places = place_of_work(text, bench)
    if len(places) == 1:
        return places[0]
    label = bench.places.label
    if places:
        shown = "; ".join(label(p) for p in places[:_MOST_NAMED])
        raise UsageError(f"'{text}' may mean: {shown}. Say which behind an 'at'.")
    example = next(iter(bench.places.parts_of_kind("strainer")), bench.places.engines[0])
    raise UsageError(
        f"'{text}' names no part of this layout. Say at which, or at aeroplane: "
        f"cleaned at {label(example)}."
    )
