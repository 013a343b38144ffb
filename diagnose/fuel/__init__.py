"""The fuel-system model: a layout as a network, solved for a batch of states and faults.

``build(layout)`` makes the network once; ``solve(network, states, faults)`` gives pressures and
flows; ``readings(network, solution)`` gives what gauges, lamps and people would read.
"""

from diagnose.fuel.build import build
from diagnose.fuel.classes import CLASSED, classify, places_of
from diagnose.fuel.faults import FITS, Fault, FaultError, fault_of
from diagnose.fuel.network import Network
from diagnose.fuel.readings import Readings, readings
from diagnose.fuel.settings import Settings, from_state
from diagnose.fuel.solve import Solution, solve

__all__ = [
    "CLASSED",
    "FITS",
    "Fault",
    "FaultError",
    "Network",
    "Readings",
    "Settings",
    "Solution",
    "build",
    "classify",
    "fault_of",
    "from_state",
    "places_of",
    "readings",
    "solve",
]
