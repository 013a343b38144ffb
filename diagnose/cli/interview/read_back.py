"""Read-back: a new case, as the knowledge sees it and as it would with what he said."""

from __future__ import annotations

from pathlib import Path

from diagnose.capture.asking import Ground
from diagnose.capture.record import Interview, Told
from diagnose.cli.interview.session import ReadBack
from diagnose.cli.job.talk import Talk


def read_back_with(root: Path, interview: Interview, ground: Ground) -> ReadBack:
    """Return what shows a new case before the last question of ``interview``."""

    def show(talk: Talk, told: Told) -> None:
        talk.say("(read back)")

    return show
