"""Measured tests in a job: the filled-in form worked out, and kept with what it found."""

from __future__ import annotations

from datetime import date
from typing import Any

from diagnose.errors import UsageError
from diagnose.job.diagnosis import Bench
from diagnose.job.job import Job
from diagnose.job.keeping.disturbed import entry
from diagnose.job.keeping.finding_data import finding_as_json
from diagnose.job.keeping.log import Unkept
from diagnose.job.measured.fields import FORMS, Filled
from diagnose.job.measured.kinds import WORK
from diagnose.job.measured.trial import Trial
from diagnose.model import Finding, KnownBy


def work_out(bench: Bench, form: Filled, place: str, today: date) -> Trial:
    """Return what a filled-in form says of ``place`` on ``today``.

    Raises:
        UsageError: If the test cannot be at that place, or its figures cannot be true or safe.
    """
    kinds = FORMS[form.kind].at
    part = bench.layout.parts.get(place)
    if part is None or (kinds and part.kind not in kinds):
        there = ", ".join(bench.places.parts_of_kind(kinds)) if kinds else "any part"
        raise UsageError(f"{form.kind} is done at one of: {there}; '{place}' is not one.")
    trial = Trial(bench, form, place, today)
    trial.says = WORK[form.kind](trial)
    return trial


def keep(job: Job, trial: Trial) -> None:
    """Keep a test and what it found: all of it on disk, or nothing of it.

    What a kit past its date gives is 'read', not 'measured'.
    """
    known: KnownBy = "read" if trial.out_of_date else "measured"
    entries: list[Unkept] = [
        (
            "tested",
            {
                "test": trial.form.kind,
                "place": trial.place,
                "fields": dict(trial.form.typed),
                "says": trial.says,
                "out_of_date": trial.out_of_date,
                "disturbs": [
                    entry(kind, what, trial.place, restore)
                    for kind, what, restore in FORMS[trial.form.kind].disturbs
                ],
            },
        )
    ]
    for f in trial.found:
        finding = Finding(
            f.question,
            f.at,
            f.chances[0][0] if f.chances else "",
            f.state,
            known,
            check=f.check,
            number=f.number,
            typed=f.typed,
            epoch=job.state.epoch,
            chances=f.chances if len(f.chances) > 1 else (),
        )
        carries: dict[str, Any] = {"finding": finding_as_json(finding)}
        if f.check:
            carries |= {"check": [f.question, f.at], "as_found": f.typed, "as_left": ""}
        else:
            carries |= {"reading": list(f.reading) if f.reading else None}
            carries |= {"note": "; ".join(trial.lines)}
        entries.append(("checked" if f.check else "answered", carries))
    job.record_group(entries)
