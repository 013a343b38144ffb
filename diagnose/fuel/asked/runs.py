"""Contents over time: one run of the model, and what can be read off it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from diagnose.errors import UsageError
from diagnose.fuel.asked.setup import Setup
from diagnose.fuel.faults import Fault
from diagnose.fuel.settings import NOT_RUNNING, POWERS, Settings, all_engines
from diagnose.fuel.time import History, simulate

DAY = 1440.0
"""The longest run looked at [min]."""

MOVED = 0.5e-3
"""Change of contents below which nothing is said to have moved [m3]: more than the creep past
shut cocks that holds the solver's nodes together."""


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
    setup: Setup, name: str, settings: Settings, minutes: float, watched: Sequence[str],
    faults: Sequence[Fault] | None = None, step: float = 15.0,
) -> Run:  # fmt: skip
    """Run the model for some minutes from the contents of ``settings``."""
    setup.tell(f"running: {name}")
    put_in = setup.faults if faults is None else tuple(faults)
    history = simulate(setup.network, [(minutes, settings)], put_in, step)
    setup.tell("")
    return Run(name, settings, history, tuple(watched))


def with_power(setup: Setup, power: str) -> Settings:
    """Return the settings with every engine at one power; '' leaves them.

    Raises:
        UsageError: no such power.
    """
    if not power:
        return setup.settings
    if power not in POWERS:
        running = [p for p in POWERS if p not in NOT_RUNNING]
        raise UsageError(f"--power '{power}' is not a power; say {', '.join(running)}.")
    return replace(setup.settings, power=all_engines(setup.network, power))


def surface(setup: Setup, settings: Settings, tank: str) -> float:
    """Return the height of the fuel's surface above the layout's datum [m], level attitude."""
    t = setup.network.tank(tank)
    return t.bottom + settings.levels.get(tank, 0.5) * t.depth
