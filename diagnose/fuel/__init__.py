"""The fuel-system model: a layout as a network, solved for a batch of states and faults.

``build(layout)`` makes the network once; ``solve(network, states, faults)`` gives pressures and
flows; ``readings(network, solution)`` gives what gauges, lamps and people would read.
"""

from diagnose.fuel.build import build
from diagnose.fuel.faults import CHANGES, FITS, Fault, FaultError, fault_of
from diagnose.fuel.network import Network
from diagnose.fuel.settings import Settings, from_state
from diagnose.fuel.solve import Solution, solve

__all__ = [
    "CHANGES",
    "FITS",
    "Fault",
    "FaultError",
    "Network",
    "Settings",
    "Solution",
    "build",
    "fault_of",
    "from_state",
    "solve",
]
