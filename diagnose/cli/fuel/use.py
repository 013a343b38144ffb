"""``diagnose fuel transfer`` and ``endurance``: emptying one tank into another, or into engines."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from diagnose.cli.fuel import page, runs
from diagnose.cli.fuel.ask import Asked
from diagnose.cli.fuel.pressures import CORRELATION
from diagnose.errors import UsageError
from diagnose.fuel import Settings
from diagnose.fuel.reach import downstream
from diagnose.fuel.settings import selecting
from diagnose.units import show

GIVING, RECEIVING = 0.95, 0.5
_TRANSFERS = ("transfer-valve", "transfer-pump")


@dataclass(frozen=True)
class Transfer:
    """Fuel moved from one tank to another."""

    gives: str
    receives: str
    how: str
    run: runs.Run


@dataclass(frozen=True)
class Transfers:
    """The question and each transfer."""

    question: Asked
    settings: Settings
    each: tuple[Transfer, ...]


def transfers(question: Asked, minutes: float) -> Transfers:
    """Run every transfer the layout has, each by itself.

    Raises:
        UsageError: the layout has none.
    """
    parts, network = question.network.layout.parts, question.network
    ways = [(p.id, p.of, p.traits.get("to", "")) for p in parts.values() if p.kind in _TRANSFERS]
    for one in network.runs:  # a header tank is filled by the tank above it
        ends = {t.node: t for t in network.tanks}
        if one.a in ends and one.b in ends and ends[one.b].header:
            ways.append(("", ends[one.a].id, ends[one.b].id))
    ways = [w for w in ways if w[1] in network.tank_index and w[2] in network.tank_index]
    if not ways:
        raise UsageError(f"{question.places.layout.id} has no transfer between tanks.")
    out = []
    for part, gives, receives in ways:
        state = _set_for(question, part, gives, receives)
        how = question.label(part) if part else "the line between them"
        name = f"{question.label(gives)} to {question.label(receives)} by {how}"
        one_run = runs.run(question, name, state, minutes, (gives, receives),
                           step=max(1.0, minutes / 60.0))  # fmt: skip
        out.append(Transfer(gives, receives, how, one_run))
    return Transfers(question, question.settings, tuple(out))


def _set_for(question: Asked, part: str, gives: str, receives: str) -> Settings:
    """Return the settings with one transfer open or running, and the contents it begins with."""
    s, parts = question.settings, question.network.layout.parts
    levels = dict(s.levels)
    for tank, share in ((gives, GIVING), (receives, RECEIVING)):
        if tank not in question.stated:
            levels[tank] = share
    if part and parts[part].kind == "transfer-pump":
        return replace(s, levels=levels, boosters=s.boosters | {part})
    return replace(s, levels=levels, open_valves=s.open_valves | ({part} if part else set()))


def transfer_notes(done: Transfers) -> list[str]:
    """Return what the figures rest on."""
    return [f"where contents were not stated the giving tank begins at {100 * GIVING:g} %, "
            f"the receiving at {100 * RECEIVING:g} %"]  # fmt: skip


def transfer_verdict(done: Transfers, t: Transfer) -> str:
    """Return in words what came of it."""
    h = t.run.history
    if t.run.trouble:
        return f"no steady state found ({t.run.trouble}); nothing is concluded from there on"
    over, dry = h.first("overflow", t.receives), h.first("tank-dry", t.gives)
    if over is not None:
        return f"the receiving tank overflows at its vent in {page.minutes(over)}"
    if dry is not None:
        return f"the giving tank is down to unusable in {page.minutes(dry)}"
    if not t.run.moved():
        return "nothing runs"
    span = page.minutes(float(h.minutes[-1]))
    full = h.first("tank-full", t.receives)
    if full is not None:
        return f"the receiving tank is full in {page.minutes(full)} and spills nothing in {span}"
    return f"still under way or level after {span}"


def transfer_text(done: Transfers, plain: bool) -> str:
    """Return the page."""
    q = done.question
    out = runs.opening(q, done.settings, plain)
    for t in done.each:
        title = f"{t.run.name[0].upper()}{t.run.name[1:]} [{q.shown.volume}]"
        lines = runs.tank_table(q, t.run, (t.gives, t.receives), plain)
        lines += page.items(runs.event_lines(q, t.run), plain)
        out += page.titled(title, lines + page.items([transfer_verdict(done, t)], plain))
    return "\n".join(out + runs.ending(q, transfer_notes(done), plain))


def transfer_object(done: Transfers) -> dict[str, Any]:
    """Return the page as plain data, SI with the unit in the key."""
    q = done.question
    out = runs.begin_object("transfer", q, done.settings, transfer_notes(done))
    out["transfers"] = [
        {"gives": t.gives, "receives": t.receives, "by": t.how,
         "verdict": transfer_verdict(done, t), "run": runs.as_object(q, t.run)}
        for t in done.each
    ]  # fmt: skip
    return out


def transfer_draw(done: Transfers) -> str:
    """Return contents against time, one plot a transfer."""
    told = [f"{t.run.name}: {transfer_verdict(done, t)}" for t in done.each]
    title = f"{done.question.places.layout.id}: transfer"
    return runs.draw(done.question, title, [t.run for t in done.each], told)


# ------------------------------------------------------------------ endurance


@dataclass(frozen=True)
class Endurance:
    """One tank run down.

    ``used`` is what a test run of the minutes asked draws [m3], None if the tank does not last;
    ``lasts`` the minutes until it gives out, and ``why``.
    """

    tank: str
    run: runs.Run
    used: float | None
    lasts: float | None
    why: str


@dataclass(frozen=True)
class Endurances:
    """The question, the length of the test run, and each tank."""

    question: Asked
    settings: Settings
    minutes: float
    each: tuple[Endurance, ...]
    idle: tuple[str, ...]  # tanks no selection feeds an engine from


def endurances(question: Asked, minutes: float, power: str) -> Endurances:
    """Run each tank that can be selected down to unusable; without a selector, as it stands.

    Raises:
        UsageError: no engine runs in this state.
    """
    settings = runs.with_power(question, power)
    if not set(settings.power.values()) - {"none", "can", "cranking"}:
        raise UsageError("No engine runs in this state; choose another with --state or --power.")
    network = question.network
    ways = {t.id: selecting(network, t.id) for t in network.tanks}
    chosen = {t: cocks for t, cocks in ways.items() if cocks}
    out: list[Endurance] = []
    if not chosen:  # nothing to select: all tanks feed, or feed each other, at once
        out += _endurance(question, tuple(ways), settings, minutes)
    for tank, cocks in chosen.items():
        state = replace(settings, positions={**settings.positions, **cocks})
        out += _endurance(question, (tank,), state, minutes)
    idle = [e.tank for e in out if e.lasts is None and e.run.rate(e.tank) > -_DRAWN]
    idle += [t for t in ways if chosen and t not in chosen]
    return Endurances(question, settings, minutes, tuple(e for e in out if e.tank not in idle),
                      tuple(idle))  # fmt: skip


_DRAWN = 0.05e-3 / 3600.0  # [m3/s] less than this is not feeding anything
_FINEST = 1.0  # [min] shortest step asked for
_TOGETHER = "all tanks feed together, and then an engine starves"


def _endurance(
    question: Asked, tanks: tuple[str, ...], state: Settings, minutes: float
) -> list[Endurance]:
    """Run tanks down together until they or their engines give out, a day at most."""
    engines = _fed(question, state, tanks)
    name = " and ".join(question.label(t) for t in tanks)
    span = max(_first_guess(question, state, tanks), minutes)
    while True:
        step = max(_FINEST, span / 60.0)
        one = runs.run(question, f"on {name}", state, span, tanks, step=step)
        ends = {t: one.gives_out(t, engines) for t in tanks}
        if any(ends.values()) or one.trouble or span >= runs.DAY:
            break
        if all(one.rate(t) > -_DRAWN for t in tanks):
            break  # nothing is drawn; more time would show no more
        span = min(2.0 * span, runs.DAY)
    out = []
    for tank, end in ends.items():
        lasts, why = end if end else (None, "")
        if len(tanks) > 1 and why and lasts != one.history.first("tank-dry", tank):
            why = _TOGETHER
        out.append(Endurance(tank, one, _used(one, tank, minutes, lasts), lasts, why))
    return out


def _first_guess(question: Asked, state: Settings, tanks: tuple[str, ...]) -> float:
    """Return about how long the tanks last [min], from what they give in the first minute."""
    one = runs.run(question, "the first minute", state, 1.0, tanks)
    parts = question.network.layout.parts
    usable = sum(one.start(t) - parts[t].numbers.get("unusable", 0.0) for t in tanks)
    drawn = -sum(one.rate(t) for t in tanks)
    guess = 1.1 * usable / drawn / 60.0 + 2.0 if drawn > _DRAWN and usable > 0.0 else 30.0
    return float(min(guess, runs.DAY))


def _fed(question: Asked, state: Settings, tanks: tuple[str, ...]) -> list[str]:
    """Return the engines these tanks feed as the cocks stand."""
    network = question.network
    reached: set[int] = set()
    for tank in tanks:
        start = network.tanks[network.tank_index[tank]].node
        reached |= downstream(network, state, start)
    return [m.engine for m in network.meters if m.node in reached]


def _used(one: runs.Run, tank: str, minutes: float, lasts: float | None) -> float | None:
    """Return what a tank lost in the first minutes [m3]; None if the run did not last."""
    from numpy import interp

    h, at = one.history, one.history.tanks.index(tank)
    if h.minutes[-1] < minutes - 1e-6 or (lasts is not None and lasts < minutes):
        return None
    return one.start(tank) - float(interp(minutes, h.minutes, h.contents[:, at]))


def endurance_notes(done: Endurances) -> list[str]:
    """Return what the figures rest on."""
    out = [
        CORRELATION,
        "burn at the layout's figures for this power, mixture rich; nothing held in reserve",
    ]
    step = max((float(e.run.history.minutes[-1]) / 60.0 for e in done.each), default=0.0)
    out.append(f"when an engine starves is told to within {max(step, _FINEST):.1f} min")
    if done.idle:
        names = ", ".join(done.question.label(t) for t in done.idle)
        out.append(f"nothing is drawn from: {names}")
    return out


def _together(done: Endurances) -> bool:
    return any(len(e.run.watched) > 1 for e in done.each)


def endurance_text(done: Endurances, plain: bool) -> str:
    """Return the page."""
    q, volume = done.question, done.question.shown.volume
    out = runs.opening(q, done.settings, plain)
    rows = []
    for e in done.each:
        flow = page.number(-e.run.rate(e.tank), q.shown.flow)
        used = "lasts not so long" if e.used is None else page.number(e.used, volume)
        lasts = "no solution" if e.run.trouble and e.lasts is None else page.minutes(e.lasts)
        rows.append([q.label(e.tank), page.number(e.run.start(e.tank), volume), flow, used, lasts])
    header = ["tank", "holds", "draws", f"in {done.minutes:g} min", "lasts"]
    by = "tanks feeding together" if _together(done) else "each tank by itself"
    title = f"Test run, {by} [{volume}, {q.shown.flow}]"
    out += page.titled(title, page.table(header, rows, plain))
    for e in done.each:
        if e.why and e.why != "down to unusable":
            rest = show(e.run.end(e.tank), volume)
            said = f"{q.label(e.tank)}: {e.why}; {rest} in it at the end"
            out += page.items([said], plain)
    for e in done.each:
        if e.run.trouble:
            out += page.items([f"{q.label(e.tank)}: no steady state found ({e.run.trouble}); "
                               "nothing is concluded from there on"], plain)  # fmt: skip
    return "\n".join(out + runs.ending(q, endurance_notes(done), plain))


def endurance_object(done: Endurances) -> dict[str, Any]:
    """Return the page as plain data, SI with the unit in the key."""
    q = done.question
    out = runs.begin_object("endurance", q, done.settings, endurance_notes(done))
    out["test_run_min"] = done.minutes
    out["tanks"] = [
        {"id": e.tank, "label": q.label(e.tank), "used_in_test_run_m3": e.used,
         "draws_m3_per_s": -e.run.rate(e.tank), "lasts_min": e.lasts,
         "gives_out": e.why or None,
         "run": runs.as_object(q, e.run)}
        for e in done.each
    ]  # fmt: skip
    out["not_drawn_from"] = list(done.idle)
    return out


def endurance_draw(done: Endurances) -> str:
    """Return contents against time, one plot a tank."""
    q = done.question
    told = [f"{q.label(e.tank)}: {show(e.run.start(e.tank), q.shown.volume)}, lasts "
            f"{page.minutes(e.lasts)}" for e in done.each]  # fmt: skip
    title = f"{q.places.layout.id}: endurance of a test run"
    return runs.draw(q, title, [e.run for e in done.each], told)
