"""Which cases prove a cause: chosen among all that do, what people told before what was drawn."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from diagnose.belief import UNKNOWN
from diagnose.by_key import by_key
from diagnose.model import Cause, Library
from diagnose.replay.proof import FAMILY_ABOVE, FIRST, GAIN, Alone, fires, is_proof, settled, silent

MOST_FIRES = 3
"""Cases named as proof that a mode fires, at most."""


@dataclass(frozen=True)
class Proof:
    """The proofs of one cause.

    fires, silent: cases that hold.  settled: cases whose checks settle it, where none fires it.
    failed: its own cases it does not fire on, with why.
    """

    fires: tuple[str, ...]
    silent: tuple[str, ...]
    settled: tuple[str, ...]
    failed: Mapping[str, str]


def choose(library: Library, ranked: Sequence[Alone]) -> dict[str, Proof]:
    """Return for every cause which of the cases prove it, and on which of its own it fails.

    Silence is asked first of cases of its look-alikes, then of its family, then of others; of
    several the one where it rises most without coming near to firing.
    """
    usable = [r for r in ranked if is_proof(r.case)]
    of = by_key((c, r) for r in usable for c in {t.cause for t in r.truths if t != UNKNOWN})
    return {c.id: _proof_of(c, library, usable, of.get(c.id, ())) for c in library.causes.values()}


def _proof_of(
    cause: Cause, library: Library, usable: Sequence[Alone], own: Iterable[Alone]
) -> Proof:
    good: list[tuple[bool, bool, str]] = []
    failed: dict[str, str] = {}
    by_check: list[tuple[float, str]] = []
    for r in own:
        verdict = fires(r, cause.id)
        if verdict.holds:
            # what people told comes before what was drawn
            good.append((not _well(r, cause.id), r.case.drawn, r.case.id))
        else:
            failed[r.case.id] = verdict.why
            if r.first is not None and settled(r, cause.id).holds:
                by_check.append((-r.first[1], r.case.id))
    # one that barely fires is named only where there is no better
    best = [case for close, _, case in sorted(good) if not close] or [c for _, _, c in sorted(good)]
    quiet: tuple[bool, bool, int, float, str] | None = None
    for r in usable:
        if silent(r, cause.id).holds:
            gain, rank = r.modes[cause.id]
            near = _nearness(cause, library, r)
            close = gain > 1.0 or rank <= 2 * FIRST
            key = (near > 1, close, near, -round(gain, 6), r.case.id)
            quiet = min(quiet, key) if quiet else key
    checked = [] if best else [case for _, case in sorted(by_check)]
    return Proof(
        tuple(best[:MOST_FIRES]),
        (quiet[-1],) if quiet else (),
        tuple(checked[:MOST_FIRES]),
        failed,
    )


def _well(ranked: Alone, cause: str) -> bool:
    """Return whether a cause that fires does so by a margin that survives small changes."""
    mine = [s for c, s in ranked.stands.items() if c.cause == cause and c in ranked.truths]
    return any(s.gain >= 2 * GAIN and s.family_above < FAMILY_ABOVE for s in mine)


def _nearness(cause: Cause, library: Library, ranked: Alone) -> int:
    """Return 0 for a case of a look-alike, 1 of the family, 2 of the kind of part, else 3."""
    truths = [library.causes[t.cause] for t in ranked.truths if t.cause in library.causes]
    if {t.id for t in truths} & {x.cause for x in cause.look_alikes}:
        return 0
    if any(t.family == cause.family for t in truths):
        return 1
    return 2 if any(set(t.part_kinds) & set(cause.part_kinds) for t in truths) else 3
