"""One aeroplane by its registration: what its file says of a job, and how its readings move.

Nothing here decides: it tells dates passed, revisions that differ and defects the papers list.
"""

from diagnose.aeroplane.standing import (
    RECENT_DAYS,
    known_defects,
    open_defects,
    recent_work,
    remarks,
    since_when,
    suspected_defects,
    warnings,
)

__all__ = [
    "RECENT_DAYS",
    "known_defects",
    "open_defects",
    "recent_work",
    "remarks",
    "since_when",
    "suspected_defects",
    "warnings",
]
