"""How a check is made, in words, for every chart that sends to it."""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.model import Check
from diagnose.paper.blocks import Para

LEAK_CHECK = (
    "Close what was opened as its check says, leak-check what carries fuel, count the tools, log "
    "what was found."
)


def how_checked(check: Check) -> Iterable[Para]:
    """Yield the state the aeroplane must be in, what is needed, aim, steps, good and bad."""
    states = ", ".join(f"{k.replace('-', ' ')} {v}" for k, v in check.aeroplane.items())
    yield Para(f"Aeroplane: {states}.")
    access = [f"access: {check.access}"] if check.access not in ("", "none") else []
    needs = [*check.tools, *people(check.hands), *access]
    if needs:
        yield Para(f"Needs: {'; '.join(needs)}.")
    yield Para(f"Aim: {check.aim}" + ("" if check.steps else " By the approved data."))
    yield from (Para(text, "item", f"{k}.") for k, text in enumerate(check.steps, 1))
    yield from (
        Para(f"{name}: {text}") for name, text in (("Good", check.good), ("Bad", check.bad)) if text
    )


def people(hands: int) -> list[str]:
    """Return how many people it takes, where one is not enough."""
    return [f"{hands} people"] if hands > 1 else []
