"""Everything that is measured of one layout and edition, as one plain object."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import asdict

from diagnose.how_far import HowFar
from diagnose.job.diagnosis import Bench
from diagnose.merit.drawn import drawn_jobs
from diagnose.merit.isolation import figures
from diagnose.merit.modelled import model_lot, rank_lot
from diagnose.merit.optimum import PROBLEMS, against_optimum, beyond
from diagnose.merit.stability import stability
from diagnose.merit.standing_on import families

SHAKEN = 100
"""Most jobs ranked again with every word off by one step."""

Say = Callable[[str], None]
"""Told one line about how far the work has come."""


def merit(
    bench: Bench,
    jobs: int,
    model_jobs: int,
    seed: int,
    say: Say,
) -> Mapping[str, object]:
    """Return the figures of merit of the layout of ``bench``; 0 jobs leaves their part out.

    ``jobs`` are drawn from the knowledge, ``model_jobs`` from the fuel-system model; the same
    ``seed`` gives the same jobs.
    """
    name = bench.layout.id

    def step(doing: str) -> HowFar:
        def told(done: int, total: int) -> None:
            if done % max(total // 100, 1) == 0 or done == total:
                say(f"{name}: {doing}, {done} of {total}")

        return told

    say(f"{name}: isolation")
    out: dict[str, object] = {
        "layout": name,
        "knowledge_edition": bench.library.edition,
        "causes": len(bench.net.instances),
        "isolation": {k: asdict(v) for k, v in figures(bench).items()},
        "families": families(bench),
    }
    if jobs:
        out["jobs_from_the_knowledge"] = drawn_jobs(bench, jobs, seed, step("jobs drawn"))
        out["words_off_by_one"] = stability(
            bench, min(jobs, SHAKEN), seed, step("words off by one step")
        )
        out["minutes"] = beyond(
            against_optimum(bench, min(jobs, PROBLEMS), seed, step("problems solved exactly"))
        )
    if model_jobs:
        lot = model_lot(bench, model_jobs, seed, step("jobs from the model"))
        out["jobs_from_the_model"] = {
            **rank_lot(bench, lot, step("jobs from the model ranked")),
            "showed_nothing": lot.unseen,
            "no_steady_state": lot.unsolved,
            "prior_share_of_causes_with_a_physical_form": lot.share,
        }
    return out
