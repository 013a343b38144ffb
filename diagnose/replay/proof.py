"""Proof of a failure mode: a case it must rise on, and one of another cause it must not rise on.

From the findings of a case alone, its examination unseen, a cause **fires** when the odds of it at
the part that had it are at least doubled by the findings and at most two other modes of its family
stand above it.  It stays **silent** when the odds are doubled at none of its parts and it is not
among the first ten.  A case of the cause itself, or of a layout where it cannot be, proves no
silence.  (The criterion is ours; common practice, no source.)

Published occurrences prove nothing here: they are kept as judges.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from diagnose.belief import UNKNOWN
from diagnose.job.diagnosis import Bench, Diagnosis
from diagnose.model import Case, Cause, CauseAt, Library
from diagnose.replay.score import accepted

GAIN = 2.0
"""Findings that speak for a cause multiply its odds at least by this."""
FAMILY_ABOVE = 2
"""Other modes of the family that may stand above a cause that fires."""
FIRST = 10
"""Place in the ranking from which on a silent cause may stand."""
MOST_FIRES = 3
"""Cases named as proof that a mode fires, at most."""


@dataclass(frozen=True)
class Stand:
    """Where one cause at one part stands on the findings of a case alone.

    gain: factor on its odds.  rank: 1 best.  family_above: other modes of its family above it.
    """

    gain: float
    rank: int
    family_above: int


@dataclass(frozen=True)
class Alone:
    """A case ranked from its findings alone.

    stands: each cause at each part.  modes: failure mode -> (highest gain, best rank) anywhere.
    """

    case: Case
    truths: frozenset[CauseAt]
    stands: Mapping[CauseAt, Stand]
    modes: Mapping[str, tuple[float, int]]


@dataclass(frozen=True)
class Verdict:
    """Whether a proof holds, and in words why or why not."""

    holds: bool
    why: str


def alone(bench: Bench, case: Case) -> Alone:
    """Return ``case`` ranked on ``bench`` from its findings alone."""
    diagnosis = Diagnosis(bench, case.before, engine=False)
    before = dict(diagnosis.see(()).posterior.ranking())
    ranking = diagnosis.see(case.findings).posterior.ranking()
    known = bench.library.causes
    best: dict[str, dict[str, float]] = {}
    for c, p in ranking:
        if c.cause in known:
            best.setdefault(known[c.cause].family, {}).setdefault(c.cause, p)
    stands: dict[CauseAt, Stand] = {}
    modes: dict[str, tuple[float, int]] = {}
    for rank, (c, p) in enumerate(ranking, start=1):
        if c.cause in known:
            others = best[known[c.cause].family]
            above = sum(q > p + 1e-12 for m, q in others.items() if m != c.cause)
            gain = _odds(p) / _odds(before[c])
            stands[c] = Stand(gain, rank, above)
            most, first = modes.get(c.cause, (gain, rank))
            modes[c.cause] = (max(most, gain), min(first, rank))
    return Alone(case, frozenset(accepted(case)), stands, modes)


def _odds(p: float) -> float:
    p = min(max(p, 1e-12), 1.0 - 1e-12)
    return p / (1.0 - p)


def fires(ranked: Alone, cause: str) -> Verdict:
    """Return whether ``cause`` fires on a case that was its own."""
    mine = [c for c in ranked.truths if c.cause == cause and c in ranked.stands]
    if not mine:
        return Verdict(False, "the case is of another cause")
    at, s = min(((c.at, ranked.stands[c]) for c in mine), key=lambda x: x[1].rank)
    holds = s.gain >= GAIN and s.family_above <= FAMILY_ABOVE
    why = (
        f"odds x{s.gain:.3g} at {at}, rank {s.rank}, {s.family_above} other modes of its family "
        "above it"
    )
    return Verdict(holds, why)


def silent(ranked: Alone, cause: str) -> Verdict:
    """Return whether ``cause`` stays silent on a case of another cause."""
    if any(c.cause == cause for c in ranked.truths):
        return Verdict(False, "the case is of this very cause")
    if cause not in ranked.modes:
        return Verdict(False, f"the cause cannot be on {ranked.case.layout}")
    gain, rank = ranked.modes[cause]
    return Verdict(gain < GAIN and rank > FIRST, f"odds x{gain:.3g} at most, rank {rank}")


@dataclass(frozen=True)
class Proof:
    """The proofs of one cause.

    fires, silent: cases that hold.  failed: its own cases it does not fire on, with why.
    """

    fires: tuple[str, ...]
    silent: tuple[str, ...]
    failed: Mapping[str, str]


def choose(library: Library, ranked: Sequence[Alone]) -> dict[str, Proof]:
    """Return for every cause which of the cases prove it, and on which of its own it fails.

    Silence is asked first of cases of its look-alikes, then of its family, then of others; of
    several the one where it rises most without coming near to firing.
    """
    usable = [r for r in ranked if is_proof(r.case)]
    of: dict[str, list[Alone]] = {}
    for r in usable:
        for c in {t.cause for t in r.truths if t != UNKNOWN}:
            of.setdefault(c, []).append(r)
    return {c.id: _proof_of(c, library, usable, of.get(c.id, ())) for c in library.causes.values()}


def is_proof(case: Case) -> bool:
    """Return whether ``case`` may prove a cause: published occurrences are kept as judges."""
    return case.invented


def _proof_of(
    cause: Cause, library: Library, usable: Sequence[Alone], own: Iterable[Alone]
) -> Proof:
    good: list[tuple[bool, bool, str]] = []
    failed: dict[str, str] = {}
    for r in own:
        verdict = fires(r, cause.id)
        if verdict.holds:
            # what people told comes before what was drawn
            good.append((not _well(r, cause.id), r.case.drawn, r.case.id))
        else:
            failed[r.case.id] = verdict.why
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
    return Proof(tuple(best[:MOST_FIRES]), (quiet[-1],) if quiet else (), failed)


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


@dataclass(frozen=True)
class Held:
    """One proof as replayed: ``side`` is 'fires-on' or 'silent-on'."""

    cause: str
    side: str
    case: str
    verdict: Verdict


def proofs_of(cause: Cause) -> list[tuple[str, str]]:
    """Return (side, case id) of every proof a cause names."""
    return [("fires-on", c) for c in cause.fires_on] + [("silent-on", c) for c in cause.silent_on]


def hold(cause: str, side: str, case: str, ranked: Callable[[str], Alone | None]) -> Held:
    """Return one proof replayed; ``ranked`` gives a case by id, None where there is none."""
    found = ranked(case)
    if found is None:
        return Held(cause, side, case, Verdict(False, "there is no such case"))
    if not is_proof(found.case):
        return Held(cause, side, case, Verdict(False, "a published occurrence is kept as a judge"))
    verdict = fires(found, cause) if side == "fires-on" else silent(found, cause)
    return Held(cause, side, case, verdict)


class Ranked:
    """Cases ranked from their findings alone, each when it is first asked for."""

    def __init__(
        self,
        cases: Iterable[Case],
        benches: Mapping[str, Bench],
        progress: Callable[[str], None] = lambda line: None,
    ) -> None:
        """Hold ``cases``; ``benches`` by layout id."""
        self._cases = {c.id: c for c in cases}
        self._benches = benches
        self._progress = progress
        self._done: dict[str, Alone] = {}

    def __call__(self, case: str) -> Alone | None:
        """Return the case ``case`` ranked, None where there is none on a known layout."""
        found = self._cases.get(case)
        if found is None or found.layout not in self._benches:
            return None
        if case not in self._done:
            self._progress(f"ranking {len(self._done) + 1} of {len(self._cases)}: {case}")
            self._done[case] = alone(self._benches[found.layout], found)
        return self._done[case]

    def of(self, cause: str) -> list[str]:
        """Return the cases that might prove that ``cause`` fires."""
        return [
            c.id
            for c in self._cases.values()
            if is_proof(c) and any(t.cause == cause for t in c.causes)
        ]

    def all(self) -> list[Alone]:
        """Return every case ranked."""
        return [r for c in self._cases if (r := self(c)) is not None]
