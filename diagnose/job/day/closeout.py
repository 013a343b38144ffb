"""From the part found to a finished job: what is still to be done, and signing for it.

*Part found* is a state of the diagnosis; *finished* is a state of the aeroplane: everything
disturbed restored, feed and control joints seen by a second person, leak-checked before the
cowling, the trouble verified gone as it was reported, the follow-up answered, flights watched.
The tool certifies nothing; initials say who did or saw a thing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from diagnose.errors import UsageError
from diagnose.job.elsewhere import as_fitted
from diagnose.job.job import Job
from diagnose.job.keeping import disturbed
from diagnose.job.keeping.disturbed import Disturbed, initials
from diagnose.job.keeping.log import Event
from diagnose.job.wording import cause_words, hazards_of_mending
from diagnose.knowledge_files.vocabulary import CARRIES_FUEL, CONTROLS, PAPER
from diagnose.model import DISTURBED, CauseAt

OPEN_FUEL_PART = "open-fuel-part"
"""The hazard of whatever opens a line or a part with fuel in it."""

FOLLOW_UPS = {
    "root-question": "Why did it fail",
    "harm-done": "Harm done elsewhere by it",
    "same-elsewhere": "The same looked for elsewhere",
    "part-kept": "Part and sample kept, bagged and labelled: where, or that nothing came off",
    "occurrence-report": "Occurrence report considered: who decides, what was decided",
}
"""What is asked after a part is found, by item (common practice; what must be reported is in the
rules of the place, and the person responsible decides)."""

NOT_LOOKED_AT = ("not checked", "not looked at", "not looked", "not done", "not yet", "0", "-")
"""What leaves a follow-up open. 'not known' is an answer: some parts keep their reason."""

TOLD_IN_WORDS = ("root-question", "part-kept", "occurrence-report")
"""Of these it is asked why, where or who: a bare no says none of it, as a bare yes does of none."""


@dataclass(frozen=True)
class Outstanding:
    """One thing still to be done; ``item`` names what is signed for, '' where that is a run.

    ``hint``: what the knowledge says of it.
    """

    step: str
    text: str
    item: str = ""
    hint: str = ""


_LAST = ("test-gear", "tool", "panel")
"""What is put right last, in this order: tools are counted before a panel shuts them in."""


def outstanding(job: Job) -> tuple[Outstanding, ...]:
    """Return what is still to be done before the job is finished, in the order it is done."""
    return (*_to_close(job), *_to_prove(job))


def _to_close(job: Job) -> Iterator[Outstanding]:
    """Yield what the aeroplane needs, whatever came of the diagnosis."""
    label, state = job.bench.places.label, job.state
    items = sorted(
        state.disturbed.values(), key=lambda d: _LAST.index(d.kind) if d.kind in _LAST else -1
    )
    # a cap or a lock is back before anything is put under pressure; tools are used to the end
    first = [d for d in items if d.bars_a_run and not d.joint and d.kind != "tool"]

    def say(d: Disturbed) -> str:
        how = f" (by: {d.restore})" if d.restore and not d.restored else ""
        return disturbed.words(d, label(d.place)) + how

    yield from (Outstanding("restore", say(d), d.id) for d in items if d.joint and not d.restored)
    yield from (
        Outstanding("inspect", say(d), d.id)
        for d in items
        if d.joint and d.restored and not d.inspected
    )
    yield from (Outstanding("restore", say(d), d.id) for d in first)
    if state.leak_due:
        yield Outstanding(
            "leak-check", "leak check before any cowling or panel is closed: not done, or not dry"
        )
    yield from (
        Outstanding("restore", say(d), d.id)
        for d in items
        if not d.joint and not d.restored and d not in first
    )


def _to_prove(job: Job) -> Iterator[Outstanding]:
    """Yield what a part that was found and rectified still asks for."""
    state = job.state
    if not state.rectified:
        return
    if state.phase not in ("verified", "finished"):
        yield Outstanding("verify", "verification in the state and conditions of the report")
    if not state.mended:
        return
    # why a part failed is asked of every part that a check found bad, though it was not the whole
    # of it; of what was mended in vain without a check there is nothing to ask
    for cause in (*state.mended, *_found_besides(job)):
        known = as_fitted(job.bench, cause)
        hints = {
            "root-question": known.root_question,
            "harm-done": known.harm,
            "same-elsewhere": known.also_look,
        }
        for item, words in FOLLOW_UPS.items():
            if item == "part-kept" and of_paper(job, cause):
                continue
            key = follow_key(item, cause)
            if key not in state.followed:
                text = f"{words} - {cause_words(job.bench, cause)}"
                yield Outstanding("follow-up", text, key, hints.get(item, ""))
    if state.flights is None:
        yield Outstanding("watch", "say for how many flights the repair is watched (0: for none)")
    elif state.flown < state.flights:
        yield Outstanding(
            "fly", f"watched flights: {state.flown} of {state.flights} flown and clear"
        )


def _found_besides(job: Job) -> list[CauseAt]:
    """Return what a check found bad and was mended, and was not the trouble of the report."""
    return sorted(job.state.in_vain & job.state.part_found, key=str)


def follow_key(item: str, cause: CauseAt) -> str:
    """Return the key of one follow-up of one cause."""
    return f"{item} {cause}"


# ------------------------------------------------------------------ signing


def disturb(job: Job, kind: str, what: str, place: str, restore: str = "") -> Event:
    """Keep something a person disturbed that no check tells of.

    Raises:
        UsageError: If there is no such kind, or nothing is said.
    """
    if kind not in DISTURBED:
        raise UsageError(f"'{kind}' is no kind of disturbance; there are {', '.join(DISTURBED)}.")
    if not what.strip():
        raise UsageError("say what is disturbed in a few words.")
    said = disturbed.entry(kind, what.strip(), place, restore)
    return job.record("disturbed", disturbs=[said])


def opened_by_mending(job: Job, place: str) -> tuple[tuple[str, str], ...]:
    """Return the kinds of joint that mending at ``place`` may open, each with what to call it.

    A cock is a part with fuel in it and a control as well: re-rigged, no line was opened.  What a
    check opened there and nobody closed stands on the list already.
    """
    parts = job.bench.layout.parts
    kind = parts[place].kind if place in parts else ""
    listed = {d.kind for d in job.state.disturbed.values() if d.place == place and d.open}
    may = []
    if kind in CARRIES_FUEL and "line" not in listed:
        may.append(("line", "opened to be mended"))
    if kind in CONTROLS and not listed & {"line", "control"}:
        may.append(("control", "worked on to be mended"))
    return tuple(may)


def opens_other_parts(job: Job, cause: CauseAt) -> bool:
    """Return whether mending ``cause`` opens fuel parts and its own part is none of them.

    Fuel has no joint of its own, but dirt in it is cleaned out of strainers and screens.
    """
    return _kind(job, cause) not in CARRIES_FUEL and opens_fuel_parts(job, cause)


def opens_fuel_parts(job: Job, cause: CauseAt) -> bool:
    """Return whether to mend ``cause`` opens a fuel part, by what the knowledge has minded first.

    A placard fitted, a handle moved or a pump used as the drill says opens none.
    """
    known = job.bench.library.causes[cause.cause]
    return OPEN_FUEL_PART in hazards_of_mending(job.bench, known)


def of_paper(job: Job, cause: CauseAt) -> bool:
    """Return whether ``cause`` is put right with the pen: nothing is opened, nothing comes off."""
    return _kind(job, cause) in PAPER


def _kind(job: Job, cause: CauseAt) -> str:
    parts = job.bench.layout.parts
    return parts[cause.at].kind if cause.at in parts else ""


def as_disturbed(kind: str, what: str, place: str) -> list[dict[str, str]]:
    """Return one disturbance as an event keeps it; none where ``kind`` is ''."""
    return [disturbed.entry(kind, what, place, "refitted by the approved data")] if kind else []


def restore(job: Job, item: str, by: str) -> Event:
    """Keep who restored an item.

    Raises:
        UsageError: If it is not open, or a panel would be closed over what was not leak-checked.
    """
    found = _item(job, item)
    if found.restored:
        raise UsageError(f"{item} was restored by {found.restored} already.")
    waiting = [d for d in job.state.disturbed.values() if d.joint and d.open]
    if found.kind == "panel" and (waiting or job.state.leak_due):
        raise UsageError(
            "no panel is closed before the joints behind it are restored, seen by a second person "
            "and leak-checked."
        )
    return job.record("restored", item=item, by=initials(by))


def inspect(job: Job, item: str, by: str) -> Event:
    """Keep who else looked at a feed or control joint.

    Raises:
        UsageError: If it is no joint, not restored, or the same person did both.
    """
    found = _item(job, item)
    if not found.joint:
        raise UsageError(f"{item} is no feed or control joint; its restoring is enough.")
    if not found.restored:
        raise UsageError(f"{item} is not restored yet; it is inspected after that.")
    if initials(by) == found.restored:
        raise UsageError(
            f"{found.restored} restored it; an independent inspection takes another person."
        )
    return job.record("inspected", item=item, by=initials(by))


def leak_check(job: Job, dry: bool, by: str) -> Event:
    """Keep a leak check, by the approved data, before a cowling or panel is closed.

    Raises:
        UsageError: If a joint is still open or not inspected.
    """
    waiting = [d.id for d in job.state.disturbed.values() if d.joint and d.open]
    if waiting:
        raise UsageError(f"first restore and inspect: {', '.join(waiting)}.")
    return job.record("leak-checked", dry=dry, by=initials(by))


def follow_up(job: Job, key: str, text: str, by: str) -> Event:
    """Keep the answer to a follow-up; 'none found' and 'not applicable' are answers.

    Raises:
        UsageError: If it tells nothing: what was not looked at is looked at later.
    """
    if not text.strip():
        raise UsageError("say it in a few words; 'none found' is an answer, nothing is not.")
    if text.strip(" .!").lower() in NOT_LOOKED_AT:
        raise UsageError(f"'{text}' leaves it open; type it when it is known, now 'later'.")
    item = key.partition(" ")[0]
    bare = text.strip(" .!").lower()
    if bare in ("yes", "y") or (item in TOLD_IN_WORDS and bare in ("no", "n")):
        raise UsageError(f"'{text}' does not tell it: {FOLLOW_UPS[item].lower()}.")
    return job.record("followed-up", item=key, text=text.strip(), by=initials(by))


def flight(job: Job, clear: bool, by: str, text: str = "") -> Event:
    """Keep one watched flight.

    Raises:
        UsageError: If none are watched.
    """
    if not job.state.flights:
        raise UsageError("no flights are watched in this job; `diagnose job close` asks how many.")
    return job.record("flown", clear=clear, by=initials(by), text=text)


def finish(job: Job, outcome: str) -> Event:
    """Close the job.

    Raises:
        UsageError: If anything is outstanding; a job not isolated needs the aeroplane closed.
    """
    left = outstanding(job) if outcome.startswith("confirmed") else tuple(_to_close(job))
    if left:
        listed = "\n".join(f"  {x.item or x.step}: {x.text}" for x in left)
        raise UsageError(f"the job is not finished while this is open:\n{listed}")
    return job.record("finished", outcome=outcome)


def finish_if_proved(job: Job) -> bool:
    """Close a job verified gone when its last line is signed; return whether it is closed."""
    if job.state.phase == "verified" and not outstanding(job):
        finish(job, proved(job))
    return job.state.phase == "finished"


def proved(job: Job) -> str:
    """Return the outcome of a job whose trouble is gone."""
    return _with_what_failed(job, f"confirmed: {_named(job, job.state.mended)}")


def unproved(job: Job, outcome: str) -> str:
    """Return another outcome, with what was mended meanwhile."""
    mended = _named(job, job.state.mended)
    return _with_what_failed(job, f"{outcome}. Mended: {mended}" if mended else outcome)


def _with_what_failed(job: Job, outcome: str) -> str:
    besides = _found_besides(job)
    if named := _named(job, besides):
        outcome = f"{outcome}. Found and mended besides: {named}"
    vain = _named(job, sorted(job.state.in_vain.difference(besides), key=str))
    return f"{outcome}. Mended, and did not cure: {vain}" if vain else outcome


def _named(job: Job, causes: Iterable[CauseAt]) -> str:
    return "; ".join(cause_words(job.bench, c) for c in causes)


def _item(job: Job, item: str) -> Disturbed:
    found = job.state.disturbed.get(item)
    if found is None:
        there = ", ".join(d.id for d in job.state.disturbed.values() if d.open) or "none"
        raise UsageError(f"'{item}' is no item of the list; open: {there}.")
    return found
