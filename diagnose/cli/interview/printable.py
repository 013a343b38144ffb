"""What would be printed of his words, held against what lint lets in while he is still there."""

from __future__ import annotations

from diagnose.capture.asking import Ask
from diagnose.cli.job.talk import Talk
from diagnose.cli.room import wrap
from diagnose.lint.prose import Use, sentences
from diagnose.lint.unsafe_acts import unsafe_act
from diagnose.lint.wording import is_command, long_sentences, most_words


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
