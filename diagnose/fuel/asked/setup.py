"""What every question to the model begins with: a layout, how it is set, what is put in, units."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from diagnose.fuel.faults import Fault
from diagnose.fuel.network import Network
from diagnose.fuel.settings import Settings
from diagnose.model import RunState
from diagnose.places import Places
from diagnose.units import Quantity


def _untold(_: str) -> None:
    """Tell nobody what is being run."""


@dataclass(frozen=True, kw_only=True)
class Setup:
    """One layout as it stands for a question.

    ``stated`` are the parts whose setting, and the tanks whose contents, were given by whoever
    asks; ``tell`` is called with what a long run is about to do, and with '' once it is done.
    """

    places: Places
    network: Network
    settings: Settings
    faults: tuple[Fault, ...] = ()
    stated: frozenset[str] = frozenset()
    tell: Callable[[str], None] = _untold

    def label(self, part: str) -> str:
        """Return a part's name for people."""
        return self.places.label(part)

    @property
    def all_contents_stated(self) -> bool:
        """Return whether the contents of every tank were given."""
        return all(t.id in self.stated for t in self.network.tanks)


@dataclass(frozen=True)
class Shown:
    """The units figures are printed in."""

    pressure: str
    volume: str

    @property
    def flow(self) -> str:
        """Return the unit of flow that goes with the volume."""
        return f"{self.volume}/h"


@dataclass(frozen=True)
class Air:
    """Temperature of the fuel [K], pressure height [m], Reid vapour pressure [Pa]; as typed."""

    temperature: Quantity | None
    height: Quantity | None
    rvp: Quantity | None

    def figures(self) -> dict[str, float]:
        """Return what was stated, as settings of the model."""
        pairs = {"temperature": self.temperature, "height": self.height, "rvp": self.rvp}
        return {name: q.value_si for name, q in pairs.items() if q is not None}


@dataclass(frozen=True, kw_only=True)
class Asked(Setup):
    """One question to the model, all names and figures understood, and the units to answer in."""

    state: RunState
    air: Air
    shown: Shown
    fault_words: str = ""
