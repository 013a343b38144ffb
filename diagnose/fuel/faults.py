"""stub"""
from dataclasses import dataclass
@dataclass(frozen=True)
class Fault:
    part: str
    change: str
    value: float
    unit: str = ""
def apply(network, conditions, i, state, fault): pass
