"""Work done on the aeroplane while a job is open: typed in by the person, at any prompt."""

from __future__ import annotations

from diagnose.cli.job.mending import keep_rectified
from diagnose.cli.job.talk import Again, Talk
from diagnose.cli.loading import part_named
from diagnose.errors import UsageError
from diagnose.job.day.closeout import as_disturbed, opened_by_mending
from diagnose.job.job import Job
from diagnose.job.wording import cause_words
from diagnose.model import CauseAt

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
    joint = opened_by_mending(job, place)[0] if kind == "replaced" else ""
    opened = as_disturbed(joint, "part exchanged", place)
    job.record("intervened", what=kind, place=place, lost=LOST[kind], disturbs=opened)
    label = job.bench.places.label(place)
    talk.say(f"  kept: {kind}, {label}. Leak and smell are asked again before any run.")
    if opened:
        talk.say(f"  on the list: part exchanged, {label}; when it is closed again, type: sign")
    raise Again
