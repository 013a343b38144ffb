"""``diagnose interview differ``: where experts differ most, with what each gave as reason."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from diagnose.capture.counts import experts_of, score_row, scores
from diagnose.capture.pooling import FEWEST_SEEDS
from diagnose.capture.record import Interview, folder
from diagnose.cli.room import wrap
from diagnose.model import Seed


def differing_lines(body: Mapping[str, Any]) -> list[str]:
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
    row = score_row(expert[0], scores(expert, seeds)[interview.source])
    return ["Seed questions (published facts):", *_score_lines(row)] if row["seeds"] else []


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
