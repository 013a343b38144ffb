"""The other engines: whether what is told of one engine alone was looked at on the others."""

from __future__ import annotations

from dataclasses import replace

from diagnose.cli.job.talk import YES_OR_NO, Talk, yes_or_no
from diagnose.cli.room import wrap
from diagnose.errors import UsageError
from diagnose.job.answers import is_not_checked
from diagnose.job.diagnosis import Bench
from diagnose.job.job import Job
from diagnose.job.keeping.finding_data import finding_as_json
from diagnose.model import Finding
from diagnose.signs import normal_class


def other_engines(talk: Talk, job: Job) -> None:
    """Ask once whether the other engines were normal where trouble is told of one of them.

    One engine alone, or all that drink from one tank: nothing divides the system so cheaply.  What
    was told is on disk already; a yes is kept with it.
    """
    bench = job.bench
    engines = set(bench.places.engines)
    named = {p for f in job.findings for p in f.places} & engines
    trouble = {n: f for n, f in job.state.findings.items() if _trouble(bench, f)}
    told_of = [f for _, f in sorted(trouble.items())]
    told = any(f.others_normal or len(f.places) > 1 for f in job.findings)
    if len(engines) < 2 or len(named) != 1 or told or not trouble:
        return

    def read(text: str) -> bool:
        if (said := yes_or_no(text)) is not None:
            if not said:
                talk.say("    Say of each what it showed: type 'add' at any prompt.")
            return said
        if text and not is_not_checked(text):
            raise UsageError(f"'{text}': type yes or no, or Enter where it is not known.")
        return False

    rest = "Was the other engine" if len(engines) == 2 else "Were the other engines"
    # with trouble of another kind told of another engine, 'normal' must say in what
    of = ", ".join(dict.fromkeys(bench.library.questions[f.question].title for f in told_of))
    asked = f"{rest} looked at as well, and normal: {of}? ({YES_OR_NO}; Enter: not known):"
    if talk.ask("\n".join(wrap(asked, "    ", "  ")), read):
        job.record_group(
            [
                ("changed", {"of": n, "finding": finding_as_json(replace(f, others_normal=True))})
                for n, f in sorted(trouble.items())
            ]
        )


def _trouble(bench: Bench, finding: Finding) -> bool:
    """Return whether ``finding`` tells of something wrong at an engine while it was watched."""
    if finding.check:
        return False
    q = bench.library.questions[finding.question]
    normal = normal_class(q, bench.library)
    watched = "engine" in q.at and bool(q.stages) and not q.gate
    return watched and finding.surely_not(normal)
