"""Findings and states in the words of the trade, for every screen and paper."""

from __future__ import annotations

from diagnose.job.diagnosis import Bench
from diagnose.model import STAGES, Finding, State


def state_words(state: State) -> str:
    """Return a run state in words, '' when nothing was stated."""
    parts = [state.stage] if state.stage else []
    # the stage says the power already
    implied = ("power", STAGES.get(state.stage, ""))
    parts += [f"{d} {v}" for d, v in state.settings.items() if (d, v) != implied]
    return ", ".join(parts)


def finding_line(bench: Bench, finding: Finding) -> str:
    """Return one finding in one line: what, where, the answer, the state, how it is known."""
    library = bench.library
    if finding.check:
        check = library.checks[finding.question]
        title, answer = check.title, check.results.get(finding.value, finding.value)
    else:
        question = library.questions[finding.question]
        title, answer = question.title, question.classes.get(finding.value, finding.value)
    if not finding.value:
        answer = "not checked"
    figure = f" ({finding.typed})" if finding.typed else ""
    state = state_words(finding.state)
    others = ", the others normal" if finding.others_normal else ""
    return (
        f"{title}, {bench.places.label(finding.at)}: {answer}{figure}{others}"
        + (f" [{state}]" if state else "")
        + f" ({finding.known_by})"
    )
