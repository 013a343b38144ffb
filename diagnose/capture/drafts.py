"""Everything that was said, as drafts of knowledge; and what became none, with the reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from diagnose.capture.asking import NEW, Ground, case_findings, subject
from diagnose.capture.counts import Count, Expert
from diagnose.capture.draft_cause import Open, changed_cause, new_cause
from diagnose.capture.draft_rule import rule, trade_words
from diagnose.capture.drafting import Basis, Draft
from diagnose.capture.told import Said, Told
from diagnose.casebook import case_text
from diagnose.knowledge_files.yaml_writing import flow_text
from diagnose.model import TOLD, Case, CauseAt, Finding


@dataclass(frozen=True)
class Left:
    """What he said that is in no draft: entries of the record, his words, and why."""

    entries: tuple[int, ...]
    words: str
    why: str


@dataclass(frozen=True)
class Drafted:
    """All that was made of one interview.

    drafts: causes before the rules that point to them.  left: what became no draft.
    sources: id -> the line of ``sources.yaml`` that the drafts cite.  case: the case told, ''.
    """

    interview: str
    who: str
    drafts: tuple[Draft, ...]
    left: tuple[Left, ...]
    sources: dict[str, str]
    case: str
    case_id: str


_KEPT = {
    "case": "kept word for word",
    "cues": "a reason of his; no sign of the knowledge was named in it",
    "what-if": "kept; told as a rule of another case it can be drafted",
    "alike": "kept; no draft is about these two, or the knowledge tells them apart already",
    "first-check": "kept as a reason; the planner goes by minutes, access and chance",
    "how-often": "a count that became no row",
    "limits": "a limit needs a trait of the layout under 'only-if', by hand",
    "read-back": "his correction of a new case; say it as a count or a rule",
}
"""Why an answer in words became no draft, where nothing nearer is known."""


def drafted(
    told: Told,
    ground: Ground,
    experts: Sequence[Expert],
    counts: Sequence[Count],
    root: Path,
    day: str,
) -> Drafted:
    """Return drafts of everything said, on the knowledge in ``root``."""
    basis = Basis(told, ground, tuple(experts), tuple(counts), day)
    left: Open = []
    drafts: list[Draft] = []
    by_cause: dict[str, list[Count]] = {}
    here = subject(told, ground)
    if here is not None and here.cause != NEW:
        by_cause[here.cause] = []  # look-alikes may be all there is to say
    for count in counts:
        by_cause.setdefault(count.about["cause"], []).append(count)
    new = None
    for cause, mine in by_cause.items():
        if cause == NEW:
            continue
        known = ground.bench.library.causes[cause]
        part = here.at if here and here.cause == cause else _part(ground, cause, here)
        file = root / "causes" / known.family / f"{cause}.yaml"
        made = changed_cause(basis, known, part, file.read_text(encoding="utf-8"), mine, left)
        drafts += [made] if made else []
    if here is not None and here.cause == NEW:
        new = new_cause(basis, by_cause.get(NEW, []), left)
        drafts += [new] if new else []
    made = rule(basis, new, left)
    drafts += [made] if made else []
    drafts += trade_words(basis)
    case_id = f"{basis.source}-case"
    case = _case(basis, new, case_id)
    return Drafted(
        experts[0].interview.name,
        told.who,
        tuple(drafts),
        tuple(_left(basis, left)),
        {e.source: _source_line(e) for e in experts},
        case,
        case_id if case else "",
    )


def _part(ground: Ground, cause: str, near: CauseAt | None) -> str:
    """Return the part of ``cause`` nearest to the one told of: the same, else its first."""
    parts = ground.bench.parts_of(cause)
    return near.at if near and near.at in parts else parts[0]


def _left(basis: Basis, left: Open) -> list[Left]:
    """Return every answer that no draft used: with its own reason, else that of its part."""
    told = basis.told
    by_entry = {s.entry: s for s in told.said.values()}
    out = []
    reasons: set[int] = set()
    for entries, why in left:
        words = " / ".join(by_entry[e].text for e in entries if e in by_entry)
        words = words or "counted blind"
        out.append(Left(entries, words, why))
        reasons |= set(entries)
    for entry, said in sorted(by_entry.items()):
        if entry not in basis.entries_used and entry not in reasons and _says_something(said, told):
            out.append(Left((entry,), said.text, _KEPT[said.step]))
    out += [
        Left((n,), text, "a note; no question was asked for it") for n, text in told.notes.items()
    ]
    for lines in told.begun.values():
        out.append(Left((), " / ".join(lines), "begun and not ended; take the interview up again"))
    return sorted(out, key=lambda x: x.entries)


def _says_something(said: Said, told: Told) -> bool:
    """Return whether an answer is his own words, and no choice, seed, story or heard finding.

    The story and the time line stand in the case told; what was heard in words, in its findings.
    """
    if said.picked or said.lines or "seed" in said.about:
        return False
    heard = told.said.get(said.ask.removesuffix("-words")) if said.ask.endswith("-words") else None
    is_heard = f"{said.ask}-words" in told.said or said.ask == "case-findings"
    return not is_heard and not (heard is not None and heard.findings)


def _source_line(expert: Expert) -> str:
    told = expert.interview.told()
    kind = "Interview" if expert.interview.kind == "interview" else "Blind counts"
    items = {
        "source": expert.source,
        "title": f"{kind}, {told.who}",
        "kind": "interview",
        "cite": f"{expert.source} ({expert.initials})",
    }
    return f"  - {flow_text(items)}"


def _case(basis: Basis, new: Draft | None, case_id: str) -> str:
    """Return the case told as a case file, '' where it lacks findings or an end."""
    told, bench = basis.told, basis.ground.bench
    here = subject(told, basis.ground)
    found = case_findings(told)
    if here is None or not found or (here.cause == NEW and new is None):
        return ""
    cause = CauseAt(new.id.rpartition("/")[2], here.at) if here.cause == NEW and new else here
    family = new.id.split("/")[1] if new else bench.library.causes[here.cause].family
    examination: tuple[Finding, ...] = ()
    if here.cause == NEW and told.picked("new-result"):
        check = bench.library.checks[told.picked("new-check")[0]]
        if bench.layout.parts[here.at].kind in check.at:
            examination = (Finding(check.id, here.at, told.picked("new-result")[0], check=True),)
    return case_text(
        Case(
            id=case_id,
            source=f"{TOLD}, {basis.source}",
            layout=bench.layout.id,
            reported=told.words("case") or "as found",
            before=(),
            # what was typed is in his story; a case file keeps figures only
            findings=tuple(f if f.number is not None else replace(f, typed="") for f in found),
            examination=examination,
            causes=(cause,),
            family=family,
            title="told in an interview",
            notes=f"The expert's own case, {told.who}; findings as he confirmed them.",
        )
    )
