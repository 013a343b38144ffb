"""Text of a replay, from plain data."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any


def replay_text(body: Mapping[str, Any]) -> str:
    """Return one line a case and the totals."""
    lines = [
        f"knowledge {body['knowledge_edition']}; ranks are of the true cause at its place",
        f"{'case':<24}{'findings':>9}{'before check':>14}{'final':>7}{'asked':>7}{'minutes':>9}"
        "  truth",
    ]
    for r in body["cases"]:
        missing = "" if r["in_the_knowledge"] else "  (not in the knowledge)"
        lines.append(
            f"{r['case']:<24}{_rank(r['findings_rank']):>9}{_rank(r['before_check_rank']):>14}"
            f"{_rank(r['final_rank']):>7}{r['questions']:>7}{r['minutes']:>9.0f}  "
            f"{', '.join(r['truth'])}{missing}"
        )
        if "left_out" in r:
            left = r["left_out"]
            lines.append(f"    without its cause: {left['top']} at {left['probability']:.2f}")
    t = body["totals"]
    for key, name in (
        ("findings", "findings alone"),
        ("before_check", "before the settling check"),
        ("final", "final"),
    ):
        x = t[key]
        lines.append(
            f"{name}: first {x['top1']:.2f}, in three {x['top3']:.2f} (as shown, like parts on one "
            f"line: {x['line_top1']:.2f}, {x['line_top3']:.2f}), mean reciprocal rank "
            f"{x['mrr']:.2f}, log score {x['log_score']:.2f}, "
            f"Brier per cause {x['brier_per_cause']:.2f}"
        )
    lines.append(f"mean answers {t['mean_questions']:.1f}, minutes {t['mean_minutes']:.0f}")
    for name, x in t.get("baselines", {}).items():
        lines.append(
            f"  order {name}: before the check first {x['before_check'].get('top1', 0):.2f}, "
            f"minutes {x['mean_minutes']:.0f}, settled {x['settled']:.2f} "
            f"(planned: {t['settled']:.2f})"
        )
    if "left_out_wrongly_sure" in t:
        lines.append(f"cause left out: wrongly sure in {t['left_out_wrongly_sure']:.0%}")
    return "\n".join(lines)


def _rank(place: Mapping[str, Any]) -> str:
    return str(place["cause_and_place"] or "-")
