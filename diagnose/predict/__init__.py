"""What the fuel-system model predicts for every cause of a layout, as plain arrays for the belief.

``predictions(library, places)`` solves the layout with each cause in each standard run state, or
takes the result from the user's cache, and gives what the belief's hook needs.  Nothing here
knows rules; the belief knows nothing of this.
"""

from __future__ import annotations

from diagnose.how_far import HowFar, untold
from diagnose.model import Evidence, Library
from diagnose.places import Places
from diagnose.predict.dictionary import compile_tables
from diagnose.predict.merge import (
    Figured,
    Numbers,
    Predictions,
    patient_causes,
    standing,
)
from diagnose.predict.solvable import solvable
from diagnose.predict.store import Store, key_of
from diagnose.predict.tables import Tables

__all__ = [
    "Figured",
    "Numbers",
    "Predictions",
    "Store",
    "Tables",
    "compile_tables",
    "predictions",
    "solvable",
]


def predictions(
    library: Library,
    places: Places,
    evidence: Evidence = "both",
    store: Store | None = None,
    progress: HowFar = untold,
) -> Predictions:
    """Return the predictions for the layout of ``places``, from ``store`` where it has them.

    ``progress`` is told (run states done, run states in all) while solving.
    """
    kept = store or Store()
    asked = solvable(library, places.layout, places.cause_instances(library))
    key = key_of(asked)
    tables = kept.get(key)
    if tables is None:
        tables = compile_tables(asked, progress)
        kept.put(key, tables)
    read = {effect for effect, _ in tables.blocks}
    effects = {e.id: e for e in library.effects.values() if e.id in read}
    patient = patient_causes(library, (c for c in tables.causes if c.cause in library.causes))
    return Predictions(
        tables,
        effects,
        places.unstated,
        evidence,
        patient,
        library.questions,
        places.layout,
        standing(library),
    )
