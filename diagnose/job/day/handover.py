"""Handing a job to the next person: what is proved, what is only believed, what is next, beware.

Each line has a key, so that the next person confirms it by initials, one after another.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagnose.aeroplane import open_defects, remarks
from diagnose.errors import UsageError
from diagnose.job.confirming import what_is_confirmed
from diagnose.job.danger import cautions
from diagnose.job.day.closeout import outstanding
from diagnose.job.diagnosis import Step
from diagnose.job.epochs import looked_at
from diagnose.job.explain import word_for
from diagnose.job.job import Job
from diagnose.job.keeping import disturbed
from diagnose.job.keeping.disturbed import initials
from diagnose.job.keeping.events import live
from diagnose.job.keeping.log import Event
from diagnose.job.ranking import conflicts, grouped
from diagnose.job.wording import (
    action_words,
    after_finding,
    cause_words,
    cautions_first,
    finding_line,
)
from diagnose.model import CauseAt
from diagnose.signs import is_normal

HEADS = {
    "proved": "Proved: checked, measured, or found and put right",
    "open": "Disturbed on the aeroplane: open until restored and inspected",
    "beware": "Beware",
    "believed": "Only believed, seen once or told",
    "next": "Next, and why",
}
"""Kind of line -> its heading, in the order they are read."""

MOST_BELIEVED = 4
MOST_TOLD = 8


@dataclass(frozen=True)
class Line:
    """One line of a handover; ``key`` begins with its kind: 'open 12.1'."""

    key: str
    text: str

    @property
    def kind(self) -> str:
        """Return which heading it stands under."""
        return self.key.partition(" ")[0]


def lines(job: Job) -> tuple[Line, ...]:
    """Return the lines of a handover now, in reading order."""
    step = job.step()
    found = [
        *_proved(job, step),
        *_open(job),
        *_beware(job, step),
        *_believed(job, step),
        *_next(job, step),
    ]
    return tuple(sorted(found, key=lambda x: list(HEADS).index(x.kind)))


def _proved(job: Job, step: Step) -> Iterator[Line]:
    for n, f in sorted(job.state.findings.items()):
        if f.check or f.known_by == "measured":
            yield Line(f"proved {n}", finding_line(job.bench, f))
    for cause in job.state.rectified:
        how = "found and rectified" if cause in job.state.part_found else "rectified"
        if cause in job.state.in_vain:
            how = how if cause in job.state.part_found else "mended on a guess"
            how += ", the trouble stayed"
        yield Line(f"proved {cause}", f"{how}: {cause_words(job.bench, cause)}")
    if found := _to_mend(job, step):
        words = cause_words(job.bench, found)
        yield Line(f"proved {found}", f"found by a check, not mended yet: {words}")
    if job.state.phase == "verified":
        yield Line("proved verified", "trouble gone on verification")


def _open(job: Job) -> Iterator[Line]:
    label = job.bench.places.label
    for d in job.state.disturbed.values():
        if d.open:
            yield Line(f"open {d.id}", disturbed.words(d, label(d.place)))


def _beware(job: Job, step: Step) -> Iterator[Line]:
    bench, state = job.bench, job.state
    for k, text in enumerate([*(s.text for s in job.stops(step)), *conflicts(bench, step)]):
        yield Line(f"beware stop-{k}", text)
    for k, text in enumerate(dict.fromkeys(c.text for c in cautions(step, job.put_right))):
        yield Line(f"beware caution-{k}", text)
    for g in job.refused_gates():
        q = bench.library.questions[g.question]
        text = f"no run, no pump: {q.title}, {bench.places.label(g.place)} not known safe"
        yield Line(f"beware {g.question} {g.place}", text)
    if state.joints_open():
        yield Line("beware joints", "no run and no pump: feed or control joints are open")
    if state.leak_due:
        yield Line("beware leak", "leak check not done since a feed part was opened")
    if state.card:
        text = f"run card of {len(state.card['lines'])} lines printed, not read back"
        yield Line("beware card", text)
    for lost, text in evidence_gone(job):
        yield Line(f"beware lost-{lost.replace(' at ', ' ')}", text)
    for key, text in state.not_so.items():
        yield Line(f"beware {key.replace(' ', '-')}", f"not as handed over last time: {text}")
    read = {(f.question, f.at) for f in job.findings if not f.check}
    said = {
        text: at
        for q, at in sorted(read)
        for text in remarks(bench.layout, bench.library.questions[q], at)
    }
    # a defect that stays open is told of whether or not the job has come near it
    said = {**{text: at for at, text in open_defects(bench.layout)}, **said}
    for k, (text, at) in enumerate(said.items()):
        yield Line(f"beware own-{k}", f"{bench.places.label(at)}: {text}")
    notes = [e for e in job.log.events if e["event"] == "note" and e.get("hand_over")]
    for e in notes[-3:]:
        yield Line(f"beware note-{e['n']}", f"{_of_a_shift_before(job, e)}{e['text']}")


def _of_a_shift_before(job: Job, note: Event) -> str:
    """Return who left a note that was taken over since: what it says of next was of then."""
    after = [e for e in job.log.events if e["n"] > note["n"]]
    given = next((e for e in after if e["event"] == "handed-over"), None)
    taken = given and any(e["event"] == "taken-over" and e["n"] > given["n"] for e in after)
    return f"left at the handover by {given['by']}, as it stood then: " if given and taken else ""


def _believed(job: Job, step: Step) -> Iterator[Line]:
    bench = job.bench
    proved = {*step.mended, _to_mend(job, step)}
    likely = grouped(step.posterior, [c for c in proved if c])  # in the words of the screen
    for g in likely[:MOST_BELIEVED]:
        word = word_for(g.probability, likely[0].probability)
        yield Line(f"believed {g.causes[0]}", f"{word}: {g.short(bench)}")
    for e in live(job.log.events):
        if e["event"] == "work":
            at = bench.places.label(e["place"])
            yield Line(f"believed work-{e['n']}", f"worked on before it came: {e['what']}, {at}")
    odd = []
    now = {looked_at(f): n for n, f in sorted(job.state.findings.items()) if f.value}
    for n, f in sorted(job.state.findings.items()):
        if now.get(looked_at(f), n) != n:
            continue  # seen otherwise since: nobody takes over what stands no more
        if f.check or f.known_by == "measured":
            continue
        if not is_normal(f, bench.library) or f.known_by in ("told", "assumed"):
            odd.append((n, f))
    for n, f in odd[-MOST_TOLD:]:
        yield Line(f"believed {n}", finding_line(bench, f))
    left = len(odd) - MOST_TOLD
    if left > 0:
        yield Line("believed more", f"{left} more, told earlier, stand in the record")


def _next(job: Job, step: Step) -> Iterator[Line]:
    if found := _to_mend(job, step):
        yield from _repair(job, step, found)
        return
    if job.state.mended and job.state.phase != "open":
        for k, x in enumerate(outstanding(job)[:6]):
            yield Line(f"next {k}", x.text)
        return
    plan = job.plan(step, deadline=1.0)
    if plan.action is None:
        yield Line("next none", "nothing that can be asked or checked here now would tell more")
        return
    a = plan.action
    if not plan.worth_it:
        told = "no check left is worth its time by what is known; the next one down the ranking:"
        yield Line("next worth", told)
    what = action_words(job.bench, a)
    why = f"about {a.minutes:.0f} min"
    if a.saves > 0:
        why += f"; expected to save {a.saves:.0f} min against working down the ranking"
    yield Line("next action", f"{'engine run: ' if a.is_run else ''}{what} ({why})")


def _to_mend(job: Job, step: Step) -> CauseAt | None:
    """Return the cause that a check has confirmed and that waits to be mended, or None."""
    found = job.found(step)
    if job.state.phase in ("rectified", "verified") and found not in job.state.rectified:
        return None
    return found if found and found.cause in job.bench.library.causes else None


def _repair(job: Job, step: Step, found: CauseAt) -> Iterator[Line]:
    """Yield what is next once a check has confirmed a cause: no other reading, but its repair."""
    cause = job.bench.library.causes[found.cause]
    yield Line("next found", f"a check confirms: {what_is_confirmed(job.bench, step, found)}")
    if named := cautions_first(job.bench, cause):
        yield Line("next cautions", f"cautions first: {named}")
    for name, text in after_finding(job.bench, found):
        if name in ("Rectify", "Verify"):
            yield Line(f"next {name.lower()}", f"{name}: {text}")


# ------------------------------------------------------------------ giving and taking


def give(job: Job, by: str) -> Event:
    """Keep a handover as it stands now.

    Raises:
        UsageError: If one is given already and not all confirmed.
    """
    if job.state.handover:
        raise UsageError(
            f"{len(job.state.handover)} line(s) handed over by {job.state.giver} are not confirmed "
            "yet; confirm them first: `diagnose job handover --confirm`."
        )
    kept = [[x.key, x.text] for x in lines(job)]
    return job.record("handed-over", by=initials(by), lines=kept)


def take(job: Job, key: str, by: str, said: str = "") -> Event:
    """Keep that ``by`` confirms one line, or says what is otherwise.

    Raises:
        UsageError: If the line is not open, or the giver would confirm it.
    """
    if key not in job.state.handover:
        raise UsageError(f"'{key}' is no line of the handover that is still to be confirmed.")
    if initials(by) == job.state.giver:
        raise UsageError(f"{job.state.giver} handed over; the next person confirms.")
    return job.record("taken-over", line=key, by=initials(by), agreed=not said, text=said)


_MOST_PLACES = 3


def evidence_gone(job: Job) -> Iterator[tuple[str, str]]:
    """Yield (the key of a loss, what can be seen no more and by what), each loss once.

    What nothing on this layout would have shown is no loss to tell of.
    """
    told: set[str] = set()
    for e in live(job.log.events):
        for lost in (*e.get("destroys", ()), e.get("lost", "")):
            gone = _shown_no_more(job, lost, e) if lost and lost not in told else ""
            if gone:
                told.add(lost)
                yield lost, f"can be seen no more since {_by(job, e)}: {gone}"


def _shown_no_more(job: Job, lost: str, by: Event) -> str:
    """Return what one loss took away, each with its places, '' for nothing.

    ``by``: what was done; what it showed itself was seen.
    """
    shown = by.get("finding", {})
    itself = (shown.get("question"), shown.get("at"))
    catalogue, library = job.bench.planner.catalogue, job.bench.library
    gone: dict[str, dict[str, None]] = {}
    for r in catalogue.readings:
        if catalogue.gone(r, {lost}) and (r.question, r.place) != itself:
            gone.setdefault(library.questions[r.question].title, {})[r.place] = None
    for check, at in catalogue.checks:
        if catalogue.check_gone(check, at, {lost}):
            gone.setdefault(library.checks[check].title, {})[at] = None
    return "; ".join(f"{title}, {_places(job, list(at))}" for title, at in gone.items())


def _places(job: Job, at: list[str]) -> str:
    label = job.bench.places.label
    named = ", ".join(label(p) for p in at[:_MOST_PLACES])
    left = len(at) - _MOST_PLACES
    return f"{named} and {left} more" if left > 0 else named


def _by(job: Job, e: Event) -> str:
    """Return what was done that took it away, with its entry."""
    library, label = job.bench.library, job.bench.places.label
    if "finding" in e:
        f = e["finding"]
        act = (library.checks if f["check"] else library.questions)[f["question"]].title
        return f"{act}, {label(f['at'])} (entry {e['n']})"
    at = f", {label(e['place'])}" if e.get("place") else ""
    return f"it was {e.get('what') or 'worked on'}{at} (entry {e['n']})"
