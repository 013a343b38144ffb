"""What ``diagnose fuel`` is asked: layout, run state, settings, air and fuel, a cause to put in.

Words and figures as typed become ``Settings`` of the fuel-system model; anything that cannot be
understood is refused in one line that says what there is.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from difflib import get_close_matches
from pathlib import Path

from diagnose.cli.fuel.options import Typed
from diagnose.cli.loading import knowledge_root, layout_at, library_at
from diagnose.cli.printing import told_on_a_terminal
from diagnose.errors import UsageError, did_you_mean
from diagnose.fuel import Settings, build, fault_of, from_state
from diagnose.fuel.asked.setup import Air, Asked, Shown
from diagnose.fuel.settings import POWERS
from diagnose.model import COCKS, TANKS, Part, RunState
from diagnose.places import Places
from diagnose.units import Quantity, UnitError, find_unit, parse, show

# the span in which the model's density, viscosity and vapour pressure hold
COLDEST, HOTTEST = 233.15, 333.15
LOWEST, HIGHEST = -500.0, 11_000.0
THINNEST, RICHEST = 2 * 6894.757, 20 * 6894.757
HOLDS = "where the model's figures hold"
FASTEST = 300 * 1852 / 3600
_PUMPS = ("booster-pump", "hand-pump", "transfer-pump")
_VALVES = ("transfer-valve", "jettison-valve", "primer")


def shown_in(pressure: str, volume: str) -> Shown:
    """Return the units to print in."""
    return Shown(_unit(pressure, "pressure", "--unit"), _unit(volume, "volume", "--volume"))


def _unit(text: str, dimension: str, option: str) -> str:
    unit = find_unit(text, dimension)
    if unit.dimension != dimension:
        example = "psi, kPa, bar or inHg" if dimension == "pressure" else "imp gal, US gal or l"
        raise UsageError(f"{option} '{text}' is not a unit of {dimension}; say {example}.")
    return unit.name


def temperature_of(text: str) -> Quantity:
    """Return a fuel temperature [K]."""
    quantity = _read("--temperature", text, "temperature")
    return _within("--temperature", quantity, COLDEST, HOTTEST, f"-40 to 60 degC, {HOLDS}")


def height_of(text: str) -> Quantity:
    """Return a pressure height [m]."""
    quantity = _read("--altitude", text, "length", "5000 ft")
    span = f"-500 to 11 000 m (36 000 ft), {HOLDS}"
    return _within("--altitude", quantity, LOWEST, HIGHEST, span)


def rvp_of(text: str) -> Quantity:
    """Return a Reid vapour pressure [Pa]; it is an absolute pressure by definition."""
    try:
        quantity = parse(text, "absolute-pressure")
    except UnitError:
        quantity = _read("--rvp", text, "pressure", "7 psi")
    return _within("--rvp", quantity, THINNEST, RICHEST, f"2 to 20 psi, {HOLDS}")


def speed_of(text: str) -> Quantity:
    """Return an airspeed [m/s], no faster than air may be taken as incompressible.

    The dynamic pressure is low by a quarter of the square of the Mach number: 5 % at the limit.
    """
    quantity = figure("--speed", text, "speed")
    span = "0 to 300 kn, where the suction is right to 5 %"
    return _within("--speed", quantity, 0.0, FASTEST, span)


def _read(option: str, text: str, dimension: str, example: str = "") -> Quantity:
    try:
        return parse(text, dimension, example)
    except UnitError as error:
        raise UsageError(f"{option}: {error}") from None


def figure(option: str, text: str, dimension: str) -> Quantity:
    """Return a figure of zero or more."""
    quantity = _read(option, text, dimension)
    if quantity.value_si < 0:
        raise UsageError(f"{option}: '{text}' is below nothing.")
    return quantity


def _within(option: str, quantity: Quantity, low: float, high: float, span: str) -> Quantity:
    if not low - 1e-6 <= quantity.value_si <= high + 1e-6:
        raise UsageError(f"{option}: '{quantity.typed}' is outside {span}.")
    return quantity


def understood(typed: Typed, stage: str) -> Asked:
    """Return the question that was typed; ``stage``: of the run state where none is named."""
    root = knowledge_root(typed.context)
    shown = shown_in(typed.unit, typed.volume)
    air = Air(
        None if typed.temperature is None else temperature_of(typed.temperature),
        None if typed.altitude is None else height_of(typed.altitude),
        None if typed.rvp is None else rvp_of(typed.rvp),
    )
    places = Places(layout_at(root, typed.layout))
    network = build(places.layout)
    state = _state(places.layout.run_states, typed.state, stage)
    settings = from_state(network, state.settings, state.stage, **air.figures())
    stated: set[str] = set()
    for text in typed.sets or ():
        settings = _with(places, settings, text, stated)
    question = Asked(
        places=places,
        network=network,
        settings=settings,
        stated=frozenset(stated),
        tell=told_on_a_terminal,
        state=state,
        air=air,
        shown=shown,
    )
    if typed.cause:
        return _with_cause(question, root, typed.cause, typed.grade or "half")
    if typed.grade:
        raise UsageError("--grade says how bad a --cause is; name the cause too.")
    return question


AT_REST = ("parked", "static")
"""Stages in which no engine runs, as the commands ask for them."""


def _state(states: Sequence[RunState], name: str, stage: str) -> RunState:
    by_id = {s.id: s for s in states}
    if name:
        return by_id[_known(name, by_id, "run state of this layout")]
    runs = stage not in AT_REST  # what is asked at rest is never answered with an engine running
    found = [s for s in states if s.stage == stage] or [
        s for s in states if s.engine_running == runs
    ]
    if not found:
        want = "with an engine running" if runs else "with the engines at rest"
        raise UsageError(
            f"This layout has no run state {want}: add one, or name another with --state."
        )
    return found[0]


def _known(name: str, there: Iterable[str], what: str) -> str:
    names = list(there)
    if name in names:
        return name
    hint = did_you_mean(name, names)
    raise UsageError(f"'{name}' is not a {what}{hint} There are: {', '.join(names) or 'none'}.")


# ------------------------------------------------------------------ --set part=setting


def _with(places: Places, settings: Settings, text: str, stated: set[str]) -> Settings:
    """Return the settings with one 'part=setting' laid on them."""
    name, equals, value = (x.strip() for x in text.partition("="))
    if not equals or not name or not value:
        raise UsageError(f"--set '{text}' is not part=setting; write for instance selector=off.")
    settable = [p.id for p in places.layout.parts.values()
                if p.kind in (*COCKS, *_PUMPS, *_VALVES, *TANKS, "engine")]  # fmt: skip
    part = places.layout.parts[_known(name, settable, "part that can be set")]
    if part.id in stated:
        raise UsageError(f"--set sets {part.id} twice; leave one of them out.")
    stated.add(part.id)
    if part.kind in COCKS:
        _choice(part, value, part.positions)
        return replace(settings, positions={**settings.positions, part.id: value})
    if part.kind in _PUMPS:
        _choice(part, value, ("on", "off"))
        return replace(settings, boosters=_switched(settings.boosters, part.id, value == "on"))
    if part.kind in _VALVES:
        _choice(part, value, ("open", "shut"))
        return replace(settings, open_valves=_switched(settings.open_valves, part.id,
                                                       value == "open"))  # fmt: skip
    if part.kind == "engine":
        _choice(part, value, POWERS)
        return replace(settings, power={**settings.power, part.id: value})
    return replace(settings, levels={**settings.levels, part.id: share_of(part, value)})


def _switched(now: frozenset[str], part: str, there: bool) -> frozenset[str]:
    return now | {part} if there else now - {part}


def _choice(part: Part, value: str, there: Iterable[str]) -> None:
    names = list(there)
    if value not in names:
        raise UsageError(f"{part.id} cannot be set to '{value}'; say {', '.join(names)}.")


def share_of(tank: Part, text: str) -> float:
    """Return contents, typed as a volume or a share of capacity, as a share of capacity."""
    try:
        quantity = parse(text)
        if quantity.dimension not in ("volume", "fraction"):
            raise UnitError(
                f"'{text}' is neither a volume nor a share; write '9 imp gal' or '50 %'"
            )
    except UnitError as error:
        # what is no figure has no dimension to show one of
        hint = "" if "write" in str(error) else "; write '9 imp gal' or '50 %'"
        raise UsageError(f"contents of {tank.id}: {error}{hint}") from None
    capacity = tank.numbers["capacity"]
    share = quantity.value_si / (capacity if quantity.dimension == "volume" else 1.0)
    if not 0.0 <= share <= tank.brim / capacity:
        holds = f"{show(capacity, 'imp gal')} ({show(capacity, 'l')})"
        raise UsageError(f"'{text}' is not within what {tank.id} holds, {holds}.")
    return share


# ------------------------------------------------------------------ --cause CAUSE@PART


def _with_cause(question: Asked, root: Path, text: str, grade: str) -> Asked:
    """Return the question with a cause's physical form put in."""
    library = library_at(root)
    name, _, part = (x.strip() for x in text.partition("@"))
    if name not in library.causes:
        near = get_close_matches(name, library.causes, 3)
        hint = f"; near it: {', '.join(near)}" if near else ""
        raise UsageError(f"'{name}' is not a cause{hint}. 'diagnose words' lists them.")
    cause = library.causes[name]
    if cause.physical is None:
        raise UsageError(f"'{name}' has no physical form in the model: it moves no pressure or "
                         "flow that could be shown.")  # fmt: skip
    can = [c.at for c in question.places.cause_instances(library) if c.cause == name]
    if not can:
        raise UsageError(f"'{name}' cannot be in {question.places.layout.id}.")
    if not part and len(can) == 1:
        part = can[0]
    if part not in can:
        said = f"cannot be at '{part}'" if part else "can be at several parts"
        raise UsageError(f"'{name}' {said}; write {name}@PART with one of: {', '.join(can)}.")
    if grade not in cause.physical.grades:
        raise UsageError(f"'{grade}' is not a grade of {name}; say "
                         f"{', '.join(cause.physical.grades)}.")  # fmt: skip
    fault = fault_of(cause.physical, part, grade)
    size = ", ".join(x for x in (f"{fault.change} {fault.value:g}", fault.unit) if x)
    words = f"{cause.title} at {question.label(part)}, {grade} ({size})"
    return replace(question, faults=(fault,), fault_words=words)
