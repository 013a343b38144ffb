"""The card of one engine run on one printed page."""

from __future__ import annotations

from diagnose.errors import UsageError
from diagnose.job.day.card import Card, CardLine
from diagnose.report import runcard_html, runcard_text

FORMS = {
    "text": (runcard_text.fits, runcard_text.printed),
    "html": (runcard_html.fits, runcard_html.printed),
}


def runcard(card: Card, fmt: str) -> tuple[str, Card]:
    """Return the printed card as ``text`` or ``html``, and the card as it was printed.

    What does not fit one page leaves it, least telling first, and is listed on it.  A line with
    its cautions may be longer than the next: what is short enough comes back into the room left.

    Raises:
        UsageError: If there is no such form, or not even one line fits.
    """
    if fmt not in FORMS:
        raise UsageError(f"'{fmt}' is not a form of the run card; say {' or '.join(FORMS)}.")
    fits, printed = FORMS[fmt]
    dropped: list[CardLine] = []
    while card.lines and not fits(card):
        dropped.insert(0, card.worth[-1])
        card = card.shorter()
    for line in dropped if card.lines else ():
        if fits(fuller := card.fuller(line)):
            card = fuller
    if not card.lines:
        raise UsageError("nothing to read fits one page; a run card needs readings.")
    return printed(card), card
