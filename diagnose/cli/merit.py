"""``diagnose merit``: what the knowledge is worth on each layout, measured."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

import typer

from diagnose.cli.layout_view import INVENTED
from diagnose.cli.loading import bench_at, knowledge_root
from diagnose.cli.options import AnyLayout, AsJson, Plain
from diagnose.cli.printing import print_json, told_on_a_terminal, wrap
from diagnose.knowledge_files import list_layouts


def merit(
    context: typer.Context,
    layout: AnyLayout = "",
    as_json: AsJson = False,
    jobs: Annotated[
        int, typer.Option("--jobs", min=0, help="Jobs drawn from the knowledge, a layout.")
    ] = 300,
    model_jobs: Annotated[
        int, typer.Option("--model-jobs", min=0, help="Jobs drawn from the fuel-system model.")
    ] = 200,
    seed: Annotated[int, typer.Option("--seed", min=0, help="The same seed, the same jobs.")] = 1,
    evidence: Annotated[
        str, typer.Option("--evidence", metavar="stated|model|both", help="As in 'replay'.")
    ] = "stated",
    plain: Plain = False,
) -> None:
    """Measure the knowledge on a layout.

    Coverage, isolation, drawn jobs ranked, minutes against the optimum, what it all rests on.

    Example: diagnose merit low-wing-single --jobs 5000 --model-jobs 2000
    """
    from diagnose.merit.study import merit as measure

    root = knowledge_root(context)
    done: list[dict[str, object]] = []
    for name in [layout] if layout else list_layouts(root):
        bench = bench_at(root, name, evidence)
        body: dict[str, object] = {
            "invented": bench.layout.invented,
            "seed": seed,
            "evidence": evidence,
            **measure(bench, jobs, model_jobs, seed, told_on_a_terminal),
        }
        told_on_a_terminal("")
        done.append(body)
        if not as_json:
            typer.echo(("\n" if len(done) > 1 else "") + merit_text(body))
    if as_json:
        print_json({"command": "merit", "status": "UNREVIEWED", "layouts": done})


RANKED = (
    ("jobs_from_the_knowledge", "report", "knowledge, report alone"),
    ("jobs_from_the_knowledge", "after_questions", "knowledge, six questions more"),
    ("jobs_from_the_knowledge", "only_what_is_wrong", "knowledge, only what is wrong told"),
    ("jobs_from_the_model", "report", "model, only what is wrong told"),
    ("jobs_from_the_model", "after_questions", "model, six questions more"),
    ("jobs_from_the_model", "after_questions_among_drawable", "  among what the model can break"),
)
"""(part of the body, way of reporting, what it is called)."""


def merit_text(body: Mapping[str, Any]) -> str:
    """Return everything measured of one layout."""
    out = [f"{body['layout']}: {body['causes']} causes at their parts, knowledge "
           f"{body['knowledge_edition']}, UNREVIEWED"]  # fmt: skip
    out += wrap(INVENTED) if body["invented"] else []
    out += [*_isolation(body["isolation"]), *_jobs(body)]
    if "words_off_by_one" in body:
        w, m = body["words_off_by_one"], body["minutes"]
        out += ["", *wrap(
            f"Every frequency word off by one step, {w['jobs']} jobs: the first cause stays first "
            f"in {w['first_stays']:.0%}, {w['of_three_stay']:.0%} of the first three stay, "
            f"Kendall's tau of the first ten {w['kendall_tau_of_ten']:.2f}.")]  # fmt: skip
        out += wrap(
            f"Minutes against the optimal tree, {m['problems']} small problems: best "
            f"{m['best_minutes']:.1f}, planned {m['planned_minutes']:.1f} "
            f"({m['beyond_best']:+.1%}; worst problem {m['worst_beyond_best']:+.1%}), going "
            f"straight to the checks {m['unasked_minutes']:.1f}.",
        )
    return "\n".join([*out, *_families(body["families"])])


def _isolation(figures: Mapping[str, Mapping[str, float]]) -> list[str]:
    kinds = ("readings", "checks", "both")
    rows = (
        ("causes something reveals (fault coverage)", "coverage", ".1%"),
        ("of those, isolated to one part", "to_one", ".1%"),
        ("of those, isolated to three parts", "to_three", ".1%"),
        ("mean ambiguity group, parts", "group_size", ".2f"),
        ("groups of two parts and more", "groups", "d"),
    )
    head = f"{'Fault isolation, weighed by prior, single faults':<50}"
    out = ["", head + "".join(f"{k:>10}" for k in kinds)]
    for label, key, how in rows:
        cells = "".join(f"{format(figures[k][key], how):>10}" for k in kinds)
        out.append(f"  {label:<48}{cells}")
    return out


def _jobs(body: Mapping[str, Any]) -> list[str]:
    rows = [(name, body[part][way]) for part, way, name in RANKED if part in body]
    rows = [(name, r) for name, r in rows if r["jobs"]]
    if not rows:
        return []
    out = ["", f"{'Drawn jobs, seed ' + str(body['seed']):<36}{'jobs':>6}{'first':>7}{'in 3':>7}"
           f"{'log':>6}{'Brier':>7}  calibration error (by chance)"]  # fmt: skip
    for name, r in rows:
        out.append(
            f"  {name:<34}{r['jobs']:>6}{r['top1']:>7.1%}{r['top3']:>7.1%}{r['log_score']:>6.2f}"
            f"{r['brier_per_cause']:>7.2f}  {r['calibration_error']:.3f} "
            f"({r['calibration_error_by_chance']:.3f})"
        )
    model = body.get("jobs_from_the_model")
    if model:
        share = model["prior_share_of_causes_with_a_physical_form"]
        out += wrap(
            f"  From the model: causes with a physical form, {share:.0%} of the prior; "
            f"{model['showed_nothing']} more faults showed nothing to report, "
            f"{model['no_steady_state']} had no steady state. No likelihood exponent is "
            "applied (it is 1).",
            2,
        )
    return out


def _families(families: Mapping[str, Mapping[str, float]]) -> list[str]:
    out = ["", f"{'Family':<24}{'causes':>8}{'published source':>18}{'reviewed':>10}"]
    for name, f in families.items():
        out.append(f"  {name:<22}{f['causes']:>8}{f['published']:>18.0%}{f['reviewed']:>10.0%}")
    return out
