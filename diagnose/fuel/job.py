"""One physical change at one part: which elements of the network it can land on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NoReturn

from diagnose.errors import DiagnoseError
from diagnose.fuel.conditions import Conditions
from diagnose.fuel.network import Network
from diagnose.fuel.settings import Settings
from diagnose.model import TANKS, Part

SQUARE_MM = 1e-6
"""One mm2 [m2]."""


class FaultError(DiagnoseError):
    """A change that has no physical form at that part."""

    exit_code = 3


@dataclass
class Job:
    """One change being made at one part in one row."""

    network: Network
    c: Conditions
    row: int
    state: Settings
    part: Part
    change: str
    value: float
    unit: str

    def runs(self) -> Iterable[tuple[int, int]]:
        """Yield (run, piece) of the part; of a tank, the first pieces of its outlets."""
        if self.part.kind in TANKS:
            node = self.network.tank(self.part.id).node
            return [(g.run, 0) for g in self.network.gates if g.kind == "wet" and
                    self.network.runs[g.run].a == node]  # fmt: skip
        found = self.network.pieces.get(self.part.id, ())
        if self.part.kind == "flow-meter" and not found:
            return [
                (i, len(run.pieces) - 1)
                for i, run in enumerate(self.network.runs)
                if run.b in {self.network.meters[m].node for m in self.own_meters()}
            ]
        return found

    def engine(self) -> str:
        """Return the engine the part belongs to, '' if none."""
        return engine_of(self.network, self.part.id)

    def own_meters(self) -> list[int]:
        """Return the meters of the part's engine; there may be none."""
        own = self.engine()
        return [i for i, m in enumerate(self.network.meters) if m.engine == own]

    def meters(self) -> list[int]:
        """Return the meters of the part's engine; none is an error."""
        return self.own_meters() or self.refuse()

    def meters_in_use(self) -> list[int]:
        """Return ``meters`` but for those behind a union that stands open above a can."""
        return [m for m in self.meters()
                if self.state.power.get(self.network.meters[m].engine) != "can"]  # fmt: skip

    def pumps(self) -> list[int]:
        """Return the engine-driven pumps of the part's engine; none is an error."""
        own = self.engine()
        return [i for i, p in enumerate(self.network.pumps) if p.engine == own] or self.refuse()

    def boosters(self) -> list[int]:
        """Return the electric or hand pumps the part is, or all on an electrical bus."""
        if self.part.kind == "bus":
            parts = self.network.layout.parts
            return [i for i, p in enumerate(self.network.boosters)
                    if parts[p.part].bus == self.part.id]  # fmt: skip
        return [i for i, p in enumerate(self.network.boosters) if p.part == self.part.id]

    def beside(self) -> list[int]:
        """Return the bypass flaps of the pump."""
        flaps = [(p.part, p.bypass) for p in self.network.boosters]
        flaps += [(p.part, p.bypass) for p in self.network.pumps]
        return [run for part, run in flaps if part == self.part.id and run >= 0]

    def gates(self) -> list[int]:
        """Return the cock or valve passages of the part; a jettison control has those of all."""
        if self.part.kind == "jettison-control":
            parts = self.network.layout.parts
            return [i for i, g in enumerate(self.network.gates)
                    if g.part in parts and parts[g.part].kind == "jettison-valve"]  # fmt: skip
        return [i for i, g in enumerate(self.network.gates) if g.part == self.part.id
                and g.kind in ("cock", "valve")]  # fmt: skip

    def tank(self) -> int:
        """Return the tank the part is or belongs to; none is an error."""
        name = self.part.id if self.part.kind in TANKS else self.part.of
        if name not in self.network.tank_index:
            self.refuse()
        return self.network.tank_index[name]

    def node(self) -> int:
        """Return the node that stands for the part."""
        part = self.part
        if part.id in self.network.place:
            return self.network.place[part.id]
        if part.of in self.network.place:
            return self.network.place[part.of]
        meters = self.own_meters()
        if meters:
            return self.network.meters[meters[0]].node
        return self.refuse()

    def refuse(self) -> NoReturn:
        """Raise the error that says that the change has no physical form here."""
        raise FaultError(
            f"{self.change!r} has no physical form at {self.part.id} ({self.part.kind})"
        )


def engine_of(network: Network, part: str) -> str:
    """Return the engine a part belongs to through ``of``, '' if none."""
    parts = network.layout.parts
    seen: set[str] = set()
    while part in parts and part not in seen:
        if parts[part].kind == "engine":
            return part
        seen.add(part)
        part = parts[part].of
    return ""
