"""How a check is made and what it finds put right, in words, for every chart that tells it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from diagnose.chart.labels import named
from diagnose.job.day.before_run import FOR_A_RUN, FOR_POWER, STOP_AT_ONCE, gate_words
from diagnose.job.diagnosis import Bench
from diagnose.job.gates import Need
from diagnose.job.wording import after_finding
from diagnose.model import Cause, CauseAt, Check
from diagnose.paper.blocks import Para

LEAK_CHECK = (
    "Close what was opened as its check says, leak-check what carries fuel, count the tools, log "
    "what was found."
)


MARKED: Mapping[Need, str] = {"power": "POWER", "run": "RUN"}
"""What the lists are called that must be known before fuel is pumped or a propeller turns."""


def known_before(bench: Bench, needs: Iterable[Need]) -> tuple[Para, ...]:
    """Return what must be known: before power goes on the fuel system, and before a run."""
    wanted = set(needs)
    gates = gate_words(bench, bench.planner.catalogue.gates)
    out = []
    if "power" in wanted:
        said = "; ".join([*FOR_POWER, *gates])
        when = "known before power goes on or fuel is pumped, else do not"
        out.append(Para(f"POWER list, {when}: {said}.", "warn"))
    if "run" in wanted:
        said = "; ".join([*FOR_A_RUN, *gates])
        out.append(Para(f"RUN list, known before a propeller turns, else do not: {said}.", "warn"))
        out.append(Para(f"STOP AT ONCE in any run: {' '.join(STOP_AT_ONCE)}", "warn"))
    return tuple(out)


HEAD = ", from the head of this sheet"
"""Where the lists and cautions of a step stand, unless its paper has them elsewhere."""


def first_read(
    bench: Bench, hazards: Iterable[str], need: Need, stands: str = HEAD
) -> Iterable[Para]:
    """Yield which lists and cautions, where they stand, belong to a step, if any."""
    lists = [f"the {MARKED[need]} list"] if need else []
    cautions = named(bench, hazards)
    if lists or cautions:
        said = "; ".join(x for x in (*lists, cautions) if x)
        yield Para(f"First{stands}: {said}.", "warn")


def before_mending(
    bench: Bench, hazards: Iterable[str], needs: Iterable[Need], stands: str = HEAD
) -> Iterable[Para]:
    """Yield what of the lists and cautions belongs to what is mended, and to proving it, if any."""
    cautions = named(bench, hazards)
    said = [f"Before anything is mended{stands}: {cautions}."] if cautions else []
    lists = " and ".join(f"the {MARKED[n]} list" for n in MARKED if n in set(needs))
    if lists:
        said.append(f"Before what was mended is proved: {lists}.")
    if said:
        yield Para(" ".join(said), "warn")


def needs_to_prove(causes: Iterable[Cause]) -> tuple[Need, ...]:
    """Return which lists must be known before the repair of any of ``causes`` is proved."""
    asked = {c.verify_needs for c in causes if not c.outside}
    return tuple(n for n in MARKED if n in asked)


def how_long(check: Check) -> str:
    """Return the minutes of a check, and those of the access to it where it has any."""
    access = f" and {check.access_minutes:.0f} for access" if check.access_minutes else ""
    return f"{check.minutes:.0f} min{access}"


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


def remedy(bench: Bench, found: CauseAt) -> Iterable[Para]:
    """Yield what to do about a cause that is found, and how that is proved."""
    said = after_finding(bench, found)
    yield from (Para(f"{name}: {text}") for name, text in said)
    if "Verify" not in dict(said):
        yield Para("Verify: Repeat the state of the report: the trouble must be gone.")


def people(hands: int) -> list[str]:
    """Return how many people it takes, where one is not enough."""
    return [f"{hands} people"] if hands > 1 else []
