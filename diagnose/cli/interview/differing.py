"""``diagnose interview differ``: where experts differ most, with what each gave as reason."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from diagnose.capture.asks_rules import OF
from diagnose.capture.counts import Expert, counts_of, experts_of, scores
from diagnose.capture.pooling import FEWEST_SEEDS, Score
from diagnose.capture.record import Interview, folder
from diagnose.cli.job.screens import wrap
from diagnose.cli.loading import library_at
from diagnose.knowledge_files.seeds import read_seeds
from diagnose.model import Seed


def differ_body(root: Path, name: str) -> dict[str, Any]:
    """Return every frequency question, the widest spread first, and the score of each expert."""
    interview = Interview.find_whole(folder(), name)
    experts = experts_of(folder(), interview)
    counts = sorted(counts_of(experts), key=lambda c: (-c.pool.spread, -len(c.own), c.ask))
    found = scores(experts, read_seeds(root, library_at(root)))
    return {
        "interview": name,
        "pooling": "linear, equal weights, floor 0.01",
        "experts": [_score_row(e, found[e.source]) for e in experts],
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
                        **o.figures.as_json(),
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


def differ_text(body: Mapping[str, Any]) -> list[str]:
    """Return the same for people, one answer a line."""
    lines = [
        f"Interview {body['interview']}: {_experts(body)}. Pool: "
        f"{body['pooling']}; every own number is kept."
    ]
    for c in body["counts"]:
        several = len(c["own"]) > 1
        head = (
            f"spread {c['spread']:.2f}, pooled {c['pooled']:.2f}" if several else "one expert only"
        )
        lines += ["", *wrap(c["prompt"]), f"  {head}"]
        for o in c["own"]:
            best = f"{o['best']:g} of {c['out_of']}"
            said = f"{o['who']}: {best} ({o['low']:g} to {o['high']:g}, {o['sure']:g} % sure)"
            why = f"; why: {o['reason']}" if o["reason"] else ""
            lines += wrap(said + why, "      ", "    ")
    if not body["counts"]:
        lines.append("No counts were given.")
    lines += ["", "Seed questions (published facts):"]
    lines += [line for e in body["experts"] for line in _score_lines(e)]
    lines.append("UNREVIEWED.")
    return lines


def seed_lines(interview: Interview, seeds: Sequence[Seed]) -> list[str]:
    """Return how one expert's ranges held on the seed questions, [] where he answered none."""
    expert = experts_of(folder(), interview)[:1]
    row = _score_row(expert[0], scores(expert, seeds)[interview.source])
    return ["Seed questions (published facts):", *_score_lines(row)] if row["seeds"] else []


def _score_row(expert: Expert, found: Score) -> dict[str, Any]:
    return {
        "source": expert.source,
        "who": expert.who,
        "seeds": found.seeds,
        "hits_below_lower_upper_above": list(found.hits),
        "calibration": found.calibration if found.seeds else None,
        "information": found.information if found.seeds else None,
        "weight": found.weight,
    }


def _score_lines(e: Mapping[str, Any]) -> list[str]:
    if not e["seeds"]:
        return wrap(f"{e['who']}: none answered", "    ", "  ")
    below, lower, upper, above = e["hits_below_lower_upper_above"]
    said = (
        f"{e['who']}: {e['seeds']} answered; truth below {below}, in the lower half {lower}, "
        f"in the upper half {upper}, above {above}; calibration {e['calibration']:.2f} of 1, "
        f"information {e['information']:.2f}"
    )
    if e["weight"] is None:
        weight = f"under {FEWEST_SEEDS} seeds: shown, no weight made of it"
    else:
        weight = f"weight by that model {e['weight']:.3f}; not used, the pool is equal"
    return [*wrap(said, "    ", "  "), f"    {weight}"]


def _experts(body: Mapping[str, Any]) -> str:
    n = len(body["experts"])
    return "one expert" if n == 1 else f"{n} experts"
