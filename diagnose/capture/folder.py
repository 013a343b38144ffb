"""The folder of drafts: knowledge files to be read and mended by hand, and the list of them."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final

from diagnose.capture.drafting import Draft, part_of
from diagnose.capture.drafts import Drafted, Left
from diagnose.capture.overlay import ONE_WORD, digest
from diagnose.counted import whole_number
from diagnose.errors import KnowledgeError, Origin, UsageError
from diagnose.knowledge_files.fields import Fields
from diagnose.knowledge_files.gather import Gather
from diagnose.knowledge_files.reader import UnreadableError, read_yaml
from diagnose.knowledge_files.yaml_writing import scalar_text

LIST: Final = "drafts.yaml"


@dataclass(frozen=True)
class Folder(Drafted):
    """Drafts as they lie in the folder ``path``, mended by hand or not.

    made_from: hash of the knowledge file a draft was made from, by draft; '' for a new one.
    """

    path: Path
    made_from: dict[str, str]


def write_folder(out: Path, made: Drafted, root: Path) -> None:
    """Write drafts made on the knowledge in ``root`` into the new or empty folder ``out``.

    Raises:
        UsageError: If the folder holds anything, or cannot be written.
    """
    if out.exists() and (not out.is_dir() or any(out.iterdir())):
        raise UsageError(
            f"'{out}' is not empty; drafts may have been mended by hand there. Name a new folder."
        )
    try:
        # the list comes last: a folder without it is not taken for one of drafts
        for draft in made.drafts:
            _put(out / f"{draft.id}.yaml", draft.text)
        if made.case:
            _put(out / "cases" / f"{made.case_id}.yaml", made.case)
        _put(out / "sources.yaml", "sources:\n" + "\n".join(made.sources.values()) + "\n")
        _put(out / LIST, _list_text(made, root))
    except OSError as error:
        raise UsageError(f"'{out}' cannot be written: {error.strerror}.") from None


def _put(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")


def _list_text(made: Drafted, root: Path) -> str:
    lines = [
        "# Drafts of an interview, UNREVIEWED. Mend the files by hand where they need it, then",
        f"# diagnose interview review {made.interview} --drafts THIS-FOLDER --into KNOWLEDGE",
        f"interview: {made.interview}",
        f"who: {scalar_text(made.who)}",
    ]
    lines.append("drafts:" if made.drafts else "drafts: []")
    for d in made.drafts:
        base = root / f"{d.id}.yaml"
        text = base.read_text(encoding="utf-8") if base.is_file() else ""
        lines += [
            f"  - draft: {d.id}",
            f"    kind: {d.kind}",
            f"    said-in: {part_of(d.entries)}",
            f"    says: {scalar_text(d.says)}",
            f"    about: [{', '.join(sorted(d.about))}]",
            f"    counts: [{', '.join(d.counts)}]",
            f"    made-from: {scalar_text(digest(text))}",
        ]
    lines.append("left:" if made.left else "left: []")
    for left in made.left:
        lines += [
            f"  - said-in: {part_of(left.entries)}",
            f"    words: {scalar_text(' '.join(left.words.split()))}",
            f"    why: {scalar_text(left.why)}",
        ]
    if made.case:
        lines.append(f"case: {made.case_id}")
    return "\n".join(lines) + "\n"


def read_folder(path: Path) -> Folder:
    """Return the drafts in a folder as they stand now, mended or not.

    Raises:
        UsageError: If it is no folder of drafts.
        KnowledgeError: With every problem in its list.
    """
    file = path / LIST
    if not file.is_file():
        raise UsageError(f"'{path}' holds no {LIST}; make drafts with: diagnose interview draft")
    gather = Gather()
    try:
        fields = Fields(read_yaml(file.read_bytes(), f"{path.name}/{LIST}"), gather, LIST)
    except UnreadableError as error:
        raise KnowledgeError(error.problems) from error
    drafts, made_from = [], {}
    for one in fields.tables("drafts", "a draft"):
        name = str(one.text("draft", required=True))
        entries = _entries(str(one.text("said-in")))
        text = _text_of(path, name, one.origin, gather)
        about = frozenset(str(a) for a in one.texts("about"))
        kind, says = str(one.text("kind")), str(one.text("says"))
        counts = tuple(str(c) for c in one.texts("counts"))
        drafts.append(Draft(name, kind, text, entries, says, about, counts))
        made_from[name] = str(one.text("made-from"))
        one.finish()
    left = []
    for one in fields.tables("left", "what is left"):
        said = _entries(str(one.text("said-in")))
        left.append(Left(said, str(one.text("words")), str(one.text("why"))))
        one.finish()
    case_id = str(fields.text("case"))
    interview = str(fields.text("interview", required=True))
    who = str(fields.text("who"))
    fields.finish()
    gather.check(KnowledgeError)
    case = path / "cases" / f"{case_id}.yaml"
    return Folder(
        interview,
        who,
        tuple(drafts),
        tuple(left),
        _sources(path),
        case.read_text(encoding="utf-8") if case_id and case.is_file() else "",
        case_id,
        path,
        made_from,
    )


def _text_of(path: Path, name: str, origin: Origin, gather: Gather) -> str:
    if name.startswith("/") or ".." in name.split("/"):
        gather.add(origin, f"'{name}' leads out of the folder; a draft stands inside it")
        return ""
    try:
        return (path / f"{name}.yaml").read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        gather.add(origin, f"'{name}.yaml' cannot be read ({error}); put it back or drop its lines")
        return ""


def _entries(text: str) -> tuple[int, ...]:
    return tuple(n for w in text.split() if (n := whole_number(w)) is not None)


def _sources(path: Path) -> dict[str, str]:
    """Return the lines of the draft's sources by id; a file taken away cites nothing."""
    file = path / "sources.yaml"
    lines = file.read_text(encoding="utf-8").splitlines() if file.is_file() else []
    out = {}
    for line in lines:
        if "source: " in line:
            out[line.split("source: ", 1)[1].split(",", 1)[0].strip()] = line
    return out


def stale(folder: Folder, draft: Draft, root: Path) -> str:
    """Return why ``draft`` no longer fits the knowledge in ``root``, ''.

    A whole file over one that has changed since would undo somebody's work.
    """
    if draft.id.startswith(ONE_WORD):
        return ""
    file = root / f"{draft.id}.yaml"
    text = file.read_text(encoding="utf-8") if file.is_file() else ""
    if text == draft.text or digest(text) == folder.made_from[draft.id]:
        return ""
    return f"{draft.id}.yaml has changed since the draft was made; draft it again on this knowledge"
