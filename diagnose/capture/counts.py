"""What several experts said to the same frequency question, pooled, with every own number kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from diagnose.capture.asks_counts import OF
from diagnose.capture.estimates import words_of
from diagnose.capture.pooling import Pool, Score, pooled, score
from diagnose.capture.record import Interview, folder
from diagnose.capture.told import Figures, Said
from diagnose.errors import CaseError
from diagnose.job.keeping.log_folder import LogFolder
from diagnose.model import Seed


@dataclass(frozen=True)
class Expert:
    """One expert's sitting: who, and under which source the knowledge cites it."""

    interview: Interview
    who: str
    initials: str
    source: str


@dataclass(frozen=True)
class Own:
    """One expert's own estimate; ``entry`` is its number in his record."""

    expert: Expert
    entry: int
    figures: Figures
    reason: str

    @property
    def chance(self) -> float:
        """Return the best estimate as a chance."""
        return self.figures.best / OF

    @property
    def words(self) -> str:
        """Return who said how many: 'JK 12 of 20 (8 to 16, 80 % sure)'."""
        return f"{self.expert.initials} {words_of(self.figures, OF)}"


@dataclass(frozen=True)
class Count:
    """One frequency question with all that was said to it; ``about`` as it was asked."""

    ask: str
    prompt: str
    about: Mapping[str, str]
    own: tuple[Own, ...]

    @property
    def pool(self) -> Pool:
        """Return the linear pool, equal weights."""
        return pooled([o.chance for o in self.own])

    @property
    def words(self) -> str:
        """Return every expert's own number, then the pool where there are several."""
        each = "; ".join(o.words for o in self.own)
        if len(self.own) == 1:
            return each
        return f"{each}; pooled {self.pool.value:.2f}, spread {self.pool.spread:.2f}"


def experts_of(place: LogFolder, interview: Interview) -> tuple[Expert, ...]:
    """Return the expert of ``interview`` and all who answered its questions blind, in order.

    A blind sitting that cannot be read is left out; the list of interviews tells it.
    """
    out = [_expert(interview)]
    for name in place.ids():
        try:
            other = Interview.find(place, name)
        except CaseError:
            continue
        if other.of == interview.name:
            out.append(_expert(other))
    return tuple(out)


def _expert(interview: Interview) -> Expert:
    told = interview.told()
    return Expert(interview, told.who, str(told.opened["by"]), interview.source)


def counts_of(experts: Sequence[Expert]) -> tuple[Count, ...]:
    """Return every frequency question the first expert answered, or any of the others."""
    found: dict[str, tuple[Said, list[Own]]] = {}
    for expert in experts:
        for said in expert.interview.told().said.values():
            if said.ask.startswith("often-") and said.figures:
                reason = str(expert.interview.log.events[said.entry - 1].get("reason", ""))
                own = Own(expert, said.entry, said.figures, reason)
                found.setdefault(said.ask, (said, []))[1].append(own)
    return tuple(
        Count(ask, said.prompt, said.about, tuple(own)) for ask, (said, own) in found.items()
    )


def scores(experts: Sequence[Expert], seeds: Sequence[Seed]) -> Mapping[str, Score]:
    """Return each expert's score on the seed questions, by source."""
    truths = {s.id: s.answer for s in seeds}
    by: dict[str, dict[str, Figures]] = {}
    for expert in experts:
        by[expert.source] = {
            s.about["seed"]: s.figures
            for s in expert.interview.told().said.values()
            if "seed" in s.about and s.figures
        }
    every = {k: [mine[k] for mine in by.values() if k in mine] for k in truths}
    return {source: score(mine, every, truths) for source, mine in by.items()}


def differences(interview: Interview, seeds: Sequence[Seed]) -> dict[str, Any]:
    """Return every frequency question, the widest spread first, and the score of each expert."""
    experts = experts_of(folder(), interview)
    counts = sorted(counts_of(experts), key=lambda c: (-c.pool.spread, -len(c.own), c.ask))
    found = scores(experts, seeds)
    return {
        "interview": interview.name,
        "pooling": "linear, equal weights, floor 0.01",
        "experts": [score_row(e, found[e.source]) for e in experts],
        "counts": [
            {
                "ask": c.ask,
                "prompt": c.prompt,
                "about": dict(c.about),
                "out_of": OF,
                "own": [
                    {
                        "source": o.expert.source,
                        "who": o.expert.who,
                        "entry": o.entry,
                        **asdict(o.figures),
                        "chance": o.chance,
                        "reason": o.reason,
                    }
                    for o in c.own
                ],
                "pooled": c.pool.value,
                "spread": c.pool.spread,
            }
            for c in counts
        ],
    }


def score_row(expert: Expert, found: Score) -> dict[str, Any]:
    """Return how an expert's ranges held on the seed questions, as plain data."""
    return {
        "source": expert.source,
        "who": expert.who,
        "seeds": found.seeds,
        "hits_below_lower_upper_above": list(found.hits),
        "calibration": found.calibration if found.seeds else None,
        "information": found.information if found.seeds else None,
        "weight": found.weight,
    }
