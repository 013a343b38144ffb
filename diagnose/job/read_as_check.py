"""A reading that is the very act of a check: taken once, it need not be made again to settle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from diagnose.job.job import Job
from diagnose.job.keeping.finding_data import finding_as_json
from diagnose.job.keeping.log import Event, Unkept
from diagnose.model import Finding


def read_before(job: Job, check: str, places: Sequence[str]) -> list[tuple[str, int, Finding]]:
    """Return, for each of ``places``, the reading that shows what ``check`` would; [] unless all.

    Each is the part, the number of its entry and the finding: taken here since the last repair,
    one class of the results, and not only told of.
    """
    known = job.bench.library.checks[check]
    same = known.same_as
    out = []
    for at in places if same else ():
        read = [
            (n, f)
            for n, f in sorted(job.state.findings.items())
            if f.question == same
            and not f.check
            and f.at == _read_at(job, same, at)
            and f.epoch == job.state.epoch
            and f.known_by not in ("told", "assumed")
        ]
        if not read or not known.shown_by(read[-1][1].value):
            return []
        out.append((at, *read[-1]))
    return out


def count_as_check(job: Job, check: str, read: Sequence[tuple[str, int, Finding]]) -> list[Event]:
    """Keep readings as what ``check`` showed: each counts once, as the check and no more besides.

    What was opened to read them stands on the list already.
    """
    entries: list[Unkept] = []
    for at, n, f in read:
        value = job.bench.library.checks[check].shown_by(f.value)
        shown = Finding(check, at, value, known_by=f.known_by, check=True, epoch=f.epoch)
        kept = {
            "finding": finding_as_json(replace(shown, typed=f.typed)),
            "check": [check, at],
            "as_found": f"as read, entry {n}",
            "as_left": "",
            "destroys": [],
            "disturbs": [],
            "access": "",
        }
        entries.append(("withdrawn", {"of": n, "why": "counted as the check"}))
        entries.append(("checked", kept))
    return job.record_group(entries)


def as_if_read(job: Job) -> tuple[Finding, ...]:
    """Return what was found, with what a check showed told as the reading it is the act of.

    The rules know readings: water that came in the check is no less water before a run.
    """
    checks = job.bench.library.checks
    same = {c: k.same_as for c, k in checks.items() if k.same_as}
    return tuple(
        replace(f, question=q, at=_read_at(job, q, f.at), check=False)
        if f.check and (q := same.get(f.question, "")) and not checks[f.question].same_classes
        else f
        for f in job.step().read
    )


def _read_at(job: Job, question: str, at: str) -> str:
    """Return where ``question`` is read for a check ``at`` a part: there, or what it hangs on."""
    layout, kinds = job.bench.layout, job.bench.library.questions[question].at
    while at in layout.parts and layout.parts[at].kind not in kinds:
        at = layout.parts[at].of
    return at
