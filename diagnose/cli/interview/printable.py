"""What would be printed of his words, held against what lint lets in while he is still there.

Where lint will not have them a reviewer may say one text of a draft in his own.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from diagnose.capture.asking import Ask
from diagnose.capture.drafting import Draft
from diagnose.capture.folder import Folder
from diagnose.capture.record import Interview
from diagnose.cli.job.talk import Talk
from diagnose.cli.room import wrap
from diagnose.errors import UsageError
from diagnose.job.choices import choose_listed
from diagnose.knowledge_files.yaml_writing import replaced, scalar_text
from diagnose.lint.prose import Text, Use, sentences, texts
from diagnose.lint.unsafe_acts import unsafe_act
from diagnose.lint.wording import is_command, long_sentences, most_words
from diagnose.model import Library


def amiss(text: str, use: Use) -> list[str]:
    """Return why ``text`` cannot be printed for ``use``, [] where it can."""
    out = []
    why = unsafe_act(text)
    if why:
        out.append(f"Nobody may be told to do that: {why}.")
    out += [
        f"A sentence of {count} words, and on paper {most_words(use)} is the most: "
        f"'{sentence[:40].rstrip()} ...'."
        for sentence, count in long_sentences(text, use)
    ]
    if use == "act" and not is_command(sentences(text)[0]):
        out.append("It does not begin with what to do, as 'Renew the seal'.")
    return out


def as_printed(talk: Talk, ask: Ask, text: str) -> tuple[str, str]:
    """Return his words so that they can be printed, and the first ones where he says them anew.

    What he leaves so is kept word for word, and no draft with it is accepted as it stands.
    """
    if not ask.printed:
        return text, ""
    first = text
    while found := amiss(text, ask.printed):
        for line in found:
            talk.say(wrap(line, "  ", "  "))
        again = talk.ask("said otherwise (Enter: leave it; a reviewer must mend it):", str,
                         own_words=True)  # fmt: skip
        if not again:
            break
        text = again
    return text, first if text != first else ""


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
