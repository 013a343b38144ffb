"""Exchange tests: does the fault follow the part?  Refused where they could carry dirt or damage.

An exchange disturbs two places to learn of one.  What carries fuel is compared with its neighbour
where it stands; only what can be changed over dry, and is the same part, is exchanged.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from diagnose.errors import UsageError
from diagnose.job.diagnosis import Bench
from diagnose.job.job import Job
from diagnose.model import Finding, Fitted, Layout

EXCHANGED: Mapping[str, str] = MappingProxyType(
    {
        "filler-cap": "swap-caps",
        "contents-gauge": "swap-contents-gauges",
        "pressure-gauge": "swap-pressure-gauges",
    }
)
"""Kind of part that may be exchanged with its neighbour -> the check it is kept as."""

_WETTED = ("pressure-gauge",)
"""Of these, what has fuel in it when it is taken off."""
_DIRTY = ("tank-drain-sample", "strainer-drain-sample")
_ELECTRIC = ("contents-gauge",)


def refused(bench: Bench, findings: Sequence[Finding], one: str, other: str) -> str:
    """Return why ``one`` and ``other`` are not exchanged, '' when nothing known speaks against it.

    Raises:
        UsageError: If they are not two parts of a kind on the layout.
    """
    parts = bench.layout.parts
    for p in (one, other):
        if p not in parts:
            raise UsageError(f"'{p}' is not a part of layout '{bench.layout.id}'.")
    kind = parts[one].kind
    if one == other or parts[other].kind != kind:
        like = ", ".join(p for p in bench.places.parts_of_kind(kind) if p != one) or "none here"
        raise UsageError(f"'{one}' is exchanged with another {kind}: {like}.")
    if kind not in EXCHANGED or EXCHANGED[kind] not in bench.library.checks:
        return (
            f"a {kind.replace('-', ' ')} is not exchanged: it could carry dirt or damage to the "
            "sound side and leaves two joints to be made again. Compare it with its neighbour "
            "where it stands"
        )
    numbers = [_fitted(bench.layout, p) for p in (one, other)]
    known = [f.number for f in numbers if f is not None and f.number]
    if len(set(known)) > 1:
        return f"they are not the same part by the aeroplane's file: numbers {' and '.join(known)}"
    return _harm(bench, findings, kind, one, other)


def _harm(bench: Bench, findings: Sequence[Finding], kind: str, one: str, other: str) -> str:
    last = {(f.question, f.at): f for f in findings if f.value and not f.check}
    owners = {bench.layout.parts[p].of for p in (one, other)}
    if kind in _WETTED:
        dirty = [f for f in last.values() if f.question in _DIRTY and not f.surely("clean")]
        if dirty:
            where = bench.places.label(dirty[0].at)
            return f"dirt or water was found ({where}); a gauge with fuel in it could carry it over"
        for f in last.values():
            pressed = f.question in ("fuel-pressure", "booster-pressure") and "high" in f.classes
            if pressed and f.at in owners:
                return "the pressure may truly be too high; it would strain the sound gauge as well"
    burnt = any(f.question == "burning-smell" and not f.surely("none") for f in last.values())
    if kind in _ELECTRIC and burnt:
        return "something electrical smells burnt; what harmed one gauge could harm the other"
    return ""


def serial_of(layout: Layout, part: str) -> str:
    """Return the serial number the aeroplane's own file gives ``part``, '' when it gives none."""
    fitted = _fitted(layout, part)
    return fitted.serial if fitted else ""


def _fitted(layout: Layout, part: str) -> Fitted | None:
    own = layout.aeroplane
    return next((f for f in own.fitted if f.part == part), None) if own else None


def keep_exchange(
    job: Job, one: str, other: str, serials: tuple[str, str], result: str, left: str
) -> None:
    """Keep an exchange as the check it is: positions and serials as found and as left.

    Raises:
        UsageError: If it is refused, a serial is missing, or the result is none of the check's.
    """
    bench = job.bench
    why = refused(bench, job.findings, one, other)
    if why:
        raise UsageError(f"NOT EXCHANGED: {why}.")
    if not all(serials):
        raise UsageError("write down both serial numbers before anything is moved: none is known.")
    check = EXCHANGED[bench.layout.parts[one].kind]
    results = bench.library.checks[check].results
    if result not in results:
        raise UsageError(f"'{result}' is not a result of it; there are {', '.join(results)}.")
    if left not in ("back", "exchanged"):
        raise UsageError("say how they were left: back, or exchanged.")
    label = bench.places.label
    found = f"{label(one)}: serial {serials[0]}; {label(other)}: serial {serials[1]}"
    turned = f"{label(one)}: serial {serials[1]}; {label(other)}: serial {serials[0]}"
    as_left = f"back in their places: {found}" if left == "back" else f"LEFT EXCHANGED: {turned}"
    job.checked(check, one, result, "seen", f"exchanged; before: {found}", as_left)
