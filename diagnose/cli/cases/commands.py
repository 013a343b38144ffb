"""``diagnose rank``, ``replay`` and ``why``: cases through the reasoning."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from diagnose.cli.loading import bench_at, knowledge_root
from diagnose.cli.options import AsJson, CaseFile, Evidence
from diagnose.cli.printing import answer, tell_warnings, told_on_a_terminal
from diagnose.errors import ConflictError, UsageError

if TYPE_CHECKING:  # they bring numpy and the rules
    from diagnose.cli.cases.ranking_view import BenchFor
    from diagnose.job.diagnosis import Bench

Own = Annotated[
    str,
    typer.Option(
        "--aeroplane",
        metavar="NAME",
        help="Registration or file of the aeroplane it was: its limits, error cards and defects.",
    ),
]


def rank(
    context: typer.Context,
    case: CaseFile,
    as_json: AsJson = False,
    numbers: Annotated[bool, typer.Option("--numbers", help="Show probabilities.")] = False,
    top: Annotated[int, typer.Option("--top", min=1, help="How many causes to print.")] = 10,
    exit_code: Annotated[
        bool, typer.Option("--exit-code", help="Leave with 5 when findings contradict each other.")
    ] = False,
    evidence: Evidence = "stated",
    aeroplane: Own = "",
) -> None:
    """Rank the causes from a case's findings.

    Example: diagnose rank CASE.yaml --numbers

    Its examination is not looked at.
    """
    from diagnose.cli.cases.ranking_view import rank_body, rank_text

    body = rank_body(_bench_for(knowledge_root(context), aeroplane, evidence), case)
    tell_warnings(body["warnings"])
    answer(as_json, body, lambda: rank_text(body, top, numbers))
    if exit_code and body["conflicts"]:
        raise ConflictError("the findings contradict each other: " + "; ".join(body["conflicts"]))


def replay(
    context: typer.Context,
    path: Annotated[Path, typer.Argument(help="A case file or a folder of them.", metavar="PATH")],
    as_json: AsJson = False,
    leave_out: Annotated[
        bool, typer.Option("--leave-out", help="Also play each case without its own cause.")
    ] = False,
    baselines: Annotated[
        bool,
        typer.Option("--baselines/--no-baselines", help="Compare with plain orders of asking."),
    ] = True,
    evidence: Evidence = "stated",
) -> None:
    """Play cases and score the ranking.

    The tool asks, the case answers, the rest is 'not checked'. A folder is played without the
    folders in it.

    Example: diagnose replay cases --no-baselines
    """
    from diagnose.cli.cases.replay_view import replay_text
    from diagnose.replay.study import study

    studied = study(
        path,
        partial(bench_at, knowledge_root(context), evidence=evidence),
        baselines=baselines,
        leave_out=leave_out,
        progress=told_on_a_terminal,
    )
    body: Mapping[str, Any] = {"evidence": evidence, **studied}
    tell_warnings(w for row in body["cases"] for w in row["warnings"])
    answer(as_json, body, lambda: replay_text(body))


def why(
    context: typer.Context,
    case: CaseFile,
    cause: Annotated[
        str,
        typer.Argument(
            help="A line of the ranking by its number, CAUSE@PART, or a symptom; the first ranked "
            "when left out."
        ),
    ] = "",
    as_json: AsJson = False,
    evidence: Evidence = "stated",
    aeroplane: Own = "",
) -> None:
    """Tell why a cause stands where it stands.

    Back to the file and line, the source and who said it, with what each finding did to its odds.

    Example: diagnose why CASE.yaml 2
    """
    from diagnose.cli.cases.ranking_view import why_body, why_text

    body = why_body(_bench_for(knowledge_root(context), aeroplane, evidence), case, cause)
    tell_warnings(body["warnings"])
    answer(as_json, body, lambda: why_text(body))


def _bench_for(root: Path, aeroplane: str, evidence: str) -> BenchFor:
    """Return what compiles a case's layout, with an aeroplane's own file laid over it if named."""
    if not aeroplane:
        return partial(bench_at, root, evidence=evidence)

    def own(layout: str) -> Bench:
        from diagnose.cli.aeroplane.own_file import own_bench

        found = own_bench(root, aeroplane, Path(layout).stem, evidence)
        if found is None:
            raise UsageError(f"there is no file for '{aeroplane}'; see `diagnose aeroplane list`.")
        return found[0]

    return own
