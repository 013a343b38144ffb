"""Contents over time as ``diagnose fuel`` shows them: runs of the model, tables, plots, data."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from diagnose.cli.fuel import page
from diagnose.cli.fuel.ask import Asked
from diagnose.cli.loading import told_on_a_terminal
from diagnose.errors import UsageError
from diagnose.fuel import Fault, Settings
from diagnose.fuel.settings import POWERS, all_engines
from diagnose.fuel.time import History, simulate
from diagnose.paper import svg
from diagnose.units import show, to

DAY = 1440.0
"""The longest run looked at [min]."""
MOVED = 0.5e-3
"""Change of contents below which nothing is said to have moved [m3]: more than the creep past
shut cocks that holds the solver's nodes together."""
QUASI = "each step solved as a steady state; what passes the brim goes out of the vent"


@dataclass(frozen=True)
class Run:
    """One run of the model: what it is called, its settings, and what happened.

    ``watched`` are the tanks the question is about.
    """

    name: str
    settings: Settings
    history: History
    watched: tuple[str, ...]

    @property
    def trouble(self) -> str:
        """Return why the run ended early, '' if it did not."""
        found = [e for e in self.history.events if e.what == "no-solution"]
        return f"{found[0].place} after {found[0].minute:.1f} min" if found else ""

    def start(self, tank: str) -> float:
        """Return contents at the start [m3]."""
        return float(self.history.contents[0, self.history.tanks.index(tank)])

    def end(self, tank: str) -> float:
        """Return contents at the end [m3]."""
        return float(self.history.contents[-1, self.history.tanks.index(tank)])

    def rate(self, tank: str) -> float:
        """Return the rate of change over the first step [m3/s]; NaN where there is none."""
        h, at = self.history, self.history.tanks.index(tank)
        if len(h.minutes) < 2:
            return math.nan
        return float((h.contents[1, at] - h.contents[0, at]) / (60.0 * (h.minutes[1])))

    def lost(self, tank: str) -> float:
        """Return what went overboard from a tank [m3]."""
        return float(self.history.overboard[-1, self.history.tanks.index(tank)])

    def gives_out(self, tank: str, engines: Sequence[str]) -> tuple[float, str] | None:
        """Return when a tank stops feeding these engines, and why; None if it does not.

        It is down to unusable, or an engine burns a tenth less than at first: the outlet of some
        tanks takes in air before that.
        """
        h = self.history
        dry = h.first("tank-dry", tank)
        at = [h.engines.index(e) for e in engines]
        length = h.minutes[1:] - h.minutes[:-1]
        rate = (h.burnt[1:, at] - h.burnt[:-1, at]) / length[:, None]
        # each step's burn against that of the first
        short = [k for k in range(len(rate)) if (rate[k] < 0.9 * rate[0]).any()]
        starved = float(h.minutes[short[0]]) if short else None
        if dry is not None and (starved is None or dry <= starved):
            return dry, "down to unusable"
        return None if starved is None else (starved, "outlet takes in air, engine starves")

    def moved(self) -> list[str]:
        """Return the tanks whose contents changed."""
        return [t for t in self.history.tanks if abs(self.history.change(t)) > MOVED]


def run(
    question: Asked, name: str, settings: Settings, minutes: float, watched: Sequence[str],
    faults: Sequence[Fault] | None = None, step: float = 15.0,
) -> Run:  # fmt: skip
    """Run the model for some minutes from the contents of ``settings``."""
    told_on_a_terminal(f"running: {name}")
    put_in = question.faults if faults is None else tuple(faults)
    history = simulate(question.network, [(minutes, settings)], put_in, step)
    told_on_a_terminal("")
    return Run(name, settings, history, tuple(watched))


def with_power(question: Asked, power: str) -> Settings:
    """Return the question's settings with every engine at one power; '' leaves them.

    Raises:
        UsageError: no such power.
    """
    if not power:
        return question.settings
    if power not in POWERS:
        raise UsageError(f"--power '{power}' is not a power; say {', '.join(POWERS)}.")
    return replace(question.settings, power=all_engines(question.network, power))


def brim(question: Asked, tank: str) -> float:
    """Return what a tank holds to the brim, its expansion space taken in [m3]."""
    numbers = question.network.layout.parts[tank].numbers
    return numbers["capacity"] * (1.0 + numbers.get("expansion", 0.0))


def surface(question: Asked, settings: Settings, tank: str) -> float:
    """Return the height of the fuel's surface above the layout's datum [m], level attitude."""
    t = question.network.tanks[question.network.tank_index[tank]]
    return t.bottom + settings.levels.get(tank, 0.5) * t.depth


# ------------------------------------------------------------------ text


def opening(question: Asked, settings: Settings, plain: bool) -> list[str]:
    """Return head and conditions of a page."""
    return page.head(question.places, plain) + page.conditions(question, settings, plain)


def tank_table(question: Asked, one: Run, tanks: Sequence[str], plain: bool) -> list[str]:
    """Return start, end, first rate and what was lost, for some tanks."""
    volume, flow = question.shown.volume, question.shown.flow
    header = ["tank", "start", "end", f"gains [{flow}]", "overboard"]
    rows = [
        [question.label(t), page.number(one.start(t), volume), page.number(one.end(t), volume),
         page.number(one.rate(t), flow), page.number(one.lost(t), volume)]
        for t in tanks
    ]  # fmt: skip
    return page.table(header, rows, plain)


_EVENTS = {
    "tank-dry": "down to unusable", "tank-full": "full", "overflow": "overflows at the vent",
    "lamp-on": "warning lamp lights", "lamp-out": "warning lamp goes out",
}  # fmt: skip


def event_lines(question: Asked, one: Run) -> list[str]:
    """Return what happened, in order."""
    out = []
    for e in one.history.events:
        if e.what == "no-solution":
            out.append(f"after {page.minutes(e.minute)} no steady state found ({e.place}); "
                       "nothing is concluded from there on")  # fmt: skip
        else:
            where = question.label(e.place)
            out.append(f"{where}: {_EVENTS[e.what]} at {page.minutes(e.minute)}")
    return out


def ending(question: Asked, notes: Sequence[str], plain: bool) -> list[str]:
    """Return what the page rests on."""
    return page.titled("Rests on", page.items([*notes, QUASI], plain))


# ------------------------------------------------------------------ plain data and plots


def begin_object(
    command: str, question: Asked, settings: Settings, notes: Sequence[str]
) -> dict[str, Any]:
    """Return what the JSON of a run begins with."""
    said = [*page.air_assumptions(question, settings), *notes, QUASI]
    out = page.body(command, question.places, said)
    out["conditions"] = page.conditions_object(question, settings)
    return out


def as_object(question: Asked, one: Run) -> dict[str, Any]:
    """Return one run as plain data."""
    h = one.history
    return {
        "name": one.name,
        "watched": list(one.watched),
        "complete": not one.trouble,
        "trouble": one.trouble,
        "tanks": [
            {"id": t, "label": question.label(t),
             "surface_at_start_m": surface(question, one.settings, t),
             "start_m3": one.start(t), "end_m3": one.end(t),
             "first_rate_m3_per_s": one.rate(t), "overboard_m3": one.lost(t),
             "full_min": h.first("tank-full", t), "overflow_min": h.first("overflow", t),
             "unusable_min": h.first("tank-dry", t)}
            for t in h.tanks
        ],
        "events": [{"minute": e.minute, "what": e.what, "place": e.place} for e in h.events],
        "minutes": h.minutes.tolist(),
        "contents_m3": {t: h.contents[:, k].tolist() for k, t in enumerate(h.tanks)},
    }  # fmt: skip


def draw(question: Asked, title: str, runs: Sequence[Run], told: Sequence[str]) -> str:
    """Return contents against time, one plot a run."""
    unit = question.shown.volume
    plots = []
    for number, one in enumerate(runs):
        h = one.history
        tanks = list(one.watched) or one.moved()
        series = [
            svg.Series(question.label(t), h.minutes.tolist(),
                       [to(v, unit) for v in h.contents[:, h.tanks.index(t)].tolist()])
            for t in tanks
        ]  # fmt: skip
        sizes = {question.network.layout.parts[t].numbers["capacity"] for t in tanks}
        # a full tank is a line only where it is near enough to matter
        top = max((max(s.y) for s in series), default=0.0)
        levels = [svg.Level(f"full, {show(v, unit)}", to(v, unit)) for v in sorted(sizes)
                  if to(v, unit) < 1.3 * top]  # fmt: skip
        axes = ("minutes", f"contents [{unit}]")
        plots.append(svg.plot(one.name, axes, series, levels, top=number * svg.HEIGHT))
    return svg.page(title, page.notes(question.places), " ".join(f"{t}." for t in told), plots)
