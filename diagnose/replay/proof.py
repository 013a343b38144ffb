"""Proof of a failure mode: a case it must rise on, and one of another cause it must not rise on.

From the findings of a case alone, its examination unseen, a cause **fires** when the odds of it at
the part that had it are at least doubled by the findings and at most two other modes of its family
stand above it.

Some modes look like others from outside whatever is asked; only a check at the part tells them
apart.  Where no case fires such a cause, one may **settle** it: the findings do not speak against
it, and with what the examination of the case showed it stands first of everything, as likely as all
else together.  A check whose result confirms a look-alike as well settles nothing.  It is the
weaker proof, is named apart (``settled-on``) and counted apart, so that no cause slips into it.

A cause stays **silent** when the odds are doubled at none of its parts and it is not
among the first ten.  A case of the cause itself, or of a layout where it cannot be, proves no
silence.  (The criterion is ours; common practice, no source.)

Published occurrences prove nothing here: they are kept as judges.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from diagnose.belief import odds
from diagnose.job.diagnosis import Bench, Diagnosis
from diagnose.model import Case, Cause, CauseAt
from diagnose.replay.score import accepted

GAIN = 2.0
"""Findings that speak for a cause multiply its odds at least by this."""
FAMILY_ABOVE = 2
"""Other modes of the family that may stand above a cause that fires."""
FIRST = 10
"""Place in the ranking from which on a silent cause may stand."""
SETTLED = 0.5
"""Probability from which on a check has settled a cause: as likely as all else together."""


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
    first: with the examination too, what stands first and its probability; None where none is told.
    """

    case: Case
    truths: frozenset[CauseAt]
    stands: Mapping[CauseAt, Stand]
    modes: Mapping[str, tuple[float, int]]
    first: tuple[CauseAt, float] | None = None


@dataclass(frozen=True)
class Verdict:
    """Whether a proof holds, and in words why or why not."""

    holds: bool
    why: str


def alone(bench: Bench, case: Case) -> Alone:
    """Return ``case`` ranked on ``bench`` from its findings alone, and what its checks leave."""
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
            gain = odds(p) / odds(before[c])
            stands[c] = Stand(gain, rank, above)
            most, first = modes.get(c.cause, (gain, rank))
            modes[c.cause] = (max(most, gain), min(first, rank))
    if not case.examination:
        return Alone(case, frozenset(accepted(case)), stands, modes)
    examined = diagnosis.see([*case.findings, *case.examination]).posterior.ranking()
    return Alone(case, frozenset(accepted(case)), stands, modes, examined[0])


def fires(ranked: Alone, cause: str) -> Verdict:
    """Return whether ``cause`` fires on a case that was its own."""
    mine = _own(ranked, cause)
    if mine is None:
        return Verdict(False, "the case is of another cause")
    at, s = mine
    holds = s.gain >= GAIN and s.family_above <= FAMILY_ABOVE
    why = (
        f"odds x{s.gain:.3g} at {at}, rank {s.rank}, {s.family_above} other modes of its family "
        "above it"
    )
    return Verdict(holds, why)


def settled(ranked: Alone, cause: str) -> Verdict:
    """Return whether the examination of a case that was its own settles ``cause``."""
    mine = _own(ranked, cause)
    if mine is None:
        return Verdict(False, "the case is of another cause")
    at, s = mine
    if ranked.first is None:
        return Verdict(False, "the case tells no check")
    first, p = ranked.first
    holds = s.gain >= 1.0 and first == CauseAt(cause, at) and p >= SETTLED
    return Verdict(holds, f"odds x{s.gain:.3g} at {at}; with its checks {first} is first, {p:.2f}")


def _own(ranked: Alone, cause: str) -> tuple[str, Stand] | None:
    """Return the part of ``cause`` that had it and how it stands there, the best of several."""
    mine = [
        (c.at, ranked.stands[c]) for c in ranked.truths if c.cause == cause and c in ranked.stands
    ]
    return min(mine, key=lambda x: x[1].rank, default=None)


def silent(ranked: Alone, cause: str) -> Verdict:
    """Return whether ``cause`` stays silent on a case of another cause."""
    if any(c.cause == cause for c in ranked.truths):
        return Verdict(False, "the case is of this very cause")
    if cause not in ranked.modes:
        return Verdict(False, f"the cause cannot be on {ranked.case.layout}")
    gain, rank = ranked.modes[cause]
    return Verdict(gain < GAIN and rank > FIRST, f"odds x{gain:.3g} at most, rank {rank}")


def is_proof(case: Case) -> bool:
    """Return whether ``case`` may prove a cause: published occurrences are kept as judges."""
    return case.invented or case.told


@dataclass(frozen=True)
class Held:
    """One proof as replayed: ``side`` is 'fires-on', 'settled-on' or 'silent-on'."""

    cause: str
    side: str
    case: str
    verdict: Verdict


def proofs_of(cause: Cause) -> list[tuple[str, str]]:
    """Return (side, case id) of every proof a cause names."""
    return [(side, case) for side, cases in cause.proofs.items() for case in cases]


def hold(cause: str, side: str, case: str, ranked: Callable[[str], Alone | None]) -> Held:
    """Return one proof replayed; ``ranked`` gives a case by id, None where there is none."""
    found = ranked(case)
    if found is None:
        return Held(cause, side, case, Verdict(False, "there is no such case"))
    if not is_proof(found.case):
        return Held(cause, side, case, Verdict(False, "a published occurrence is kept as a judge"))
    judge = {"fires-on": fires, "settled-on": settled, "silent-on": silent}[side]
    return Held(cause, side, case, judge(found, cause))


def replayed(causes: Sequence[Cause], ranked: Ranked) -> tuple[list[Held], list[Held]]:
    """Return every proof that ``causes`` name as replayed, and what else was tried in vain.

    The second are the own cases of causes that nothing proves: why each of them does not.
    """
    held = [hold(c.id, side, case, ranked) for c in causes for side, case in proofs_of(c)]
    proved = {h.cause for h in held if h.side != "silent-on" and h.verdict.holds}
    unproved = [c.id for c in causes if c.id not in proved]
    return held, [hold(c, "fires-on", case, ranked) for c in unproved for case in ranked.of(c)]


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
