"""``diagnose interview draft``: what was said, as files to be reviewed, and what is left open."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from datetime import date
from pathlib import Path

import typer

from diagnose.capture.asking import Ground
from diagnose.capture.counts import counts_of, experts_of
from diagnose.capture.drafting import part_of
from diagnose.capture.drafts import Drafted, drafted
from diagnose.capture.folder import write_folder
from diagnose.capture.moves import invented_cases
from diagnose.capture.overlay import laid_over
from diagnose.capture.record import Interview, folder
from diagnose.cli.loading import bench_at
from diagnose.cli.printing import say, told_on_a_terminal
from diagnose.cli.room import wrap
from diagnose.errors import KnowledgeError
from diagnose.grammar import number_of
from diagnose.job.diagnosis import Bench
from diagnose.knowledge_files import case_folders, load_case
from diagnose.knowledge_files.yaml_writing import with_proof
from diagnose.replay.proof import alone
from diagnose.replay.proof_choice import choose

NEW_CAUSE = "new cause"
MOST_SILENT = 8
"""Invented cases of look-alikes and family tried for one that a new cause stays silent on."""


def draft(root: Path, name: str, out: Path) -> None:
    """Write drafts of the interview ``name`` into ``out`` and say what they are."""
    interview = Interview.find_whole(folder(), name)
    made = drafts_now(root, interview)
    made, proofs = _proved(root, interview, made)
    write_folder(out, made, root)
    for d in made.drafts:
        said = part_of(d.entries)
        say(wrap(f"{d.id}.yaml: {d.kind}, {said}: {d.says}", "    ", "  "))
    say(f"  {line}" for line in proofs)
    if not made.drafts:
        typer.echo("Nothing that was said could become a rule.")
    if made.left:
        typer.echo(f"Left open, {number_of(len(made.left), 'answer')} (in {out / 'drafts.yaml'}):")
    for left in made.left:
        words = " ".join(left.words.split())
        short = words if len(words) <= 60 else f"{words[:57]}..."
        say(wrap(f"{part_of(left.entries)}: '{short}': {left.why}", "    ", "  "))
    typer.echo("Every draft is UNREVIEWED.", err=True)
    typer.echo(
        f"Next: diagnose interview review {name} --drafts {out} --into KNOWLEDGE-FOLDER", err=True
    )


def drafts_now(root: Path, interview: Interview) -> Drafted:
    """Return what would be drafted of ``interview`` as it stands, pooled with the blind ones."""
    ground = Ground(bench_at(root, str(interview.log.events[0]["layout"])))
    experts = experts_of(folder(), interview)
    told = interview.told()
    told.must_fit(ground.bench.library)
    return drafted(told, ground, experts, counts_of(experts), root, date.today().isoformat())


def _proved(root: Path, interview: Interview, made: Drafted) -> tuple[Drafted, list[str]]:
    """Return the drafts, a new cause with the cases that prove it, and what was found of them."""
    new = next((d for d in made.drafts if d.kind == NEW_CAUSE), None)
    if new is None or not made.case:
        return made, []
    try:
        library = laid_over(root, [new], made.sources).library()
    except KnowledgeError as error:
        return made, [f"{new.id}.yaml is not sound yet: {p}" for p in error.problems]
    layout = bench_at(root, str(interview.log.events[0]["layout"])).layout
    bench = Bench(library, layout)
    with tempfile.TemporaryDirectory() as place:
        file = Path(place) / f"{made.case_id}.yaml"
        file.write_text(made.case, encoding="utf-8")
        case = load_case(file, library, layout)
    cause = library.causes[new.id.rpartition("/")[2]]
    told_on_a_terminal("looking for cases that prove it")
    like = {x.cause for x in cause.look_alikes}
    others = [
        (c, x)
        for c, x in invented_cases(case_folders(root), root, library)
        if c.causes[0].cause in like or c.family == cause.family
    ]
    others.sort(key=lambda o: o[0].causes[0].cause not in like)
    ranked = [alone(bench, case)]
    ranked += [alone(Bench(library, x), c) for c, x in others[:MOST_SILENT]]
    proof = choose(library, ranked)[cause.id]
    told_on_a_terminal("")
    said = [
        f"{new.id}.yaml: the case told does not raise it: {why}" for why in proof.failed.values()
    ]
    if not proof.silent:
        said.append(f"{new.id}.yaml: no invented case was found that it stays silent on")
    text = with_proof(new.text, proof.fires, proof.silent, proof.settled)
    proved = replace(new, text=text)
    return replace(made, drafts=tuple(proved if d is new else d for d in made.drafts)), said
