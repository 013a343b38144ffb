"""What mends a cause and what proves it mended: the data it needs, the state it is proved in."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Final

from diagnose.knowledge_files.vocabulary import CARRIES_FUEL
from diagnose.lint.base import Base
from diagnose.lint.codes import Found, code, finds
from diagnose.model import Cause

CONDITION = code(
    "MEND-01",
    "repair proved where the fault does not show",
    means="A cause shows only hot, at height, tilted, at a low level, in vibration or now and then,"
    " and what verifies its repair does not ask for that, or for more than one try.",
    matters="The run is clean, the job is signed for, and the fault comes back.",
    do="Say the condition in 'verify': hot, at height ...; of what comes and goes how many tries.",
)
NEED = code(
    "MEND-02",
    "proof that needs more, or less, than 'verify-needs' says",
    means="What verifies a repair runs an engine or puts power on and 'verify-needs' says less; or"
    " an engine run is asked for and 'verify' has nothing to do in one.",
    matters="The gates of power and of a run are asked by 'verify-needs' alone: too little runs an"
    " engine over a leak that nobody asked about, too much sends people out for nothing.",
    do="Say in 'verify' what is run, or correct 'verify-needs' (nothing, power; without it a run).",
)
NO_DATA = code(
    "MEND-03",
    "mending that needs the data and does not say so",
    means="A cause is mended by adjusting, freeing, lapping, overhauling, repairing, rigging or the"
    " like, and 'rectify' sends to no data, drawing or approved shop.",
    matters="Clearances, figures and what may be mended at all stand in the maker's data; by feel"
    " the next fault is made.",
    do="Add 'by the approved data', or by whom it is done.",
)
TIGHT = code(
    "MEND-04",
    "part opened, and nobody looks whether it is tight",
    means="A fuel part is opened to mend a cause, and neither what mends it, nor what proves it,"
    " nor the close-out of a check that settles it has a look for leaks.",
    matters="The next run is made over a joint that nobody has seen under pressure.",
    do="Add 'leak-check' to 'rectify'.",
)

_ASKED: Final[Mapping[str, re.Pattern[str]]] = {
    pattern: re.compile(rf"(?i)\b(?:{words})")
    for pattern, words in (
        ("only hot", "hot|heat|warm"),
        ("only at height", "height|flight"),
        ("only tilted", r"tilt|wing low|turns?\b|bank"),
        ("only low level", r"low\w* (?:\w+ )?level|least fuel|level of the report"),
        ("only vibrating", r"run\b|by hand|shake"),
        ("random", "twice|three|ten times|again|two mornings|next day|flight"),
    )
}
"""Pattern of a cause -> words of a proof that reach what it shows in."""
_RUN: Final = re.compile(
    r"(?i)\b(?:runs?|running|run-up|idle|take-off power|climb power|cruise power|a start|cold start"
    r"|engine runs|flight)\b|\bstart(?: up)? (?:and|by|as|from)\b|\bstart[:,]"
    r"|\bturns on the ground\b"
)
_RUNS_IT: Final = re.compile(
    r"(?i)(?:^|[.;:,] |\bthen )(?:run|run up|start)\b|\brun-up\b|\bidle to\b"
)
_POWER_ON: Final = re.compile(
    r"(?i)\b(?:booster|pump|battery|power|pressure) (?:is )?on\b|\bpress-to-test\b|\bammeter\b"
)

_SKILLED: Final = re.compile(
    r"(?i)(?:^|[.;:,] |\b(?:and|or|then) )(?:adjust|calibrate|free(?! of)|lap|overhaul|patch"
    r"|recalibrate|repack|repair|reseal|reseat|re-?set|re-?rig|rig|torque)\b"
)
_DATA: Final = re.compile(
    r"(?i)\b(?:data|drawings?|parts list|approved (?:shop|hand|figure)|maker's procedure"
    r"|the shop)\b"
)


@finds(NO_DATA, doing="mending: by the data")
def by_the_data(base: Base) -> Iterator[Found]:
    """Yield causes mended by skill alone."""
    for cause in base.library.causes.values():
        act = _SKILLED.search(cause.rectify)
        if act and not cause.outside and not _DATA.search(cause.rectify):
            said = act.group().strip(" .;:,")
            text = f"'{said}' and no data, drawing or shop is named; say 'by the approved data'"
            yield base.found(NO_DATA, f"causes/{cause.id}", text, cause.origin, "rectify")


_LOOKED: Final = re.compile(r"(?i)\b(?:leak|dry\b|drip|weep|no fuel outside)")
_FUEL: Final = frozenset({*CARRIES_FUEL, "fuel-aboard", "engine"})


@finds(TIGHT, doing="mending: leaks looked for")
def tight(base: Base) -> Iterator[Found]:
    """Yield causes whose part is opened and never seen to be tight."""
    for cause in base.library.causes.values():
        checks = [base.library.checks[k.check] for k in cause.checks]
        minded = {*cause.rectify_hazards, *(h for k in checks for h in k.hazards)}
        if cause.outside or "open-fuel-part" not in minded or not _FUEL & {*cause.part_kinds}:
            continue
        said = (cause.rectify, cause.verify, *(k.close_out for k in checks))
        if not any(_LOOKED.search(text) for text in said):
            text = "a fuel part is opened and nobody looks for leaks after it; add 'leak-check'"
            yield base.found(TIGHT, f"causes/{cause.id}", text, cause.origin, "rectify")


@finds(CONDITION, NEED, doing="proofs of a repair")
def proofs(base: Base) -> Iterator[Found]:
    """Yield causes whose repair is proved in another condition, or with another need than said."""
    for cause in base.library.causes.values():
        if cause.outside or not cause.verify:
            continue
        pattern = "random" if cause.pattern.startswith("random") else cause.pattern
        asked = _ASKED.get(pattern)
        if asked and not asked.search(cause.verify):
            text = (
                f"it shows '{cause.pattern}' and 'verify' does not ask for that; say how it is met"
            )
            yield base.found(CONDITION, f"causes/{cause.id}", text, cause.origin, "verify")
        why = _other_need(cause)
        if why:
            yield base.found(NEED, f"causes/{cause.id}", why, cause.origin, "verify")


def _other_need(cause: Cause) -> str:
    """Return what a proof needs beside what the cause says, or needs not at all; '' where right."""
    need, said = cause.verify_needs, cause.verify
    if need == "run":
        runs = _RUN.search(said)
        return "" if runs else "an engine run is asked for and 'verify' names none; say what is run"
    if found := _RUNS_IT.search(said):
        return f"'verify' runs an engine ('{found.group().strip(' .;:,')}') and needs '{need}'"
    if need == "nothing" and (found := _POWER_ON.search(said)):
        return f"'verify' has '{found.group()}' and 'verify-needs' is nothing; say power"
    return ""
