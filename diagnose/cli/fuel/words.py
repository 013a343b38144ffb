"""What pages and drawings of the model say in the same words."""

from __future__ import annotations

import math

from diagnose.fuel.asked.steady import Solved
from diagnose.knowledge_files.cutting import NO_FIGURE

CORRELATION = (
    "vapour pressure by AP-42 chapter 7.1 for new fuel (constants checked on its table 7.1-2); "
    "weathered fuel boils later"
)


def lamp_word(done: Solved, engine: str, row: int) -> str:
    """Return lit, out, 'none fitted', or that no approved figure says when it lights."""
    if not done.setup.network.parts_of(engine, "warning-lamp"):
        return "none fitted"
    value = done.at("pressure-lamp", engine, row)
    if math.isnan(value):
        return NO_FIGURE if done.solution.converged[row] else "-"
    return "lit" if value > 0.5 else "out"


def running_word(done: Solved, engine: str, row: int) -> str:
    """Return how the engine runs, or that it stands."""
    if not done.solution.converged[row]:
        return "-"
    if done.setup.settings.power.get(engine, "none") in ("none", "can"):
        return "stands"
    return done.word("engine-running", engine, row)
