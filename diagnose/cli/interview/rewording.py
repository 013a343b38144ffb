"""A reviewer's own wording of one text of a draft, where lint will not have the expert's."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from diagnose.capture.drafting import Draft
from diagnose.capture.folder import Folder
from diagnose.capture.record import Interview
from diagnose.cli.interview.printable import amiss
from diagnose.cli.job.talk import Talk
from diagnose.cli.room import wrap
from diagnose.errors import UsageError
from diagnose.job.answers import choose_listed
from diagnose.knowledge_files.yaml_writing import replaced, scalar_text
from diagnose.lint.prose import Text, texts
from diagnose.model import Library


def reworded(
    talk: Talk, interview: Interview, made: Folder, draft: Draft, now: Library, after: Library,
    by: str,
) -> Folder:  # fmt: skip
    """Ask which text is to be said otherwise and how; return the drafts with it, on disk too.

    What the expert said stays in the record; there it also stands who said it otherwise.
    """
    folder, _, name = draft.id.partition("/")
    item = f"{folder}/{name.rpartition('/')[2]}"
    known = {t.keys: t.text for t in texts(now) if t.item == item}
    found = {
        t.name: t for t in texts(after)
        if t.item == item and t.use != "name" and t.keys[0] != "verify"
        and t.text and known.get(t.keys) != t.text
    }  # fmt: skip
    if not found:
        talk.say("  There are no words in it to be said otherwise; mend the file by hand.")
        return made
    talk.listed({name: f"{name}: {t.text}" for name, t in found.items()})
    chosen = found[talk.ask("which:", lambda text: _chosen(text, found))]
    talk.say(wrap(f"as he said it: {chosen.text}", "    ", "  "))

    def read(text: str) -> str:
        if not text:
            raise UsageError("type it in other words.")
        wrong = amiss(text, chosen.use)
        if wrong:
            raise UsageError(" ".join(wrong))
        return text

    words = talk.ask("in other words:", read, own_words=True)
    text = replaced(draft.text, chosen.keys, scalar_text(words))
    text = f"{text.rstrip()}\n# {chosen.name}: in the words of {by}, {date.today().isoformat()}\n"
    (made.path / f"{draft.id}.yaml").write_text(text, encoding="utf-8")
    interview.log.append(
        "reworded", draft=draft.id, key=chosen.name, before=chosen.text, text=words, by=by
    )
    mended = replace(draft, text=text)
    return replace(made, drafts=tuple(mended if d is draft else d for d in made.drafts))


def _chosen(text: str, found: dict[str, Text]) -> str:
    if not text:
        raise UsageError(f"type a number from 1 to {len(found)}.")
    return choose_listed(text, {name: name for name in found}, "another number")
