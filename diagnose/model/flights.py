"""What was written down of the fuel of one flight."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Flight:
    """One line: contents after the flight by stick and gauge, uplift before it, burn in it [m3].

    None where a figure was not written down.
    """

    name: str
    tank: str
    stick: float | None
    gauge: float | None
    uplift: float
    burnt: float
