"""Jobs drawn from the knowledge itself: what is reported, what is asked then, and how it ranks.

Two ways of reporting.  *Looked at*: one to four readings, likelier the more they tell; kept when
at least one is not normal; what was normal is told too.  Then the rankings should be calibrated,
since what is told depends on nothing the belief does not see.  *Only what is wrong*: of what a
person looks over, up to four things that are not normal, as people do report; the belief does not
know that the rest was looked at.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping, Sequence

import numpy as np

from diagnose.belief import Belief
from diagnose.belief.hypotheses import Floats
from diagnose.casebook.worlds import World, Worlds
from diagnose.errors import UsageError
from diagnose.how_far import HowFar, untold
from diagnose.job.diagnosis import Bench
from diagnose.merit.scores import Standing, standing, summary
from diagnose.merit.telling import Telling
from diagnose.model import Finding, KnownBy
from diagnose.planner import Key, Reading
from diagnose.signs import is_normal

REPORTED = 4
"""Most findings in an opening report."""
ASKED = 6
"""Readings asked for after the report."""
LOOKED_OVER = 40
"""Readings a person looks over before reporting only what is wrong."""
TRIES = 500
"""Worlds drawn before giving up on one with something to report."""
PAIRED = 80
"""Causes taken into pairs here; against the 400 of a job the largest difference of any probability
was .013 and no first cause changed (100 drawn jobs on two layouts), at a quarter of the time."""

_NOTHING = "in {} draws nothing was wrong on '{}'; its run states allow too few readings."


class Drawn:
    """Draws and ranks jobs on one layout."""

    def __init__(self, bench: Bench, seed: int) -> None:
        """Compile what is needed; the same ``seed`` gives the same jobs."""
        self.bench = bench
        self.rng = np.random.default_rng([seed, zlib.crc32(bench.layout.id.encode())])
        self.belief = Belief(bench.net, paired=PAIRED)
        self.worlds = Worlds(bench.net, self.belief.prior, self.rng)
        self.telling = Telling(bench, self.belief)
        gain = self.telling.gain(self.belief.prior.prior)
        self._weight = gain / gain.sum()

    def report(self, *, only_wrong: bool = False) -> tuple[World, dict[Key, Finding]]:
        """Return a world with one to four findings, at least one of them not normal.

        ``only_wrong``: of many looked at, only what is not normal is reported.

        Raises UsageError when the layout has too few readings to show anything wrong.
        """
        for _ in range(TRIES):
            world = self.worlds.draw()
            count = int(self.rng.integers(1, REPORTED + 1))
            looked_at = self._some(LOOKED_OVER if only_wrong else count)
            seen = {r.key: self._find(world, r) for r in looked_at}
            wrong = [(k, f) for k, f in seen.items() if not is_normal(f, self.bench.library)]
            if wrong:
                return world, dict(wrong[:count]) if only_wrong else seen
        raise UsageError(_NOTHING.format(TRIES, self.bench.layout.id))

    def asked(
        self, world: World, findings: Mapping[Key, Finding], marginal: Floats
    ) -> dict[Key, Finding]:
        """Return ``findings`` and what the most telling readings show beside them."""
        open_ = {r.key for r in self.telling.readings} - set(findings)
        more = self.telling.most(marginal, ASKED, open_)
        return {**findings, **{r.key: self.worlds.find(world, r, "seen") for r in more}}

    def rank(self, world: World, findings: Mapping[Key, Finding]) -> tuple[Standing, Floats]:
        """Return how the belief stands on ``findings``, and P(cause is there) for every cause."""
        marginal = self.belief.update(list(findings.values())).marginal
        return standing(marginal, world.causes), marginal

    def _some(self, count: int) -> Sequence[Reading]:
        count = min(count, int((self._weight > 0).sum()))
        picked = self.rng.choice(len(self._weight), size=count, replace=False, p=self._weight)
        return [self.telling.readings[int(k)] for k in picked]

    def _find(self, world: World, reading: Reading) -> Finding:
        known_by: KnownBy = "told" if self.rng.random() < 0.5 else "seen"
        return self.worlds.find(world, reading, known_by)


def drawn_jobs(
    bench: Bench, jobs: int, seed: int, told: HowFar = untold
) -> Mapping[str, Mapping[str, object]]:
    """Return the scores of ``jobs`` jobs drawn from the knowledge of ``bench``.

    ``report``: from what was looked at.  ``after_questions``: with ``ASKED`` more readings.
    ``only_what_is_wrong``: from reports that leave out what was normal.
    """
    drawn = Drawn(bench, seed)
    got: dict[str, list[Standing]] = {"report": [], "after_questions": [], "only_what_is_wrong": []}
    for k in range(jobs):
        world, findings = drawn.report()
        first, marginal = drawn.rank(world, findings)
        got["report"].append(first)
        got["after_questions"].append(drawn.rank(world, drawn.asked(world, findings, marginal))[0])
        got["only_what_is_wrong"].append(drawn.rank(*drawn.report(only_wrong=True))[0])
        told(k + 1, jobs)
    return {name: summary(standings) for name, standings in got.items()}
