"""Text of the case library and of proofs, from plain data."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from diagnose.model import Case, Cause
from diagnose.replay.proof import Held


def kind_of(case: Case) -> str:
    """Return what a case is: published, told by an expert, invented, or drawn from the model."""
    if case.told:
        return "told in an interview"
    if not case.invented:
        return "published"
    return "from the model" if case.drawn else "invented"


def list_body(cases: Sequence[Case]) -> Mapping[str, Any]:
    """Return the cases as plain data."""
    rows = [
        {
            "case": c.id,
            "kind": kind_of(c),
            "source": c.source,
            "layout": c.layout,
            "title": c.title,
            "causes": [str(x) if x.cause else "not in the knowledge" for x in c.causes],
        }
        for c in cases
    ]
    kinds: dict[str, int] = {}
    for r in rows:
        kinds[str(r["kind"])] = kinds.get(str(r["kind"]), 0) + 1
    return {"cases": rows, "totals": kinds}


def list_text(body: Mapping[str, Any]) -> str:
    """Return one line a case, and how many there are of each kind."""
    lines = [
        f"{r['case']}  [{r['kind']}; {r['layout']}]  {', '.join(r['causes'])}"
        for r in body["cases"]
    ]
    counted = ", ".join(f"{n} {kind}" for kind, n in body["totals"].items())
    return "\n".join([*lines, f"{len(lines)} cases: {counted or 'none'}"])


def prove_body(
    causes: Sequence[Cause], held: Sequence[Held], missed: Sequence[Held]
) -> Mapping[str, Any]:
    """Return the proofs as replayed, and which causes have none, as plain data.

    ``missed``: the own cases of causes that nothing proves, as replayed.
    """
    good: dict[str, set[str]] = {"fires-on": set(), "settled-on": set(), "silent-on": set()}
    for h in held:
        if h.verdict.holds:
            good[h.side].add(h.cause)
    raised = good["fires-on"] | good["settled-on"]
    return {
        "causes": len(causes),
        "proved": len(raised & good["silent-on"]),
        "by_their_check_only": [c.id for c in causes if c.id in raised - good["fires-on"]],
        "without_fires_on": [c.id for c in causes if c.id not in raised],
        "without_silent_on": [c.id for c in causes if c.id not in good["silent-on"]],
        "proofs": [_row(h) for h in held],
        "missed": [_row(h) for h in missed],
    }


def _row(h: Held) -> dict[str, Any]:
    verdict = {"holds": h.verdict.holds, "why": h.verdict.why}
    return {"cause": h.cause, "side": h.side, "case": h.case, **verdict}


def prove_text(body: Mapping[str, Any]) -> str:
    """Return every proof that fails, each of a few, and the totals."""
    few = body["causes"] <= 3
    lines = [
        f"{'holds' if p['holds'] else 'FAILS'}  {p['cause']}  {p['side']} {p['case']}: {p['why']}"
        for p in body["proofs"]
        if few or not p["holds"]
    ]
    lines += [f"not proved by  {m['case']}: {m['cause']}, {m['why']}" for m in body["missed"]]
    for key, words in (
        ("by_their_check_only", "are told from their look-alikes by their check alone"),
        ("without_fires_on", "have no case that fires or settles them"),
        ("without_silent_on", "have no case that leaves them silent"),
    ):
        if body[key]:
            lines.append(f"{len(body[key])} causes {words}: {', '.join(body[key])}")
    failing = sum(not p["holds"] for p in body["proofs"])
    lines.append(
        f"{body['proved']} of {body['causes']} causes proved both ways; "
        f"{len(body['proofs'])} proofs replayed, {failing} fail"
    )
    return "\n".join(lines)
