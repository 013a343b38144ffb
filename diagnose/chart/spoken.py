"""Whether findings speak for a cause: on paper it is blamed for what it does, not for its kind.

What fails often stands high in any ranking, whatever was found.  A person with the paper alone
reads a list as 'this gives that', so a cause that the findings do not lift is not told as one.
"""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.job.diagnosis import Diagnosis
from diagnose.model import CauseAt

LIFTED = 1.2
"""A cause at least this many times as likely as before anything was found is spoken for; what
lifts it by less tells nobody anything (no source)."""


class Spoken:
    """How likely each cause was before anything was found, to hold a ranking against."""

    def __init__(self, diagnosis: Diagnosis) -> None:
        """Take the belief without findings; ``diagnosis`` can be asked anything afterwards."""
        self._before: Mapping[CauseAt, float] = dict(diagnosis.see(()).posterior.ranking())

    def for_(self, cause: CauseAt, belief: float) -> bool:
        """Return whether what was found speaks for ``cause``, now believed at ``belief``."""
        return belief >= LIFTED * self._before[cause]
