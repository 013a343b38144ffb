"""Checks that could hurt whoever follows them: the safety rules of the knowledge, held by machine.

The rules read the stated aeroplane state, the hazards, what a check disturbs, its tools and its
words.  They are strict: a check that stays safe in a way they cannot see says so in its text, or
in a waiver that a licensed person can read.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from typing import Final

from diagnose.knowledge_files.vocabulary import CARRIES_FUEL
from diagnose.lint.base import Base
from diagnose.lint.codes import Found, code, finds
from diagnose.lint.prose import texts
from diagnose.model import COCKS, Cause, Check

LIVE = code(
    "SAFE-01",
    "live electrical act at an open fuel part",
    means="Power is on, or a meter, tester or electric pump is used, in a check that opens a fuel"
    " part, without saying that the part is opened with power off and closed before.",
    matters="A spark at an open fuel part is a fire.",
    do="State power off and tagged, or say in the aim: open and close with power off, and in"
    " line-pressure: system closed.",
)
PRESSURE = code(
    "SAFE-02",
    "union worked under pressure",
    means="The text has a union, nut or joint tightened, slackened or opened while the line"
    " pressure is not stated as none or bled away.",
    matters="It sprays; a union that gives way under the spanner sprays over hands and exhaust.",
    do="State line-pressure none, and bleed the pressure before the act.",
)
AIR = code(
    "SAFE-03",
    "air without a limit",
    means="Air is put into a tank or line without the hazard for air and without a stated limit.",
    matters="A shop line bursts a tank that was made for a few inches of water.",
    do="List the hazard air-pressure and say 'at the limit of the approved data', or use no air.",
)
OPEN_RUN = code(
    "SAFE-04",
    "engine run with a line open",
    means="An engine runs in a check that opens a fuel part, without saying that the part is opened"
    " and closed with the engine stopped.",
    matters="Fuel under pressure beside a hot exhaust.",
    do="State the engine as stopped, or say in the aim: open and close with the engine stopped, and"
    " in line-pressure: system closed.",
)
STATE = code(
    "SAFE-05",
    "state of the aeroplane left open",
    means="A check that touches the aeroplane states 'any' for engine, power or line pressure, or a"
    " check that opens a fuel part or a tank states 'any' ventilation.",
    matters="'Any' includes the state in which it hurts.",
    do="State the one state in which it is safe.",
)
UNDER_LEAK = code(
    "SAFE-07",
    "rule that sends to a run where fuel is loose",
    means="A symptom that stops the job for loose fuel or fire does not say to stop, to leave"
    " switches alone or to keep people clear.",
    matters="The first minute decides.",
    do="Begin 'stops' with the act that makes it safe.",
)

MENDING = code(
    "SAFE-08",
    "act of mending, and its caution not listed",
    means="A cause is mended by opening a part that fuel stands or runs in, by draining, fuelling,"
    " chemicals or electrical work, over spilt fuel or beside a propeller, and neither the checks"
    " that settle it nor the cause list the hazards of that act. What is open or drained calls for"
    " those of static, of sparks and of fuel on the skin as well.",
    matters="The cautions of mending are shown from these lists only, before the words that mend.",
    do="List it under 'rectify-hazards' of the cause.",
)

_RESEALED: Final = re.compile(r"(?i)\b(?:overhaul|reseat|repack|reseal)\b")
_OPENED: Final = re.compile(rf"{_RESEALED.pattern}|\b(?:renew|change the|fit a new)\b")
_DRAINED: Final = re.compile(r"(?i)(?:^|[.;,] )(?:drain|with the (?:tank|line) drained)\b")
_FUELLED: Final = re.compile(
    r"(?i)(?:^|[.;,:] |\band )(?:re)?(?:fill|fuel) (?:it|the (?:tank|dry|one)|with|through)\b"
)
_CYLINDER: Final = re.compile(r"(?i)\b(?:low cylinder|plugs out)\b")
_CHEMICAL: Final = re.compile(r"(?i)\b(?:biocide|solvent|sealant|strip the coat)\b")
_WIRED: Final = re.compile(
    r"(?i)\b(?:mend|renew|repair|connect|remake) [^.;]{0,30}"
    r"\b(?:supply|leads?|wires?|wiring|relay|connector|fuse)\b"
)
_WIRED_KINDS: Final = frozenset({"booster-pump", "transfer-pump", "pressure-switch"})
"""Kinds that fuel stands in and a wire leads to: to change one parts both."""
_ELECTRICAL: Final = re.compile(
    r"(?i)\b(?:volt ?meter|ammeter|ohmmeter|multimeter|continuity|insulation test|test set|test"
    r" lamp|capacitance meter|bonding meter|battery)"
)
_UNION: Final = re.compile(
    r"(?i)\b(?:tighten|slacken|loosen|nip up|undo|torque|re-torque|crack)\w*\b[^.;]{0,40}"
    r"\b(?:union|nut|joint|fitting|flare|connection)s?\b"
)
AIR_USED: Final = re.compile(
    r"(?i)\b(?:compressed air|shop air|air pressure|air test|blow(?:n|ing)? (?:through|out)"
    r"|pressuri[sz]e|low-pressure air|air at)\b"
)
_LIMIT: Final = re.compile(r"(?i)\b(?:limit|approved data|no shop air|stated)\b")
DENIED: Final = re.compile(r"(?i)\b(?:never|do not|no|without)\b")


def opens(check: Check) -> bool:
    """Return whether the check opens a part that holds fuel."""
    return "open-fuel-part" in check.hazards or "line" in check.leaves


def _says_closed(check: Check, what: str) -> bool:
    """Return whether the check tells to open and close the part with ``what`` off or stopped."""
    words = f"{check.aim} {' '.join(check.steps)} {check.aeroplane['power']}".lower()
    return what in words and "closed" in check.aeroplane["line-pressure"]


def _all_text(check: Check) -> str:
    return ". ".join((check.title, check.aim, *check.steps, check.good, check.bad, check.close_out))


def _clauses(text: str) -> list[str]:
    return re.split(r"[.;]\s+", text)


def in_states(base: Base) -> tuple[set[str], set[str]]:
    """Return the questions read with an engine running, and those with a pump on at rest."""
    running: set[str] = set()
    powered: set[str] = set()
    for on in base.on.values():
        for r in on.catalogue.readings:
            if r.is_run:
                running.add(r.question)
            elif r.run_state and r.run_state.settings.get("booster") == "on":
                powered.add(r.question)
    return running, powered


@finds(LIVE, OPEN_RUN, doing="safety: live and running")
def live(base: Base) -> Iterator[Found]:
    """Yield checks that have power or a running engine at an open fuel part."""
    for check in base.library.checks.values():
        if not opens(check):
            continue
        item, power, engine = (
            f"checks/{check.id}",
            check.aeroplane["power"],
            check.aeroplane["engine"],
        )
        away = re.search(r"(?i)\b(?:bench|away from the aeroplane)\b", _all_text(check))
        meter = "" if away else next((t for t in check.tools if _ELECTRICAL.search(t)), "")
        on = not power.startswith("off")
        if (on or (meter and "tank closed" not in power)) and not _says_closed(check, "power off"):
            why = f"power is '{power}'" if on else f"'{meter}' is used"
            text = f"{why} while a fuel part is open; state it off, or that the part is closed"
            yield base.found(LIVE, item, text, check.origin, "aeroplane", "power")
        if not engine.startswith("stopped") and not _says_closed(check, "engine stopped"):
            text = (
                f"the engine is '{engine}' while a fuel part is open; state it stopped, or that the"
                " part is closed before"
            )
            yield base.found(OPEN_RUN, item, text, check.origin, "aeroplane", "engine")
    running, powered = in_states(base)
    for name in sorted(running | powered):
        q = base.library.questions[name]
        how = q.how.lower()
        if "open-fuel-part" in q.hazards and not ("power off" in how and "closed" in how):
            code, what = (OPEN_RUN, "engine running") if name in running else (LIVE, "booster on")
            text = (
                f"it opens a fuel part and is read with the {what}; say in 'how' that the part is"
                " opened with power off and closed before"
            )
            yield base.found(code, f"questions/{name}", text, q.origin, "how")


@finds(PRESSURE, AIR, doing="safety: pressure and air")
def pressure(base: Base) -> Iterator[Found]:
    """Yield texts that have unions worked under pressure, or air without a limit."""
    state = {f"checks/{k.id}": k.aeroplane["line-pressure"] for k in base.library.checks.values()}
    for t in texts(base.library):
        if t.use != "act":
            continue
        bled = state.get(t.item, "").startswith("none")
        for clause in _clauses(t.text):
            if _UNION.search(clause) and not bled and not DENIED.search(clause):
                if re.search(r"(?i)\b(?:pressure off|bled|drained|no pressure)\b", t.text):
                    continue
                text = (
                    f"'{t.name}' works a union ('{clause[:40]}') and does not say that the pressure"
                    " is off; bleed it first"
                )
                yield base.found(PRESSURE, t.item, text, t.origin, *t.keys)
    for check in base.library.checks.values():
        words = f"{_all_text(check)}. {'. '.join(check.tools)}"
        air = next((c for c in _clauses(words) if AIR_USED.search(c) and not DENIED.search(c)), "")
        if air and ("air-pressure" not in check.hazards or not _LIMIT.search(words)):
            text = (
                f"uses air ('{air[:40]}') without hazard 'air-pressure' and a stated limit; add"
                " both or use no air"
            )
            yield base.found(AIR, f"checks/{check.id}", text, check.origin)


@finds(STATE, doing="safety: stated states")
def states(base: Base) -> Iterator[Found]:
    """Yield checks on metal that leave a state open."""
    for check in base.library.checks.values():
        paper = not check.hazards and check.access in ("", "none") and not check.leaves
        for key, value in check.aeroplane.items():
            airs = opens(check) or "open-tank" in check.hazards
            loose = value == "any" and (key != "ventilation" or airs)
            if loose and not paper:
                text = f"'{key}' is 'any'; state the one state in which it is safe"
                yield base.found(STATE, f"checks/{check.id}", text, check.origin, "aeroplane", key)


_WITH_FUEL_OPEN: Final = ("bonding", "ignition-sources", "lead-and-skin")
_GO_WITH: Final = (
    ("open-tank", "a tank is opened", ("bonding", "ignition-sources")),
    ("open-fuel-part", "a fuel part is opened", _WITH_FUEL_OPEN),
    ("fuelling", "fuel is filled", _WITH_FUEL_OPEN),
)
"""Hazard -> why, and the hazards that go with it, whatever it is opened for."""


@finds(UNDER_LEAK, doing="safety: stops")
def stops(base: Base) -> Iterator[Found]:
    """Yield rules that stop the job for loose fuel without saying what makes it safe."""
    for s in base.library.symptoms.values():
        safe = re.search(
            r"(?i)\b(?:stop|shut|off|leave|do not|no\b|nothing|nobody|keep|clear|ground)", s.stops
        )
        if s.stops and not safe:
            text = "'stops' does not say what makes it safe; begin with that act"
            yield base.found(UNDER_LEAK, f"symptoms/{s.id}", text, s.origin, "stops")


def going_with(listed: Collection[str]) -> Iterator[tuple[str, str]]:
    """Yield what goes with each hazard that is listed, and why."""
    for opened, why, others in _GO_WITH:
        if opened in listed:
            yield from ((h, why) for h in others)


@finds(MENDING, doing="safety: cautions of mending")
def mending(base: Base) -> Iterator[Found]:
    """Yield causes that are mended by an act whose caution is not shown before it."""
    known = base.library.hazards
    for cause in base.library.causes.values():
        if cause.outside:
            continue
        looked = {h for k in cause.checks for h in base.library.checks[k.check].hazards}
        listed = {*looked, *cause.rectify_hazards}
        missing = [
            (h, why)
            for h, why in (*_called_for(cause, listed), *going_with(listed))
            if h in known and h not in listed
        ]
        for hazard, why in dict(missing).items():
            text = f"{why} to mend it, and hazard '{hazard}' is not shown; list it"
            yield base.found(MENDING, f"causes/{cause.id}", text, cause.origin, "rectify")


def _called_for(cause: Cause, listed: Collection[str]) -> Iterator[tuple[str, str]]:
    """Yield the hazards that the words that mend call for, and why."""
    if cause.family == "leak" and not {"spilt-fuel", "fuel-wet-power-off"} & {*listed}:
        yield "fuel-wet-power-off", "fuel has run out"
    kinds, said = set(cause.part_kinds), cause.rectify
    wet = kinds & {*CARRIES_FUEL, "engine"}
    # what is renewed of a cock is more often its handle, stop or linkage
    opened = _RESEALED if wet <= {*COCKS} else _OPENED
    if wet and opened.search(said):
        yield "open-fuel-part", "a fuel part is opened"
    if _DRAINED.search(said):
        yield from ((h, "fuel is drained") for h in _WITH_FUEL_OPEN)
    if _FUELLED.search(said):
        yield "fuelling", "a tank is fuelled"
    if _CYLINDER.search(said):
        yield "propeller-live", "a cylinder is looked into and the propeller turned"
    if _CHEMICAL.search(said):
        yield "chemicals", "a sealant, a solvent or a biocide is used"
    if _WIRED.search(said) or (kinds & _WIRED_KINDS and _OPENED.search(said)):
        yield "electrical-work", "a wire is worked on"
